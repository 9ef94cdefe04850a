"""
Read the flows of a run step by step: who was off station, and what thrust there was to spare.

Depends on: assess.limits, simulate, demand, plan, physics.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from energysim.assess.limits import BankEnd, bank_end, falls_to
from energysim.demand import running_share
from energysim.physics.exceedance import share_of_time_above
from energysim.simulate import (
    Books,
    draw_on_bank,
    full_throttle_bus_v,
    read_books,
    tightest_end,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.plan import DayPlan
    from energysim.simulate import Flows

    Array = NDArray[np.float64]

THRUST_TOLERANCE = 0.005  # a half per cent short is on station: far inside the model's error


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """A day's flows, read step by step. Arrays are (steps,) unless said."""

    books: Books  # at the step edges
    step_s: Array
    motor_on: NDArray[np.bool_]
    off_s: Array  # seconds of the step off station
    available_n: Array  # the most thrust the motor could give at that moment
    peak_current_a: Array  # in the gust
    running_share: Array  # of the time, below 1 in bursts
    gust_short_s: Array
    limit_reached_s: float | None
    end: BankEnd | None  # the bank's own

    @property
    def soc(self) -> Array:
        """Availability at the step edges, (steps + 1,)."""
        soc: Array = self.books.soc[:, 0]
        return soc

    @property
    def cutoff_reached_s(self) -> float | None:
        """When the bank gives out; None where it does not."""
        return None if self.end is None else self.end.seconds


def read_flows(plan: DayPlan, flows: Flows) -> Reading:
    """
    Read a one-member run: who was off station when, and when the limits came.

    Parameters
    ----------
    plan, flows : DayPlan, Flows
        A day and what happened in it; arrays of one member.

    Returns
    -------
    Reading
        Per-step readings and the two end times, in seconds from the start.
    """
    step_s = plan.demand.step_s[:, 0]
    wanted = plan.demand.thrust_n[:, 0]
    delivered = flows.thrust_n[:, 0]
    motor_on = wanted > 0.0
    limited = motor_on & (delivered < wanted * (1.0 - THRUST_TOLERANCE))
    # Where the bank ran out inside the step, only the rest of the step is lost.
    ran_out = flows.carried_share[:, 0] < 1.0
    held_before = flows.limit[:, 0] == 0
    off_s = np.where(
        limited,
        np.where(ran_out & held_before, step_s * (1.0 - flows.carried_share[:, 0]), step_s),
        0.0,
    )
    available = available_thrust_n(plan, flows)
    peak = _peak_current_a(plan, flows)
    gusty = share_of_time_above(
        plan.wanted.node_thrust_n, deviation=plan.wanted.node_deviation, limit_n=available
    )
    gust_short = np.where(motor_on & ~limited, step_s * gusty, 0.0)
    off_s = off_s + gust_short
    books = read_books(flows, plan.bank, plan.demand.step_s)
    return Reading(
        books=books,
        step_s=step_s,
        motor_on=motor_on,
        off_s=off_s,
        available_n=available,
        peak_current_a=peak,
        running_share=running_share(
            plan.wanted, plan.motor, current_limit_a=float(plan.bank.current_limit_a[0])
        )
        if (plan.wanted.duty < 1.0).any()
        else plan.wanted.duty,
        gust_short_s=gust_short,
        limit_reached_s=falls_to(books.soc[:, 0], plan.edges_s, plan.limit_soc),
        end=bank_end(plan, flows),
    )


def available_thrust_n(plan: DayPlan, flows: Flows) -> Array:
    """Return the most thrust in N the motor could give in each step, the bank as it stood."""
    end = tightest_end(
        flows.emf_v[:, 0],
        flows.resistance_ohm[:, 0] - plan.bank.cable_ohm[0],
        bank=plan.bank,
        inflow_mps=plan.demand.inflow_mps[:, 0],
        thrust_ratio=plan.wanted.thrust_ratio,
        torque_ratio=plan.wanted.torque_ratio,
        thrust_quadratic=plan.demand.thrust_quadratic[:, :, 0],
        current_quadratic=plan.demand.current_quadratic[:, :, 0],
        motor=plan.motor,
    )
    alive = flows.level[:-1, 0] > 0.0
    return np.asarray(np.where(alive, end.thrust_n, 0.0))


def _peak_current_a(plan: DayPlan, flows: Flows) -> Array:
    """Return the current in the gust: never below the mean, never above the limit."""
    emf, ohm = flows.emf_v[:, 0], flows.resistance_ohm[:, 0]
    house = plan.bank.house_load_w[0]
    in_the_gust = draw_on_bank(
        plan.gust_power_w, house, emf, ohm, plan.motor, total_w=plan.gust_power_w + house
    )
    current_quadratic = plan.demand.current_quadratic[:, :, 0]
    bus = full_throttle_bus_v(emf, ohm, current_quadratic)
    c0, c1, c2 = current_quadratic
    ceiling = np.minimum(c0 + c1 * bus + c2 * bus * bus, plan.bank.current_limit_a[0])
    most = ceiling + house / np.maximum(bus, 1.0)
    mean = flows.current_a[:, 0]
    alive = flows.level[:-1, 0] > 0.0
    in_gust = np.where(in_the_gust.possible, np.minimum(in_the_gust.current_a, most), most)
    on = plan.wanted.gust_thrust_n > 0.0
    return np.asarray(np.where(alive & on, np.maximum(in_gust, mean), mean))
