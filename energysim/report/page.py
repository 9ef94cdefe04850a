"""
The day as one HTML page that needs nothing else: no script, no network, no font to fetch.

It says what the text page says (`day`, and `odds` and `compare_tables` where there is more than
the day), in an order for somebody who reads the top first, with the charts and the day at round
clock times.

Depends on: report.day, report.beside, report.brief, report.hours, report.figure, report.shelf,
results.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from markupsafe import Markup

from energysim.report import day as words_of
from energysim.report.beside import ODDS, OPTIONS, compare_section, odds_section
from energysim.report.brief import brief
from energysim.report.day import day_words, sure_line
from energysim.report.figure import embedded_svg
from energysim.report.hours import hours_table
from energysim.report.sections import Section
from energysim.report.shelf import css, template

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from energysim.report.figure import Figure
    from energysim.results.compare import CompareResult
    from energysim.results.day import DayResult
    from energysim.results.odds import OddsResult
    from energysim.unit_format import System

DAY: Final = "The day"

FIRST: Final = (
    words_of.CHANGES, DAY, words_of.LEGS, words_of.BANK, words_of.LYING, words_of.TIGHTEST,
    words_of.NIGHT,
)  # fmt: skip
LAST: Final = (
    ODDS, OPTIONS, words_of.HOME, words_of.WARNINGS, words_of.ASSUMED, words_of.CAUTIONS,
)  # fmt: skip

PLACE_OF_FIGURE: Final = {
    "day": DAY,
    "legs": words_of.LEGS,
    "voltage": words_of.BANK,
    "night": words_of.NIGHT,
    "odds": ODDS,
    "options": OPTIONS,
}


def day_report(
    result: DayResult,
    *,
    system: System,
    scenario_name: str,
    scenario_text: str,
    version: str,
    figures: Sequence[Figure] = (),
    odds: OddsResult | None = None,
    comparison: CompareResult | None = None,
) -> str:
    """
    Return the whole answer as one self-contained HTML page.

    Parameters
    ----------
    result : DayResult
        The day.
    system : {"us", "metric"}
        The units printed.
    scenario_name, scenario_text : str
        What the scenario is called, and the file as it was typed.
    version : str
        Of the package, for the foot of the page.
    figures : sequence of Figure
        Charts of these results; each goes to the section its kind belongs to.
    odds : OddsResult, optional
        The odds of the same day.
    comparison : CompareResult, optional
        The options of the same file.

    Returns
    -------
    str
        HTML text; the same input gives the same bytes.

    Raises
    ------
    ValueError
        A figure has no place on the page, or its drawing is not fit for one.
    """
    words = day_words(result, system=system)
    sections = [*_without_how_sure(words.sections, result), Section(title=DAY)]
    if odds is not None:
        sections.append(odds_section(odds, system=system))
    if comparison is not None:
        said = {*result.cautions, *result.warnings}
        sections.append(compare_section(comparison, system=system, said=said))
        sections = [_with_cautions(one, comparison) for one in sections]
    table, every_min = hours_table(result, system=system)
    return template("page.html.j2").render(
        heading=words.heading,
        verdict=words.verdict,
        tone=words.tone,
        brief=brief(
            result, odds=odds, odds_title=ODDS, comparison=comparison, comparison_title=OPTIONS
        ),
        sections=_in_order(sections),
        figures=_placed(figures, {section.title for section in sections}),
        hours=table,
        hours_section=DAY,
        hours_every=f"{every_min} min" if every_min < 120 else f"{every_min // 60} h",
        two_columns={words_of.ASSUMED},
        css=css(),
        scenario_name=scenario_name,
        scenario_text=scenario_text.strip("\n"),
        version=version,
    )


def _without_how_sure(sections: Iterable[Section], result: DayResult) -> list[Section]:
    """Leave how sure the answer is out of the bank's lines: it stands under the verdict."""
    sure = sure_line(result)
    return [
        replace(section, lines=tuple(line for line in section.lines if line != sure))
        for section in sections
    ]


def _with_cautions(section: Section, comparison: CompareResult) -> Section:
    """Put the cautions of a comparison after those of the day."""
    if section.title != words_of.CAUTIONS:
        return section
    more = (one for one in comparison.cautions if one not in section.lines)
    return replace(section, lines=(*section.lines, *more))


def _in_order(sections: Iterable[Section]) -> list[Section]:
    """Sort the sections for the page; those it does not know stand after the night."""
    by_title = {section.title: section for section in sections}
    first = [by_title.pop(title) for title in FIRST if title in by_title]
    last = [by_title.pop(title) for title in LAST if title in by_title]
    return [*first, *by_title.values(), *last]


def _placed(figures: Iterable[Figure], titles: set[str]) -> dict[str, list[dict[str, object]]]:
    """Return the figures by the section they stand in, their drawings ready to embed."""
    placed: dict[str, list[dict[str, object]]] = {}
    for figure in figures:
        place = PLACE_OF_FIGURE.get(figure.kind)
        if place is None:
            raise ValueError(
                f"a figure of the kind {figure.kind!r} has no place on the page; "
                f"there is one for {', '.join(PLACE_OF_FIGURE)}"
            )
        if place not in titles:
            raise ValueError(
                f"a figure of the kind {figure.kind!r} belongs to {place!r}, and the page has "
                "no such section"
            )
        narrow = embedded_svg(figure.narrow_svg, prefix=f"{figure.kind}-narrow-")
        wide = ""
        if figure.wide_svg is not None:
            wide = embedded_svg(figure.wide_svg, prefix=f"{figure.kind}-wide-")
        placed.setdefault(place, []).append(
            # Looked through by `embedded_svg`; escaped, it would be no drawing.
            {"caption": figure.caption, "wide": Markup(wide), "narrow": Markup(narrow)}
        )
    return placed
