"""
The numbers of a comparison as a chart's table: a row an option, in order.

Depends on: results.compare, charts.columns.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from energysim.charts.columns import number, words_column

if TYPE_CHECKING:
    from collections.abc import Callable

    from energysim.charts.catalogue import ChartRow
    from energysim.charts.columns import ChartColumn, Columns
    from energysim.results.compare import CompareResult, Money, OptionDay
    from energysim.results.wear import Estimate
    from energysim.unit_format import System

HOUR_S = 3600.0
MINUTE_S = 60.0


def option_table(row: ChartRow, result: CompareResult, system: System) -> Columns:
    """Return what decides between options; what is not known of one is NaN."""
    del row
    days = [one.day for one in result.rows]
    currency = money_of(result)

    def known(
        key: str, unit: str, label: str, read: Callable[[OptionDay], float | None]
    ) -> ChartColumn:
        values = [math.nan if (value := read(day)) is None else value for day in days]
        return number(key, unit, label, values, system)

    def said(key: str, label: str, read: Callable[[OptionDay], str]) -> ChartColumn:
        return words_column(key, label, [read(day) for day in days])

    def estimates(
        key: str, unit: str, label: str, read: Callable[[OptionDay], Estimate | None]
    ) -> list[ChartColumn]:
        parts = ((key, "value"), (f"{key}_low", "low"), (f"{key}_high", "high"))
        return [
            number(name, unit, label, [_part(read(day), part) for day in days], system)
            for name, part in parts
        ]

    def trip(day: OptionDay) -> Estimate | None:
        return day.money.price_per_trip if day.money.currency == currency else None

    def bank(day: OptionDay) -> float | None:
        return day.money.bank_price if day.money.currency == currency else None

    return (
        words_column("place", "Place", [str(one.place) for one in result.rows]),
        words_column("option", "Option", [one.name for one in result.rows]),
        said("bank", "Bank", lambda day: day.bank),
        said("outcome", "The day", lambda day: day.outcome),
        known("end_soc", "1", "Left at the end", lambda day: day.end_soc),
        known("limit_soc", "1", "Limit of the plan", lambda day: day.limit_soc),
        known("hold_left", "h", "Hold left after", _hold_left_h),
        said("hold_ended_by", "What ends it", _hold_ended_by),
        known("off_station", "min", "Off station", lambda day: day.off_station_s / MINUTE_S),
        known("usable", "Wh", "Usable", lambda day: day.usable_wh),
        known("full_again", "h", "Full again after", _full_again_h),
        said("night", "The night", _night),
        known("mass", "kg", "Weight", lambda day: day.load.mass_kg),
        said("fit", "In the locker", lambda day: day.fit.verdict),
        said("wiring", "Wiring", lambda day: day.wiring.verdict),
        known("bank_price", currency, "Price of the bank", bank),
        *estimates("trip_price", currency, "A trip", trip),
        *estimates("life", "years", "Life", lambda day: day.money.years),
        said("not_priced", "Why not priced", lambda day: _why_not(day.money, currency)),
    )


def money_of(result: CompareResult) -> str:
    """Return the currency that prices are drawn in: the best option's that has any."""
    return next((one.day.money.currency for one in result.rows if one.day.money.currency), "")


def _hold_left_h(day: OptionDay) -> float | None:
    return None if day.hold_left is None else day.hold_left.seconds / HOUR_S


def _hold_ended_by(day: OptionDay) -> str:
    if day.hold_left is None:
        return ""
    return "nobody looked further" if day.hold_left.more else day.hold_left.ended_by


def _full_again_h(day: OptionDay) -> float | None:
    return None if day.night is None else day.night.full_h


def _night(day: OptionDay) -> str:
    if day.night is None:
        return "no charger"
    if day.night.full_h is None:
        return "never full"
    return "in time" if day.night.enough else "late"


def _part(estimate: Estimate | None, part: str) -> float:
    return math.nan if estimate is None else float(getattr(estimate, part))


def _why_not(money: Money, currency: str) -> str:
    if money.currency not in {"", currency}:
        return f"in {money.currency}"
    return money.why_not
