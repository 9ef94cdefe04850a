"""
What every table of a chart is made of: columns with their unit, and the CSV they make.

Depends on: charts.shown.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.charts.shown import shown, shown_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from energysim.unit_format import System

    Columns = tuple["ChartColumn", ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartColumn:
    """One column: numbers in the unit that is drawn, or words."""

    key: str
    unit: str  # as drawn; empty for words
    label: str
    values: Any  # an array of numbers, or a list of words

    @property
    def header(self) -> str:
        """The name with its unit."""
        return f"{self.key} [{self.unit}]" if self.unit else self.key


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartTable:
    """The tidy table of one result: a row an observation, a column a quantity."""

    name: str  # of the option; empty where there is one result
    columns: tuple[ChartColumn, ...]

    def __getitem__(self, key: str) -> ChartColumn:
        return next(column for column in self.columns if column.key == key)


def table_csv(tables: Sequence[ChartTable]) -> str:
    """
    Return the plotted numbers as CSV text, units in the header, options under one another.

    Clocks are ISO 8601 with their offset; what is not known is left empty.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    named = any(table.name for table in tables)
    first = ["option"] if named else []
    writer.writerow([*first, *(column.header for column in tables[0].columns)])
    for table in tables:
        cells = [_cells(column.values) for column in table.columns]
        for values in zip(*cells, strict=True):
            writer.writerow([*([table.name] if named else []), *values])
    return out.getvalue()


def _cells(values: Any) -> list[str]:
    if isinstance(values, np.ndarray):
        return ["" if np.isnan(value) else f"{value:.8g}" for value in values.tolist()]
    return [str(value) for value in values]


def number(key: str, unit: str, label: str, values: ArrayLike, system: System) -> ChartColumn:
    """Return a column of numbers, in the unit that is drawn."""
    return ChartColumn(
        key=key,
        unit=shown_unit(unit, system).unit,
        label=label,
        values=shown(values, unit, system),
    )


def words_column(key: str, label: str, values: Sequence[str]) -> ChartColumn:
    """Return a column of words."""
    return ChartColumn(key=key, unit="", label=label, values=list(values))
