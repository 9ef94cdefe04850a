"""
Hours of hold: over thrust, over wind, and over wind and stream together.

Depends on: reach.day_at_hold, reach.steady, build, demand, simulate, assess, scenario, physics,
results.reach.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from energysim.assess import read_flows
from energysim.build import build_day
from energysim.build.steady import build_steady_holds
from energysim.demand import demand_on_the_bank
from energysim.physics.motor import full_throttle
from energysim.reach.day_at_hold import (
    BEYOND_THE_DAY,
    KNOT,
    conditions_about,
    day_at_hold,
    held_legs,
    most_wind_mps,
    worked_out_deg,
)
from energysim.reach.steady import LONGEST_H, held_to_the_limit
from energysim.results.reach import HoldHours, HoldMap
from energysim.simulate import simulate

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.assess import Reading
    from energysim.plan import DayPlan
    from energysim.reach.day_at_hold import DayAtHold
    from energysim.scenario.load import LoadedScenario

    Array = NDArray[np.float64]

THRUSTS: Final = 40
WINDS: Final = 29
STREAMS: Final = 25
"""Points of a map, as a rule."""

CROSSED_DEG: Final = 100.0
FINER: Final = 1.7
"""Wind and stream that relieve each other leave a narrow valley between them: from this angle
on a map has so many times the points each way (ours)."""
LEAST_STREAM_KN: Final = 2.0  # what a map shows at least


def hold_hours(
    loaded: LoadedScenario,
    *,
    over: Literal["thrust", "wind"] = "thrust",
    angle_deg: float | None = None,
) -> HoldHours:
    """
    Return how long the bank holds, over the thrust or over the wind, in the day's usual stream.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario.
    over : {"thrust", "wind"}
        A steady thrust, or a wind with its gusts and its chop.
    angle_deg : float, optional
        Between the ways wind and stream push, over wind, at most 170; the day's own when left
        out. [deg]

    Returns
    -------
    HoldHours
        From the day's first charge to the plan's limit.

    Raises
    ------
    ScenarioError
        As `build_day`.
    """
    plan = build_day(loaded, in_full=False)
    day = day_at_hold(loaded, plan)
    if over == "thrust":
        steady, wind = _steady_thrusts(plan, day), np.zeros(THRUSTS)
        angle = 0.0
    else:
        wind = np.linspace(0.0, most_wind_mps(day), 2 * WINDS)[1:]
        angle = worked_out_deg(day, angle_deg)
        stream = np.full(wind.shape, day.stream_mps)
        steady = build_steady_holds(loaded, conditions_about(wind, stream, angle, day))
    held = held_to_the_limit(steady)
    return HoldHours(
        title=plan.title,
        over=over,
        thrust_n=steady.demand.thrust_n[:, 0],
        wind_mps=wind,
        power_w=steady.demand.power_w[:, 0],
        hours=held.hours,
        ended_by=held.ended_by,
        stream_mps=day.stream_mps,
        angle_deg=angle,
        wind_height_m=loaded.scenario.wind.height_m,
        start_soc=loaded.scenario.bank.start_soc,
        limit_soc=plan.limit_soc,
        longest_h=LONGEST_H,
    )


def hold_map(loaded: LoadedScenario, *, angle_deg: float | None = None) -> HoldMap:
    """
    Return the hours of hold over wind and stream, and where the boat cannot be held.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario.
    angle_deg : float, optional
        Between the ways wind and stream push: 0 together, 180 opposed, which is worked out at
        170; the day's own when left out. [deg]

    Returns
    -------
    HoldMap
        From no wind and no stream to half as much again as the day's strongest.

    Raises
    ------
    ScenarioError
        As `build_day`.
    """
    plan = build_day(loaded, in_full=False)
    day = day_at_hold(loaded, plan)
    angle = worked_out_deg(day, angle_deg)
    finer = FINER if angle > CROSSED_DEG else 1.0
    wind = np.linspace(0.0, most_wind_mps(day), int(finer * WINDS))
    strongest = max(LEAST_STREAM_KN * KNOT, BEYOND_THE_DAY * day.most_stream_mps)
    stream = np.linspace(
        0.0, np.ceil(2.0 * strongest / KNOT) / 2.0 * KNOT, int(finer * STREAMS)
    )
    shape = (stream.size, wind.size)
    streams, winds = (grid.ravel() for grid in np.meshgrid(stream, wind, indexing="ij"))
    steady = build_steady_holds(loaded, conditions_about(winds, streams, angle, day))
    held = held_to_the_limit(steady)
    reading = _looked_at(steady)
    bank = replace(steady.bank, start_soc=np.full_like(steady.bank.start_soc, plan.limit_soc))
    low = _looked_at(replace(steady, bank=bank))
    return HoldMap(
        title=plan.title,
        wind_mps=wind,
        stream_mps=stream,
        hours=held.hours.reshape(shape),
        lasting_h=held.lasting_h.reshape(shape),
        thrust_n=steady.demand.thrust_n[:, 0].reshape(shape),
        available_n=reading.available_n.reshape(shape),
        available_at_limit_n=low.available_n.reshape(shape),
        gust_short_share=(reading.gust_short_s / reading.step_s).reshape(shape),
        angle_deg=angle,
        wind_height_m=loaded.scenario.wind.height_m,
        start_soc=loaded.scenario.bank.start_soc,
        limit_soc=plan.limit_soc,
        longest_h=LONGEST_H,
        legs=held_legs(loaded, plan),
    )


def _looked_at(plan: DayPlan) -> Reading:
    """Read every push with the bank as the plan starts with it, in steps of no length."""
    step_s = np.full(plan.demand.step_s.shape, 1e-3)
    edges_s = 1e-3 * np.arange(step_s.size + 1.0)
    brief = replace(plan, demand=replace(plan.demand, step_s=step_s), edges_s=edges_s)
    return read_flows(brief, simulate(brief.demand, brief.bank, brief.motor))


def _steady_thrusts(plan: DayPlan, day: DayAtHold) -> DayPlan:
    """Return a day whose steps are steady thrusts, up to the most there is at rated voltage."""
    inflow = np.full(THRUSTS, max(day.inflow_mps, 0.0))
    most, _ = full_throttle(plan.rated_voltage_v, inflow_mps=inflow, motor=plan.motor)
    thrust = most * np.linspace(0.025, 1.0, THRUSTS)
    nodes = np.ones((plan.wanted.node_share.size, 1))
    wanted = replace(
        plan.wanted,
        step_s=np.full(THRUSTS, 1.0),
        thrust_n=thrust,
        inflow_mps=inflow,
        node_thrust_n=nodes * thrust,
        node_inflow_mps=nodes * inflow,
        gust_thrust_n=thrust,
        gust_inflow_mps=inflow,
        duty=np.ones(THRUSTS),
        in_use=np.ones(THRUSTS, dtype=bool),
        thrust_ratio=np.ones(THRUSTS),
        torque_ratio=np.ones(THRUSTS),
    )
    demand, gust_power = demand_on_the_bank(
        wanted, plan.motor, current_limit_a=float(plan.bank.current_limit_a[0])
    )
    return replace(plan, wanted=wanted, demand=demand, gust_power_w=gust_power)
