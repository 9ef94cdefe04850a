"""
How strong the stream runs on each date, and which dates are springs and neaps.

Depends on: scenario, build, clock, season.date.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.build.stream import stream_course
from energysim.build.timeline import build_timeline
from energysim.clock import clock_after
from energysim.errors import ScenarioError
from energysim.season.date import laid_on

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from energysim.build.stream import StreamCourse
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
    stream_at: datetime | None
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
        return StreamsOfSeason((StreamOfDate(None, None, None, ""),) * len(days), 0.0)
    if stream.speed_mps is not None:
        same = stream.speed_mps * stream.scale
        return StreamsOfSeason((StreamOfDate(same, None, None, ""),) * len(days), same)
    begin = days[0] - timedelta(days=WEEK)
    count = len(days) + 2 * WEEK
    found = [_fastest(loaded, begin + timedelta(days=number)) for number in range(count)]
    fastest = np.array([one.speed_mps for one in found])
    placed = [
        _placed(found[number + WEEK], fastest[number : number + 2 * WEEK + 1])
        for number in range(len(days))
    ]
    return StreamsOfSeason(tuple(placed), float(np.nanmax(fastest, initial=0.0)))


class Fastest(NamedTuple):
    """The fastest stream of a date and when it runs; NaN where the plan cannot be laid."""

    speed_mps: float
    at: datetime | None


def _placed(own: Fastest, about: np.ndarray[tuple[int], np.dtype[np.float64]]) -> StreamOfDate:
    """Return a date's stream by its place among its fortnight's."""
    if np.isnan(own.speed_mps):
        return StreamOfDate(None, None, None, "")
    low, high = float(np.nanmin(about)), float(np.nanmax(about))
    if high - low <= NO_FORTNIGHT * high:
        return StreamOfDate(own.speed_mps, own.at, None, "")
    place = (own.speed_mps - low) / (high - low)
    tide = "spring" if place >= 1.0 - THIRD else "neap" if place <= THIRD else ""
    return StreamOfDate(own.speed_mps, own.at, place, tide)


def lunar_day(loaded: LoadedScenario, day: date) -> tuple[datetime, StreamCourse | None]:
    """
    Return the plan's start on a date, and the stream of the lunar day about the plan.

    Raises
    ------
    ScenarioError
        The plan cannot be laid on the date.
    """
    scenario = laid_on(loaded, day, None).scenario
    timeline = build_timeline(scenario, shift_s=0.0, shorten=None)
    reach_s = max(0.0, 0.5 * (LUNAR_DAY_S - float(timeline.edges_s[-1])))
    return timeline.start, stream_course(
        scenario, timeline, folder=loaded.folder, reach_s=reach_s
    )


def _fastest(loaded: LoadedScenario, day: date) -> Fastest:
    """Return the fastest stream of the lunar day about the plan."""
    try:
        start, course = lunar_day(loaded, day)
    except ScenarioError:
        return Fastest(float("nan"), None)
    if course is None:
        return Fastest(0.0, None)
    speed = np.hypot(course.east_mps, course.north_mps)
    top = int(np.argmax(speed))
    return Fastest(float(speed[top]), clock_after(start, float(course.at_s[top])))
