"""
The wind of a place through the year: how often it blows from where, or measured hours.

The first row names the columns. A table of frequencies has a row for each wind of a month:

    month, from [deg], speed [kn], share [%]

and a history is a table as a forecast is one, only longer: time, speed, from, gust.

Depends on: errors, text_file, units, `scenario.wind_files`.
"""

from collections.abc import Sequence
from pathlib import Path
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from energysim.errors import Problem, ScenarioError
from energysim.scenario.wind_files import (
    TITLE,
    WindRecord,
    lines_of,
    read_bearing,
    read_number,
    read_wind_file,
)
from energysim.text_file import read_text
from energysim.units import unit_factor

COLUMNS: Final = ("month", "from", "speed", "share")
MISSING_SHARE: Final = 0.02
"""A month's shares may be so far from the whole, for they are printed rounded (ours). [1]"""

_EXAMPLE: Final = (
    "write 'month,from [deg],speed [kn],share [%]', or hours as 'time,speed [kn],from [deg]'"
)


class ClimateRow(NamedTuple):
    """One wind of a month, and how often it blows."""

    month: int
    wind_from_deg: float
    speed_mps: float
    share: float  # of the month, all rows of a month together 1


class WindClimate(NamedTuple):
    """One of the two is given."""

    rows: tuple[ClimateRow, ...]
    history: WindRecord | None

    def of_month(self, month: int) -> tuple[ClimateRow, ...]:
        """Return the winds of one month."""
        return tuple(row for row in self.rows if row.month == month)


def read_climate_file(path: Path, *, timezone: ZoneInfo | None) -> WindClimate:
    """
    Return the wind climate a table gives, whichever of the two kinds it is.

    Parameters
    ----------
    path : Path
        A CSV table.
    timezone : ZoneInfo or None
        Zone of clock times of a history that name none.

    Returns
    -------
    WindClimate
        Speeds in m/s.

    Raises
    ------
    FileError
        If the file cannot be read.
    ScenarioError
        If a column or a row cannot be read, or a month's shares do not make a whole.
    """
    file = str(path)
    lines = lines_of(read_text(path, what="a table"))
    if not lines:
        raise ScenarioError(Problem(file=file, reason="the file is empty", hint=_EXAMPLE))
    names = [_title(title)[0] for title in lines[0][1]]
    if "month" not in names:
        return WindClimate((), read_wind_file(path, timezone=timezone))
    factors = _factors(lines[0][1], file=file, line=lines[0][0])
    rows: list[ClimateRow] = []
    problems: list[Problem] = []
    for line, cells in lines[1:]:
        try:
            rows.append(_row(cells, factors))
        except ValueError as error:
            problems.append(
                Problem(file=file, line=line, value=", ".join(cells)[:80], reason=str(error))
            )
    if problems:
        raise ScenarioError(problems)
    return WindClimate(_whole(rows, file=file), None)


def _title(title: str) -> tuple[str, str]:
    """Return a column's name and what stands in its brackets."""
    found = TITLE.match(title)
    return (found["name"].lower(), found["tag"] or "") if found else ("", "")


def _factors(titles: Sequence[str], *, file: str, line: int) -> dict[str, float]:
    """Return each column's factor in the columns' order."""
    factors: dict[str, float] = {}
    problems = []
    for title in titles:
        name, tag = _title(title)
        reason = ""
        if name not in COLUMNS or name in factors:
            reason = "stands twice" if name in factors else "is not a column known here"
        elif name == "speed":
            try:
                factors[name] = unit_factor(tag, "speed")
            except ValueError as error:
                reason = str(error) if tag else "has no unit; write it as 'speed [kn]'"
        elif name == "share" and tag not in {"", "%"}:
            reason = "is a share of the month: without a unit, or in %"
        else:
            factors[name] = 0.01 if tag == "%" else 1.0
        if reason:
            problems.append(
                Problem(file=file, line=line, value=title, reason=reason, hint=_EXAMPLE)
            )
    missing = [name for name in COLUMNS if name not in factors]
    if missing and not problems:
        reason = f"no column for {' and '.join(missing)}"
        problems.append(Problem(file=file, line=line, reason=reason, hint=_EXAMPLE))
    if problems:
        raise ScenarioError(problems)
    return factors


def _row(cells: Sequence[str], factors: dict[str, float]) -> ClimateRow:
    """Return one row; a calm needs no direction."""
    if len(cells) != len(factors):
        raise ValueError(f"the row has {len(cells)} cells and the first row {len(factors)}")
    cell = dict(zip(factors, cells, strict=True))
    if not cell["month"].isdecimal() or not 1 <= int(cell["month"]) <= 12:
        raise ValueError(f"{cell['month']!r} is not a month, 1 to 12")
    speed = read_number(cell["speed"], "speed") * factors["speed"]
    calm = speed == 0.0 and not cell["from"]
    return ClimateRow(
        month=int(cell["month"]),
        wind_from_deg=0.0 if calm else read_bearing(cell["from"]),
        speed_mps=speed,
        share=read_number(cell["share"], "share") * factors["share"],
    )


def _whole(rows: Sequence[ClimateRow], *, file: str) -> tuple[ClimateRow, ...]:
    """Return rows whose shares make exactly one in every month; refuse a month far from it."""
    if not rows:
        raise ScenarioError(Problem(file=file, reason="holds no rows", hint=_EXAMPLE))
    months = sorted({row.month for row in rows})
    sums = {m: sum(row.share for row in rows if row.month == m) for m in months}
    problems = [
        Problem(
            file=file,
            reason=f"the shares of month {month} add up to {total:.1%}",
            hint="calms are a row too, with a speed of 0; write whole months as 100 %",
        )
        for month, total in sums.items()
        if abs(total - 1.0) > MISSING_SHARE
    ]
    if problems:
        raise ScenarioError(problems)
    return tuple(row._replace(share=row.share / sums[row.month]) for row in rows)
