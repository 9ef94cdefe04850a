"""
How strong the stream runs on each date, and which dates are springs and neaps.

Depends on: scenario, build, season.date.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.build.stream import stream_course
from energysim.build.timeline import build_timeline
from energysim.errors import ScenarioError
from energysim.season.date import laid_on

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from energysim.scenario.load import LoadedScenario

LUNAR_DAY_S: Final = 24.84 * 3600.0
"""Both tides of a day lie in it, wherever it begins. [s]"""

WEEK: Final = 7
"""Days either side of a date: a fortnight in all. [count]"""

NO_FORTNIGHT: Final = 0.1
"""Least share by which a fortnight's fastest day must beat its slowest to be a spring. [1]"""

THIRD: Final = 1.0 / 3.0
"""Springs are the upper third of the fortnight's range, neaps the lower (ours). [1]"""


class StreamOfDate(NamedTuple):
    """The stream of one date; fields as in `SeasonDate`."""

    stream_mps: float | None
    fortnight_place: float | None
    tide: str


class StreamsOfSeason(NamedTuple):
    """The streams of a season's dates, one after the other."""

    dates: tuple[StreamOfDate, ...]
    most_mps: float  # of all these days and a week either side


def streams_of(loaded: LoadedScenario, days: Sequence[date]) -> StreamsOfSeason:
    """
    Return each date's fastest stream, and its place among those a week either side.

    Parameters
    ----------
    loaded : LoadedScenario
        With a stream that reaches every date.
    days : sequence of datetime.date
        One after the other.
    """
    stream = loaded.scenario.stream
    if stream is None:
        return StreamsOfSeason((StreamOfDate(None, None, ""),) * len(days), 0.0)
    if stream.speed_mps is not None:
        same = stream.speed_mps * stream.scale
        return StreamsOfSeason((StreamOfDate(same, None, ""),) * len(days), same)
    begin = days[0] - timedelta(days=WEEK)
    count = len(days) + 2 * WEEK
    fastest = np.array(
        [_fastest_mps(loaded, begin + timedelta(days=number)) for number in range(count)]
    )
    placed = [
        _placed(float(fastest[number + WEEK]), fastest[number : number + 2 * WEEK + 1])
        for number in range(len(days))
    ]
    return StreamsOfSeason(tuple(placed), float(np.nanmax(fastest, initial=0.0)))


def _placed(own: float, about: np.ndarray[tuple[int], np.dtype[np.float64]]) -> StreamOfDate:
    """Return a date's stream by its place among its fortnight's; NaN is a date without one."""
    if np.isnan(own):
        return StreamOfDate(None, None, "")
    low, high = float(np.nanmin(about)), float(np.nanmax(about))
    if high - low <= NO_FORTNIGHT * high:
        return StreamOfDate(own, None, "")
    place = (own - low) / (high - low)
    tide = "spring" if place >= 1.0 - THIRD else "neap" if place <= THIRD else ""
    return StreamOfDate(own, place, tide)


def _fastest_mps(loaded: LoadedScenario, day: date) -> float:
    """Return the fastest stream of the lunar day about the plan; NaN where there is none."""
    try:
        scenario = laid_on(loaded, day, None).scenario
        timeline = build_timeline(scenario, shift_s=0.0, shorten=None)
        span = float(timeline.edges_s[-1])
        reach_s = max(0.0, 0.5 * (LUNAR_DAY_S - span))
        course = stream_course(scenario, timeline, folder=loaded.folder, reach_s=reach_s)
    except ScenarioError:
        return float("nan")
    if course is None:
        return 0.0
    return float(np.hypot(course.east_mps, course.north_mps).max())
