"""
The day as one HTML page that needs nothing else: no script, no network, no font to fetch.

It says what the text page says (`sections`), in an order for somebody who reads the top first,
with the charts and the day at round clock times.

Depends on: report.sections, report.hours, report.figure, results.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from energysim.report.figure import embedded_svg
from energysim.report.hours import hours_table
from energysim.report.sections import LEGS, Section, day_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from jinja2 import Template

    from energysim.report.figure import Figure
    from energysim.report.sections import DayWords
    from energysim.results import DayResult
    from energysim.unit_format import System

DAY: Final = "The day"
BANK: Final = "The bank"
CHANGES: Final = "What to change"
NIGHT: Final = "The night at the charger"
ASSUMED: Final = "Taken for granted, because the scenario does not say"
HOW_SURE: Final = "How sure:"  # what the bank's sentence on the spread begins with

FIRST: Final = (
    CHANGES, DAY, LEGS, BANK, "How the boat lies", "The tightest hour", NIGHT,
)  # fmt: skip
LAST: Final = ("The way home on the bow motor alone", "Warnings", ASSUMED, "Cautions")

PLACE_OF_FIGURE: Final = {"day": DAY, "legs": LEGS, "voltage": BANK, "night": NIGHT}
CAPTIONS: Final = {
    LEGS: "Thrust is the mean wanted on a leg, and its share of the motor's rated thrust; peak "
    "is the current in the gusts; left is the charge after the leg at the rate you draw.",
    CHANGES: "The same day with one thing otherwise, the most helpful first.",
}


def day_report(
    result: DayResult,
    *,
    system: System,
    scenario_name: str,
    scenario_text: str,
    version: str,
    figures: Sequence[Figure] = (),
    beside: Sequence[Section] = (),
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
        Charts of this result; each goes to the section its kind belongs to.
    beside : sequence of Section
        What was worked out beside the day (odds, a comparison); stands between the night and
        the way home.

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
    sure, sections = _lead(words)
    table, every_min = hours_table(result, system=system)
    return _template().render(
        heading=words.heading,
        verdict=words.verdict,
        sure=sure,
        sections=_in_order([*sections, Section(title=DAY)], beside),
        figures=_placed(figures),
        hours=table,
        hours_section=DAY,
        hours_every=f"{every_min} min" if every_min < 120 else f"{every_min // 60} h",
        captions=CAPTIONS,
        two_columns={ASSUMED},
        css=_css(),
        scenario_name=scenario_name,
        scenario_text=scenario_text.strip("\n"),
        version=version,
    )


def _lead(words: DayWords) -> tuple[tuple[str, ...], list[Section]]:
    """Move how sure the answer is from the bank's lines to stand under the verdict."""
    sure: tuple[str, ...] = ()
    rest = []
    for section in words.sections:
        if section.title == BANK:
            sure = tuple(line for line in section.lines if line.startswith(HOW_SURE))
            others = tuple(line for line in section.lines if line not in sure)
            rest.append(replace(section, lines=others))
        else:
            rest.append(section)
    return sure, rest


def _in_order(sections: Iterable[Section], beside: Iterable[Section]) -> list[Section]:
    """Sort the sections for the page; those it does not know stand before the way home."""
    by_title = {section.title: section for section in sections}
    first = [by_title.pop(title) for title in FIRST if title in by_title]
    last = [by_title.pop(title) for title in LAST if title in by_title]
    return [*first, *by_title.values(), *beside, *last]


def _placed(figures: Iterable[Figure]) -> dict[str, list[dict[str, object]]]:
    """Return the figures by the section they stand in, their drawings ready to embed."""
    placed: dict[str, list[dict[str, object]]] = {}
    for figure in figures:
        if figure.kind not in PLACE_OF_FIGURE:
            raise ValueError(
                f"a figure of the kind {figure.kind!r} has no place on the page; "
                f"there is one for {', '.join(PLACE_OF_FIGURE)}"
            )
        narrow = embedded_svg(figure.narrow_svg, prefix=f"{figure.kind}-narrow-")
        wide = ""
        if figure.wide_svg is not None:
            wide = embedded_svg(figure.wide_svg, prefix=f"{figure.kind}-wide-")
        placed.setdefault(PLACE_OF_FIGURE[figure.kind], []).append(
            # Looked through by `embedded_svg`; escaped, it would be no drawing.
            {"caption": figure.caption, "wide": Markup(wide), "narrow": Markup(narrow)}
        )
    return placed


def slug(title: str) -> str:
    """
    Return a title as an id of the page.

    Examples
    --------
    >>> slug("The way home, on the bow motor")
    'the-way-home-on-the-bow-motor'
    """
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")


@cache
def _template() -> Template:
    """Return the page's template; what it names and nobody gives is an error."""
    environment = Environment(
        loader=PackageLoader("energysim.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["slug"] = slug
    return environment.get_template("page.html.j2")


@cache
def _css() -> Markup:
    """Return the style sheet, which holds nothing from a scenario."""
    folder = files("energysim.report") / "templates"
    return Markup((folder / "page.css").read_text(encoding="utf-8"))
