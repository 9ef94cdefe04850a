"""
What each leg asks of the bow motor: at the mean wind, in its gusts, and in the worst one.

Depends on: scenario, catalogue, physics, plan, demand, build.gusts, build.propeller,
build.timeline.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.build.gusts import gusty_winds
from energysim.catalogue import drift_table
from energysim.physics.drift_gust import drift_in_gust_load
from energysim.physics.station import Boat, Chop, Load, creep_load, drift_load, hold_load
from energysim.physics.wave_drift import drift_forces

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from energysim.build.timeline import Timeline
    from energysim.plan import Surroundings
    from energysim.scenario.leg import Leg
    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]

LOADS_EVERY_S: Final = 300.0
"""
Time between the steps at which loads are worked out; between them thrust is read along straight
lines, because wind and stream change over hours (ours; tested against every step). [s]
"""

STEADY_BETWEEN: Final = {
    "heading_deg", "thrust_off_bow_deg", "course_deg", "steady_headings", "swung", "astern",
}  # fmt: skip
"""Parts of a load that may jump, and so are not read between steps."""

LAWS: dict[str, Callable[..., Load]] = {
    "hold": hold_load,
    "creep": creep_load,
    "drift": drift_load,
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LegLoads:
    """The loads of a day. Arrays (steps,) unless said; zero where the motor is not in use."""

    load: Load  # at the mean wind
    node_thrust_n: Array  # (nodes, steps), at the winds of the gusty step
    node_inflow_mps: Array  # (nodes, steps)
    node_share: Array  # (nodes,)
    node_deviation: Array  # (nodes,)
    gust_thrust_n: Array
    gust_inflow_mps: Array
    duty: Array  # least share of the time the motor runs


def motor_in_use(timeline: Timeline) -> NDArray[np.bool_]:
    """Return the steps in which the bow motor is down and switched on."""
    verbs = [leg.verb in LAWS for leg in timeline.legs]
    return np.array([*verbs, False])[timeline.leg_of_step]


def build_loads(
    scenario: Scenario, timeline: Timeline, surroundings: Surroundings, boat: Boat
) -> LegLoads:
    """
    Return the load in each step, at the mean wind, at the winds of its gusts, and at the worst.

    All legs of one kind go through the laws at once. A held boat follows its steady heading
    from step to step within a leg; each leg begins with the bow to the stream. In a gust it
    turns to the heading of that wind nearest the one it lay on (held to a dynamic model of the
    boat in tests/dynamic: at the heading of the mean wind the power would be a quarter out).
    """
    load = _idle(surroundings)
    winds, share, deviation = gusty_winds(surroundings.wind_mps, surroundings.gust_intensity)
    winds = np.concatenate([winds, surroundings.gust_mps[None, :]])
    thrust, inflow = np.zeros(winds.shape), np.zeros(winds.shape)
    for kind in dict.fromkeys(_kind(leg) for leg in scenario.legs):
        legs = [number for number, leg in enumerate(scenario.legs) if _kind(leg) == kind]
        chosen = np.flatnonzero(np.isin(timeline.leg_of_step, legs))
        if kind is None or not chosen.size:
            continue
        few = _every(timeline.edges_s[chosen], timeline.leg_of_step[chosen], LOADS_EVERY_S)
        law, there = LAWS[kind[0]], chosen[few]
        asks = _asks(kind, scenario, timeline, there, surroundings, boat)
        free = kind[0] != "creep" and not kind[2]
        legs_begin = np.append(True, np.diff(timeline.leg_of_step[there]) != 0)
        mean = law(
            surroundings.wind_mps[there], **asks, **({"fresh": legs_begin} if free else {})
        )
        gusty = _in_gusts(law, winds[:, there], mean, asks, free=free)
        when = timeline.middles_s[chosen]
        _spread(mean, load, chosen, few, when_s=when)
        thrust[:, chosen] = _between(gusty.thrust_n, few, when_s=when)
        inflow[:, chosen] = _between(gusty.inflow_mps, few, when_s=when)
    duties = [leg.duty if leg.style == "burst" else 1.0 for leg in scenario.legs]
    return LegLoads(
        load=load,
        node_thrust_n=thrust[:-1],
        node_inflow_mps=inflow[:-1],
        node_share=share,
        node_deviation=deviation,
        gust_thrust_n=thrust[-1],
        gust_inflow_mps=inflow[-1],
        duty=np.array([*duties, 1.0])[timeline.leg_of_step],
    )


def _in_gusts(
    law: Callable[..., Load], winds: Array, mean: Load, asks: dict[str, Any], *, free: bool
) -> Load:
    """Return the load at the winds of the gusts, the boat turned with them."""
    if law is drift_load:
        around = {key: value for key, value in asks.items() if key != "drift_speed_mps"}
        return drift_in_gust_load(winds, **around, settled=mean)
    return law(winds, **asks, **({"near_deg": mean.heading_deg} if free else {}))


def _kind(leg: Leg) -> tuple[str, str, bool] | None:
    """Return what tells legs apart for the laws; None where the bow motor is not in use."""
    return (leg.do, leg.over, leg.heading is not None) if leg.do in LAWS else None


def _idle(surroundings: Surroundings) -> Load:
    """Return a day in which the bow motor does nothing, to be filled in."""
    shape = surroundings.wind_mps.shape
    flags = {"swung", "astern"}
    numbers: dict[str, Any] = {
        field.name: np.zeros(shape, dtype=bool if field.name in flags else float)
        for field in fields(Load)
    }
    return Load(**numbers)


def _every(
    start_s: Array, leg_of_step: NDArray[np.intp], interval_s: float
) -> NDArray[np.intp]:
    """Return steps so far apart, with the first and last of every leg among them."""
    marks = np.floor(start_s / interval_s)
    turns = np.flatnonzero((np.diff(marks) != 0) | (np.diff(leg_of_step) != 0))
    legs = np.flatnonzero(np.diff(leg_of_step))
    ends = np.array([0, start_s.size - 1])
    return np.array(sorted({*turns + 1, *legs, *ends}), dtype=np.intp)


def _spread(
    few_loads: Load,
    load: Load,
    chosen: NDArray[np.intp],
    few: NDArray[np.intp],
    *,
    when_s: Array,
) -> None:
    """Write loads known at a few steps into every step: numbers between, the rest as before."""
    every = np.arange(chosen.size)
    before = np.searchsorted(few, every, side="right") - 1
    for field in fields(Load):
        known = getattr(few_loads, field.name)
        jumps = field.name in STEADY_BETWEEN
        values = known[before] if jumps else np.interp(when_s, when_s[few], known)
        getattr(load, field.name)[chosen] = values
    # A swing happens once, at the step it was found at.
    load.swung[chosen[np.setdiff1d(every, few)]] = False


def _between(values: Array, few: NDArray[np.intp], *, when_s: Array) -> Array:
    """Read each row at every step, straight in time between the few it is known at."""
    return np.stack([np.interp(when_s, when_s[few], row) for row in values])


def _asks(
    kind: tuple[str, str, bool],
    scenario: Scenario,
    timeline: Timeline,
    chosen: NDArray[np.intp],
    surroundings: Surroundings,
    boat: Boat,
) -> dict[str, Any]:
    """Return what the law of this kind asks for at some steps, besides the wind's strength."""
    asks: dict[str, Any] = {
        "wind_from_deg": surroundings.wind_from_deg[chosen],
        "stream_mps": surroundings.stream_mps[chosen],
        "stream_toward_deg": surroundings.stream_toward_deg[chosen],
        "boat": boat,
        "depth_m": None if scenario.chop is None else scenario.chop.depth_m,
        "chop": _chop(scenario, chosen, surroundings, boat),
    }
    leg_of_step = timeline.leg_of_step[chosen]

    def of_the_leg(values: Sequence[float | None]) -> Array:
        return np.array([value or 0.0 for value in values])[leg_of_step]

    legs = scenario.legs
    if kind[0] == "creep":
        asks["course_deg"] = of_the_leg([leg.course_deg for leg in legs])
        asks["speed_mps"] = of_the_leg([leg.speed_mps for leg in legs])
        asks["over_ground"] = kind[1] == "ground"
    elif kind[0] == "drift":
        asks["drift_speed_mps"] = of_the_leg([leg.drift_speed_mps for leg in legs])
    elif kind[2]:
        asks["heading_deg"] = _given_headings(legs, leg_of_step, asks)
    return asks


def _chop(
    scenario: Scenario, chosen: NDArray[np.intp], surroundings: Surroundings, boat: Boat
) -> Chop | None:
    """Return the push of the chop at some steps; None in flat water."""
    height = surroundings.wave_height_m[chosen]
    if not height.any():
        return None
    forces = drift_forces(
        height,
        wavelength_m=np.where(height > 0.0, surroundings.wave_length_m[chosen], 1.0),
        length_m=boat.hull.length_wl_m,
        beam_m=boat.hull.beam_wl_m,
        water_density_kgpm3=boat.water_density_kgpm3,
        table=drift_table(scenario.boat.hull),
    )
    return Chop(from_deg=surroundings.wave_from_deg[chosen], forces=forces)


def _given_headings(
    legs: Sequence[Leg], leg_of_step: NDArray[np.intp], asks: dict[str, Any]
) -> Array:
    """Return the heading each leg insists on, at each step."""
    into = {
        "wind": asks["wind_from_deg"],
        "stream": np.mod(asks["stream_toward_deg"] + 180.0, 360.0),
    }
    heading = np.zeros(leg_of_step.shape)
    for number in set(leg_of_step.tolist()):
        given = legs[number].heading
        here = leg_of_step == number
        heading[here] = into[given][here] if isinstance(given, str) else given
    return heading
