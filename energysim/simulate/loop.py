"""
The loop: carry every member's bank through the day, step by step.

Depends on: the other parts of simulate, physics.
"""

from functools import partial
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.motor import Motor
from energysim.physics.motor_factor import motor_of
from energysim.simulate.ends import Ends
from energysim.simulate.mesh import MeshBank
from energysim.simulate.plain import PlainBank
from energysim.simulate.records import SECONDS_PER_HOUR, Array, Bank, Demand, Flows, Row
from energysim.simulate.walk import rows_of, running_bank, walk


class Kept(NamedTuple):
    """What each step leaves behind, arrays (steps, members)."""

    emf_v: Array
    bank_ohm: Array
    wanted_a: Array
    possible: NDArray[np.bool_]
    load_a: Array
    motor_current_a: Array
    thrust_n: Array
    limit: NDArray[np.int8]


def simulate(demand: Demand, bank: Bank, motor: Motor) -> Flows:
    """
    Carry the bank through all steps.

    The load is a constant power; rest voltage and resistance are those at the step's start.
    Where the bank runs empty inside a step, it delivers up to that moment and nothing after.

    Parameters
    ----------
    demand : Demand
        The day's demand, arrays (steps, members).
    bank : Bank
        The banks, arrays that end in members.
    motor : Motor
        The motor that serves every member.

    Returns
    -------
    Flows
        Arrays over (steps, members), and the books at the step edges.
    """
    steps, members = shape = demand.power_w.shape
    kept = _empty_rows(shape)
    columns: tuple[NDArray[Any], ...] = tuple(kept)
    running = running_bank(bank, steps)
    level = np.empty((steps + 1, members))
    level[0] = running.level
    carried: Array | None = None
    has_supply = bool(demand.supply_w.any())
    supply = np.zeros(shape) if has_supply else None
    rows = rows_of(demand.power_w, demand.thrust_n, demand.needed_voltage_v, bank)
    steps_walked = walk(
        map(Row, *rows),
        running,
        step_s=demand.step_s,
        supply_w=demand.supply_w if has_supply else None,
        bank=bank,
        motor=motor,
        ends_at=partial(_ends_at, demand=demand, motor=motor),
    )
    for step, (_, settled) in enumerate(steps_walked):
        row_of = (settled.emf_v, settled.bank_ohm, *settled.given)
        for out, value in zip(columns, row_of, strict=True):
            out[step] = value
        if supply is not None and settled.supply_a is not None:
            supply[step] = settled.supply_a
        if not isinstance(settled.share, float):
            if carried is None:
                carried = np.ones(shape)
            carried[step] = settled.share
        level[step + 1] = settled.level
    return _flows(kept, level, carried, supply, running, demand, bank)


def _ends_at(step: int, some: NDArray[np.intp], *, demand: Demand, motor: Motor) -> Ends:
    """Return what only a motor at its ends is asked."""
    members = demand.power_w.shape[1]

    def own(values: Array) -> Array:
        return np.broadcast_to(values, (*values.shape[:-1], members))[..., some]

    return Ends(
        motor_of(motor, some),
        own(demand.inflow_mps[step]),
        own(demand.thrust_ratio[step]),
        own(demand.torque_ratio[step]),
        own(demand.thrust_quadratic[:, step]),
        own(demand.current_quadratic[:, step]),
    )


def _empty_rows(shape: tuple[int, ...]) -> Kept:
    """Make room for what the steps leave behind."""
    kinds: dict[str, type[Any]] = {"possible": np.bool_, "limit": np.int8}
    return Kept(*(np.empty(shape, dtype=kinds.get(name, float)) for name in Kept._fields))


def _flows(
    kept: Kept,
    level: Array,
    carried: Array | None,
    supply: Array | None,
    running: PlainBank | MeshBank,
    demand: Demand,
    bank: Bank,
) -> Flows:
    """Work out, for all steps at once, what follows from the kept rows."""
    # In place where the rows are needed no more: a sweep's arrays are large.
    emf, load, ohm = kept.emf_v, kept.load_a, kept.bank_ohm
    bank_voltage = load * ohm
    np.subtract(emf, bank_voltage, out=bank_voltage)
    wanted_voltage = np.multiply(kept.wanted_a, ohm, out=kept.wanted_a)
    np.subtract(emf, wanted_voltage, out=wanted_voltage)
    wanted_voltage *= kept.possible
    ohm += bank.cable_ohm
    bus_voltage = load * ohm
    np.subtract(emf, bus_voltage, out=bus_voltage)
    # Not what was wanted: under stepped control the motor takes less as the bus sags.
    motor_power = kept.motor_current_a * bus_voltage
    current = load if supply is None else load - supply
    drawn = np.broadcast_to(demand.step_s, load.shape) / SECONDS_PER_HOUR
    if carried is not None:
        motor_power *= carried
        np.multiply(kept.thrust_n, carried, out=kept.thrust_n)
        drawn *= carried
    drawn *= current
    drawn_wh = _running_sum(drawn * bank_voltage)
    if supply is not None:
        # Of what is put in, only a part stays to be drawn again.
        drawn = np.where(drawn < 0.0, drawn * running.charge_efficiency, drawn)
    return Flows(
        current_a=current,
        motor_current_a=kept.motor_current_a,
        bank_voltage_v=bank_voltage,
        bus_voltage_v=bus_voltage,
        emf_v=emf,
        resistance_ohm=ohm,
        thrust_n=kept.thrust_n,
        motor_power_w=motor_power,
        carried_share=np.broadcast_to(1.0, load.shape) if carried is None else carried,
        wanted_voltage_v=wanted_voltage,
        limit=kept.limit,
        level=level,
        degc=running.warmest_degc(len(load)),
        drawn_ah=_running_sum(drawn),
        drawn_wh=drawn_wh,
        supply_a=np.zeros((1, 1)) if supply is None else supply,
        blocks=running.block_flows(demand.step_s),
    )


def _running_sum(values: Array) -> Array:
    """Return the sum up to each step edge, starting from nothing."""
    total = np.zeros((values.shape[0] + 1, values.shape[1]))
    np.cumsum(values, axis=0, out=total[1:])
    return total
