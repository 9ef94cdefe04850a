"""
Results as pages of text, for a terminal or a pipe.

Depends on: results, report.sections, report.terminal, report.day, report.odds,
report.compare_tables.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rich.console import Group
from rich.padding import Padding
from rich.text import Text

from energysim.report.terminal import note, page, tabled, title

if TYPE_CHECKING:
    from rich.console import RenderableType

    from energysim.results.compare import CompareResult
    from energysim.results.day import DayResult
    from energysim.results.odds import OddsResult
    from energysim.unit_format import System

MOST_ROWS: Final = 20
STYLES: Final = {"holds": "green", "short": "yellow", "too deep": "red", "runs empty": "red"}
LEFT_OUT: Final = (
    "Left out for want of room: what each option changes, energy drawn, peak current, ranges, "
    "warnings. --csv FILE or --json has everything, --page FILE a sheet to print."
)


def day_page(result: DayResult, *, system: System) -> Group:
    """
    Return a day as something rich can print.

    Parameters
    ----------
    result : DayResult
        The day.
    system : {"us", "metric"}
        The units printed.
    """
    from energysim.report.day import day_words  # noqa: PLC0415 - start-up

    return page(day_words(result, system=system))


def odds_page(result: OddsResult, *, system: System) -> Group:
    """Return the odds of a day as something rich can print, as `day_page` does."""
    from energysim.report.odds import odds_words  # noqa: PLC0415 - start-up

    return page(odds_words(result, system=system))


def compare_page(result: CompareResult, *, system: System) -> Group:
    """
    Return the comparison as something rich can print within 80 columns.

    Parameters
    ----------
    result : CompareResult
        What was compared.
    system : str
        "us" or "metric": the units printed.
    """
    from energysim.report.compare_tables import compare_tables  # noqa: PLC0415 - start-up

    shown = result.rows[:MOST_ROWS]
    parts: list[RenderableType] = [
        title(f"{result.title}: {len(result.rows)} options on {result.on:%d %B %Y}"),
        Padding(Text(f"In order by '{result.rank}': {result.rule}."), (1, 2, 0, 2)),
        Padding(Text(result.reason), (0, 2, 0, 2)),
    ]
    for one in compare_tables(result, shown, system=system):
        if one.table is None:
            parts.append(title(f"\n{one.title}"))
        elif one.table.rows:
            parts += [title(f"\n{one.title}"), tabled(one.table, gap=1, styles=STYLES)]
        parts += [note(text) for text in one.notes]
    if len(shown) < len(result.rows):
        more = len(result.rows) - len(shown)
        parts.append(title(f"\nand {more} more options, not shown here."))
    if result.impossible:
        parts.append(title("\nCannot be"))
        parts += [
            Padding(Text(f"{one.name}: {one.reason}"), (0, 2, 0, 2))
            for one in result.impossible
        ]
    parts.append(Padding(Text(LEFT_OUT, "dim"), (1, 2, 0, 2)))
    parts.append(title("\nCautions"))
    parts += [Padding(Text(f"- {caution}"), (0, 2, 0, 2)) for caution in result.cautions]
    return Group(*parts)
