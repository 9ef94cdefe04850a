"""
A wind forecast from a table, a row an hour or so.

The first row names the columns, with the unit or zone of each in brackets:

    time [UTC], speed [kn], from [deg], gust [kn]

Depends on: errors, text_file, units, `scenario.file_times`.
"""

import csv
import math
import re
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple
from zoneinfo import ZoneInfo

from energysim.errors import Problem, ScenarioError
from energysim.scenario.file_times import (
    ZONE_TAGS,
    FileTime,
    ZoneRule,
    parse_time,
    resolve_times,
)
from energysim.text_file import read_text
from energysim.units import parse_quantity, unit_factor

LONGEST_GAP_S = 4 * 3600.0
"""Two rows of a forecast further apart than this have others missing between them (ours)."""

COLUMNS = ("time", "speed", "from", "gust")
TITLE = re.compile(r"^\s*(?P<name>\w+)\s*(?:[(\[]\s*(?P<tag>[^)\]]*?)\s*[)\]])?\s*$")
_EXAMPLE = "write them as 'time,speed [kn],from [deg],gust [kn]'; the gust may be left out"


class WindRecord(NamedTuple):
    """A forecast through time."""

    times: tuple[datetime, ...]  # zone-aware, UTC, increasing
    speed_mps: tuple[float, ...]
    wind_from_deg: tuple[float, ...]
    gust_mps: tuple[float | None, ...]  # None where a row gives none


def read_wind_file(path: Path, *, timezone: ZoneInfo | None) -> WindRecord:
    """
    Return the wind a table gives.

    Parameters
    ----------
    path : Path
        A CSV table.
    timezone : ZoneInfo or None
        Zone of clock times that name none.

    Returns
    -------
    WindRecord
        Speeds in m/s, times in UTC.

    Raises
    ------
    FileError
        If the file cannot be read.
    ScenarioError
        If a column or a row cannot be read, or hours are missing; each with its line.
    """
    return _record(read_text(path, what="a table"), str(path), timezone)


def lines_of(text: str) -> list[tuple[int, list[str]]]:
    """Return the rows of a table that say something, each with its line."""
    reader = csv.reader(text.splitlines(), skipinitialspace=True)
    return [
        (reader.line_num, [cell.strip() for cell in cells])
        for cells in reader
        if any(cell.strip() for cell in cells) and not cells[0].startswith("#")
    ]


@lru_cache(maxsize=4)  # by content: a day and its variants read the same forecast
def _record(text: str, file: str, timezone: ZoneInfo | None) -> WindRecord:
    """Return the record a table holds."""
    rows = lines_of(text)
    if not rows:
        raise ScenarioError(Problem(file=file, reason="the file is empty", hint=_EXAMPLE))
    factors, zone_rule = _read_header(rows[0][1], file=file, line=rows[0][0])
    read, problems = [], []
    for line, cells in rows[1:]:
        try:
            read.append(_read_row(cells, factors, line=line))
        except ValueError as error:
            problems.append(
                Problem(file=file, line=line, value=", ".join(cells)[:80], reason=str(error))
            )
    if problems:
        raise ScenarioError(problems)
    if not read:
        raise ScenarioError(Problem(file=file, reason="holds no rows", hint=_EXAMPLE))
    times, _ = resolve_times(
        [row[0] for row in read],
        file=file,
        zone_rule=zone_rule,
        timezone=timezone,
        tell_doubt=False,
    )
    _refuse_gaps([row[0] for row in read], times, file=file)
    return WindRecord(
        times=tuple(times),
        speed_mps=tuple(row[1] for row in read),
        wind_from_deg=tuple(row[2] for row in read),
        gust_mps=tuple(row[3] for row in read),
    )


def _read_header(
    titles: Sequence[str], *, file: str, line: int
) -> tuple[dict[str, float], ZoneRule]:
    """Return each column's factor in the columns' order, and what its times mean."""
    factors: dict[str, float] = {}
    problems: list[Problem] = []
    zone_rule = ZoneRule.LOCAL
    for title in titles:
        try:
            name, tag = _read_title(title)
            if name in factors:
                raise ValueError(f"two columns are a {name}")  # noqa: TRY301
            factors[name] = 1.0
            if name == "time" and tag:
                zone_rule = ZONE_TAGS[tag.lower()]
            elif name in {"speed", "gust"}:
                factors[name] = unit_factor(tag, "speed")
        except ValueError as error:
            problems.append(Problem(file=file, line=line, value=title, reason=str(error)))
    missing = [name for name in COLUMNS[:3] if name not in factors]
    if missing and not problems:
        reason = f"no column for {' and '.join(missing)}"
        problems.append(Problem(file=file, line=line, reason=reason, hint=_EXAMPLE))
    if problems:
        raise ScenarioError(problems)
    return factors, zone_rule


def _read_title(title: str) -> tuple[str, str]:
    """Return which column a title means, and what stands in its brackets."""
    found = TITLE.match(title)
    name = found["name"].lower() if found else ""
    tag = (found["tag"] or "") if found else ""
    if name not in COLUMNS:
        raise ValueError(f"not a column known here; {_EXAMPLE}")
    if name in {"speed", "gust"} and not tag:
        raise ValueError(f"the {name} has no unit; write it as '{name} [kn]'")
    if name == "time" and tag and tag.lower() not in ZONE_TAGS:
        known = ", ".join(ZONE_TAGS).upper()
        raise ValueError(f"{tag!r} is not a mark of a time column; known are {known}")
    return name, tag


def _read_row(
    cells: Sequence[str], factors: dict[str, float], *, line: int
) -> tuple[FileTime, float, float, float | None]:
    """Return one row: time, speed, direction and gust."""
    if len(cells) != len(factors):
        raise ValueError(f"the row has {len(cells)} cells and the first row {len(factors)}")
    cell = dict(zip(factors, cells, strict=True))
    speed = read_number(cell["speed"], "speed") * factors["speed"]
    bearing = read_bearing(cell["from"])
    gust_text = cell.get("gust", "")
    gust = read_number(gust_text, "gust") * factors["gust"] if gust_text else None
    if gust is not None and gust < speed:
        raise ValueError("the gust is less than the wind itself")
    time = FileTime(text=cell["time"], clock=parse_time(cell["time"]), line=line)
    return time, speed, bearing, gust


def read_bearing(text: str) -> float:
    """Return degrees from a number or a point of the compass."""
    try:
        return (
            float(text) % 360.0 if math.isfinite(float(text)) else parse_quantity(text, "angle")
        )
    except ValueError:
        return parse_quantity(text, "angle")


def read_number(text: str, what: str) -> float:
    """Return a cell as a finite number, zero or more."""
    try:
        number = float(text)
    except ValueError:
        raise ValueError(f"{text!r} is not a number for the {what}") from None
    if not math.isfinite(number) or number < 0.0:
        raise ValueError(f"{text!r} will not do for the {what}")
    return number


def _refuse_gaps(rows: Sequence[FileTime], times: Sequence[datetime], *, file: str) -> None:
    """Refuse rows so far apart that others must be missing between them."""
    problems = [
        Problem(
            file=file,
            line=rows[number + 1].line,
            value=f"{rows[number].text} to {rows[number + 1].text}",
            reason=f"a gap of {(later - earlier).total_seconds() / 3600.0:.3g} h in the wind",
            hint="put the missing hours in",
        )
        for number, (earlier, later) in enumerate(pairwise(times))
        if (later - earlier).total_seconds() > LONGEST_GAP_S
    ]
    if problems:
        raise ScenarioError(problems)
