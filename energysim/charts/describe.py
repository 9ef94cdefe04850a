"""
What a chart says to who cannot see it: the facts that its row's description names.

Depends on: results, results_reach, charts.shown, charts.course, charts.curves, clock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.charts.course import marks
from energysim.charts.curves import angle_words
from energysim.charts.shown import words
from energysim.verdict import minutes

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from energysim.charts.catalogue import ChartRow
    from energysim.results import DayResult
    from energysim.results_reach import HoldHours, HoldMap, MotorCurve, NightCourse
    from energysim.unit_format import System


def description(row: ChartRow, results: Mapping[str, Any], system: System) -> str:
    """Return the description of a chart, the facts of each result filled in."""
    parts = []
    for name, result in results.items():
        told = row.description.format(**FACTS[row.result](result, system)).strip()
        parts.append(f"{name}: {told}" if name else told)
    return " ".join(parts)


def subtitle(row: ChartRow, results: Mapping[str, Any]) -> str:
    """Return what the chart is of: the scenario's title, and the date where there is one."""
    first = next(iter(results.values()))
    if row.result == "day":
        return f"{first.title}, {first.start.day} {first.start:%B %Y}"
    return str(first.title)


def _day(result: DayResult, system: System) -> dict[str, str]:
    costliest = max(result.legs, key=lambda leg: leg.charge_ah)
    return {
        "start": f"{result.start:%H:%M}",
        "end": f"{result.end:%H:%M}",
        "limit_soc": words(result.limit_soc, "1", system),
        "end_soc": words(result.end_soc, "1", system),
        "lowest_soc": words(result.lowest_soc, "1", system),
        "off_station": minutes(result.off_station_s),
        "lowest_voltage": words(result.lowest_voltage_v, "V", system, digits=1),
        "peak_current": words(result.peak_current_a, "A", system),
        "charge_drawn": words(result.charge_drawn_ah, "Ah", system, digits=1),
        "energy_drawn": words(result.energy_drawn_wh, "Wh", system),
        "costliest": f"{costliest.name}, {words(costliest.charge_ah, 'Ah', system, digits=1)}",
    }


def _night(result: NightCourse, system: System) -> dict[str, str]:
    recharge = result.recharge
    told = [said for _, said in marks(result)]
    return {
        "plugged_in": f"{recharge.plugged_in_at:%H:%M}",
        "marks": "; ".join(told) + ".",
        "ready_by": f"{recharge.ready_by:%H:%M}",
        "soc_when_ready": words(recharge.soc_when_ready, "1", system),
    }


def _motor(result: MotorCurve, system: System) -> dict[str, str]:
    speeds = [words(line.water_speed_mps, "m/s", system) for line in result.lines]
    count = len(result.points)
    still = result.lines[0]
    return {
        "speeds": ", ".join(speeds),
        "points": f"the owner's {count} points" if result.from_bench else "the label's point",
        "most_thrust": words(float(still.thrust_n[-1]), "N", system),
        "most_current": words(float(still.current_a[-1]), "A", system),
    }


def _hold(result: HoldHours, system: System) -> dict[str, str]:
    pushes = result.thrust_n if result.over == "thrust" else result.wind_mps
    unit = "N" if result.over == "thrust" else "m/s"
    told = [
        f"{words(float(pushes[at]), unit, system)}: {result.hours[at]:.1f} h"
        for at in np.linspace(0, pushes.size - 1, 5).astype(int)
    ]
    return {
        "over": "thrust" if result.over == "thrust" else "wind",
        "start_soc": words(result.start_soc, "1", system),
        "limit_soc": words(result.limit_soc, "1", system),
        "stream": words(result.stream_mps, "m/s", system, digits=1),
        "reading": "; ".join(told) + ".",
    }


def _map(result: HoldMap, system: System) -> dict[str, str]:
    def span(values: Any) -> str:
        first, last = float(values[0]), float(values[-1])
        return f"{words(first, 'm/s', system)} to {words(last, 'm/s', system, digits=1)}"

    middle = (result.stream_mps.size // 3, result.wind_mps.size // 2)
    wind = words(float(result.wind_mps[middle[1]]), "m/s", system)
    stream = words(float(result.stream_mps[middle[0]]), "m/s", system, digits=1)
    hours = float(result.hours[middle])
    held = f"it holds {hours:.1f} hours" if hours > 0.0 else "it cannot be held"
    angle = angle_words(result.angle_deg).rstrip(".")
    return {
        "wind_range": span(result.wind_mps),
        "stream_range": span(result.stream_mps),
        "angle": angle[0].lower() + angle[1:],
        "start_soc": words(result.start_soc, "1", system),
        "limit_soc": words(result.limit_soc, "1", system),
        "reading": f"In {wind} of wind and {stream} of stream {held}.",
    }


FACTS: dict[str, Callable[[Any, Any], dict[str, str]]] = {
    "day": _day,
    "night": _night,
    "motor": _motor,
    "hold": _hold,
    "map": _map,
}
