"""
The same day with the boat pushed harder, and less hard, by what the force side may be out.

Two more members of the sweep, so that nobody reads the answer as one bare number.

Depends on: plan, demand, catalogue.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from energysim.catalogue import uncertainties
from energysim.demand import demand_on_the_bank

if TYPE_CHECKING:
    from energysim.plan import DayPlan


def push_spread() -> float:
    """Return the relative uncertainty of a held boat's thrust (data/uncertainty.csv)."""
    return uncertainties()["thrust-held"].spread


def harder(plan: DayPlan) -> DayPlan:
    """Return the day with every thrust larger by the spread."""
    return _pushed(plan, 1.0 + push_spread())


def easier(plan: DayPlan) -> DayPlan:
    """Return the day with every thrust smaller by the same factor."""
    return _pushed(plan, 1.0 / (1.0 + push_spread()))


def _pushed(plan: DayPlan, factor: float) -> DayPlan:
    """Scale every wanted thrust, and work out the power again."""
    wanted = plan.wanted
    pushed = replace(
        wanted,
        thrust_n=wanted.thrust_n * factor,
        node_thrust_n=wanted.node_thrust_n * factor,
        gust_thrust_n=wanted.gust_thrust_n * factor,
    )
    demand, gust_power = demand_on_the_bank(
        pushed, plan.motor, current_limit_a=float(plan.bank.current_limit_a[0])
    )
    return replace(plan, wanted=pushed, demand=demand, gust_power_w=gust_power)
