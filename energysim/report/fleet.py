"""
The seasons of many boats side by side: a line of text for each, one JSON document, one CSV.

Depends on: results.season, report.document, report.season, report.sections, report.terminal.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Any, NamedTuple

from rich.console import Group

from energysim.report.document import SCHEMA
from energysim.report.season import COLUMNS, season_cells, season_document
from energysim.report.sections import SectionTable, columns
from energysim.report.terminal import listed, tabled, title
from energysim.results.odds import GOOD
from energysim.results.season import chances_by_tide

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rich.console import RenderableType

    from energysim.results.season import SeasonResult


class BoatLine(NamedTuple):
    """What is kept of one boat's season for the page."""

    file: str
    title: str
    laid: int  # dates the plan can be laid on
    good: int  # of them: comes off 9 times in 10 or more
    chance: float  # mean over the dates laid
    spring: float | None  # mean over springs; None where there are none
    neap: float | None


def boat_line(file: str, result: SeasonResult) -> BoatLine:
    """Return what the page tells of one boat."""
    chances = [one.odds.whole_plan.chance for one in result.dates if one.odds is not None]
    by_tide = chances_by_tide(result.dates)
    return BoatLine(
        file=file,
        title=result.title,
        laid=len(chances),
        good=sum(chance >= GOOD for chance in chances),
        chance=sum(chances) / len(chances) if chances else 0.0,
        spring=by_tide.get("spring"),
        neap=by_tide.get("neap"),
    )


def fleet_document(boats: Iterable[tuple[str, SeasonResult]]) -> dict[str, Any]:
    """Return the seasons as plain data, ready for `json`: that of each file as if alone."""
    seasons = [{"file": file, **season_document(result)} for file, result in boats]
    return {"schema": SCHEMA, "boats": seasons}


def fleet_csv_head() -> str:
    """Return the header of the CSV, with units."""
    return _csv([("file", *COLUMNS)])


def fleet_csv(file: str, result: SeasonResult) -> str:
    """Return one boat's rows, those of its season with the file before them."""
    return _csv([(file, *season_cells(one)) for one in result.dates])


def _csv(rows: Iterable[Sequence[object]]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def fleet_page(boats: Sequence[BoatLine], example: SeasonResult) -> RenderableType:
    """
    Return a line for each boat as something rich can print.

    Parameters
    ----------
    boats : sequence of BoatLine
        In the order they were named.
    example : SeasonResult
        Of one of them, for what all have in common.
    """
    table = SectionTable(
        columns=columns(
            "Boat", "Good dates", "In 100", "Springs", "Neaps", numbers="1234", wraps="0"
        ),
        rows=tuple(
            (
                f"{one.file}\n  {one.title}" if one.title else one.file,
                f"{one.good} of {one.laid}",
                *(_hundred(chance) for chance in (one.chance, one.spring, one.neap)),
            )
            for one in boats
        ),
    )
    how = (
        f"Good dates: the whole plan comes off on {100.0 * GOOD:.0f} of 100 such days or more.",
        "In 100: on how many it does, over all dates, over springs, over neaps.",
        f"{example.members} days were run for each date. --csv and --json have every date, and "
        "energysim season with one file alone its calendar.",
    )
    return Group(
        title(f"{len(boats)} boats, {example.first} to {example.last}\n"),
        tabled(table),
        title("\nHow to read it"),
        listed(how),
    )


def _hundred(chance: float | None) -> str:
    return "" if chance is None else f"{100.0 * chance:.0f}"
