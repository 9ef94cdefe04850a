"""
Clock times of a file of predictions, turned into moments.

Agencies print local clock times, with or without daylight time, or UTC without saying so in
the times themselves. The night the clocks go back has one hour twice; the order of the rows
tells them apart.

Depends on: errors.
"""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from enum import Enum
from typing import NamedTuple
from zoneinfo import ZoneInfo

from energysim.errors import Problem, ScenarioError


class ZoneRule(Enum):
    """What a clock time without an offset means."""

    LOCAL = "local time, with daylight time in season"
    STANDARD = "local standard time all year"
    UTC = "UTC"


ZONE_TAGS = {
    "lst_ldt": ZoneRule.LOCAL,
    "lst": ZoneRule.STANDARD,
    "gmt": ZoneRule.UTC,
    "utc": ZoneRule.UTC,
    "z": ZoneRule.UTC,
}
"""Marks of a time column in agency files and ours."""


class FileTime(NamedTuple):
    """A time as a file has it, and where it stands there."""

    text: str
    clock: datetime  # aware when the file gives an offset, else naive
    line: int | None = None
    path: str = ""


def parse_time(text: str) -> datetime:
    """
    Return a date and time written as "2026-05-16 06:30", aware if it carries an offset.

    Parameters
    ----------
    text : str
        ISO 8601, a blank or a T between date and time.

    Returns
    -------
    datetime
        Naive unless the text names an offset.

    Raises
    ------
    ValueError
        If the text is not such a date with a time.
    """
    body = text.strip()
    if ":" not in body:  # a date alone would pass as midnight
        raise ValueError(f"{text!r} is not a date and time such as '2026-05-16 06:30'")
    try:
        return datetime.fromisoformat(body)
    except ValueError as error:
        raise ValueError(
            f"{text!r} is not a date and time such as '2026-05-16 06:30'"
        ) from error


def resolve_times(
    times: Sequence[FileTime],
    *,
    file: str,
    zone_rule: ZoneRule,
    timezone: ZoneInfo | None,
    tell_doubt: bool,
) -> tuple[list[datetime], list[str]]:
    """
    Return the moments in UTC, each later than the one before.

    Parameters
    ----------
    times : sequence of FileTime
        In the file's order.
    file : str
        The file's name, for the problems.
    zone_rule : ZoneRule
        What a time without an offset means.
    timezone : ZoneInfo or None
        The scenario's zone.
    tell_doubt : bool
        Add a note where an hour that comes twice could be either.

    Returns
    -------
    times : list of datetime
        In UTC, increasing.
    notes : list of str
        Where the first of two like hours was taken without proof.

    Raises
    ------
    ScenarioError
        If a time has no zone to stand in, did not exist, or does not follow the one before.
    """
    _refuse_times_without_zone(times, file=file, zone_rule=zone_rule, timezone=timezone)
    moments: list[datetime] = []
    notes: list[str] = []
    problems: list[Problem] = []
    for index, time in enumerate(times):
        readings = _readings(time.clock, zone_rule, timezone)
        if not readings:
            problems.append(
                Problem(
                    file=file,
                    line=time.line,
                    path=time.path,
                    value=time.text,
                    reason=f"this clock time did not exist in {timezone}: clocks went forward",
                    hint="is the file in standard time all year (LST), or in UTC?",
                )
            )
            continue
        later = [moment for moment in readings if not moments or moment > moments[-1]]
        if not later:
            before = times[index - 1]
            problems.append(
                Problem(
                    file=file,
                    line=time.line,
                    path=time.path,
                    value=time.text,
                    reason=f"does not come after the row before it ({before.text})",
                    hint="put the rows in order of time, each time once",
                )
            )
            continue
        moments.append(later[0])
        if tell_doubt and len(later) == 2 and not _next_proves_first(times, index):
            notes.append(
                f"{time.text} came twice that night, when clocks went back; the first was taken"
            )
    if problems:
        raise ScenarioError(problems)
    return moments, notes


def _refuse_times_without_zone(
    times: Sequence[FileTime], *, file: str, zone_rule: ZoneRule, timezone: ZoneInfo | None
) -> None:
    """Refuse bare clock times when neither the file nor the scenario names a zone."""
    if zone_rule is ZoneRule.UTC or timezone is not None:
        return
    bare = next((time for time in times if time.clock.tzinfo is None), None)
    if bare is not None:
        raise ScenarioError(
            Problem(
                file=file,
                line=bare.line,
                path=bare.path,
                value=bare.text,
                reason="the time has no zone, and the scenario names none",
                hint="set day.timezone, or write times such as '2026-05-16T06:30-04:00'",
            )
        )


def _readings(
    clock: datetime, zone_rule: ZoneRule, timezone: ZoneInfo | None
) -> list[datetime]:
    """Every moment a clock time can mean: none, one, or two, the earlier first."""
    if clock.tzinfo is not None:
        return [clock.astimezone(UTC)]
    if zone_rule is ZoneRule.UTC or timezone is None:
        return [clock.replace(tzinfo=UTC)]
    if zone_rule is ZoneRule.STANDARD:
        return [(clock - _standard_offset(clock.year, timezone)).replace(tzinfo=UTC)]
    moments = {clock.replace(tzinfo=timezone, fold=fold).astimezone(UTC) for fold in (0, 1)}
    return sorted(
        moment
        for moment in moments
        if moment.astimezone(timezone).replace(tzinfo=None, fold=0) == clock
    )


def _standard_offset(year: int, timezone: ZoneInfo) -> timedelta:
    """Offset out of daylight time: the smaller of midwinter's and midsummer's."""
    offsets = [
        datetime(year, month, 1, tzinfo=timezone).utcoffset() or timedelta(0)
        for month in (1, 7)
    ]
    return min(offsets)


def _next_proves_first(times: Sequence[FileTime], index: int) -> bool:
    """Whether the next clock time, not later than this one, shows this to be the first."""
    if index + 1 >= len(times):
        return False
    here, following = times[index].clock, times[index + 1].clock
    return following.tzinfo is None and following <= here
