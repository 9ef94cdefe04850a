"""
The clock of a log: what its times mean on the clock of a plan.

Depends on: clock, errors, learn.columns, learn.rows, scenario.file_times.
"""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Final
from zoneinfo import ZoneInfo

import numpy as np

from energysim.clock import seconds_between
from energysim.errors import RefusedValueError
from energysim.scenario.file_times import ZoneRule, parse_time

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from numpy.typing import NDArray

    from energysim.learn.columns import Column
    from energysim.learn.rows import Faults

    Array = NDArray[np.float64]

HALF_A_DAY_S: Final = 12 * 3600.0
_CLOCK_ONLY: Final = re.compile(r"^\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?$")
NO_TIME: Final = RefusedValueError("the row has no time", "leave such rows out")
_NOT_A_TIME: Final = RefusedValueError(
    "is not a time", "write '2026-05-16 06:30:00' or '06:30:00', or unix seconds"
)
_BACKWARDS: Final = RefusedValueError(
    "is earlier than the row before it", "put the rows in order of time"
)


def clock_times(
    body: Sequence[tuple[int, list[str]]],
    column: Column,
    faults: Faults,
    *,
    start: datetime,
    day: date,
    timezone: ZoneInfo,
) -> Array:
    """Return each row's time in seconds from the start of the plan."""
    at_s = np.full(len(body), math.nan)
    before: datetime | None = None
    on = day  # the date of a clock that gives none
    for number, (line, cells) in enumerate(body):
        text = cells[column.place].strip()
        try:
            if _CLOCK_ONLY.match(text):
                moment, on = _on_the_day(
                    text, on, start if before is None else before, column.zone, timezone
                )
                moment = _later([moment], before)
            else:
                moment = _later(_moments(parse_time(text), column.zone, timezone), before)
        except RefusedValueError as error:
            faults.add(line, column.title, text, error)
            continue
        except ValueError:
            faults.add(line, column.title, text, _NOT_A_TIME)
            continue
        before = moment
        at_s[number] = seconds_between(start, moment)
    return at_s


def _on_the_day(
    text: str,
    on: date,
    near: datetime,
    zone: ZoneRule | ZoneInfo | None,
    timezone: ZoneInfo,
) -> tuple[datetime, date]:
    """Place a clock without a date; one that falls by half a day has passed midnight."""
    hour, _, rest = text.partition(":")
    clock = datetime.fromisoformat(f"{on.isoformat()}T{int(hour):02d}:{rest}")
    moments = _moments(clock, zone, timezone)
    if moments and (near - moments[-1]).total_seconds() > HALF_A_DAY_S:
        on += timedelta(days=1)
        moments = _moments(clock + timedelta(days=1), zone, timezone)
    first = [one for one in moments if one >= near][:1] or moments[-1:]
    return _later(first, None), on


def _moments(
    clock: datetime, zone: ZoneRule | ZoneInfo | None, timezone: ZoneInfo
) -> list[datetime]:
    """Every moment a clock can mean, in UTC: none, one, or two, the earlier first."""
    if clock.tzinfo is not None:
        return [clock.astimezone(UTC)]
    if zone is ZoneRule.UTC:
        return [clock.replace(tzinfo=UTC)]
    local = zone if isinstance(zone, ZoneInfo) else timezone
    if zone is ZoneRule.STANDARD:
        offsets = [
            datetime(clock.year, month, 1, tzinfo=local).utcoffset() or timedelta(0)
            for month in (1, 7)
        ]
        return [(clock - min(offsets)).replace(tzinfo=UTC)]
    both = {clock.replace(tzinfo=local, fold=fold).astimezone(UTC) for fold in (0, 1)}
    return sorted(
        one for one in both if one.astimezone(local).replace(tzinfo=None, fold=0) == clock
    )


def _later(moments: Iterable[datetime], before: datetime | None) -> datetime:
    """Return the first moment not before the row above."""
    known = list(moments)
    if not known:
        raise RefusedValueError(
            "this clock time did not exist: clocks went forward", "is the log in UTC?"
        )
    for one in known:
        if before is None or one >= before:
            return one
    raise _BACKWARDS


def refuse_backwards(
    body: Sequence[tuple[int, list[str]]], at_s: Array, clock: Column, faults: Faults
) -> None:
    """Note the rows that come before the row above them."""
    for number in np.flatnonzero(np.diff(at_s) < 0.0):
        line, cells = body[int(number) + 1]
        faults.add(line, clock.title, cells[clock.place], _BACKWARDS)
