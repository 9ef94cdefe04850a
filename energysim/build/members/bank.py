"""
The bank of each member: as planned, but for what was drawn of its capacity, age and inside.

Depends on: simulate, plan, build.worn, build.members.draws.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.worn import worn_resistance_factor
from energysim.simulate import Bank

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.members.draws import Draws
    from energysim.plan import DayPlan

    Array = NDArray[np.float64]

LEAST_LEFT: Final = 0.3
"""No guess of age leaves less of the label than this (ours). [1]"""

LEAST_AT_START: Final = 0.01
"""A bank that has anything at the start has this much. [1]"""


def banks_of(plan: DayPlan, draws: Draws, *, aged_fraction: float) -> Bank:
    """
    Return the banks of a block of members.

    Age is drawn of the loss, so that a new bank stays new; with it the resistance moves, as
    the day's own does. What a label gives at a varying load is drawn apart: it changes what
    can be drawn, not what the ledger calls full. How full it starts and what the house
    takes are drawn as well. The rate of the wells moves within the range
    the day shows, and the wells with it so that they keep to the label.

    Parameters
    ----------
    plan : DayPlan
        For its bank, and the banks at the ends of the range of the wells' rate.
    draws : Draws
        Of the block.
    aged_fraction : float
        What age is guessed to have left of the label; 1 where nothing is guessed. [1]
    """
    factor = draws.factor
    members = factor["capacity"].size
    bank = _repeated(_with_wells(plan, draws.wells_place), members)
    aged = np.ones(members)
    worn = np.ones(members)
    if aged_fraction < 1.0:
        left = np.maximum(1.0 - (1.0 - aged_fraction) * factor["age"], LEAST_LEFT)
        aged = left / aged_fraction
        worn = _worn(left) / _worn(np.full(members, aged_fraction))
    today = aged * factor["capacity"]
    start = np.where(
        bank.start_soc > 0.0,
        np.clip(bank.start_soc + draws.start_charge, LEAST_AT_START, 1.0),
        0.0,
    )
    return replace(
        bank,
        start_soc=start if draws.start_charge.any() else bank.start_soc,
        house_load_w=bank.house_load_w * factor["house_load"],
        capacity_ah=bank.capacity_ah * today,
        wells_total_ah=bank.wells_total_ah * today,
        charge_ah=bank.charge_ah * aged,
        resistance_full_ohm=bank.resistance_full_ohm * worn * factor["resistance"],
    )


def _worn(left: Array) -> Array:
    return np.array([worn_resistance_factor(fraction) for fraction in left.tolist()])


def _with_wells(plan: DayPlan, place: Array) -> Bank:
    """
    Return the bank with each member's wells at its place in the range of rates, -1 to 1.

    Share and total are read between the three fits to the label by a parabola in the logarithm
    of the rate; in the tests its wells keep to the label as the fits themselves do.
    """
    bank, slow, fast = plan.bank, plan.slow_bank, plan.fast_bank
    if slow is None or fast is None or not place.any():
        return bank
    nodes = [np.log(each.wells_rate_per_h) for each in (slow, bank, fast)]
    at = nodes[1] + np.where(
        place < 0.0, place * (nodes[1] - nodes[0]), place * (nodes[2] - nodes[1])
    )

    def between(name: str) -> Array:
        low, middle, high = (getattr(each, name) for each in (slow, bank, fast))
        first = (middle - low) / (nodes[1] - nodes[0])
        second = ((high - middle) / (nodes[2] - nodes[1]) - first) / (nodes[2] - nodes[0])
        return np.asarray(low + (at - nodes[0]) * (first + second * (at - nodes[1])))

    return replace(
        bank,
        wells_rate_per_h=np.exp(at),
        wells_share=between("wells_share"),
        wells_total_ah=between("wells_total_ah"),
    )


def _repeated(bank: Bank, members: int) -> Bank:
    """Return the bank with every number of one member said for each."""
    wide = {}
    for one in fields(Bank):
        values = getattr(bank, one.name)
        if one.name != "emf_tables_v" and values.shape[-1] == 1:
            wide[one.name] = np.repeat(values, members, axis=-1)
    return replace(bank, **wide)
