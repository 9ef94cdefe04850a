"""
What a file on the stream says, once read: predictions or harmonic constants.

Depends on: errors, `scenario.file_times`.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Literal, NamedTuple
from zoneinfo import ZoneInfo

from energysim.errors import Problem, ScenarioError
from energysim.scenario.file_times import FileTime, ZoneRule, resolve_times

EventKind = Literal["slack", "flood", "ebb"]

WIDEST_STEP_RATIO = 1.5
"""A step of a series longer than this many usual steps is a gap (our choice)."""

LONGEST_LEG = timedelta(hours=25)
"""Two events further apart than a tidal day have others missing between them (our choice)."""


class StreamRecord(NamedTuple):
    """A stream through time, as a file gives it."""

    kind: Literal["events", "series"]
    times: tuple[datetime, ...]  # zone-aware, UTC, increasing
    speed_mps: tuple[float, ...]  # flood +, ebb -, slack 0; zero or more beside toward_deg
    toward_deg: tuple[float, ...] | None  # the set of each row, where the file has it
    flood_toward_deg: float | None
    ebb_toward_deg: float | None
    notes: tuple[str, ...] = ()  # what was taken for granted, to be shown


class StreamConstants(NamedTuple):
    """Harmonic constants of a place, along the axes of its stream."""

    name: tuple[str, ...]
    amplitude_mps: tuple[float, ...]
    phase_lag_deg: tuple[float, ...]  # Greenwich, for times in UTC
    mean_mps: float
    flood_toward_deg: float  # the major axis, positive toward the flood
    minor_amplitude_mps: tuple[float, ...] | None  # None where the stream runs to and fro
    minor_phase_lag_deg: tuple[float, ...] | None
    minor_mean_mps: float


class Row(NamedTuple):
    """One row of a file before its time has a zone."""

    time: FileTime
    speed_mps: float
    event: EventKind | None = None
    toward_deg: float | None = None


def event_named(word: object) -> EventKind:
    """
    Return the event a word of a file names.

    Parameters
    ----------
    word : object
        What stands in the file.

    Returns
    -------
    str
        "slack", "flood" or "ebb".

    Raises
    ------
    ValueError
        If it is none of the three.
    """
    match str(word).strip().lower():
        case "slack":
            return "slack"
        case "flood":
            return "flood"
        case "ebb":
            return "ebb"
    raise ValueError(f"{word!r} is not an event; it must be slack, flood or ebb")


def record_from_rows(
    rows: Sequence[Row],
    *,
    file: str,
    zone_rule: ZoneRule,
    timezone: ZoneInfo | None,
    flood_toward_deg: float | None,
    ebb_toward_deg: float | None,
) -> StreamRecord:
    """
    Return rows as one record, with their times in UTC and nothing missing between them.

    Parameters
    ----------
    rows : sequence of Row
        In the file's order.
    file : str
        The file's name, for the problems.
    zone_rule : ZoneRule
        What the file's clock times mean.
    timezone : ZoneInfo or None
        The scenario's zone, for times that name none.
    flood_toward_deg, ebb_toward_deg : float or None
        The sets, where the file has them. [deg]

    Returns
    -------
    StreamRecord
        Times in UTC, increasing.

    Raises
    ------
    ScenarioError
        If there are fewer than two rows, times cannot be placed, or some are missing.
    """
    if len(rows) < 2:
        raise ScenarioError(
            Problem(
                file=file,
                reason=f"holds {len(rows)} usable rows; at least two are needed",
                hint="take one event or sample more on either side of the day",
            )
        )
    is_events = rows[0].event is not None
    times, notes = resolve_times(
        [row.time for row in rows],
        file=file,
        zone_rule=zone_rule,
        timezone=timezone,
        tell_doubt=is_events,
    )
    _refuse_gaps(rows, times, file=file, is_events=is_events)
    with_sets = rows[0].toward_deg is not None
    return StreamRecord(
        kind="events" if is_events else "series",
        times=tuple(times),
        speed_mps=tuple(row.speed_mps for row in rows),
        toward_deg=tuple(row.toward_deg or 0.0 for row in rows) if with_sets else None,
        flood_toward_deg=flood_toward_deg,
        ebb_toward_deg=ebb_toward_deg,
        notes=tuple(notes),
    )


def _refuse_gaps(
    rows: Sequence[Row], times: Sequence[datetime], *, file: str, is_events: bool
) -> None:
    """Refuse rows so far apart that others must be missing between them."""
    steps = [later - earlier for earlier, later in pairwise(times)]
    usual = sorted(steps)[len(steps) // 2]
    widest = LONGEST_LEG if is_events else usual * WIDEST_STEP_RATIO
    told = (
        "no slack or maximum for more than a tidal day"
        if is_events
        else f"rows are missing; they stand {_minutes(usual)} apart elsewhere"
    )
    problems = [
        Problem(
            file=file,
            line=rows[i + 1].time.line,
            path=rows[i + 1].time.path,
            value=f"{rows[i].time.text} to {rows[i + 1].time.text}",
            reason=f"a gap of {_minutes(step)}: {told}",
            hint="fetch the missing rows, or cut the file to the part without the gap",
        )
        for i, step in enumerate(steps)
        if step > widest
    ]
    if problems:
        raise ScenarioError(problems)


def _minutes(step: timedelta) -> str:
    """Return a step as people say it."""
    minutes = step.total_seconds() / 60.0
    return f"{minutes:g} min" if minutes < 120.0 else f"{minutes / 60.0:.3g} h"
