"""
What every way of drawing is given, and what it says about the room it needs.

Depends on: charts.style, charts.labels, charts.tables, charts.catalogue.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from energysim.charts.catalogue import ChartRow
    from energysim.charts.columns import ChartTable
    from energysim.charts.style import Look


class Layout(NamedTuple):
    """The axes a chart asks for."""

    rows: int
    columns: int
    height_in: float
    heights: tuple[float, ...] = ()  # of the rows, relative
    one_clock: bool = False  # all axes share their x


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frame:
    """A chart to be drawn."""

    row: ChartRow
    results: Sequence[Any]
    tables: Sequence[ChartTable]
    look: Look
    flood_toward_deg: float | None = None
    settle: Callable[[], None] = field(default=lambda: None)
    """Find the axes their places, for who measures texts while drawing."""
