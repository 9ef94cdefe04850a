"""
A comparison as tables of words, for the terminal and for the printed page alike.

Depends on: results_compare, unit_format.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from energysim.results_compare import CompareResult, HoldLeft, Night, OptionRow
    from energysim.results_wear import Estimate
    from energysim.unit_format import System

NOT_KNOWN: Final = "-"
DAYS: Final = {"holds": "holds", "short": "short", "deep": "too deep", "empty": "runs empty"}
PLATE: Final = "Plate: what is left of the capacity plate's total weight."
SECONDS_PER_HOUR: Final = 3600.0


class Words(NamedTuple):
    """One table: its heading, its columns (right-aligned where a number), a row an option."""

    title: str
    columns: tuple[tuple[str, bool], ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]


def compare_tables(
    result: CompareResult, rows: Sequence[OptionRow], *, system: System
) -> tuple[Words, ...]:
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
) -> Words:
    return Words(
        title=title,
        columns=(("", True), ("Option", False), *((head, right) for head, right, _ in columns)),
        rows=tuple(
            (str(row.place), row.name, *(cell(row) for _, _, cell in columns)) for row in rows
        ),
        notes=tuple(note for note in notes if note),
    )


def _day(result: CompareResult, rows: Sequence[OptionRow]) -> Words:
    hour = result.hardest
    hardest = ""
    if hour is not None:
        hardest = (
            f"Hold left: how much longer the bank holds, from the day's end, what the hardest "
            f"hour asks ({hour.start:%H:%M} to {hour.end:%H:%M}"
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
    )


def _boat(rows: Sequence[OptionRow], system: System) -> Words:
    return _table(
        "In the boat",
        rows,
        (
            ("Weight", True,
             lambda row: format_quantity(row.day.load.mass_kg, "mass", system=system)),
            ("Trim", False, lambda row: trim(row, system)),
            ("Plate", False, lambda row: plate(row, system)),
            ("In the locker", False, lambda row: row.day.fit.headline),
            ("Wiring", False, lambda row: row.day.wiring.verdict),
        ),
        (PLATE if any(row.day.load.plate_left_kg is not None for row in rows) else "",
         *_wiring(rows)),
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
        whose = "every option" if len(places) == len(rows) else "option " + ", ".join(places)
        told.append(f"Wiring, {verdict}: {worst[:1].lower()}{worst[1:]} ({whose}).")
    if told:
        told.append("All the lines on the wiring, for the file itself: energysim rig.")
    return told


def _money(result: CompareResult, rows: Sequence[OptionRow]) -> Words:
    why = list(dict.fromkeys(row.day.money.why_not for row in rows if row.day.money.why_not))
    notes = ["Years: until 80 % of capacity, if every trip were this day; "
             "in brackets the range thought possible."]  # fmt: skip
    if result.trips_a_year is not None:
        notes[0] = notes[0].replace("this day;", f"this day, {result.trips_a_year:g} a year;")
        notes.append("A trip: the bank over its life, and the energy of the recharge.")
    if result.prices_of is not None:
        notes.append(f"Prices of {result.prices_of:%d %B %Y}.")
    notes += [
        f"{reason[:1].upper()}{reason[1:]}: option "
        + ", ".join(str(row.place) for row in rows if row.day.money.why_not == reason)
        + "."
        for reason in why
    ]
    return _table(
        "What it costs",
        rows,
        (
            ("The bank", True, lambda row: price(row.day.money.bank_price,
                                                 row.day.money.currency)),
            ("Years", True, lambda row: spread(row.day.money.years, 0)),
            ("A trip", True, lambda row: spread(row.day.money.price_per_trip, 2)),
        ),
        notes,
    )  # fmt: skip


def _change(result: CompareResult, rows: Sequence[OptionRow], system: System) -> Words:
    base = result.baseline
    whose = "the boat as it is" if base == "as it is" else repr(base)
    return _table(
        f"Against {whose}",
        [row for row in rows if row.name != base],
        (
            ("Usable", True, lambda row: f"{row.change.usable_wh / 1000.0:+.2f} kWh"),
            ("Left", True, lambda row: f"{round(100.0 * row.change.end_soc):+d} points"),
            ("Hold left", True, lambda row: NOT_KNOWN if row.change.hold_left_s is None
             else f"{row.change.hold_left_s / SECONDS_PER_HOUR:+.1f} h"),
            ("Off station", True, _more_minutes),
            ("Weight", True, lambda row: _more(row.change.mass_kg, system)),
            ("A trip", True, lambda row: NOT_KNOWN if row.change.price_per_trip is None
             else f"{row.change.price_per_trip:+.2f}"),
        ),
        (),
    )  # fmt: skip


def _more_minutes(row: OptionRow) -> str:
    return f"{round(row.change.off_station_s / 60.0):+d} min"


def _more(mass_kg: float, system: System) -> str:
    text = format_quantity(mass_kg, "mass", system=system)
    return text if text.startswith("-") else f"+{text}"


def kwh(energy_wh: float) -> str:
    """Return an energy as shops tell it."""
    return f"{energy_wh / 1000.0:.2f} kWh"


def hold(left: HoldLeft | None) -> str:
    """Return the hours of hold left."""
    if left is None:
        return NOT_KNOWN
    return f"{'>' if left.more else ''}{left.seconds / SECONDS_PER_HOUR:.1f} h"


def minutes(seconds: float) -> str:
    """Return whole minutes."""
    return f"{seconds / 60.0:.0f} min"


def night(told: Night | None) -> str:
    """Return the hours of the recharge, and whether the night is enough."""
    if told is None:
        return "no charger"
    if told.full_h is None:
        return "never"
    return f"{told.full_h:.1f} h{'' if told.enough else ', late'}"


def trim(row: OptionRow, system: System) -> str:
    """Return the trim in words, with its size where there is one."""
    load = row.day.load
    if load.trim_m is None or load.trim_words == "hardly any trim":
        return {"hardly any trim": "hardly any"}.get(load.trim_words, load.trim_words)
    size = abs(load.trim_m)
    told = f"{size / 0.0254:.1f} in" if system == "us" else f"{100.0 * size:.1f} cm"
    return f"{told} {load.trim_words}"


def plate(row: OptionRow, system: System) -> str:
    """Return what the plate leaves."""
    load = row.day.load
    if load.plate_left_kg is None:
        return load.plate
    left = format_quantity(abs(load.plate_left_kg), "mass", system=system)
    told = f"{left} {'left' if load.plate_left_kg >= 0.0 else 'over'}"
    return told if load.plate == "pass" else f"{told}, {load.plate}"


def price(value: float | None, currency: str) -> str:
    """Return a price, or that there is none."""
    return "no price" if value is None else f"{value:,.0f} {currency}"


def spread(estimate: Estimate | None, digits: int) -> str:
    """Return a wide number with its range."""
    if estimate is None:
        return NOT_KNOWN
    low, high = f"{estimate.low:.{digits}f}", f"{estimate.high:.{digits}f}"
    return f"{estimate.value:.{digits}f} ({low} to {high})"
