"""
The numbers of a chart as a table: what is drawn, and what stands in the CSV beside it.

Depends on: results, results_reach, clock, charts.shown.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.charts.shown import shown, shown_unit
from energysim.clock import clock_after
from energysim.results import columns

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from numpy.typing import NDArray

    from energysim.charts.catalogue import ChartRow
    from energysim.results import DayResult
    from energysim.results_reach import HoldHours, HoldMap, MotorCurve, NightCourse
    from energysim.unit_format import System

    Array = NDArray[np.float64]
    Columns = tuple["ChartColumn", ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartColumn:
    """One column: numbers in the unit that is drawn, or words."""

    key: str
    unit: str  # as drawn; empty for words
    label: str
    values: Any  # an array of numbers, or a list of words

    @property
    def header(self) -> str:
        """The name with its unit."""
        return f"{self.key} [{self.unit}]" if self.unit else self.key


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartTable:
    """The tidy table of one result: a row an observation, a column a quantity."""

    name: str  # of the option; empty where there is one result
    columns: tuple[ChartColumn, ...]

    def __getitem__(self, key: str) -> ChartColumn:
        return next(column for column in self.columns if column.key == key)


def chart_tables(
    row: ChartRow, results: Mapping[str, Any], system: System
) -> tuple[ChartTable, ...]:
    """Return the table of each result by its name, as the row of the catalogue asks for it."""
    make = _leg_table if row.drawing == "bars" else TABLES[row.result]
    return tuple(
        ChartTable(name=name, columns=make(row, result, system))
        for name, result in results.items()
    )


def table_csv(tables: Sequence[ChartTable]) -> str:
    """
    Return the plotted numbers as CSV text, units in the header, options under one another.

    Clocks are ISO 8601 with their offset.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    named = any(table.name for table in tables)
    first = ["option"] if named else []
    writer.writerow([*first, *(column.header for column in tables[0].columns)])
    for table in tables:
        cells = [_cells(column.values) for column in table.columns]
        for values in zip(*cells, strict=True):
            writer.writerow([*([table.name] if named else []), *values])
    return out.getvalue()


def _cells(values: Any) -> list[str]:
    if isinstance(values, np.ndarray):
        return [f"{value:.8g}" for value in values.tolist()]
    return [str(value) for value in values]


def _number(key: str, unit: str, label: str, values: Any, system: System) -> ChartColumn:
    return ChartColumn(
        key=key,
        unit=shown_unit(unit, system).unit,
        label=label,
        values=shown(values, unit, system),
    )


def _words(key: str, label: str, values: Sequence[str]) -> ChartColumn:
    return ChartColumn(key=key, unit="", label=label, values=list(values))


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
        _number(key, described[key].unit, described[key].label, series[key], system)
        for key in keys
    ]
    if "soc" in wanted:
        limit = np.full(series["soc"].shape, result.limit_soc)
        numbers.append(_number("limit_soc", "1", "Limit of the plan", limit, system))
    return (
        _words("clock", "Clock", clocks),
        _words("leg", "Leg", result.leg_of_step),
        *numbers,
    )


def _leg_table(row: ChartRow, result: DayResult, system: System) -> Columns:
    """Return a row a leg."""
    del row
    legs = result.legs
    return (
        _words("leg", "Leg", [leg.name for leg in legs]),
        _words("verb", "What the boat does", [leg.verb for leg in legs]),
        _words("start", "Start", [leg.start.isoformat() for leg in legs]),
        _words("end", "End", [leg.end.isoformat() for leg in legs]),
        _number("charge", "Ah", "Charge", [leg.charge_ah for leg in legs], system),
        _number("energy", "Wh", "Energy", [leg.energy_wh for leg in legs], system),
    )


def _night_table(row: ChartRow, result: NightCourse, system: System) -> Columns:
    del row
    clocks = [
        clock_after(result.plugged_in_at, 3600.0 * hour).isoformat()
        for hour in result.hours.tolist()
    ]
    return (
        _words("clock", "Clock", clocks),
        _number("hours", "h", "Time on the charger", result.hours, system),
        _number("soc", "1", "State of charge", result.soc, system),
    )


def _motor_table(row: ChartRow, result: MotorCurve, system: System) -> Columns:
    """Return curves and points under one another; `part` says which."""
    del row
    part: list[str] = []
    rows: list[tuple[float, float, float, float]] = []
    for line in result.lines:
        speed = line.water_speed_mps
        part += ["curve at rated voltage"] * line.thrust_n.size
        rows += [
            (speed, result.rated_voltage_v, thrust, current)
            for thrust, current in zip(line.thrust_n, line.current_a, strict=True)
        ]
    for line in result.lines:
        most = zip(line.voltage_v, line.most_thrust_n, line.most_current_a, strict=True)
        part += ["most thrust"] * line.voltage_v.size
        rows += [(line.water_speed_mps, volts, thrust, amps) for volts, thrust, amps in most]
    part += ["owner's test" if result.from_bench else "label"] * len(result.points)
    rows += [(0.0, point.voltage_v, point.thrust_n, point.current_a) for point in result.points]
    speed, voltage, thrust, current = np.array(rows).T
    return (
        _words("part", "Part", part),
        _number("water_speed", "m/s", "Water speed", speed, system),
        _number("voltage", "V", "Voltage at the motor", voltage, system),
        _number("thrust", "N", "Thrust", thrust, system),
        _number("current", "A", "Current", current, system),
    )


def _hold_table(row: ChartRow, result: HoldHours, system: System) -> Columns:
    del row
    over_wind = result.over == "wind"
    wind = [_number("wind", "m/s", "Wind", result.wind_mps, system)] if over_wind else []
    return (
        *wind,
        _number("thrust", "N", "Thrust", result.thrust_n, system),
        _number("power", "W", "Power of the motor", result.power_w, system),
        _number("hours", "h", "Hours of hold", result.hours, system),
        _words("ended_by", "What ends it", result.ended_by),
    )


def _map_table(row: ChartRow, result: HoldMap, system: System) -> Columns:
    del row
    stream, wind = np.meshgrid(result.stream_mps, result.wind_mps, indexing="ij")
    return (
        _number("wind", "m/s", "Wind", wind.ravel(), system),
        _number("stream", "m/s", "Stream", stream.ravel(), system),
        _number("hours", "h", "Hours of hold", result.hours.ravel(), system),
        _number("thrust", "N", "Thrust wanted", result.thrust_n.ravel(), system),
        _number("available", "N", "Most thrust", result.available_n.ravel(), system),
        _number(
            "gust_short", "1", "Time gusts are too strong",
            result.gust_short_share.ravel(), system,
        ),
    )  # fmt: skip


TABLES: dict[str, Callable[[ChartRow, Any, System], Columns]] = {
    "day": _step_table,
    "night": _night_table,
    "motor": _motor_table,
    "hold": _hold_table,
    "map": _map_table,
}
