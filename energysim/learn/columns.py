"""
What the columns of a logged day mean: their names, their units, and what may stand in a cell.

The first row names the columns, each with its unit or zone in brackets:

    time [UTC], current [A], voltage [V], state of charge [%], speed [kn], course [deg]

Depends on: errors, units, scenario.file_times.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Final, NamedTuple
from zoneinfo import ZoneInfo

from energysim.errors import Problem, RefusedValueError
from energysim.scenario.file_times import ZONE_TAGS, ZoneRule
from energysim.units import unit_factor

if TYPE_CHECKING:
    from collections.abc import Sequence

EXAMPLE: Final = "write them as 'time,current [A],voltage [V]'"
NOTHING: Final = frozenset({"", "-", "--", "nan", "n/a", "na", "null", "none"})
"""Cells that say a logger had nothing to say; a gap, not a fault."""

_TITLE: Final = re.compile(
    r"^\s*(?P<name>[^\[(]*?)\s*(?:[\[(]\s*(?P<tag>[^\])]*?)\s*[\])])?\s*$"
)


class Kind(NamedTuple):
    """One kind of column a log may have."""

    names: tuple[str, ...]  # spellings, in small letters
    dimension: str  # of `unit_table`; "share" for a state of charge, "" for a clock
    low: float  # least value believed, in house units
    high: float


KINDS: Final[dict[str, Kind]] = {
    "time": Kind(("time", "clock", "timestamp", "datetime", "date time", "date"), "", 0, 0),
    "unix": Kind(("unix", "epoch", "unix time"), "time", 0.0, 1e11),
    "elapsed": Kind(("elapsed", "elapsed time", "seconds"), "time", -2e5, 2e5),
    "current": Kind(
        ("current", "amperes", "amps", "shunt current"), "current", -1000.0, 1000.0
    ),
    "voltage": Kind(
        ("voltage", "volts", "bank voltage", "battery voltage"), "voltage", 0.0, 120.0
    ),
    "block": Kind(("block voltage", "block volts"), "voltage", 0.0, 120.0),
    "soc": Kind(("soc", "state of charge", "charge"), "share", 0.0, 1.0),
    "speed": Kind(("speed", "sog", "speed over ground"), "speed", 0.0, 40.0),
    "course": Kind(("course", "cog", "course over ground"), "angle", 0.0, 360.0),
}
"""The limits are ours: past them a number is a slip of a unit or a logger, not a small boat."""

CLOCKS: Final = ("time", "unix", "elapsed")
READINGS: Final = ("current", "voltage", "block", "soc")


class Column(NamedTuple):
    """A column that is used."""

    place: int  # from 0
    title: str  # as the file has it
    kind: str
    factor: float  # house units in one of its own
    zone: ZoneRule | ZoneInfo | None  # of a clock; None where the file does not say


def read_header(
    titles: Sequence[str], *, file: str, line: int
) -> tuple[dict[str, Column], list[str], list[Problem]]:
    """
    Return what each column means, which are passed over, and what is wrong with them.

    Parameters
    ----------
    titles : sequence of str
        The cells of the first row.
    file : str
        The file's name, for the problems.
    line : int
        Where the first row stands.

    Returns
    -------
    columns : dict
        From the kind to the column.
    passed_over : list of str
        Titles of columns that mean nothing here; a logger has many.
    problems : list of Problem
        Every one found.
    """
    columns: dict[str, Column] = {}
    passed_over: list[str] = []
    problems: list[Problem] = []
    faulty: set[str] = set()

    def fault(title: str, reason: str, hint: str = "") -> None:
        problems.append(
            Problem(file=file, line=line, path="column", value=title, reason=reason, hint=hint)
        )

    for place, title in enumerate(titles):
        kind, tag = _read_title(title)
        if kind is None:
            if title.strip():
                passed_over.append(title.strip())
            continue
        if kind in columns:
            both = "; date and clock go into one column" if kind == "time" else ""
            keep = f"keep {columns[kind].title!r} or it{both}"
            fault(title, f"is a second column of {kind}", keep)
            continue
        try:
            factor, zone = _read_tag(kind, tag)
        except RefusedValueError as error:
            faulty.add(kind)
            fault(title, error.reason, error.hint)
            continue
        columns[kind] = Column(place, title.strip(), kind, factor, zone)
    known = columns.keys() | faulty
    clocks = [kind for kind in CLOCKS if kind in columns]
    for extra in clocks[1:]:
        fault(
            columns[extra].title,
            "is a second clock",
            f"keep {columns[clocks[0]].title!r} or it",
        )
    if not known & set(CLOCKS):
        fault(", ".join(titles)[:70], "no column is a clock", EXAMPLE)
    if not known & set(READINGS):
        reason = "no column gives amperes, volts or state of charge"
        fault(", ".join(titles)[:70], reason, EXAMPLE)
    return columns, passed_over, problems


def _read_title(title: str) -> tuple[str | None, str]:
    """Return which kind of column a title means, and what stands in its brackets."""
    found = _TITLE.match(title)
    if found is None:
        return None, ""
    name = re.sub(r"[\s_]+", " ", found["name"].strip().lower())
    kind = next((key for key, kind in KINDS.items() if name in kind.names), None)
    return kind, found["tag"] or ""


def _read_tag(kind: str, tag: str) -> tuple[float, ZoneRule | ZoneInfo | None]:
    """Return a column's factor and zone, or why its brackets cannot be read."""
    if kind == "time":
        return 1.0, _zone(tag) if tag else None
    dimension = KINDS[kind].dimension
    if dimension == "share":
        shares = {"%": 0.01, "percent": 0.01, "1": 1.0, "share": 1.0}
        if tag.lower() not in shares:
            raise RefusedValueError(
                f"{tag!r} is not a unit of a state of charge" if tag else "has no unit",
                "write 'state of charge [%]', or [1] for a share of one",
            )
        return shares[tag.lower()], None
    usual = {"time": "s", "current": "A", "voltage": "V", "speed": "kn", "angle": "deg"}
    if not tag and dimension in {"time", "angle"}:
        tag = usual[dimension]
    if not tag:
        raise RefusedValueError("has no unit", f"write '{kind} [{usual[dimension]}]'")
    if dimension == "angle" and tag.lower().rstrip(". ") in {
        "deg m",
        "deg mag",
        "°m",
        "deg magnetic",
    }:
        raise RefusedValueError(
            "is magnetic, and the local variation is not known here",
            "log the course against true north, or leave the column out",
        )
    return unit_factor(tag, dimension), None


def _zone(tag: str) -> ZoneRule | ZoneInfo:
    """Return the zone a clock's brackets name."""
    rule = ZONE_TAGS.get(tag.lower())
    if rule is not None:
        return rule
    try:
        return ZoneInfo(tag)
    except (KeyError, ValueError, OSError):
        known = ", ".join(ZONE_TAGS).upper()
        raise RefusedValueError(
            f"{tag!r} is not a time zone",
            f"write one such as 'America/New_York', or one of {known}",
        ) from None


def read_cell(text: str, column: Column, *, decimal_comma: bool) -> float:
    """
    Return a cell in house units; not a number (NaN) for a gap in the log.

    Parameters
    ----------
    text : str
        The cell.
    column : Column
        Where it stands.
    decimal_comma : bool
        Whether the file writes 12,4 for 12.4.

    Returns
    -------
    value : float
        NaN means that the logger had nothing to say; nothing else does.

    Raises
    ------
    RefusedValueError
        It is no number, or none to be believed.
    """
    body = text.strip()
    if body.lower() in NOTHING:
        return math.nan
    if decimal_comma:
        body = body.replace(",", ".")
    try:
        number = float(body)
    except ValueError:
        unit = "put the unit in the first row, and bare numbers below"
        raise RefusedValueError("is not a number", unit) from None
    kind = KINDS[column.kind]
    value = number * column.factor
    if not kind.low <= value <= kind.high:
        bounds = f"{kind.low / column.factor:g} to {kind.high / column.factor:g}"
        raise RefusedValueError(
            f"is not believed; taken are {bounds}", f"is {column.title!r} its unit?"
        )
    return value
