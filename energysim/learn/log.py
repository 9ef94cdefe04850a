"""
A logged day from a CSV table: read, checked, and laid on the clock of a plan.

Depends on: clock, errors, learn.columns, scenario.file_times.
"""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Final
from zoneinfo import ZoneInfo

import numpy as np

from energysim.clock import seconds_between
from energysim.errors import FileError, Problem, RefusedValueError, ScenarioError
from energysim.learn.columns import CLOCKS, EXAMPLE, Column, read_cell, read_header
from energysim.scenario.file_times import ZoneRule, parse_time

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from pathlib import Path

    from numpy.typing import NDArray

    Array = NDArray[np.float64]

MOST_BYTES: Final = 100_000_000  # a day at ten rows a second is half of that
SHOWN_OF_A_KIND: Final = 20  # a wrong unit makes every row wrong alike
HALF_A_DAY_S: Final = 12 * 3600.0
_CLOCK_ONLY: Final = re.compile(r"^\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?$")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayLog:
    """
    What was logged. Arrays (rows,), in order of time; NaN where the logger had nothing to say.

    A reading the file has no column for is None.
    """

    at_s: Array  # from the start of the plan
    current_a: Array | None  # out of the bank is positive
    voltage_v: Array | None  # at the bank's terminals
    soc: Array | None
    speed_mps: Array | None  # over the ground
    course_deg: Array | None
    notes: tuple[str, ...]


class _Faults:
    """The problems of a file, so many of each kind."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.listed: list[Problem] = []
        self.counts: dict[tuple[str, str], int] = {}

    def add(self, line: int, title: str, value: str, error: RefusedValueError) -> None:
        """Note one, unless there are many like it."""
        kind = (title, error.reason)
        self.counts[kind] = self.counts.get(kind, 0) + 1
        if self.counts[kind] <= SHOWN_OF_A_KIND:
            self.listed.append(
                Problem(
                    file=self.file, line=line, path=title, value=value[:60],
                    reason=error.reason, hint=error.hint,
                )
            )  # fmt: skip

    def all(self) -> list[Problem]:
        """Return what is shown, and how many are not."""
        left = {kind: count - SHOWN_OF_A_KIND for kind, count in self.counts.items()}
        return self.listed + [
            Problem(file=self.file, path=title, reason=f"{more} more rows: {reason}")
            for (title, reason), more in left.items()
            if more > 0
        ]


def read_log(path: Path, *, start: datetime, day: date, timezone: ZoneInfo) -> DayLog:
    """
    Return a logged day on the clock of a plan.

    Parameters
    ----------
    path : Path
        A CSV table; commas, semicolons or tabs between cells.
    start : datetime
        When the plan begins; zone-aware.
    day : date
        The scenario's date, for clocks that give none.
    timezone : ZoneInfo
        The scenario's zone, for clocks that name none.

    Returns
    -------
    DayLog
        In house units; nothing is filled in where the log has gaps.

    Raises
    ------
    FileError
        The file cannot be read as text.
    ScenarioError
        With every problem of the table: line, column, value, reason and hint.
    """
    file = str(path)
    rows, comma = _rows(_text(path), file)
    line, titles = rows[0]
    columns, passed_over, problems = read_header(titles, file=file, line=line)
    if problems:
        raise ScenarioError(problems)
    faults = _Faults(file)
    body = []
    for line, cells in rows[1:]:
        if len(cells) != len(titles):
            reason = f"the row has {len(cells)} cells and the first row {len(titles)}"
            faults.add(line, "row", ", ".join(cells), RefusedValueError(reason))
        else:
            body.append((line, cells))
    numbers = {
        kind: _column(body, column, comma, faults)
        for kind, column in columns.items()
        if kind != "time"
    }
    clock = next(columns[kind] for kind in CLOCKS if kind in columns)
    if clock.kind == "time":
        at_s = _clock_times(body, clock, faults, start=start, day=day, timezone=timezone)
    elif clock.kind == "unix":
        at_s = numbers["unix"] - start.timestamp()
    else:
        at_s = numbers["elapsed"]
    if clock.kind != "time":
        _refuse_backwards(body, at_s, clock, faults)
    if faults.listed:
        raise ScenarioError(faults.all())
    if not body:
        raise ScenarioError(Problem(file=file, reason="holds no rows", hint=EXAMPLE))
    notes = [f"columns passed over: {', '.join(passed_over)}"] if passed_over else []
    return DayLog(
        at_s=at_s,
        current_a=numbers.get("current"),
        voltage_v=numbers.get("voltage"),
        soc=numbers.get("soc"),
        speed_mps=numbers.get("speed"),
        course_deg=numbers.get("course"),
        notes=tuple(notes),
    )


def _text(path: Path) -> str:
    """Read the text, or say why not."""
    try:
        with path.open("rb") as stream:
            content = stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise FileError(f"{path}: there is no such file") from None
    except IsADirectoryError:
        raise FileError(f"{path}: is a folder, not a log") from None
    except OSError as error:
        raise FileError(f"{path}: cannot be read: {error.strerror}") from error
    if len(content) > MOST_BYTES:
        raise FileError(f"{path}: is too large for a logged day (more than 100 MB)")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise FileError(f"{path}: is saved as UTF-16; save it as UTF-8")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileError(f"{path}: is not text in UTF-8; a log is a CSV table") from None
    if "\0" in text:
        raise FileError(f"{path}: is not a text file; a log is a CSV table")
    return text


def _rows(text: str, file: str) -> tuple[list[tuple[int, list[str]]], bool]:
    """Return the rows with their lines, and whether numbers are written with a comma."""
    lines = text.splitlines()
    first = next((one for one in lines if one.strip() and not one.startswith("#")), "")
    between = max(",;\t", key=first.count)
    reader = csv.reader(lines, delimiter=between, skipinitialspace=True)
    try:
        rows = [
            (reader.line_num, cells)
            for cells in reader
            if any(cell.strip() for cell in cells) and not cells[0].startswith("#")
        ]
    except csv.Error as error:
        raise ScenarioError(
            Problem(file=file, line=reader.line_num, reason=f"is no CSV table: {error}")
        ) from None
    if not rows:
        raise ScenarioError(Problem(file=file, reason="the file is empty", hint=EXAMPLE))
    return rows, between != ","


def _column(
    body: Sequence[tuple[int, list[str]]], column: Column, comma: bool, faults: _Faults
) -> Array:
    """Return a column's numbers, NaN in the gaps."""
    values = np.empty(len(body))
    for number, (line, cells) in enumerate(body):
        try:
            values[number] = read_cell(cells[column.place], column, decimal_comma=comma)
        except RefusedValueError as error:
            values[number] = math.nan
            faults.add(line, column.title, cells[column.place], error)
            continue
        if column.kind in CLOCKS and math.isnan(values[number]):
            faults.add(line, column.title, cells[column.place], _NO_TIME)
    return values


def _refuse_backwards(
    body: Sequence[tuple[int, list[str]]], at_s: Array, clock: Column, faults: _Faults
) -> None:
    """Note the rows that come before the row above them."""
    for number in np.flatnonzero(np.diff(at_s) < 0.0):
        line, cells = body[int(number) + 1]
        faults.add(line, clock.title, cells[clock.place], _BACKWARDS)


_NO_TIME: Final = RefusedValueError("the row has no time", "leave such rows out")
_NOT_A_TIME: Final = RefusedValueError(
    "is not a time", "write '2026-05-16 06:30:00' or '06:30:00', or unix seconds"
)
_BACKWARDS: Final = RefusedValueError(
    "is earlier than the row before it", "put the rows in order of time"
)


def _clock_times(
    body: Sequence[tuple[int, list[str]]],
    column: Column,
    faults: _Faults,
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
