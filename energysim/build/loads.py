"""
What each leg asks of the bow motor: thrust at the mean wind and in the gust.

Depends on: scenario, physics, plan, build.timeline.
"""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

import numpy as np

from energysim.physics.station import Boat, Load, creep_load, drift_load, hold_load

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.timeline import Timeline
    from energysim.plan import Surroundings
    from energysim.scenario.leg import Leg
    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]

UNDER_THE_BOW_MOTOR = {"hold", "creep", "drift"}


def motor_in_use(timeline: Timeline) -> NDArray[np.bool_]:
    """Return the steps in which the bow motor is down and switched on."""
    verbs = [leg.verb in UNDER_THE_BOW_MOTOR for leg in timeline.legs]
    return np.array([*verbs, False])[timeline.leg_of_step]


def build_loads(
    scenario: Scenario, timeline: Timeline, surroundings: Surroundings, boat: Boat
) -> tuple[Load, Array]:
    """
    Return the load in each step, and the thrust the gust asks for.

    Returns
    -------
    load : Load
        Arrays (steps,); nothing where the bow motor is not in use.
    gust_thrust_n : ndarray, shape (steps,)
        Thrust at the gust, the boat lying as the gust finds it.
    """
    steps = surroundings.wind_mps.shape
    load = _idle(surroundings)
    gust_thrust = np.zeros(steps)
    for number, leg in enumerate(scenario.legs):
        if leg.do not in UNDER_THE_BOW_MOTOR:
            continue
        chosen = np.flatnonzero(timeline.leg_of_step == number)
        mean = _leg_load(leg, chosen, surroundings.wind_mps, surroundings, boat)
        gust = _leg_load(leg, chosen, surroundings.gust_mps, surroundings, boat)
        for field in fields(Load):
            getattr(load, field.name)[chosen] = getattr(mean, field.name)
        gust_thrust[chosen] = gust.thrust_n
    return load, gust_thrust


def _idle(surroundings: Surroundings) -> Load:
    """Return a day in which the bow motor does nothing, to be filled in."""
    shape = surroundings.wind_mps.shape
    return Load(
        thrust_n=np.zeros(shape),
        heading_deg=np.zeros(shape),
        inflow_mps=np.zeros(shape),
        wind_force_n=np.zeros(shape),
        stream_force_n=np.zeros(shape),
        speed_over_ground_mps=np.zeros(shape),
        course_deg=np.zeros(shape),
        astern=np.zeros(shape, dtype=bool),
    )


def _leg_load(
    leg: Leg, chosen: NDArray[np.intp], wind_mps: Array, surroundings: Surroundings, boat: Boat
) -> Load:
    wind = wind_mps[chosen]
    wind_from = surroundings.wind_from_deg[chosen]
    stream = surroundings.stream_mps[chosen]
    toward = surroundings.stream_toward_deg[chosen]
    if leg.do == "hold":
        return hold_load(
            wind,
            wind_from_deg=wind_from,
            stream_mps=stream,
            stream_toward_deg=toward,
            boat=boat,
        )
    if leg.do == "creep":
        return creep_load(
            wind,
            wind_from_deg=wind_from,
            stream_mps=stream,
            stream_toward_deg=toward,
            course_deg=leg.course_deg or 0.0,
            speed_mps=leg.speed_mps or 0.0,
            over_ground=leg.over == "ground",
            boat=boat,
        )
    return drift_load(
        wind,
        wind_from_deg=wind_from,
        stream_mps=stream,
        stream_toward_deg=toward,
        drift_speed_mps=leg.drift_speed_mps or 0.0,
        boat=boat,
    )
