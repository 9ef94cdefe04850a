"""
The numbers of a comparison as a chart's table: a row an option, in order.

Depends on: results_compare, charts.columns.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from energysim.charts.columns import number, words_column

if TYPE_CHECKING:
    from collections.abc import Callable

    from energysim.charts.catalogue import ChartRow
    from energysim.charts.columns import Columns
    from energysim.results_compare import CompareResult, Money, OptionDay
    from energysim.results_wear import Estimate
    from energysim.unit_format import System

HOUR_S = 3600.0
MINUTE_S = 60.0


def option_table(row: ChartRow, result: CompareResult, system: System) -> Columns:
    """Return what decides between options; what is not known of one is NaN."""
    del row
    days = [one.day for one in result.rows]
    currency = money_of(result)

    def known(key: str, unit: str, label: str, read: Callable[[OptionDay], float | None]):  # type: ignore[no-untyped-def]
        values = [math.nan if (value := read(day)) is None else value for day in days]
        return number(key, unit, label, values, system)

    def priced(read: Callable[[Money], float | None]) -> Callable[[OptionDay], float | None]:
        return lambda day: read(day.money) if day.money.currency == currency else None

    return (
        words_column("place", "Place", [str(one.place) for one in result.rows]),
        words_column("option", "Option", [one.name for one in result.rows]),
        words_column("bank", "Bank", [day.bank for day in days]),
        words_column("outcome", "The day", [day.outcome for day in days]),
        known("end_soc", "1", "Left at the end", lambda day: day.end_soc),
        known("limit_soc", "1", "Limit of the plan", lambda day: day.limit_soc),
        known("hold_left", "h", "Hold left after", _hold_left_h),
        words_column(
            "hold_ended_by", "What ends it",
            ["" if one is None else "nobody looked further" if one.more else one.ended_by
             for one in (day.hold_left for day in days)],
        ),
        known("off_station", "min", "Off station", lambda day: day.off_station_s / MINUTE_S),
        known("usable", "Wh", "Usable", lambda day: day.usable_wh),
        known("full_again", "h", "Full again after",
              lambda day: None if day.night is None else day.night.full_h),
        words_column("night", "The night", [_night(day) for day in days]),
        known("mass", "kg", "Weight", lambda day: day.load.mass_kg),
        words_column("fit", "In the locker", [day.fit.verdict for day in days]),
        words_column("wiring", "Wiring", [day.wiring.verdict for day in days]),
        known("bank_price", currency, "Price of the bank", priced(lambda m: m.bank_price)),
        known("trip_price", currency, "A trip", priced(lambda m: _of(m.price_per_trip, "value"))),
        known("trip_price_low", currency, "A trip", priced(lambda m: _of(m.price_per_trip, "low"))),
        known("trip_price_high", currency, "A trip",
              priced(lambda m: _of(m.price_per_trip, "high"))),
        known("life", "years", "Life", lambda day: _of(day.money.years, "value")),
        known("life_low", "years", "Life", lambda day: _of(day.money.years, "low")),
        known("life_high", "years", "Life", lambda day: _of(day.money.years, "high")),
        words_column("not_priced", "Why not priced", [_why_not(day.money, currency) for day in days]),
    )  # fmt: skip


def money_of(result: CompareResult) -> str:
    """Return the currency that prices are drawn in: the best option's that has any."""
    return next((one.day.money.currency for one in result.rows if one.day.money.currency), "")


def _hold_left_h(day: OptionDay) -> float | None:
    return None if day.hold_left is None else day.hold_left.seconds / HOUR_S


def _night(day: OptionDay) -> str:
    if day.night is None:
        return "no charger"
    if day.night.full_h is None:
        return "never full"
    return "in time" if day.night.enough else "late"


def _of(estimate: Estimate | None, part: str) -> float | None:
    return None if estimate is None else float(getattr(estimate, part))


def _why_not(money: Money, currency: str) -> str:
    if money.currency not in {"", currency}:
        return f"in {money.currency}"
    return money.why_not
