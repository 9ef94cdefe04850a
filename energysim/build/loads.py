"""
What each leg asks of the bow motor: thrust at the mean wind and in the gust.

Depends on: scenario, physics, plan, build.timeline.
"""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.physics.station import Boat, Load, creep_load, drift_load, hold_load

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
UNDER_THE_BOW_MOTOR = set(LAWS)


def motor_in_use(timeline: Timeline) -> NDArray[np.bool_]:
    """Return the steps in which the bow motor is down and switched on."""
    verbs = [leg.verb in UNDER_THE_BOW_MOTOR for leg in timeline.legs]
    return np.array([*verbs, False])[timeline.leg_of_step]


def build_loads(
    scenario: Scenario, timeline: Timeline, surroundings: Surroundings, boat: Boat
) -> tuple[Load, Array]:
    """
    Return the load in each step, and the thrust the gust asks for.

    All legs of one kind go through the laws at once, mean wind and gust side by side. A held
    boat follows its steady heading from step to step; each leg begins anew.

    Returns
    -------
    load : Load
        Arrays (steps,); nothing where the bow motor is not in use.
    gust_thrust_n : ndarray, shape (steps,)
        Thrust at the gust, the boat lying as gusts without end would have it.
    """
    load = _idle(surroundings)
    gust_thrust = np.zeros_like(surroundings.wind_mps)
    for kind in dict.fromkeys(_kind(leg) for leg in scenario.legs):
        legs = [number for number, leg in enumerate(scenario.legs) if _kind(leg) == kind]
        chosen = np.flatnonzero(np.isin(timeline.leg_of_step, legs))
        if kind is None or not chosen.size:
            continue
        around = _around(kind, scenario.legs, timeline.leg_of_step[chosen], chosen,
                         surroundings, boat)  # fmt: skip
        both = np.stack([surroundings.wind_mps[chosen], surroundings.gust_mps[chosen]], axis=1)
        asked = LAWS[kind[0]](both, **around)
        for field in fields(Load):
            getattr(load, field.name)[chosen] = getattr(asked, field.name)[:, 0]
        gust_thrust[chosen] = asked.thrust_n[:, 1]
    return load, gust_thrust


def _kind(leg: Leg) -> tuple[str, str] | None:
    """Return what tells legs apart for the laws; None where the bow motor is not in use."""
    return (leg.do, leg.over) if leg.do in UNDER_THE_BOW_MOTOR else None


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
    kind: tuple[str, str],
    legs: Sequence[Leg],
    leg_of_step: NDArray[np.intp],
    chosen: NDArray[np.intp],
    surroundings: Surroundings,
    boat: Boat,
) -> dict[str, Any]:
    """Return all that the law of this kind asks for besides the wind's strength."""

    def of_the_leg(values: Sequence[float | None]) -> Array:
        return np.array([value or 0.0 for value in values])[leg_of_step]

    around: dict[str, Any] = {
        "wind_from_deg": surroundings.wind_from_deg[chosen],
        "stream_mps": surroundings.stream_mps[chosen],
        "stream_toward_deg": surroundings.stream_toward_deg[chosen],
    }
    if kind[0] == "creep":
        around["course_deg"] = of_the_leg([leg.course_deg for leg in legs])
        around["speed_mps"] = of_the_leg([leg.speed_mps for leg in legs])
    if kind[0] == "drift":
        around["drift_speed_mps"] = of_the_leg([leg.drift_speed_mps for leg in legs])
    around = {name: values[:, None] for name, values in around.items()}
    if kind[0] == "creep":
        return {**around, "boat": boat, "over_ground": kind[1] == "ground"}
    begins = np.diff(leg_of_step, prepend=-1) != 0
    return {**around, "boat": boat, "fresh": begins}
