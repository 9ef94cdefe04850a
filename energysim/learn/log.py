"""
A logged day from a CSV table: read, checked, and laid on the clock of a plan.

Depends on: errors, learn.columns, learn.moments, learn.rows, text_file.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.errors import Problem, RefusedValueError, ScenarioError
from energysim.learn.columns import CLOCKS, EXAMPLE, READINGS, Column, read_cell, read_header
from energysim.learn.moments import NO_TIME, clock_times, refuse_backwards
from energysim.learn.rows import Faults, read_rows
from energysim.text_file import read_text

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from pathlib import Path
    from zoneinfo import ZoneInfo

    from numpy.typing import NDArray

    Array = NDArray[np.float64]

MOST_MB: Final = 100
"""A day at ten rows a second is half of that. [MB]"""

STUCK_ROWS: Final = 20
"""Rows from which a reading that never changes is a logger that is stuck (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayLog:
    """
    What was logged. Arrays (rows,), in order of time; NaN where the logger had nothing to say.

    A reading the file has no column for is None.
    """

    at_s: Array  # from the start of the plan
    current_a: Array | None  # out of the bank is positive
    voltage_v: Array | None  # at the bank's terminals, or those of one block
    soc: Array | None
    speed_mps: Array | None  # over the ground
    course_deg: Array | None
    notes: tuple[str, ...]
    of_one_block: bool = False  # the volts


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
    text = read_text(path, what="a log", most_mb=MOST_MB)
    rows, comma = read_rows(text, file)
    line, titles = rows[0]
    columns, passed_over, problems = read_header(titles, file=file, line=line)
    if problems:
        raise ScenarioError(problems)
    faults = Faults(file)
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
        at_s = clock_times(body, clock, faults, start=start, day=day, timezone=timezone)
    elif clock.kind == "unix":
        at_s = numbers["unix"] - start.timestamp()
    else:
        at_s = numbers["elapsed"]
    if clock.kind != "time":
        refuse_backwards(body, at_s, clock, faults)
    if faults.listed:
        raise ScenarioError(faults.all())
    if not body:
        raise ScenarioError(Problem(file=file, reason="holds no rows", hint=EXAMPLE))
    notes = [f"columns passed over: {', '.join(passed_over)}"] if passed_over else []
    stuck = _stuck(numbers, columns)
    notes += [f"{columns[kind].title} not used: it never changes" for kind in stuck]
    live = {kind: values for kind, values in numbers.items() if kind not in stuck}
    if stuck and not set(live) & set(READINGS):
        titles_of = ", ".join(columns[kind].title for kind in stuck)
        value = f"{numbers[stuck[0]][0] / columns[stuck[0]].factor:g}"
        raise ScenarioError(
            Problem(
                file=file, line=body[0][0], path=titles_of, value=value,
                reason=f"is the same in all {len(body)} rows",
                hint="was the shunt connected, and the logger not stuck?",
            )
        )  # fmt: skip
    return DayLog(
        at_s=at_s,
        current_a=live.get("current"),
        voltage_v=live.get("voltage", live.get("block")),
        of_one_block="block" in live and "voltage" not in live,
        soc=live.get("soc"),
        speed_mps=numbers.get("speed"),
        course_deg=numbers.get("course"),
        notes=tuple(notes),
    )


def _column(
    body: Sequence[tuple[int, list[str]]], column: Column, comma: bool, faults: Faults
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
            faults.add(line, column.title, cells[column.place], NO_TIME)
    return values


def _stuck(numbers: dict[str, Array], columns: dict[str, Column]) -> list[str]:
    """Return the readings that hold one number in many rows, in their order in the file."""
    found = []
    for kind in sorted(set(READINGS) & numbers.keys(), key=lambda one: columns[one].place):
        known = numbers[kind][np.isfinite(numbers[kind])]
        if known.size >= STUCK_ROWS and np.ptp(known) == 0.0:
            found.append(kind)
    return found
