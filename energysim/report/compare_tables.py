"""
A comparison as tables of words, for the terminal and for pages alike.

Depends on: results.compare, clock, unit_format, report.sections, report.compare_cells.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from energysim.clock import clock_span
from energysim.report.compare_cells import (
    NOT_KNOWN,
    SECONDS_PER_HOUR,
    hold,
    kwh,
    minutes,
    night,
    plate,
    price,
    spread,
    trim,
)
from energysim.report.in_units import in_units
from energysim.report.sections import Column, Section, SectionTable
from energysim.report.signed import points, signed
from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from energysim.results.compare import CompareResult, OptionRow
    from energysim.unit_format import System

DAYS: Final = {"holds": "holds", "short": "short", "deep": "too deep", "empty": "runs empty"}
COSTS: Final = "What it costs"
NO_COSTS: Final = (
    "Not told: the file has no [prices]. With a currency, what a block or the bank costs and "
    "trips_a_year this is a table of prices, years and cost a trip."
)
PLATE: Final = "Plate: what is left of the capacity plate's total weight."


def compare_tables(
    result: CompareResult, rows: Sequence[OptionRow], *, system: System
) -> tuple[Section, ...]:
    """
    Return the tables, of some of the options.

    Parameters
    ----------
    result : CompareResult
        What was compared.
    rows : sequence of OptionRow
        The options to show, in order.
    system : str
        "us" or "metric": the units printed.
    """
    return (
        _day(result, rows),
        _boat(rows, system),
        _money(result, rows),
        _change(result, rows, system),
    )


def _table(
    title: str,
    rows: Sequence[OptionRow],
    columns: Sequence[tuple[str, bool, Callable[[OptionRow], str]]],
    notes: Sequence[str],
    *,
    caption: str,
) -> Section:
    return Section(
        title=title,
        table=SectionTable(
            columns=(
                Column(title="", number=True, least_width=2),
                Column(title="Option", wraps=True),
                *(
                    Column(title=head, number=number, wraps=not number)
                    for head, number, _ in columns
                ),
            ),
            rows=tuple(
                (str(row.place), row.name, *(cell(row) for _, _, cell in columns))
                for row in rows
            ),
            caption=caption,
        ),
        notes=tuple(note for note in notes if note),
    )


def _day(result: CompareResult, rows: Sequence[OptionRow]) -> Section:
    hour = result.hardest
    hardest = ""
    if hour is not None:
        hardest = (
            f"Hold left: how much longer the bank holds, from the day's end, what the hardest "
            f"hour asks ({clock_span(hour.start, hour.end)}"
            f"{', ' + hour.leg if hour.leg else ''}: {hour.power_w:.0f} W), down to your limit."
            " An option with another motor, boat or weather has an hour of its own."
        )
    return _table(
        "The day",
        rows,
        (
            ("The day", False, lambda row: DAYS[row.day.outcome]),
            ("Usable", True, lambda row: kwh(row.day.usable_wh)),
            ("Left", True, lambda row: f"{row.day.end_soc:.0%}"),
            ("Limit", True, lambda row: f"{row.day.limit_soc:.0%}"),
            ("Hold left", True, lambda row: hold(row.day.hold_left)),
            ("Off station", True, lambda row: minutes(row.day.off_station_s)),
            ("Full again", True, lambda row: night(row.day.night)),
        ),
        (
            "Usable: what the bank gives from the morning down to your limit, drawn as hard as "
            "this day draws it; not the label's. Left: at the day's end.",
            hardest,
            "Full again: hours at the charger; 'late' is after the time you want it full.",
        ),
        caption="The same day with each option, in order.",
    )


def _boat(rows: Sequence[OptionRow], system: System) -> Section:
    return _table(
        "In the boat",
        rows,
        (
            ("Batteries", False, lambda row: row.day.batteries),
            ("Weight", True,
             lambda row: format_quantity(row.day.load.mass_kg, "mass", system=system)),
            ("Trim", False, lambda row: trim(row, system)),
            ("Plate", False, lambda row: plate(row, system)),
            ("Locker", False, lambda row: row.day.fit.headline),
            ("Wiring", False, lambda row: row.day.wiring.verdict),
        ),
        (PLATE if any(row.day.load.plate_left_kg is not None for row in rows) else "",
         *_wiring(rows)),
        caption="Each bank in the boat: its weight and what that does, whether it goes into "
        "the locker, and the worst line on the wiring.",
    )  # fmt: skip


def _wiring(rows: Sequence[OptionRow]) -> list[str]:
    """Say the worst line of the wiring, once for all options that share it."""
    shared: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        wiring = row.day.wiring
        if wiring.verdict != "pass":
            shared.setdefault((wiring.verdict, wiring.worst), []).append(str(row.place))
    told = []
    for (verdict, worst), places in shared.items():
        told.append(
            f"Wiring, {verdict}: {worst[:1].lower()}{worst[1:]} ({_whose(places, rows)})."
        )
    if told:
        told.append("All the lines on the wiring, for the file itself: energysim rig.")
    return told


def _money(result: CompareResult, rows: Sequence[OptionRow]) -> Section:
    if all(_nothing_told(row) for row in rows):
        return Section(title=COSTS, notes=(NO_COSTS,))
    why = list(dict.fromkeys(row.day.money.why_not for row in rows if row.day.money.why_not))
    notes = ["Years: until 80 % of capacity, if every trip were this day; "
             "in brackets the range thought possible."]  # fmt: skip
    if result.trips_a_year is not None:
        notes[0] = notes[0].replace("this day;", f"this day, {result.trips_a_year:g} a year;")
        notes.append("A trip: the bank over its life, and the energy of the recharge.")
    if result.prices_of is not None:
        notes.append(f"Prices of {result.prices_of:%d %B %Y}.")
    notes += [
        f"{_capital(reason)}: "
        + _whose([str(row.place) for row in rows if row.day.money.why_not == reason], rows)
        + "."
        for reason in why
    ]
    return _table(
        COSTS,
        rows,
        (
            ("The bank", True, lambda row: price(row.day.money.bank_price,
                                                 row.day.money.currency)),
            ("Years", True, lambda row: spread(row.day.money.years, 0)),
            ("A trip", True, lambda row: spread(row.day.money.price_per_trip, 2)),
        ),
        notes,
        caption="What each bank costs and how long it lasts.",
    )  # fmt: skip


def _nothing_told(row: OptionRow) -> bool:
    """Whether neither price nor life of an option is known, for want of [prices]."""
    money = row.day.money
    return not money.currency and money.bank_price is None and money.years is None


def _change(result: CompareResult, rows: Sequence[OptionRow], system: System) -> Section:
    base = result.baseline
    whose = "the boat as it is" if base == "as it is" else repr(base)
    trip: list[tuple[str, bool, Callable[[OptionRow], str]]] = []
    if any(row.change.price_per_trip is not None for row in rows):
        trip.append(
            ("A trip", True, lambda row: NOT_KNOWN if row.change.price_per_trip is None
             else signed(row.change.price_per_trip, 2))
        )  # fmt: skip
    return _table(
        f"Against {whose}",
        [row for row in rows if row.name != base],
        (
            ("Usable", True, lambda row: f"{signed(row.change.usable_wh / 1000.0, 2)} kWh"),
            ("Left", True, lambda row: points(row.change.end_soc)),
            ("Hold left", True, lambda row: NOT_KNOWN if row.change.hold_left_s is None
             else f"{signed(row.change.hold_left_s / SECONDS_PER_HOUR, 1)} h"),
            ("Off station", True, _more_minutes),
            ("Weight", True, lambda row: _more(row.change.mass_kg, system)),
            *trip,
        ),
        (),
        caption="Each option less the one it is held against.",
    )  # fmt: skip


def by_name(section: Section) -> Section:
    """Put place and name into one cell, for pages on which a row is called by its first."""
    table = section.table
    if table is None:
        return section
    rows = tuple((f"{place}. {name}", *cells) for place, name, *cells in table.rows)
    return replace(section, table=replace(table, columns=table.columns[1:], rows=rows))


def told_of_options(
    rows: Sequence[OptionRow], *, system: System, said: Collection[str] = ()
) -> tuple[str, ...]:
    """Return each caution and warning of the options once, with those it is about."""
    found: dict[str, list[str]] = {}
    for row in rows:
        for warning in (*row.day.cautions, *row.day.warnings):
            if warning not in said:
                found.setdefault(warning, []).append(str(row.place))
    return tuple(
        f"{_capital(_whose(places, rows))}: {in_units(warning, system=system)}"
        for warning, places in found.items()
    )


def _whose(places: Sequence[str], rows: Sequence[OptionRow]) -> str:
    """Name some of the options by their places."""
    return "every option" if len(places) == len(rows) else f"option {', '.join(places)}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _more_minutes(row: OptionRow) -> str:
    return f"{signed(row.change.off_station_s / 60.0)} min"


def _more(mass_kg: float, system: System) -> str:
    text = format_quantity(mass_kg, "mass", system=system)
    return text if text.startswith("-") else f"+{text}"
