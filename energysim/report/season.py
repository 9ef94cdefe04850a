"""
A season as a calendar of text, as one JSON document, and as CSV.

Depends on: results.season, report.document, report.sections, report.terminal, unit_format.
"""

from __future__ import annotations

import csv
import io
from itertools import groupby
from typing import TYPE_CHECKING, Any, Final

from rich.console import Group

from energysim.report.document import SCHEMA, plain_data
from energysim.report.sections import SectionTable, columns
from energysim.report.terminal import head, listed, tabled, title
from energysim.results.odds import FAIR, GOOD
from energysim.results.season import chances_by_tide
from energysim.unit_format import System, format_quantity

if TYPE_CHECKING:
    from rich.console import RenderableType

    from energysim.results.season import SeasonDate, SeasonResult

SIGNS: Final = ((GOOD, "++", "green"), (FAIR, "+", "yellow"), (0.0, "-", "red"))
"""How a chance is shown, so that nobody needs the colour."""

BEST: Final = 3
"""Dates named as the best. [count]"""

TIDES: Final = {"spring": "S", "neap": "n", "": ""}

COLUMNS: Final = (
    "date", "start", "tide", "fortnight_place [1]", "stream [m/s]", "stream_at",
    "plan_stream [m/s]", "wind [m/s]", "whole_plan [1]", "whole_plan_low [1]",
    "whole_plan_high [1]", "above_limit [1]", "home [1]", "end_soc_p10 [1]", "end_soc_p50 [1]",
    "end_soc_p90 [1]", "planned_end_soc [1]", "planned_outcome", "planned_off_station [s]",
    "best_start", "best_end_soc [1]", "best_outcome", "skipped",
)  # fmt: skip
SUFFIXES: Final = {"m/s": "_mps", "s": "_s"}
"""How the document's keys say the unit that a column has in brackets."""


def season_document(result: SeasonResult) -> dict[str, Any]:
    """Return the season as plain data, ready for `json`."""
    return {"schema": SCHEMA, **plain_data(result)}


def season_csv(result: SeasonResult) -> str:
    """Return a header with units and a row for each date, the numbers of the document."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for one in result.dates:
        writer.writerow(season_cells(one))
    return out.getvalue()


def season_cells(one: SeasonDate) -> list[object]:
    """Return one date's row, empty where there is nothing to tell."""
    row: dict[str, Any] = plain_data(one)
    odds = row["odds"]
    if odds is not None:
        chance, soc = odds["whole_plan"], odds["end_soc"]
        odds = {
            **odds,
            "whole_plan": chance["chance"],
            "whole_plan_low": chance["low"],
            "whole_plan_high": chance["high"],
            "above_limit": odds["above_limit"]["chance"],
            "home": odds["home"]["chance"],
            **{f"end_soc_{key}": value for key, value in soc.items()},
        }
    cells = {**row, **(odds or {})}
    return [cells.get(_key(column)) for column in COLUMNS]


def _key(column: str) -> str:
    """Return what the document calls a column."""
    name, _, unit = column.partition(" ")
    return name + SUFFIXES.get(unit.strip("[]"), "")


def season_page(result: SeasonResult, *, system: System) -> RenderableType:
    """
    Return the calendar as something rich can print.

    Parameters
    ----------
    result : SeasonResult
        The season.
    system : str
        "us" or "metric": the units printed.
    """
    parts = head(f"{result.title}, {result.first} to {result.last}", _verdict(result))
    for _, month in groupby(result.dates, key=lambda one: (one.date.year, one.date.month)):
        parts.extend(_month(tuple(month), system))
    parts += [title("\nHow to read it"), listed(_how(result))]
    return Group(*parts)


def _verdict(result: SeasonResult) -> str:
    """Say how many dates are good."""
    held = [one.odds.whole_plan.chance for one in result.dates if one.odds is not None]
    good = sum(chance >= GOOD for chance in held)
    told = f"On {good} of {len(held)} dates the whole plan comes off 9 times in 10 or more."
    best = sorted((one for one in result.dates if one.odds is not None), key=_merit)[:BEST]
    if len(held) > BEST:
        dates = ", ".join(f"{one.date:%a} {one.date.day} {one.date:%b}" for one in best)
        told += f" Best: {dates}."
    return told


def _merit(one: SeasonDate) -> tuple[float, float]:
    """Order dates: the likelier to come off first, then the one that leaves more."""
    return (-one.odds.whole_plan.chance, -one.odds.end_soc.p50) if one.odds else (1.0, 0.0)


def _tides(dates: tuple[SeasonDate, ...]) -> str:
    """Say what springs and neaps of one month come to: the same wind blows at both."""
    means = [f"at {tide}s {100.0 * mean:.0f}" for tide, mean in chances_by_tide(dates).items()]
    return f": in 100 such days, {', '.join(means)}" if means else ""


def _month(dates: tuple[SeasonDate, ...], system: System) -> list[RenderableType]:
    """Return a month's heading and its table."""
    rows: list[tuple[str, ...]] = []
    for one in dates:
        stream = one.stream_mps
        shown = "" if stream is None else _speed(stream, system)
        clock = "" if one.stream_at is None else f"{one.stream_at:%H:%M}"
        day = f"{one.date.day:2d} {one.date:%a}"
        if one.odds is None:
            rows.append((day, TIDES[one.tide], shown, clock, "", "", "x", "", "", "not laid"))
            continue
        odds = one.odds
        best = "as planned"
        if odds.best_start != odds.start:
            best = f"{odds.best_start:%H:%M}, {odds.best_end_soc:.0%}"
        rows.append(
            (
                day,
                TIDES[one.tide],
                shown,
                clock,
                _speed(odds.wind_mps, system),
                f"{100.0 * odds.whole_plan.chance:.0f}",
                _sign(odds.whole_plan.chance),
                f"{odds.end_soc.p50:.0%}",
                f"{odds.planned_end_soc:.0%}",
                best,
            )
        )
    table = SectionTable(
        columns=columns(
            "Date", "Tide", "Stream", "at", "Wind", "In 100", "", "Left", "Planned",
            "Best start", numbers="24578", wraps="9",
        ),
        rows=tuple(rows),
    )  # fmt: skip
    colours = {sign: style for _, sign, style in SIGNS}
    return [
        title(f"\n{dates[0].date:%B %Y}{_tides(dates)}"),
        tabled(table, styles=colours),
    ]


def _speed(value_mps: float, system: System) -> str:
    return format_quantity(value_mps, "speed", system=system, digits=1)


def _sign(chance: float) -> str:
    """Return the sign of a chance."""
    return next(sign for least, sign, _ in SIGNS if chance >= least)


def _how(result: SeasonResult) -> list[str]:
    wind = {
        "own": "The scenario's own wind blows on every date, out by what a forecast is; "
        "--climate gives that of the place.",
        "frequencies": f"Winds are those of {result.climate}, each as often as its share of "
        "the month, steady through a day; planned is the day in the month's median speed from "
        "its most frequent direction.",
        "history": f"Winds are those of {result.climate}, hours of days of the same month; "
        "planned is the day in the month's median speed from its most frequent direction.",
    }
    shifts = ", ".join(f"{shift / 3600.0:+g} h" for shift in result.tried_starts_s if shift)
    lines = [
        f"In 100: on how many such days the whole plan comes off, every leg held and the bank "
        f"above {result.limit_soc:.0%}; {SIGNS[0][1]} from {GOOD:.0%}, {SIGNS[1][1]} from "
        f"{FAIR:.0%}, {SIGNS[2][1]} below.",
        f"{result.members} days a date, seed {result.seed}: a chance near the middle is known "
        f"to within {98.0 / result.members**0.5:.0f} in 100, 19 times in 20. JSON and CSV have "
        "each date's range.",
        wind[result.wind],
        "Left: charge in the bank at the end, on half of such days more, on half less. "
        "Planned: the same if nothing is otherwise than planned. Wind is the mean at 10 m "
        "while the plan runs.",
        "Stream is the fastest of the day at the spot and the night about it, and when. S, "
        "springs: in the upper third of what the days a week either side have; n, neaps: in "
        "the lower.",
        f"Best start is the best of the planned one and {shifts}, in the planned wind, and "
        "what it leaves.",
    ]
    reasons = {one.skipped for one in result.dates if one.skipped}
    if result.from_table:
        lines.append(
            "Holding in smooth water was read from a table of the boat, within 1% of the laws."
        )
    return lines + [f"x, not laid: {reason}" for reason in sorted(reasons)]
