"""
The wind at the boat through the day, from whichever way the scenario gives it.

Depends on: scenario, physics, clock, errors, build.gusts, build.timeline.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from energysim.build.gusts import usual_gust_factor
from energysim.clock import seconds_between
from energysim.errors import Problem, ScenarioError
from energysim.physics.bearing import interpolate_bearing
from energysim.physics.wind import wind_at_height
from energysim.scenario.clock import resolve_in_order
from energysim.scenario.wind_files import read_wind_file

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    from energysim.build.timeline import Timeline
    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]


def build_wind(
    scenario: Scenario, timeline: Timeline, *, folder: Path, height_m: float
) -> tuple[Array, Array, Array, tuple[str, ...]]:
    """
    Return mean wind, its direction and the gust at the middle of each step.

    Speed is interpolated by itself and direction along the shorter arc, so that a wind that
    turns loses no speed. Land that shelters a spot takes its share of both mean and gust.

    Returns
    -------
    wind_mps, wind_from_deg, gust_mps : ndarray, shape (steps,)
        At the height of the boat's windage.
    notes : tuple of str
        What was assumed.
    """
    at_s, speed, bearing, gust, notes = _nodes(scenario, timeline, folder)
    middles = timeline.middles_s
    if at_s.size == 1:
        mean = np.full(middles.shape, speed[0])
        from_deg = np.full(middles.shape, bearing[0])
        strongest = np.full(middles.shape, gust[0])
    else:
        _refuse_uncovered(timeline, at_s)
        mean = np.interp(middles, at_s, speed)
        from_deg = interpolate_bearing(middles, at_s=at_s, bearing_deg=bearing)
        strongest = np.interp(middles, at_s, gust)
    shelter = np.array([leg.wind_shelter for leg in scenario.legs] + [0.0])
    open_share = 1.0 - shelter[timeline.leg_of_step]
    at_boat = wind_at_height(
        mean * open_share, reference_height_m=scenario.wind.height_m, height_m=height_m
    )
    # A gust is the same air, faster: it keeps its ratio to the mean at every height.
    ratio = np.divide(strongest, mean, out=np.ones_like(mean), where=mean > 0.0)
    return at_boat, np.asarray(from_deg % 360.0), at_boat * ratio, notes


def _nodes(
    scenario: Scenario, timeline: Timeline, folder: Path
) -> tuple[Array, Array, Array, Array, tuple[str, ...]]:
    """Return the wind's own times, speeds, directions and gusts; one row for a steady wind."""
    wind = scenario.wind
    if wind.file is not None:
        record = read_wind_file(folder / wind.file, timezone=scenario.day.timezone)
        times, speeds = record.times, list(record.speed_mps)
        bearings, gusts = list(record.wind_from_deg), list(record.gust_mps)
    elif wind.hours:
        day = scenario.day
        times = resolve_in_order([hour.at for hour in wind.hours], day.date, day.timezone)
        speeds = [hour.speed_mps for hour in wind.hours]
        bearings = [hour.wind_from_deg for hour in wind.hours]
        gusts = [hour.gust_mps for hour in wind.hours]
    else:
        times = (timeline.start,)
        speeds, bearings = [wind.speed_mps or 0.0], [wind.wind_from_deg or 0.0]
        gusts = [wind.gust_mps]
    notes: tuple[str, ...] = ()
    filled = [
        speed if gust is None else gust for speed, gust in zip(speeds, gusts, strict=True)
    ]
    if any(gust is None for gust in gusts):
        usual = usual_gust_factor(scenario)
        filled = [
            usual * speed if gust is None else gust
            for speed, gust in zip(speeds, gusts, strict=True)
        ]
        notes = (
            f"gusts of {usual:g} times the wind where the forecast gives none "
            f"(WMO, {wind.exposure} exposure, 3 s in 10 min)",
        )
    at_s = np.array([seconds_between(timeline.start, time) for time in times])
    return at_s, np.array(speeds), np.array(bearings), np.array(filled), notes


def _refuse_uncovered(timeline: Timeline, at_s: Array) -> None:
    """Refuse a forecast that does not reach over the whole day."""
    begin, end = timeline.edges_s[0], timeline.edges_s[-1]
    if at_s[0] <= begin + 1.0 and at_s[-1] >= end - 1.0:
        return
    raise ScenarioError(
        Problem(
            path="wind",
            reason=timeline.uncovered("wind", at_s[0], at_s[-1]),
            hint="add the hours before the first leg and after the last",
        )
    )
