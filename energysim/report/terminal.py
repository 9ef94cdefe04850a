"""
Sections laid out for a terminal or a pipe.

Depends on: report.sections.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from rich.console import RenderableType

    from energysim.report.sections import Section, SectionTable, Tone, Words

STYLES: Final[dict[Tone, str]] = {"": "", "good": "green", "fair": "yellow", "bad": "red"}
INSET: Final = "  "


def page(words: Words) -> Group:
    """Return everything a page says as something rich can print."""
    parts = head(words.heading, words.verdict, words.tone)
    for one in words.sections:
        parts += section(one)
    return Group(*parts)


def head(heading: str, verdict: str, tone: Tone = "") -> list[RenderableType]:
    """Return what a page begins with."""
    return [title(heading), Padding(Text(verdict, STYLES[tone]), (1, 2))]


def title(text: str) -> Text:
    """Return a heading; what a user typed is never markup."""
    return Text(text, "bold")


def section(one: Section) -> list[RenderableType]:
    """Return one section; nothing where it has nothing to say."""
    if one.is_empty:
        return []
    parts: list[RenderableType] = [] if one.untitled else [title(f"\n{one.title}")]
    if one.table is not None:
        parts.append(tabled(one.table))
    if one.lines:
        parts.append(listed(one.lines))
    parts += [note(text) for text in one.notes]
    for part in one.parts:
        parts += section(part)
    return parts


def note(text: str) -> Padding:
    """Return small print."""
    return Padding(Text(text, "dim"), (0, 2, 0, 2))


def listed(lines: Iterable[str]) -> Table:
    """Return sentences, a dash before each."""
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=2, justify="right")
    grid.add_column(overflow="fold")
    for line in lines:
        grid.add_row("-", Text(line))
    return grid


def tabled(
    table: SectionTable, *, gap: int = 2, styles: Mapping[str, str] | None = None
) -> Table:
    """
    Return a table.

    Parameters
    ----------
    table : SectionTable
        Its words.
    gap : int
        Blanks between two columns. [count]
    styles : mapping of str to str, optional
        What cells of these very words look like.
    """
    grid = Table(box=None, pad_edge=False, header_style="dim", padding=(0, gap, 0, 0))
    for place, column in enumerate(table.columns):
        inset = INSET if table.inset and place == 0 else ""
        grid.add_column(
            Text(inset + column.title),
            justify="right" if column.number else "left",
            overflow="fold" if column.wraps else "ellipsis",
            no_wrap=not column.wraps,
            min_width=column.least_width or None,
        )
    looks = styles or {}
    for row in (*table.rows, *([table.total] if table.total else [])):
        first = INSET + row[0] if table.inset and row[0] else row[0]
        grid.add_row(*(Text(cell, looks.get(cell, "")) for cell in (first, *row[1:])))
    return grid
