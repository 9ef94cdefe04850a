"""
The numbers of a season as a chart's table: a row a date.

Depends on: results.season, charts.columns.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from energysim.charts.columns import number, words_column

if TYPE_CHECKING:
    from collections.abc import Callable

    from energysim.charts.catalogue import ChartRow
    from energysim.charts.columns import ChartColumn, Columns
    from energysim.results.season import DateOdds, SeasonResult
    from energysim.unit_format import System


def season_table(row: ChartRow, result: SeasonResult, system: System) -> Columns:
    """Return what each date comes to; what is not known of one is NaN, or no word."""
    del row
    dates = result.dates

    def own(key: str, unit: str, label: str, read: Callable[[DateOdds], float]) -> ChartColumn:
        values = [math.nan if one.odds is None else read(one.odds) for one in dates]
        return number(key, unit, label, values, system)

    def said(key: str, label: str, read: Callable[[DateOdds], str]) -> ChartColumn:
        return words_column(
            key, label, ["" if one.odds is None else read(one.odds) for one in dates]
        )

    streams = [math.nan if one.stream_mps is None else one.stream_mps for one in dates]
    return (
        words_column("date", "Date", [one.date.isoformat() for one in dates]),
        words_column("tide", "Tide", [one.tide for one in dates]),
        number("stream", "m/s", "Fastest stream of the day", streams, system),
        own("wind", "m/s", "Wind", lambda odds: odds.wind_mps),
        own("whole_plan", "1", "The whole plan comes off", lambda odds: odds.whole_plan.chance),
        own("whole_plan_low", "1", "At least", lambda odds: odds.whole_plan.low),
        own("whole_plan_high", "1", "At most", lambda odds: odds.whole_plan.high),
        own("end_soc_p50", "1", "Half of the days end above", lambda odds: odds.end_soc.p50),
        said("start", "Start as planned", lambda odds: odds.start.isoformat()),
        said("best_start", "Best start", lambda odds: odds.best_start.isoformat()),
        own("best_end_soc", "1", "Left from the best start", lambda odds: odds.best_end_soc),
        said("best_outcome", "The day from the best start", lambda odds: odds.best_outcome),
        words_column("skipped", "Why it is left out", [one.skipped for one in dates]),
    )
