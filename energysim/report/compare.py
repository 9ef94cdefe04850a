"""
A comparison as one JSON document and as a CSV table.

Depends on: results.compare.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.results.compare import CompareResult, OptionRow

SCHEMA: Final = 1


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
