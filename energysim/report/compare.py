"""
A comparison as a page of text, as one JSON document and as a CSV table.

Depends on: report.compare_tables, results_compare.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Any, Final

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from energysim.report.compare_tables import compare_tables

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import RenderableType

    from energysim.report.compare_tables import Words
    from energysim.results_compare import CompareResult, OptionRow
    from energysim.unit_format import System

SCHEMA: Final = 1
MOST_ROWS: Final = 20
STYLES: Final = {"holds": "green", "short": "yellow", "too deep": "red", "runs empty": "red"}
LEFT_OUT: Final = (
    "Left out for want of room: what each option changes, energy drawn, peak current, ranges, "
    "warnings. --csv FILE or --json has everything, --page FILE a sheet to print."
)


def compare_page(result: CompareResult, *, system: System) -> RenderableType:
    """
    Return the comparison as something rich can print within 80 columns.

    Parameters
    ----------
    result : CompareResult
        What was compared.
    system : str
        "us" or "metric": the units printed.
    """
    shown = result.rows[:MOST_ROWS]
    parts: list[RenderableType] = [
        Text(f"{result.title}: {len(result.rows)} options on {result.on:%d %B %Y}", "bold"),
        Padding(Text(f"In order by '{result.rank}': {result.rule}."), (1, 2, 0, 2)),
        Padding(Text(result.reason), (0, 2, 0, 2)),
    ]
    for words in compare_tables(result, shown, system=system):
        if words.rows:
            parts += [Text(f"\n{words.title}", "bold"), _rich(words)]
        parts += [Padding(Text(note, "dim"), (0, 2, 0, 2)) for note in words.notes]
    if len(shown) < len(result.rows):
        more = len(result.rows) - len(shown)
        parts.append(Text(f"\nand {more} more options, not shown here.", "bold"))
    if result.impossible:
        parts.append(Text("\nCannot be", "bold"))
        parts += [
            Padding(Text(f"{one.name}: {one.reason}"), (0, 2, 0, 2))
            for one in result.impossible
        ]
    parts.append(Padding(Text(LEFT_OUT, "dim"), (1, 2, 0, 2)))
    parts.append(Text("\nCautions", "bold"))
    parts += [Padding(Text(f"- {caution}"), (0, 2, 0, 2)) for caution in result.cautions]
    return Group(*parts)


def _rich(words: Words) -> Table:
    """Lay one table out; a long name takes a second line."""
    table = Table(box=None, padding=(0, 1, 0, 0), header_style="dim", pad_edge=False)
    for number, (head, right) in enumerate(words.columns):
        table.add_column(
            head,
            justify="right" if right else "left",
            overflow="fold",
            min_width=2 if number == 0 else None,
            no_wrap=right,
        )
    for row in words.rows:
        table.add_row(*(Text(cell, STYLES.get(cell, "")) for cell in row))
    return table


def compare_document(result: CompareResult) -> dict[str, Any]:
    """Return the comparison as plain data, ready for `json`: SI, the unit in every key."""
    hour = result.hardest
    return {
        "schema": SCHEMA,
        "title": result.title,
        "date": result.on.isoformat(),
        "baseline": result.baseline,
        "rank": result.rank,
        "rule": result.rule,
        "reason": result.reason,
        "hardest_hour": None
        if hour is None
        else {
            "start": hour.start.isoformat(),
            "end": hour.end.isoformat(),
            "leg": hour.leg,
            "power_w": hour.power_w,
        },
        "prices_of": None if result.prices_of is None else result.prices_of.isoformat(),
        "trips_a_year": result.trips_a_year,
        "options": [
            {
                **option_record(row),
                "says": list(row.says),
                "cautions": list(row.day.cautions),
                "warnings": list(row.day.warnings),
            }
            for row in result.rows
        ],
        "impossible": [
            {"name": one.name, "says": list(one.says), "reason": one.reason}
            for one in result.impossible
        ],
        "assumptions": list(result.assumptions),
        "rules": list(result.rules),
        "cautions": list(result.cautions),
    }


def option_record(row: OptionRow) -> dict[str, Any]:
    """Return one option as one flat row: for a line of CSV, and in JSON."""
    return {
        key: float(f"{value:.10g}") if isinstance(value, float) else value  # drop mere rounding
        for key, value in _columns(row).items()
    }


def _columns(row: OptionRow) -> dict[str, Any]:
    day = row.day
    left, night, money, change = day.hold_left, day.night, day.money, row.change
    years, trip = money.years, money.price_per_trip
    return {
        "place": row.place,
        "name": row.name,
        "bank": day.bank,
        "outcome": day.outcome,
        "usable_wh": day.usable_wh,
        "usable_at_w": day.usable_at_w,
        "end_soc": day.end_soc,
        "limit_soc": day.limit_soc,
        "hold_left_s": None if left is None else left.seconds,
        "hold_left_is_more": None if left is None else left.more,
        "hold_left_ended_by": None if left is None else left.ended_by,
        "off_station_s": day.off_station_s,
        "energy_drawn_wh": day.energy_drawn_wh,
        "peak_current_a": day.peak_current_a,
        "full_h": None if night is None else night.full_h,
        "night_is_enough": None if night is None else night.enough,
        "soc_when_ready": None if night is None else night.soc_when_ready,
        "mass_kg": day.load.mass_kg,
        "trim_m": day.load.trim_m,
        "trim_words": day.load.trim_words,
        "plate": day.load.plate,
        "plate_left_kg": day.load.plate_left_kg,
        "plate_why": day.load.plate_why,
        "fit": day.fit.verdict,
        "fit_words": day.fit.headline,
        "fit_misses": " ".join(day.fit.misses),
        "wiring": day.wiring.verdict,
        "wiring_worst": day.wiring.worst,
        "wiring_why": day.wiring.why,
        "wiring_cautions": day.wiring.cautions,
        "wiring_look_again": day.wiring.look_again,
        "currency": money.currency,
        "bank_price": money.bank_price,
        "years": None if years is None else years.value,
        "years_low": None if years is None else years.low,
        "years_high": None if years is None else years.high,
        "life_ended_by": money.ended_by,
        "price_per_trip": None if trip is None else trip.value,
        "price_per_trip_low": None if trip is None else trip.low,
        "price_per_trip_high": None if trip is None else trip.high,
        "price_not_known": money.why_not,
        "usable_change_wh": change.usable_wh,
        "end_soc_change": change.end_soc,
        "hold_left_change_s": change.hold_left_s,
        "off_station_change_s": change.off_station_s,
        "mass_change_kg": change.mass_kg,
        "price_per_trip_change": change.price_per_trip,
        "cannot_be": "",
    }


def compare_csv(result: CompareResult) -> str:
    """Return a line an option in order, and a line each for what cannot be, with the reason."""
    rows: Sequence[dict[str, Any]] = [option_record(row) for row in result.rows]
    keys = list(rows[0])
    out = io.StringIO()
    writer = csv.DictWriter(out, keys, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    writer.writerows({"name": one.name, "cannot_be": one.reason} for one in result.impossible)
    return out.getvalue()
