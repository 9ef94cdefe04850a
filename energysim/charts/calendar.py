"""
The odds of a plan date by date, as a calendar to pick a day from.

Depends on: charts.frame, charts.style, results.season.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Any, Final

from energysim.charts.frame import Layout
from energysim.charts.style import INK, RULE, SOFT_INK, TEXT_PT
from energysim.results.odds import FAIR, GOOD
from energysim.results.season import chances_by_tide

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from energysim.charts.frame import Frame
    from energysim.charts.labels import Wish
    from energysim.results.season import DateOdds, SeasonDate, SeasonResult
    from energysim.unit_format import System

    Month = tuple["SeasonDate", ...]

MONTH_IN: Final = 2.3  # the least width of a month
CELL_IN: Final = 0.42  # height of a date's box
HEAD_IN: Final = 0.14  # the names of the days of the week
MONTH_HEAD_IN: Final = 0.28  # the month's name, and the gap above
WEEK: Final = 7
NAMES: Final = ("Mo", "Tu", "We", "Th", "Fr", "Sa", "Su")
SIGNS: Final = {"spring": "S", "neap": "N"}
EDGE: Final = 0.07  # of a box, about its texts
NOT_LAID: Final = "x"


def first_weekday(system: System) -> int:
    """Return the day a week begins with, Monday 0: Sunday where units are of the US."""
    return 6 if system == "us" else 0


def months_of(result: SeasonResult) -> list[Month]:
    """Return the dates month by month."""
    return [
        tuple(month)
        for _, month in groupby(result.dates, key=lambda one: (one.date.year, one.date.month))
    ]


def place_of(one: SeasonDate, system: System) -> tuple[int, int]:
    """Return the week and the day of the week a date stands in, both from 0."""
    begin = first_weekday(system)
    lead = (one.date.replace(day=1).weekday() - begin) % WEEK
    return (lead + one.date.day - 1) // WEEK, (one.date.weekday() - begin) % WEEK


def _weeks(month: Month, system: System) -> tuple[int, int]:
    """Return the first and the last week of a month that have a date in them."""
    weeks = [place_of(one, system)[0] for one in month]
    return min(weeks), max(weeks)


def layout(frame: Frame) -> Layout:
    """Return a place a month, as many side by side as there is room for."""
    if len(frame.results) > 1:
        raise ValueError(f"a {frame.row.kind!r} chart shows one season at a time")
    months = months_of(frame.results[0])
    columns = min(len(months), max(1, int(frame.look.width_in / MONTH_IN)))
    rows = [months[at : at + columns] for at in range(0, len(months), columns)]
    heights = tuple(_tall(row, frame.look.system) for row in rows)
    return Layout(len(rows), columns, sum(heights) + len(rows) * MONTH_HEAD_IN, heights)


def _tall(months: Sequence[Month], system: System) -> float:
    weeks = [_weeks(month, system) for month in months]
    return HEAD_IN + CELL_IN * max(last - first + 1 for first, last in weeks)


def draw_calendar(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw the months, a box a date."""
    (result,), system = frame.results, frame.look.system
    months = months_of(result)
    columns = layout(frame).columns
    for ax in axes[len(months) :]:
        ax.set_visible(False)
    for number, (ax, month) in enumerate(zip(axes, months, strict=False)):
        beside = months[number - number % columns :][:columns]
        first = _weeks(month, system)[0]
        ax.set_axis_off()
        ax.set_title(f"{month[0].date:%B %Y}", loc="left", pad=3.0)
        ax.set_title(_tides(month), loc="right", pad=3.0, weight="normal", color=SOFT_INK)
        ax.set_xlim(0.0, WEEK)
        ax.set_ylim(_tall(beside, system) / CELL_IN, 0.0)
        begin = first_weekday(system)
        for day in range(WEEK):
            ax.text(
                day + 0.5, 0.5 * HEAD_IN / CELL_IN, NAMES[(day + begin) % WEEK], ha="center",
                va="center", size=TEXT_PT, color=SOFT_INK,
            )  # fmt: skip
        for one in month:
            week, day = place_of(one, system)
            _box(ax, one, float(day), HEAD_IN / CELL_IN + week - first, frame)
    return []


def _box(ax: Any, one: SeasonDate, x: float, y: float, frame: Frame) -> None:
    """Draw one date: its day, its tide, its odds, and a better start where there is one."""
    from matplotlib.patches import Rectangle  # noqa: PLC0415 - start-up

    odds = one.odds
    chance = None if odds is None else odds.whole_plan.chance
    good = chance is not None and chance >= GOOD
    box = Rectangle(
        (x, y), 1.0, 1.0, facecolor=frame.look.tint if good else "white", edgecolor=RULE,
        lw=0.5, clip_on=False, gid=f"date-{one.date}",
    )  # fmt: skip
    ax.add_patch(box)

    def write(at_x: float, at_y: float, said: str, **style: Any) -> None:
        ax.text(x + at_x, y + at_y, said, **{"size": TEXT_PT, "color": INK, **style})

    write(EDGE, EDGE, str(one.date.day), ha="left", va="top", color=SOFT_INK)
    if one.tide:
        write(1.0 - EDGE, EDGE, SIGNS[one.tide], ha="right", va="top")
    # A chance is a whole number of 100 days: what is not quite sure does not read so.
    told = NOT_LAID if chance is None else f"{100.0 * chance:.0f}"
    weight, ink = ("bold", INK) if chance is None or chance >= FAIR else ("normal", SOFT_INK)
    write(
        0.5, 0.52, told, ha="center", va="center", size=TEXT_PT + 1.5, weight=weight, color=ink
    )
    if odds is not None and odds.best_start != odds.start:
        write(0.5, 1.0 - EDGE, f"{odds.best_start:%H:%M}", ha="center", va="bottom")


def _tides(month: Month) -> str:
    """Say what springs and neaps of one month come to, in 100."""
    means = chances_by_tide(month).items()
    return ", ".join(f"{tide}s {100.0 * mean:.0f}" for tide, mean in means)


def starts_of(result: SeasonResult) -> list[DateOdds]:
    """Return the dates on which another start than the planned one does better."""
    laid = [one.odds for one in result.dates if one.odds is not None]
    return [odds for odds in laid if odds.best_start != odds.start]


def foot(frame: Frame) -> str:
    """Say what the numbers, letters and clocks are."""
    result: SeasonResult = frame.results[0]
    planned: list[datetime] = [one.odds.start for one in result.dates if one.odds is not None]
    chances = [one.odds.whole_plan.chance for one in result.dates if one.odds is not None]
    said = [
        f"In each box: in how many of 100 such days the whole plan comes off, every leg held "
        f"and the bank above {result.limit_soc:.0%}; tinted from {100 * GOOD:.0f}"
        + (f", thin below {100 * FAIR:.0f}." if min(chances) < FAIR else ".")
    ]
    if any(one.tide for one in result.dates):
        said.append("S springs, N neaps: the upper and the lower third of the fortnight.")
    if starts_of(result):
        said.append(f"A clock: the start that would do better than {planned[0]:%H:%M}.")
    if any(one.odds is None for one in result.dates):
        said.append(f"{NOT_LAID}: the plan cannot be laid on that date.")
    wind = "the scenario's own on every date" if result.wind == "own" else result.climate
    said.append(f"Wind: {wind}. {result.members} days run for each date: a number near the ")
    said[-1] += f"middle is known to within {98.0 / result.members**0.5:.0f}."
    return " ".join(said)
