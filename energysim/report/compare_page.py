"""
A comparison as one HTML sheet to print and hand over: no script, nothing to fetch.

Depends on: report.compare_tables, report.shelf, results.compare.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.report.compare_tables import by_name, compare_tables, told_of_options
from energysim.report.in_units import sentence
from energysim.report.shelf import css, template

if TYPE_CHECKING:
    from energysim.results.compare import CompareResult, OptionRow
    from energysim.unit_format import System

MOST_ROWS: Final = 40  # what a customer still reads


def compare_html(result: CompareResult, *, system: System) -> str:
    """
    Return the sheet.

    Parameters
    ----------
    result : CompareResult
        What was compared; the sentences in it are in the units it was compared in.
    system : {"us", "metric"}
        The units printed.
    """
    rows = result.rows[:MOST_ROWS]
    tables = compare_tables(result, rows, system=system)
    return template("compare.html.j2").render(
        result=result,
        sections=[by_name(one) for one in tables if one.table is None or one.table.rows],
        rows=[(row, _beyond_the_bank(row)) for row in rows],
        more=len(result.rows) - len(rows),
        cautions=(*result.cautions, *told_of_options(rows, system=system)),
        taken=(
            *result.rules,
            *(sentence(one, system=system) for one in result.assumptions),
        ),
        css=css(),
    )


def _beyond_the_bank(row: OptionRow) -> list[str]:
    """Return what an option changes that its bank's own line does not say."""
    told = ("bank.battery ", "bank.parallel ")
    return [line for line in row.says if not line.startswith(told)]
