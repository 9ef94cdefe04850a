"""
A comparison as one HTML sheet to print and hand over: no script, nothing to fetch.

Depends on: report.compare_tables, results_compare, unit_format.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

from jinja2 import Environment, PackageLoader, StrictUndefined

from energysim.report.compare_tables import compare_tables

if TYPE_CHECKING:
    from jinja2 import Template

    from energysim.results_compare import CompareResult, OptionRow
    from energysim.unit_format import System

MOST_ROWS: Final = 40  # what a customer still reads


def compare_html(result: CompareResult, *, system: System) -> str:
    """
    Return the sheet.

    Parameters
    ----------
    result : CompareResult
        What was compared.
    system : str
        "us" or "metric": the units printed.
    """
    rows = result.rows[:MOST_ROWS]
    return _template().render(
        result=result,
        tables=compare_tables(result, rows, system=system),
        rows=[(row, _beyond_the_bank(row)) for row in rows],
        more=len(result.rows) - len(rows),
        warnings=_warnings(result),
    )


def _beyond_the_bank(row: OptionRow) -> list[str]:
    """Return what an option changes that its bank's own line does not say."""
    told = ("bank.battery ", "bank.parallel ")
    return [line for line in row.says if not line.startswith(told)]


def _warnings(result: CompareResult) -> dict[str, list[str]]:
    """Return each caution and warning once, with the options it is about."""
    found: dict[str, list[str]] = {}
    for row in result.rows[:MOST_ROWS]:
        for warning in (*row.day.cautions, *row.day.warnings):
            found.setdefault(warning, []).append(str(row.place))
    return found


@cache
def _template() -> Template:
    """Read the shipped template; a word it does not know is an error."""
    shelf = Environment(
        loader=PackageLoader("energysim.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return shelf.get_template("compare.html.j2")
