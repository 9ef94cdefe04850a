"""
The day beside itself: by the other law, at other rates of the wells, with even blocks.

Each is the same day with another bank, a further member of the same sweep.

Depends on: plan, simulate.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING

import numpy as np

from energysim.simulate import BY_BLOCK, Demand

if TYPE_CHECKING:
    from collections.abc import Mapping

    from energysim.charge_plan import Place
    from energysim.plan import DayPlan
    from energysim.simulate import Bank


def by_the_other_law(plan: DayPlan) -> DayPlan:
    """Return the day with the bank told by the other law of discharge."""
    return replace(plan, bank=replace(plan.bank, kinetic=~plan.bank.kinetic))


def at_other_rates(plan: DayPlan) -> tuple[DayPlan, ...]:
    """Return the day with the slowest and the fastest wells; none where that is no choice."""
    if not plan.bank.kinetic[0] or plan.slow_bank is None or plan.fast_bank is None:
        return ()
    return replace(plan, bank=plan.slow_bank), replace(plan, bank=plan.fast_bank)


def with_even_blocks(plan: DayPlan) -> DayPlan | None:
    """Return the day with every block like the best and none tapped; None if they are alike."""
    bank = plan.bank
    if bank.block_count.shape[:2] == (1, 1):
        return None
    return replace(plan, bank=evened(bank))


def evened(bank: Bank) -> Bank:
    """
    Return a bank of one member with all its blocks like the best.

    The best gives most: capacity times the state of charge it starts at; of two alike, the
    one nothing hangs on.
    """
    real = bank.block_count * bank.string_count[:, None, :] > 0.0
    gives = np.where(real, bank.capacity_ah * bank.start_soc, -np.inf)
    best = np.unravel_index(np.lexsort((bank.tapped_w.ravel(), -gives.ravel()))[0], gives.shape)
    values = {
        field.name: getattr(bank, field.name)[best].reshape(1, 1, 1)
        for field in fields(bank)
        if field.name in BY_BLOCK
    }
    values["block_count"] = bank.block_count[best[0]].sum(axis=0).reshape(1, 1, 1)
    values["tapped_w"] = np.zeros((1, 1, 1))
    return replace(bank, **values, string_count=bank.string_count.sum(axis=0, keepdims=True))


def house_day(plan: DayPlan) -> tuple[Demand, Bank] | None:
    """Return the day as the house's own bank sees it; None where it has none."""
    if plan.house is None:
        return None
    nothing = np.zeros_like(plan.demand.step_s)
    still = {"step_s", "inflow_mps", "thrust_quadratic", "current_quadratic"}
    quiet = {
        field.name: nothing
        for field in fields(Demand)
        if field.name not in still | {"supply_w"}
    }
    return replace(plan.demand, **quiet, supply_w=np.zeros((1, 1))), plan.house.bank


def from_morning(plan: DayPlan, charge: Mapping[Place, float]) -> DayPlan:
    """
    Return the day from other states of charge, as a night before has left them.

    Parameters
    ----------
    plan : DayPlan
        The day.
    charge : mapping of (string, number) to float
        Share of the full charge of every block, by ampere-hours. Of blocks that are counted
        together the least is taken.
    """
    start = plan.bank.start_soc.copy()
    if not plan.block_places:
        start[...] = min(charge.values())
    for string, kinds in enumerate(plan.block_places):
        for block, places in enumerate(kinds):
            if places:
                start[string, block, 0] = min(charge[place] for place in places)
    return replace(plan, bank=replace(plan.bank, start_soc=start))
