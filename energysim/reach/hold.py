"""
Hours of hold: over thrust, over wind, and over wind and stream together.

Depends on: reach.steady, build, demand, simulate, assess, scenario, physics, results_reach.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from energysim.assess import read_flows
from energysim.build import build_day
from energysim.build.steady import Conditions, build_steady_holds
from energysim.demand import demand_on_the_bank
from energysim.physics.motor import full_throttle
from energysim.physics.wind import wind_at_height
from energysim.reach.steady import LONGEST_H, held_to_the_limit
from energysim.results_reach import HeldLeg, HoldHours, HoldMap
from energysim.simulate import simulate
from energysim.units import unit_factor

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.assess import Reading
    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario

    Array = NDArray[np.float64]

THRUSTS: Final = 40
WINDS: Final = 29
STREAMS: Final = 25
KNOT: Final = unit_factor("kn", "speed")
LEAST_WIND_KN: Final = 20.0  # what a map shows at least
LEAST_STREAM_KN: Final = 2.0
BEYOND_THE_DAY: Final = 1.5  # how far a map goes beyond the day's strongest (ours)
STILL_MPS: Final = 0.05  # water slower than this pushes no way in particular (ours)


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
        Between the ways wind and stream push, over wind; the day's own when left out. [deg]

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
    day = _day_at_hold(loaded, plan)
    if over == "thrust":
        steady, wind = _steady_thrusts(plan, day), np.zeros(THRUSTS)
        angle = 0.0
    else:
        wind = np.linspace(0.0, _most_wind_mps(day), 2 * WINDS)[1:]
        angle = day.angle_deg if angle_deg is None else angle_deg
        stream = np.full(wind.shape, day.stream_mps)
        steady = build_steady_holds(loaded, _conditions(wind, stream, angle, day))
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
        Between the ways wind and stream push: 0 together, 180 opposed; the day's own when left
        out. [deg]

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
    day = _day_at_hold(loaded, plan)
    angle = day.angle_deg if angle_deg is None else angle_deg
    wind = np.linspace(0.0, _most_wind_mps(day), WINDS)
    strongest = max(LEAST_STREAM_KN * KNOT, BEYOND_THE_DAY * day.most_stream_mps)
    stream = np.linspace(0.0, np.ceil(2.0 * strongest / KNOT) / 2.0 * KNOT, STREAMS)
    shape = (stream.size, wind.size)
    streams, winds = (grid.ravel() for grid in np.meshgrid(stream, wind, indexing="ij"))
    steady = build_steady_holds(loaded, _conditions(winds, streams, angle, day))
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
        legs=_held_legs(loaded, plan),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _DayAtHold:
    """What the day's holds meet; of all legs under the bow motor where none is a hold."""

    wind_from_deg: float  # at the hardest moment
    stream_toward_deg: float
    angle_deg: float  # between the ways they push, then
    gust_ratio: float
    stream_mps: float  # mean
    inflow_mps: float  # mean, into the propeller
    most_wind_mps: float  # at the forecast's height
    most_stream_mps: float


def _day_at_hold(loaded: LoadedScenario, plan: DayPlan) -> _DayAtHold:
    """Read the day's holds off its plan."""
    verbs = np.array([*(leg.verb for leg in plan.legs), "between"])[plan.leg_of_step]
    here = verbs == "hold" if (verbs == "hold").any() else np.isin(verbs, ("creep", "drift"))
    if not here.any():
        here = np.ones(verbs.shape, dtype=bool)
    around = plan.surroundings
    hardest = int(np.flatnonzero(here)[np.argmax(plan.demand.power_w[here, 0])])
    wind, gust = around.wind_mps[here].mean(), around.gust_mps[here].mean()
    moving = float(around.stream_mps[hardest]) > STILL_MPS
    wind_from = float(around.wind_from_deg[hardest])
    toward = float(around.stream_toward_deg[hardest]) if moving else wind_from + 180.0
    return _DayAtHold(
        wind_from_deg=wind_from,
        stream_toward_deg=toward % 360.0,
        angle_deg=_apart_deg(wind_from + 180.0, toward),
        gust_ratio=float(gust / wind) if wind > 0.0 else 1.0,
        stream_mps=float(around.stream_mps[here].mean()),
        inflow_mps=float(plan.demand.inflow_mps[here, 0].mean()),
        most_wind_mps=float(_as_forecast(loaded, plan, around.wind_mps).max()),
        most_stream_mps=float(around.stream_mps.max()),
    )


def _apart_deg(one_deg: float, other_deg: float) -> float:
    """Return the angle between two bearings, 0 to 180."""
    return abs((one_deg - other_deg + 180.0) % 360.0 - 180.0)


def _as_forecast(loaded: LoadedScenario, plan: DayPlan, wind_mps: Array) -> Array:
    """Return the wind at the height it was given for."""
    return wind_at_height(
        wind_mps,
        reference_height_m=plan.boat.windage.height_m,
        height_m=loaded.scenario.wind.height_m,
    )


def _most_wind_mps(day: _DayAtHold) -> float:
    """Return the strongest wind to show: a whole number of five knots."""
    most_kn = max(LEAST_WIND_KN, BEYOND_THE_DAY * day.most_wind_mps / KNOT)
    return float(np.ceil(most_kn / 5.0) * 5.0 * KNOT)


def _conditions(wind: Array, stream: Array, angle_deg: float, day: _DayAtHold) -> Conditions:
    """Return winds from where the day's hardest came, and a stream that far from it."""
    own = (day.stream_toward_deg - day.wind_from_deg - 180.0 + 180.0) % 360.0 - 180.0
    side = -1.0 if own < 0.0 else 1.0  # to the side the day's own stream runs
    return Conditions(
        wind_mps=wind,
        stream_mps=stream,
        gust_ratio=day.gust_ratio,
        wind_from_deg=day.wind_from_deg,
        stream_toward_deg=(day.wind_from_deg + 180.0 + side * angle_deg) % 360.0,
    )


def _looked_at(plan: DayPlan) -> Reading:
    """Read every push with the bank as the plan starts with it, in steps of no length."""
    step_s = np.full(plan.demand.step_s.shape, 1e-3)
    edges_s = 1e-3 * np.arange(step_s.size + 1.0)
    brief = replace(plan, demand=replace(plan.demand, step_s=step_s), edges_s=edges_s)
    return read_flows(brief, simulate(brief.demand, brief.bank, brief.motor))


def _steady_thrusts(plan: DayPlan, day: _DayAtHold) -> DayPlan:
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


def _held_legs(loaded: LoadedScenario, plan: DayPlan) -> tuple[HeldLeg, ...]:
    """Return where the day's holds lie among winds and streams."""
    around = plan.surroundings
    wind = _as_forecast(loaded, plan, around.wind_mps)
    found = []
    for number, leg in enumerate(plan.legs):
        here = plan.leg_of_step == number
        if leg.verb != "hold" or not here.any():
            continue
        middle = np.flatnonzero(here)[here.sum() // 2]
        found.append(
            HeldLeg(
                name=leg.name,
                number=number + 1,
                wind_mps=float(wind[here].mean()),
                stream_mps=float(around.stream_mps[here].mean()),
                angle_deg=_apart_deg(
                    float(around.wind_from_deg[middle]) + 180.0,
                    float(around.stream_toward_deg[middle]),
                )
                if around.stream_mps[here].mean() > STILL_MPS
                else 0.0,
            )
        )
    return tuple(found)
