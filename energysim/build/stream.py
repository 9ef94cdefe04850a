"""
The stream at the boat through the day, from whichever way the scenario gives it.

Depends on: scenario, catalogue, physics, clock, errors, build.timeline.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.clock import seconds_between
from energysim.errors import Problem, ScenarioError
from energysim.physics.bearing import toward_from_components
from energysim.physics.stream import (
    speed_from_events,
    stream_set_deg,
    vector_from_speed_and_set,
)
from energysim.physics.stream_series import speed_from_points, vector_from_series
from energysim.scenario.clock import resolve_in_order
from energysim.scenario.stream_files import (
    StreamConstants,
    StreamRecord,
    read_constants_file,
    read_stream_file,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime
    from pathlib import Path

    from numpy.typing import NDArray

    from energysim.build.timeline import Timeline
    from energysim.scenario.model import Scenario
    from energysim.scenario.stream import Stream

    Array = NDArray[np.float64]

COURSE_EVERY_S: Final = 60.0
"""Between two times of a `StreamCourse`: straight lines lose 1e-5 of a tide's strength. [s]"""

LONGEST_QUIET_S = 3 * 3600.0
"""Agencies leave a very weak maximum out; two slacks further apart have lost one (ours). [s]"""


def build_stream(
    scenario: Scenario, timeline: Timeline, *, folder: Path
) -> tuple[Array, Array, tuple[str, ...]]:
    """
    Return the stream's speed and set at the middle of each step.

    Returns
    -------
    stream_mps, stream_toward_deg : ndarray, shape (steps,)
        As the boat meets it, scaled for the spot of each leg.
    notes : tuple of str
        What was assumed.
    """
    stream = scenario.stream
    middles = timeline.middles_s
    if stream is None:
        still = np.zeros_like(middles)
        return still, still, ("the water stands still (no [stream] table)",)
    # A spot with a later tide sees now what the station saw `shift` ago.
    when = middles - stream.shift_s
    east, north, notes = _vector(stream, scenario, timeline, when, folder)
    scales = np.array([leg.stream_scale for leg in scenario.legs] + [1.0])
    scale = stream.scale * scales[timeline.leg_of_step]
    speed, toward = toward_from_components(east * scale, north_mps=north * scale)
    return speed, toward, notes


class StreamCourse(NamedTuple):
    """The stream at the spot over a time wider than the day, before any leg's own scale."""

    at_s: Array  # (times,), even, seconds from the day's start
    east_mps: Array
    north_mps: Array


def stream_course(
    scenario: Scenario, timeline: Timeline, *, folder: Path, reach_s: float
) -> StreamCourse | None:
    """
    Return the stream of a day and some time about it, to ask what an early or late tide does.

    Events or a series that end sooner are held at their ends.

    Parameters
    ----------
    scenario, timeline, folder
        As for `build_stream`, which has been asked before.
    reach_s : float
        How long before the day's start and after its end. [s]

    Returns
    -------
    StreamCourse or None
        None where the water stands still.
    """
    stream = scenario.stream
    if stream is None:
        return None
    first, last = timeline.edges_s[0] - reach_s, timeline.edges_s[-1] + reach_s
    at_s = np.arange(first, last + COURSE_EVERY_S, COURSE_EVERY_S)
    when = at_s - stream.shift_s
    east, north, _ = _vector(stream, scenario, timeline, when, folder, hold_ends=True)
    return StreamCourse(at_s, east * stream.scale, north * stream.scale)


def _vector(
    stream: Stream,
    scenario: Scenario,
    timeline: Timeline,
    when: Array,
    folder: Path,
    *,
    hold_ends: bool = False,
) -> tuple[Array, Array, tuple[str, ...]]:
    """Return east and north parts at the wanted seconds of the station's own time."""
    day = scenario.day
    if stream.speed_mps is not None:
        speed = np.full(when.shape, stream.speed_mps)
        east, north = vector_from_speed_and_set(speed, set_deg=stream.stream_toward_deg or 0.0)
        return east, north, ()
    if stream.events:
        sign = {"slack": 0.0, "flood": 1.0, "ebb": -1.0}
        record = StreamRecord(
            kind="events",
            times=resolve_in_order([e.at for e in stream.events], day.date, day.timezone),
            speed_mps=tuple(sign[e.kind] * e.speed_mps for e in stream.events),
            toward_deg=None,
            flood_toward_deg=None,
            ebb_toward_deg=None,
        )
        return *_from_record(record, stream, timeline, when, hold_ends=hold_ends), ()
    if stream.points:
        record = StreamRecord(
            kind="series",
            times=resolve_in_order([p.at for p in stream.points], day.date, day.timezone),
            speed_mps=tuple(p.speed_mps for p in stream.points),
            toward_deg=tuple(p.stream_toward_deg for p in stream.points),
            flood_toward_deg=None,
            ebb_toward_deg=None,
        )
        return *_from_record(record, stream, timeline, when, hold_ends=hold_ends), ()
    if stream.file is not None:
        record = read_stream_file(folder / stream.file, timezone=day.timezone)
        read = _from_record(record, stream, timeline, when, hold_ends=hold_ends)
        return *read, record.notes
    if stream.constants is not None:
        constants = read_constants_file(folder / stream.constants)
    else:
        constants = StreamConstants(
            name=tuple(c.name for c in stream.constituents),
            amplitude_mps=tuple(c.amplitude_mps for c in stream.constituents),
            phase_lag_deg=tuple(c.phase_deg for c in stream.constituents),
            mean_mps=stream.mean_mps,
            flood_toward_deg=stream.flood_toward_deg or 0.0,
            minor_amplitude_mps=None,
            minor_phase_lag_deg=None,
            minor_mean_mps=0.0,
        )
    return *_from_constants(constants, stream, timeline, when), ()


def _from_record(
    record: StreamRecord,
    stream: Stream,
    timeline: Timeline,
    when: Array,
    *,
    hold_ends: bool,
) -> tuple[Array, Array]:
    """Read between the rows of a record."""
    at_s = _seconds(timeline.start, record.times)
    if hold_ends:
        when = np.clip(when, at_s[0], at_s[-1])
    _refuse_uncovered(at_s, when, timeline)
    if record.toward_deg is not None:
        return vector_from_series(
            when, at_s=at_s, speed_mps=record.speed_mps, toward_deg=record.toward_deg
        )
    if record.kind == "events":
        _refuse_lost_maximum(record, timeline)
        speed = speed_from_events(when, event_time_s=at_s, event_speed_mps=record.speed_mps)
    else:
        speed = speed_from_points(when, at_s=at_s, speed_mps=record.speed_mps)
    # What the user writes stands before what the file says: it is their spot.
    flood = _first(stream.flood_toward_deg, record.flood_toward_deg, key="flood_toward")
    ebb = _first(stream.ebb_toward_deg, record.ebb_toward_deg, key="ebb_toward")
    return _along(speed, flood, ebb)


def _refuse_lost_maximum(record: StreamRecord, timeline: Timeline) -> None:
    """Refuse two slacks in a row with room for a whole run of flood or ebb between them."""
    rows = pairwise(zip(record.times, record.speed_mps, strict=True))
    for (begin, first_mps), (end, second_mps) in rows:
        quiet_s = seconds_between(begin, end)
        if first_mps == 0.0 == second_mps and quiet_s > LONGEST_QUIET_S:
            slacks = [time.astimezone(timeline.start.tzinfo) for time in (begin, end)]
            raise ScenarioError(
                Problem(
                    path="stream",
                    reason=(
                        f"two slacks follow each other {quiet_s / 3600.0:.1f} h apart, "
                        f"{slacks[0]:%d %b %H:%M} and {slacks[1]:%H:%M}, "
                        "with no maximum between"
                    ),
                    hint="put the flood or the ebb between them in",
                )
            )


def _from_constants(
    constants: StreamConstants, stream: Stream, timeline: Timeline, when: Array
) -> tuple[Array, Array]:
    """Predict from harmonic constants, along one axis or two."""
    # Imported here because most days come from a tide table, and start-up counts.
    from energysim.catalogue import constituents  # noqa: PLC0415
    from energysim.physics.constituents import select_constituents  # noqa: PLC0415
    from energysim.physics.tide import predict, vector_from_axes  # noqa: PLC0415

    epoch = timeline.start.timestamp()
    try:
        chosen = select_constituents(constituents(), name=constants.name)
    except ValueError as error:
        raise ScenarioError(Problem(path="stream", reason=str(error))) from None
    major = predict(
        when,
        epoch_unix_s=epoch,
        constituents=chosen,
        amplitude_mps=constants.amplitude_mps,
        phase_lag_deg=constants.phase_lag_deg,
        mean_mps=constants.mean_mps,
    )
    axis = constants.flood_toward_deg
    flood = axis if stream.flood_toward_deg is None else stream.flood_toward_deg
    if constants.minor_amplitude_mps is None or constants.minor_phase_lag_deg is None:
        ebb = stream.ebb_toward_deg
        return _along(major, flood, (axis + 180.0) % 360.0 if ebb is None else ebb)
    minor = predict(
        when,
        epoch_unix_s=epoch,
        constituents=chosen,
        amplitude_mps=constants.minor_amplitude_mps,
        phase_lag_deg=constants.minor_phase_lag_deg,
        mean_mps=constants.minor_mean_mps,
    )
    return vector_from_axes(major, minor_mps=minor, azimuth_deg=flood)


def _along(speed: Array, flood_deg: float, ebb_deg: float) -> tuple[Array, Array]:
    """Point a signed speed along the flood or the ebb."""
    towards = stream_set_deg(speed, flood_toward_deg=flood_deg, ebb_toward_deg=ebb_deg)
    return vector_from_speed_and_set(speed, set_deg=towards)


def _first(own: float | None, given: float | None, *, key: str) -> float:
    if own is not None:
        return own
    if given is not None:
        return given
    raise ScenarioError(
        Problem(
            path="stream",
            reason=f"the file does not say where the {key.split('_', maxsplit=1)[0]} sets to",
            hint=f'add {key} = "045 deg" to [stream]',
        )
    )


def _seconds(start: datetime, times: Sequence[datetime]) -> Array:
    return np.array([seconds_between(start, time) for time in times])


def _refuse_uncovered(at_s: Array, when: Array, timeline: Timeline) -> None:
    """Refuse events or a series that do not reach over the whole day."""
    if at_s[0] <= when[0] and at_s[-1] >= when[-1]:
        return
    raise ScenarioError(
        Problem(
            path="stream",
            reason=timeline.uncovered("stream", at_s[0], at_s[-1]),
            hint="add the slack or maximum before the first leg and after the last",
        )
    )
