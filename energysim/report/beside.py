"""
What stands on the page of a day beside the day: its odds, and its options.

Depends on: results.odds, results.compare, report.sections, report.odds, report.compare_tables.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.report.compare_tables import by_name, compare_tables, told_of_options
from energysim.report.odds import odds_words
from energysim.report.sections import Section

if TYPE_CHECKING:
    from collections.abc import Collection

    from energysim.results.compare import CompareResult, OptionRow
    from energysim.results.odds import OddsResult
    from energysim.unit_format import System

ODDS: Final = "The odds"
OPTIONS: Final = "The options"
MOST_ROWS: Final = 10  # of options; a phone shows each as a stack of lines


def odds_section(result: OddsResult, *, system: System) -> Section:
    """Return the odds of the day: the chances, the spread and what it hangs on."""
    words = odds_words(result, system=system)
    chances, *parts = words.sections
    return Section(title=ODDS, lines=(words.verdict, *chances.lines), parts=tuple(parts))


def compare_section(
    result: CompareResult, *, system: System, said: Collection[str] = ()
) -> Section:
    """
    Return the options in order: which is first and why, and what each comes to.

    Parameters
    ----------
    result : CompareResult
        What was compared.
    system : {"us", "metric"}
        The units printed.
    said : collection of str
        Warnings the page gives already; they are not said again for each option.
    """
    rows = shown_rows(result)
    day, boat, money, _ = compare_tables(result, rows, system=system)
    parts = [by_name(part) for part in (day, boat, money)]
    left = len(result.rows) - len(rows)
    if left:
        parts.append(
            Section(
                title="Not shown here",
                lines=(f"{left} more options; energysim compare tells them all.",),
            )
        )
    if result.impossible:
        parts.append(
            Section(
                title="Cannot be",
                lines=tuple(f"{one.name}: {one.reason}." for one in result.impossible),
            )
        )
    warned = told_of_options(rows, system=system, said=said)
    if warned:
        parts.append(Section(title="To look at, option by option", lines=warned))
    return Section(
        title=OPTIONS,
        lines=(result.reason, f"The order: {result.rule}."),
        parts=tuple(parts),
    )


def shown_rows(result: CompareResult) -> tuple[OptionRow, ...]:
    """Return the first options in order, and the one the others are held against."""
    return tuple(
        row for row in result.rows if row.place <= MOST_ROWS or row.name == result.baseline
    )
