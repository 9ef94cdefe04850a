"""
The numbers of a chart as a table: what is drawn, and what stands in the CSV beside it.

Depends on: results, results.reach, clock, charts.columns.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.charts.columns import ChartTable, number, words_column
from energysim.charts.tables_options import option_table
from energysim.charts.tables_season import season_table
from energysim.charts.trips import CURVE
from energysim.clock import clock_after, seconds_between
from energysim.results.day import columns

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

    from energysim.charts.catalogue import ChartRow
    from energysim.charts.columns import ChartColumn, Columns
    from energysim.results.day import DayResult
    from energysim.results.odds import OddsResult
    from energysim.results.reach import (
        HoldHours,
        HoldMap,
        MotorCurve,
        NightCourse,
        TripCosts,
    )
    from energysim.unit_format import System

    Array = NDArray[np.float64]


def chart_tables(
    row: ChartRow, results: Mapping[str, Any], system: System
) -> tuple[ChartTable, ...]:
    """Return the table of each result by its name, as the row of the catalogue asks for it."""
    row = row.of(len(results))
    make = _leg_table if row.drawing == "bars" else TABLES[row.result]
    return tuple(
        ChartTable(name=name, columns=make(row, result, system))
        for name, result in results.items()
    )


def _step_table(row: ChartRow, result: DayResult, system: System) -> Columns:
    """Return the steps of a day: the columns of the row, on the clock of the step's start."""
    described, series = columns(), result.series
    clocks = [
        clock_after(result.start, float(second)).isoformat() for second in series["elapsed"]
    ]
    wanted = [key for panel in row.panels() for key in panel]
    if "stream" in wanted:
        wanted.append("stream_toward")
    keys = ["elapsed", "step", *wanted]
    numbers = [
        number(key, described[key].unit, described[key].label, series[key], system)
        for key in keys
    ]
    if "soc" in wanted:
        limit = np.full(series["soc"].shape, result.limit_soc)
        numbers.append(number("limit_soc", "1", "Limit of the plan", limit, system))
    return (
        words_column("clock", "Clock", clocks),
        words_column("leg", "Leg", result.leg_of_step),
        *numbers,
    )


def _leg_table(row: ChartRow, result: DayResult, system: System) -> Columns:
    """Return a row a leg."""
    del row
    legs = result.legs
    return (
        words_column("leg", "Leg", [leg.name for leg in legs]),
        words_column("verb", "What the boat does", [leg.verb for leg in legs]),
        words_column("start", "Start", [leg.start.isoformat() for leg in legs]),
        words_column("end", "End", [leg.end.isoformat() for leg in legs]),
        number("charge", "Ah", "Charge", [leg.charge_ah for leg in legs], system),
        number("energy", "Wh", "Energy", [leg.energy_wh for leg in legs], system),
    )


def _night_table(row: ChartRow, result: NightCourse, system: System) -> Columns:
    del row
    clocks = [
        clock_after(result.plugged_in_at, 3600.0 * hour).isoformat()
        for hour in result.hours.tolist()
    ]
    return (
        words_column("clock", "Clock", clocks),
        number("hours", "h", "Time on the charger", result.hours, system),
        number("soc", "1", "State of charge", result.soc, system),
    )


def _odds_table(row: ChartRow, result: OddsResult, system: System) -> Columns:
    """Return the charge of the days at every mark of the clock."""
    marks = result.marks
    keys = row.panels()[0]
    labels = ("1 day in 10 below", "Half of the days above", "1 day in 10 above")
    after_s = [seconds_between(result.start, mark.at) for mark in marks]
    of_each = zip(*((mark.soc.p10, mark.soc.p50, mark.soc.p90) for mark in marks), strict=True)
    return (
        words_column("clock", "Clock", [mark.at.isoformat() for mark in marks]),
        number("elapsed", "s", "Time from the start", after_s, system),
        *(
            number(key, "1", label, values, system)
            for key, label, values in zip(keys, labels, of_each, strict=True)
        ),
        number("limit_soc", "1", "Limit of the plan", [result.limit_soc] * len(marks), system),
    )


def _motor_table(row: ChartRow, result: MotorCurve, system: System) -> Columns:
    """Return curves and points under one another; `part` says which."""
    # Several motors are drawn in still water.
    lines = result.lines if "voltage" in row.columns else result.lines[:1]
    part: list[str] = []
    rows: list[tuple[float, float, float, float]] = []
    for line in lines:
        speed = line.water_speed_mps
        part += ["curve at rated voltage"] * line.thrust_n.size
        rows += [
            (speed, result.rated_voltage_v, thrust, current)
            for thrust, current in zip(line.thrust_n, line.current_a, strict=True)
        ]
    for line in lines:
        most = zip(line.voltage_v, line.most_thrust_n, line.most_current_a, strict=True)
        part += ["most thrust"] * line.voltage_v.size
        rows += [(line.water_speed_mps, volts, thrust, amps) for volts, thrust, amps in most]
    part += ["owner's test" if result.from_bench else "label"] * len(result.points)
    rows += [(0.0, point.voltage_v, point.thrust_n, point.current_a) for point in result.points]
    speed, voltage, thrust, current = np.array(rows).T
    return (
        words_column("part", "Part", part),
        number("water_speed", "m/s", "Water speed", speed, system),
        number("voltage", "V", "Voltage at the motor", voltage, system),
        number("thrust", "N", "Thrust", thrust, system),
        number("current", "A", "Current", current, system),
    )


def _hold_table(row: ChartRow, result: HoldHours, system: System) -> Columns:
    del row
    over_wind = result.over == "wind"
    wind = [number("wind", "m/s", "Wind", result.wind_mps, system)] if over_wind else []
    return (
        *wind,
        number("thrust", "N", "Thrust", result.thrust_n, system),
        number("power", "W", "Power of the motor", result.power_w, system),
        number("hours", "h", "Hours of hold", result.hours, system),
        words_column("ended_by", "What ends it", result.ended_by),
    )


def _map_table(row: ChartRow, result: HoldMap, system: System) -> Columns:
    del row
    stream, wind = np.meshgrid(result.stream_mps, result.wind_mps, indexing="ij")
    return (
        number("wind", "m/s", "Wind", wind.ravel(), system),
        number("stream", "m/s", "Stream", stream.ravel(), system),
        number("hours", "h", "Hours of hold", result.hours.ravel(), system),
        number("thrust", "N", "Thrust wanted", result.thrust_n.ravel(), system),
        number("available", "N", "Most thrust", result.available_n.ravel(), system),
        number(
            "gust_short", "1", "Time gusts are too strong",
            result.gust_short_share.ravel(), system,
        ),
    )  # fmt: skip


def _trip_table(row: ChartRow, result: TripCosts, system: System) -> Columns:
    """Return the line, and below it the day itself; `part` says which."""
    del row
    day, money = result.day_price, result.currency
    unknown = [math.nan]

    def own(key: str, unit: str, label: str, line: Array, of_the_day: float) -> ChartColumn:
        return number(key, unit, label, np.append(line, of_the_day), system)

    return (
        words_column("part", "Part", [CURVE] * result.depth.size + ["this day"]),
        own("depth", "1", "Depth of discharge", result.depth, result.day_depth),
        own("price", money, "Cost of a trip", result.price, day.value),
        own("price_low", money, "Least cost", result.price_low, day.low),
        own("price_high", money, "Greatest cost", result.price_high, day.high),
        *(
            number(key, unit, label, np.append(line, unknown), system)
            for key, unit, label, line in (
                ("energy", money, "Of it energy", result.energy_price),
                ("trips", "", "Trips of its life", result.trips),
                ("trips_low", "", "Fewest trips", result.trips_low),
                ("trips_high", "", "Most trips", result.trips_high),
            )
        ),
    )


TABLES: dict[str, Callable[[ChartRow, Any, System], Columns]] = {
    "day": _step_table,
    "night": _night_table,
    "odds": _odds_table,
    "motor": _motor_table,
    "hold": _hold_table,
    "map": _map_table,
    "trips": _trip_table,
    "options": option_table,
    "season": season_table,
}
