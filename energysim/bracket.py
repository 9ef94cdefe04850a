"""
The same day with the boat pushed harder, and less hard, by what the force side may be out.

Two more members of the sweep, so that nobody reads the answer as one bare number.

Depends on: plan, demand, catalogue.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from energysim.catalogue import uncertainties
from energysim.demand import demands_on_the_bank

if TYPE_CHECKING:
    from energysim.plan import DayPlan


def push_spread() -> float:
    """Return the relative uncertainty of a held boat's thrust (data/uncertainty.csv)."""
    return uncertainties()["thrust-held"].spread


def pushed(plan: DayPlan) -> tuple[DayPlan, DayPlan]:
    """Return the day with every thrust larger by the spread, and smaller by the same factor."""
    factors = (1.0 + push_spread(), 1.0 / (1.0 + push_spread()))
    wanted = plan.wanted
    wants = [
        replace(
            wanted,
            thrust_n=wanted.thrust_n * factor,
            node_thrust_n=wanted.node_thrust_n * factor,
            gust_thrust_n=wanted.gust_thrust_n * factor,
        )
        for factor in factors
    ]
    demands = demands_on_the_bank(
        wants, plan.motor, current_limit_a=float(plan.bank.current_limit_a[0])
    )
    harder, easier = (
        replace(
            plan,
            wanted=want,
            # A panel or an engine gives what it gave.
            demand=replace(demand, supply_w=plan.demand.supply_w),
            gust_power_w=gust_power,
        )
        for want, (demand, gust_power) in zip(wants, demands, strict=True)
    )
    return harder, easier
