"""
The walk: banks carried from step to step, whoever looks on.

`simulate` keeps every row of it for a day to be read; a sweep over thousands a few numbers.

Depends on: the other parts of simulate, physics.
"""

from collections.abc import Iterable, Iterator
from functools import partial

import numpy as np

from energysim.physics.motor import Motor
from energysim.simulate.cells import LawStep, law_step
from energysim.simulate.ends import EndsAt, serve
from energysim.simulate.mesh import MeshBank
from energysim.simulate.plain import PlainBank, Settled, is_plain
from energysim.simulate.records import Array, Bank, Row


def running_bank(bank: Bank, steps: int) -> PlainBank | MeshBank:
    """Return the banks as they start, ready for so many steps."""
    return (PlainBank if is_plain(bank) else MeshBank)(bank, steps)


def rows_of(power_w: Array, thrust_n: Array, needed_voltage_v: Array, bank: Bank) -> Row:
    """
    Return what a step needs of the demand and does not depend on the bank's state.

    Parameters
    ----------
    power_w, thrust_n, needed_voltage_v : ndarray, shape (steps, members) or (members,)
        As in `Demand`. [W] [N] [V]
    bank : Bank
        For its house and the voltages it must not fall below.
    """
    asked = power_w > 0.0
    has_house = bool(bank.house_load_w.any())
    floor, cutoff = np.maximum(needed_voltage_v, bank.lowest_voltage_v), bank.cutoff_voltage_v
    if not asked.all():
        floor = np.where(asked, floor, -np.inf)
        cutoff = np.where(asked, cutoff, -np.inf)
    return Row(
        power_w,
        asked,
        power_w + bank.house_load_w if has_house else power_w,
        thrust_n,
        floor,
        np.broadcast_to(cutoff, power_w.shape),
        np.maximum(floor, cutoff),
    )


def walk(
    rows: Iterable[Row],
    running: PlainBank | MeshBank,
    *,
    step_s: Array,
    supply_w: Array | None,
    bank: Bank,
    motor: Motor,
    ends_at: EndsAt,
) -> Iterator[tuple[Row, Settled]]:
    """
    Carry the banks through the steps, one after the other.

    The load is a constant power; rest voltage and resistance are those at the step's start.
    Where a bank runs empty inside a step, it delivers up to that moment and nothing after.

    Parameters
    ----------
    rows : iterable of Row
        One a step, from `rows_of`.
    running : PlainBank or MeshBank
        From `running_bank`; it moves on with the steps.
    step_s : ndarray, shape (steps, members or 1)
        Length of each step. [s]
    supply_w : ndarray or None, shape (steps, members or 1)
        Offered by a panel or an engine; None where there is none. [W]
    bank, motor : Bank, Motor
        What is run.
    ends_at : EndsAt
        Asked only where a motor is at its ends.

    Yields
    ------
    row, settled : Row, Settled
        What was wanted of a step and what came of it.
    """
    has_house = bool(bank.house_load_w.any())
    serve_by = partial(serve, bank=bank, motor=motor, has_house=has_house, ends_at=ends_at)
    repeats = (step_s[1:] == step_s[:-1]).all(axis=1)
    law: LawStep | None = None
    for step, row in enumerate(rows):
        if law is None or not repeats[step - 1]:
            law = law_step(step_s[step], running.cells)
        offered = None if supply_w is None else supply_w[step]
        yield (
            row,
            running.settle(partial(serve_by, row=row, step=step), law, row, offered, step),
        )
