"""
The same day with the boat pushed harder, and less hard, by what the force side may be out.

Two more members of the sweep, so that nobody reads the answer as one bare number.

Depends on: plan, physics.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.physics.motor import electrical_demand

if TYPE_CHECKING:
    from energysim.plan import DayPlan

PUSH_SPREAD: Final = 0.35
"""Relative uncertainty of a held boat's thrust, bow-on (our estimate; DEVELOPERS.md). [1]"""


def harder(plan: DayPlan) -> DayPlan:
    """Return the day with every thrust larger by the spread."""
    return _pushed(plan, 1.0 + PUSH_SPREAD)


def easier(plan: DayPlan) -> DayPlan:
    """Return the day with every thrust smaller by the same factor."""
    return _pushed(plan, 1.0 / (1.0 + PUSH_SPREAD))


def _pushed(plan: DayPlan, factor: float) -> DayPlan:
    """Scale the wanted thrust at mean wind and gust, and work out its power again."""
    demand = plan.demand
    thrust = demand.thrust_n * factor
    needed = electrical_demand(thrust, inflow_mps=demand.inflow_mps, motor=plan.motor)
    on = demand.power_w > 0.0
    return replace(
        plan,
        gust_thrust_n=plan.gust_thrust_n * factor,
        demand=replace(
            demand,
            thrust_n=thrust,
            power_w=np.where(on, needed.power_w, 0.0),
            needed_voltage_v=needed.motor_voltage_v,
        ),
    )
