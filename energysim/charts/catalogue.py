"""
The catalogue of charts: a row each, read from data/charts.csv.

Depends on: nothing of the package.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartRow:
    """One kind of chart."""

    kind: str
    result: str  # what it is drawn from, a key of `charts.tables.TABLES`
    drawing: str  # which way of drawing, a key of `charts.draw.DRAWINGS`
    title: str
    columns: str  # panels part at ";", the lines of a panel at a blank
    several: str  # the columns where several results are given; empty: one at a time
    description: str  # for who cannot see it; the facts of the result in braces
    of_each: str  # the same of each of several

    def panels(self) -> tuple[tuple[str, ...], ...]:
        """Return the columns of each panel."""
        return tuple(tuple(panel.split()) for panel in self.columns.split(";"))

    def of(self, results: int) -> ChartRow:
        """Return the row as it is for so many results: several show less of each."""
        return replace(self, columns=self.several) if results > 1 else self


@cache
def charts() -> Mapping[str, ChartRow]:
    """Return every kind of chart by name, in the file's order."""
    text = (files("energysim") / "data" / "charts.csv").read_text(encoding="utf-8")
    return {row["kind"]: ChartRow(**row) for row in csv.DictReader(text.splitlines())}


def chart_row(kind: str) -> ChartRow:
    """Return a kind of chart; one that is not listed is a ValueError that names the nearest."""
    listed = charts()
    if kind in listed:
        return listed[kind]
    from difflib import get_close_matches  # noqa: PLC0415 - start-up

    near = get_close_matches(kind, listed, n=1)
    hint = f"did you mean {near[0]!r}? " if near else ""
    raise ValueError(f"{kind!r} is no kind of chart; {hint}known: {', '.join(listed)}")
