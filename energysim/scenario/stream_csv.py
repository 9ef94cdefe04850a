"""
Stream predictions from a table: the agency's list of events, or our own plain table.

The first row names the columns, with the unit or zone of each in brackets:

    Date_Time (LST_LDT), Event, Speed (knots)
    time [UTC], speed [kn], toward [deg]

Depends on: errors, units, `scenario.file_times`, `scenario.stream_record`.
"""

import csv
import math
import re
from collections.abc import Sequence
from typing import Literal, NamedTuple
from zoneinfo import ZoneInfo

from energysim.errors import Problem, ScenarioError
from energysim.scenario.file_times import ZONE_TAGS, FileTime, ZoneRule, parse_time
from energysim.scenario.stream_record import Row, StreamRecord, event_named, record_from_rows
from energysim.units import unit_factor

Column = Literal["time", "event", "speed", "toward", "ignored"]

COLUMN_NAMES: dict[str, Column] = {
    "time": "time",
    "datetime": "time",
    "event": "event",
    "type": "event",
    "speed": "speed",
    "velocitymajor": "speed",
    "toward": "toward",
    "direction": "toward",
    "set": "toward",
    "bin": "ignored",
    "depth": "ignored",
}
"""Column titles, without blanks, underscores and brackets, in small letters."""

_TITLE = re.compile(r"^\s*(?P<name>[^(\[]*?)\s*(?:[(\[]\s*(?P<tag>[^)\]]*?)\s*[)\]])?\s*$")
_EXAMPLE = "write them as 'time,speed [kn],toward [deg]' or 'time,event,speed [kn]'"
_MOST_PROBLEMS = 20


class _Header(NamedTuple):
    """What the first row says of the others."""

    columns: tuple[Column, ...]
    speed_factor: float
    zone_rule: ZoneRule


def record_from_csv(text: str, *, file: str, timezone: ZoneInfo | None) -> StreamRecord:
    """
    Return the stream that a table gives.

    Parameters
    ----------
    text : str
        The whole table.
    file : str
        The file's name, for the problems.
    timezone : ZoneInfo or None
        The scenario's zone, for times that name none.

    Returns
    -------
    StreamRecord
        Speeds in m/s, times in UTC.

    Raises
    ------
    ScenarioError
        If the columns or rows cannot be read; every bad row has its line.
    """
    reader = csv.reader(text.splitlines(), skipinitialspace=True)
    header: _Header | None = None
    rows: list[Row] = []
    problems: list[Problem] = []
    for cells in reader:
        if not any(cell.strip() for cell in cells) or cells[0].startswith("#"):
            continue
        if header is None:
            header = _read_header(cells, file=file, line=reader.line_num)
            continue
        try:
            rows.append(_read_row(cells, header, line=reader.line_num))
        except ValueError as error:
            problems.append(
                Problem(
                    file=file,
                    line=reader.line_num,
                    value=", ".join(cell.strip() for cell in cells)[:80],
                    reason=str(error),
                )
            )
    if header is None:
        raise ScenarioError(Problem(file=file, reason="the file is empty", hint=_EXAMPLE))
    if problems:
        raise ScenarioError(_cut(problems, file))
    return record_from_rows(
        _with_ebb_signs(rows),
        file=file,
        zone_rule=header.zone_rule,
        timezone=timezone,
        flood_toward_deg=None,
        ebb_toward_deg=None,
    )


def _read_header(cells: Sequence[str], *, file: str, line: int) -> _Header:
    """Return what the first row says, or raise with every column that is wrong."""
    problems: list[Problem] = []
    columns: list[Column] = []
    factor, zone_rule = None, ZoneRule.LOCAL
    titles = list(cells)
    while titles and not titles[-1].strip():
        titles.pop()
    for title in titles:
        try:
            column, tag = _read_title(title)
            if column != "ignored" and column in columns:
                raise ValueError(f"two columns are a {column}")  # noqa: TRY301
            columns.append(column)
            if column == "time" and tag:
                zone_rule = _read_zone(tag)
            elif column == "speed":
                factor = _read_speed_unit(tag)
            elif column == "toward":
                _refuse_other_than_true(tag)
        except ValueError as error:
            problems.append(
                Problem(file=file, line=line, value=title.strip(), reason=str(error))
            )
    if not problems:
        missing = [name for name in ("time", "speed") if name not in columns]
        if missing:
            reason = f"no column for {' and '.join(missing)}"
            problems.append(Problem(file=file, line=line, reason=reason, hint=_EXAMPLE))
        elif "event" in columns and "toward" in columns:
            problems.append(
                Problem(
                    file=file,
                    line=line,
                    reason="a table of events has no set in each row",
                    hint="give stream.flood_toward and stream.ebb_toward in the scenario",
                )
            )
    if problems or factor is None:
        raise ScenarioError(problems)
    return _Header(columns=tuple(columns), speed_factor=factor, zone_rule=zone_rule)


def _read_title(title: str) -> tuple[Column, str]:
    """Return which column a title means, and what stands in its brackets."""
    found = _TITLE.match(title)
    name = re.sub(r"[\s_]", "", found["name"]).lower() if found else ""
    tag = (found["tag"] or "") if found else ""
    if name in COLUMN_NAMES:
        return COLUMN_NAMES[name], tag
    if name in {"prediction", "pred", "waterlevel", "height", "high/low"}:
        raise ValueError("this is a table of heights; the stream needs a table of currents")
    if name == "from":
        raise ValueError("a stream is named by where it runs toward; call the column 'toward'")
    raise ValueError(f"not a column known here; {_EXAMPLE}")


def _read_zone(tag: str) -> ZoneRule:
    """Return what the mark of a time column means."""
    if tag.lower() not in ZONE_TAGS:
        known = ", ".join(ZONE_TAGS).upper()
        raise ValueError(f"{tag!r} is not a mark of a time column; known are {known}")
    return ZONE_TAGS[tag.lower()]


def _read_speed_unit(tag: str) -> float:
    """Return metres a second in the unit of a speed column."""
    if not tag:
        raise ValueError("the speed has no unit; write it as 'speed [kn]'")
    return unit_factor(tag, "speed")


def _refuse_other_than_true(tag: str) -> None:
    """Refuse bearings that are not degrees from true north."""
    if tag and not re.fullmatch(r"(deg(rees)?\.?|°)\s*(t(rue)?)?", tag, re.IGNORECASE):
        raise ValueError(f"{tag!r} will not do for a set; give it in degrees from true north")


def _read_row(cells: Sequence[str], header: _Header, *, line: int) -> Row:
    """Return one row of the table."""
    filled = [cell.strip() for cell in cells]
    while len(filled) > len(header.columns) and not filled[-1]:
        filled.pop()
    if len(filled) != len(header.columns):
        raise ValueError(
            f"the row has {len(filled)} cells and the first row {len(header.columns)} columns"
        )
    cell = dict(zip(header.columns, filled, strict=True))
    time = FileTime(text=cell["time"], clock=parse_time(cell["time"]), line=line)
    event = event_named(cell["event"]) if "event" in cell else None
    if event == "slack":
        return Row(time=time, speed_mps=0.0, event=event)
    speed_mps = _number(cell["speed"], "speed") * header.speed_factor
    if "toward" not in cell:
        return Row(time=time, speed_mps=speed_mps, event=event)
    if speed_mps < 0.0:
        raise ValueError("the speed beside a set must be zero or more; turn the set about")
    return Row(
        time=time, speed_mps=speed_mps, toward_deg=_number(cell["toward"], "set") % 360.0
    )


def _number(text: str, what: str) -> float:
    """Return a cell as a finite number."""
    try:
        number = float(text)
    except ValueError as error:
        raise ValueError(f"{text!r} is not a number for the {what}") from error
    if not math.isfinite(number):
        raise ValueError(f"{text!r} is not a number for the {what}")
    return number


def _with_ebb_signs(rows: Sequence[Row]) -> list[Row]:
    """Make ebbs negative where a table typed by hand has no minus sign anywhere."""
    if any(row.speed_mps < 0.0 for row in rows):
        return list(rows)
    return [
        Row(time=row.time, speed_mps=-row.speed_mps, event=row.event)
        if row.event == "ebb"
        else row
        for row in rows
    ]


def _cut(problems: list[Problem], file: str) -> list[Problem]:
    """Keep a long list of problems to its first part, and say so."""
    if len(problems) <= _MOST_PROBLEMS:
        return problems
    rest = Problem(file=file, reason=f"and {len(problems) - _MOST_PROBLEMS} more rows")
    return [*problems[:_MOST_PROBLEMS], rest]
