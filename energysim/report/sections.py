"""
What a page says, before it is laid out: headings, sentences, tables.

They are made from results once (`day`, `odds`, `compare_tables`) and laid out in two places:
`terminal` for a terminal or a pipe, `page` for a browser. So both say the same.

Depends on: nothing of the package.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Tone = Literal["", "good", "fair", "bad"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """The head of a column, and how its cells are set."""

    title: str
    number: bool = False  # flush right
    wraps: bool = False  # a long cell takes a second line; otherwise it is never broken
    least_width: int = 0  # in a terminal, in letters


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionTable:
    """A table as text; the first column names its rows."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    total: tuple[str, ...] | None = None  # a last row that sums the others up
    caption: str = ""  # what the columns mean; on a page only, in a terminal there is no room
    inset: bool = False  # in a terminal it stands in as far as the sentences do

    @property
    def header(self) -> tuple[str, ...]:
        """The titles of the columns."""
        return tuple(column.title for column in self.columns)


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """What stands under one heading: a table, sentences, small print, and parts below it."""

    title: str
    lines: tuple[str, ...] = ()
    table: SectionTable | None = None
    notes: tuple[str, ...] = ()
    parts: tuple[Section, ...] = ()
    untitled: bool = False  # in a terminal it stands right under the verdict

    @property
    def is_empty(self) -> bool:
        """Whether it has nothing to say."""
        return not (self.lines or self.table or self.notes or self.parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """Everything a page says, in its order."""

    heading: str
    verdict: str
    tone: Tone
    sections: tuple[Section, ...]


def columns(*titles: str, numbers: str = "", wraps: str = "") -> tuple[Column, ...]:
    """
    Return columns by their titles.

    Parameters
    ----------
    *titles : str
        Of the columns, in order.
    numbers, wraps : str
        Places of the columns that are numbers and of those that may wrap, from 0: "13".

    Examples
    --------
    >>> [column.number for column in columns("Leg", "Used", numbers="1")]
    [False, True]
    """
    return tuple(
        Column(title=title, number=str(place) in numbers, wraps=str(place) in wraps)
        for place, title in enumerate(titles)
    )
