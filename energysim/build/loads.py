"""
What each leg asks of the bow motor: at the mean wind, in its gusts, and in the worst one.

Depends on: scenario, catalogue, physics, plan, demand, build.gusts, build.propeller,
build.timeline.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.build.gusts import gusty_winds
from energysim.catalogue import drift_table
from energysim.physics.load import load_at_heading
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
    from step to step within a leg; each leg begins with the bow to the stream. A gust is over
    before the boat has turned: a held boat meets it at the heading of the mean wind.
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
        leg_of_step = timeline.leg_of_step[chosen]
        around = _around(scenario, chosen, surroundings, boat)
        wanted = _wanted(kind, scenario.legs, leg_of_step, around, surroundings, chosen)
        law = LAWS[kind[0]]
        follows: dict[str, Any] = {}
        if kind[0] != "creep" and "heading_deg" not in wanted:
            follows["fresh"] = np.append(True, np.diff(leg_of_step) != 0)
        mean = law(surroundings.wind_mps[chosen], **around, **wanted, **follows)
        for field in fields(Load):
            getattr(load, field.name)[chosen] = getattr(mean, field.name)
        gusty = _in_gusts(law, winds[:, chosen], mean, around, wanted)
        thrust[:, chosen] = gusty.thrust_n
        inflow[:, chosen] = gusty.inflow_mps
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
    law: Callable[..., Load],
    winds: Array,
    mean: Load,
    around: dict[str, Any],
    wanted: dict[str, Any],
) -> Load:
    """Return the load at other winds than the mean, before the boat has turned."""
    if law is hold_load:
        return load_at_heading(
            mean.heading_deg,
            wind_mps=winds,
            **{key: value for key, value in around.items() if key != "wind_mps"},
        )
    if law is drift_load:
        return law(winds, **around, **wanted, near_deg=mean.heading_deg)
    return law(winds, **around, **wanted)


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


def _around(
    scenario: Scenario, chosen: NDArray[np.intp], surroundings: Surroundings, boat: Boat
) -> dict[str, Any]:
    """Return what every law asks for besides the wind's strength."""
    around: dict[str, Any] = {
        "wind_from_deg": surroundings.wind_from_deg[chosen],
        "stream_mps": surroundings.stream_mps[chosen],
        "stream_toward_deg": surroundings.stream_toward_deg[chosen],
        "boat": boat,
    }
    if scenario.chop is not None:
        around["depth_m"] = scenario.chop.depth_m
        height = surroundings.wave_height_m[chosen]
        if height.any():
            forces = drift_forces(
                height,
                wavelength_m=np.where(height > 0.0, surroundings.wave_length_m[chosen], 1.0),
                length_m=boat.hull.length_wl_m,
                beam_m=boat.hull.beam_wl_m,
                water_density_kgpm3=boat.water_density_kgpm3,
                table=drift_table(scenario.boat.hull),
            )
            around["chop"] = Chop(from_deg=surroundings.wave_from_deg[chosen], forces=forces)
    return around


def _wanted(
    kind: tuple[str, str, bool],
    legs: Sequence[Leg],
    leg_of_step: NDArray[np.intp],
    around: dict[str, Any],
    surroundings: Surroundings,
    chosen: NDArray[np.intp],
) -> dict[str, Any]:
    """Return what the legs of this kind want besides."""

    def of_the_leg(values: Sequence[float | None]) -> Array:
        return np.array([value or 0.0 for value in values])[leg_of_step]

    if kind[0] == "creep":
        return {
            "course_deg": of_the_leg([leg.course_deg for leg in legs]),
            "speed_mps": of_the_leg([leg.speed_mps for leg in legs]),
            "over_ground": kind[1] == "ground",
        }
    if kind[0] == "drift":
        return {"drift_speed_mps": of_the_leg([leg.drift_speed_mps for leg in legs])}
    if not kind[2]:
        return {}
    into = {
        "wind": surroundings.wind_from_deg[chosen],
        "stream": np.mod(around["stream_toward_deg"] + 180.0, 360.0),
    }
    heading = np.zeros(chosen.shape)
    for number in np.unique(leg_of_step):
        given = legs[int(number)].heading
        here = leg_of_step == number
        heading[here] = into[given][here] if isinstance(given, str) else given
    return {"heading_deg": heading}
