"""
The words of the text page in a form any page can lay out: headings, sentences, tables.

The sentences are made once, in `text`. What that hands to a terminal is read back here piece by
piece, so that every page says the same, and a section added there is on every page.

Depends on: text, results.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from energysim.report.text import day_page

if TYPE_CHECKING:
    from collections.abc import Iterator

    from energysim.results import DayResult
    from energysim.unit_format import System

LEGS = "Leg by leg"  # the text page sets its first table under the verdict, without a heading


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionTable:
    """A table as text; the first column names its rows."""

    header: tuple[str, ...]
    is_number: tuple[bool, ...]  # of each column: set flush right
    rows: tuple[tuple[str, ...], ...]
    total: tuple[str, ...] | None  # a last row that sums the others up


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """What stands under one heading."""

    title: str
    lines: tuple[str, ...] = ()
    table: SectionTable | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayWords:
    """Everything the text page says, in its order."""

    heading: str
    verdict: str
    sections: tuple[Section, ...]


def day_words(result: DayResult, *, system: System) -> DayWords:
    """
    Return what the text page says of a day, for a page that is laid out otherwise.

    Parameters
    ----------
    result : DayResult
        The day.
    system : {"us", "metric"}
        The units printed.

    Returns
    -------
    DayWords
        The heading, the verdict and the sections, in the order of the text page.

    Raises
    ------
    TypeError
        The text page holds a kind of piece that is not known here; it is not left out in
        silence.
    """
    heading, verdict = "", ""
    sections: list[Section] = []
    title = LEGS
    for piece in _pieces(day_page(result, system=system)):
        if isinstance(piece, Padding) and isinstance(piece.renderable, Text):
            verdict = piece.renderable.plain.strip()
        elif isinstance(piece, Text) and not heading:
            heading = piece.plain.strip()
        elif isinstance(piece, Text):
            title = piece.plain.strip()
        elif isinstance(piece, Table):
            sections.append(_section(title, piece))
        else:
            raise TypeError(f"the text page holds a {type(piece).__name__}, unknown here")
    return DayWords(heading=heading, verdict=verdict, sections=tuple(sections))


def _pieces(page: object) -> Iterator[object]:
    """Walk through groups within groups."""
    if isinstance(page, Group):
        for piece in page.renderables:
            yield from _pieces(piece)
    else:
        yield page


def _section(title: str, table: Table) -> Section:
    """Read sentences off a list, rows off a table."""
    columns = [tuple(map(_plain, column.cells)) for column in table.columns]
    if not table.show_header:
        return Section(title=title, lines=columns[-1])
    rows = list(zip(*columns, strict=True))
    sums_up = len(rows) > 1 and table.rows[-2].end_section
    return Section(
        title=title,
        table=SectionTable(
            header=tuple(_plain(column.header) for column in table.columns),
            is_number=tuple(column.justify == "right" for column in table.columns),
            rows=tuple(rows[:-1] if sums_up else rows),
            total=rows[-1] if sums_up else None,
        ),
    )


def _plain(cell: object) -> str:
    """Return a cell's words."""
    if isinstance(cell, Text):
        return cell.plain.strip()
    if isinstance(cell, str):
        return cell.strip()
    raise TypeError(f"a table of the text page holds a {type(cell).__name__}, unknown here")
