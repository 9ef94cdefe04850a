"""
What a chart says to who cannot see it: the facts that its row's description names.

Depends on: results and its kin, verdict, charts.shown, charts.calendar, charts.course,
charts.curves.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.charts.calendar import starts_of
from energysim.charts.course import marks
from energysim.charts.curves import angle_words
from energysim.charts.shown import words
from energysim.results.odds import GOOD
from energysim.results.season import chances_by_tide
from energysim.verdict import minutes

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from energysim.charts.catalogue import ChartRow
    from energysim.results.compare import CompareResult
    from energysim.results.day import DayResult
    from energysim.results.odds import OddsResult
    from energysim.results.reach import (
        HoldHours,
        HoldMap,
        MotorCurve,
        NightCourse,
        TripCosts,
    )
    from energysim.results.season import SeasonResult
    from energysim.unit_format import System


def description(row: ChartRow, results: Mapping[str, Any], system: System) -> str:
    """Return the description of a chart, the facts of each result filled in."""
    facts = {name: FACTS[row.result](result, system) for name, result in results.items()}
    if len(facts) == 1:
        return row.description.format(**next(iter(facts.values()))).strip()
    parts = [f"{name}: {row.of_each.format(**known).strip()}" for name, known in facts.items()]
    return " ".join([f"{row.title}, {len(parts)} side by side.", *parts])


def subtitle(row: ChartRow, results: Mapping[str, Any]) -> str:
    """Return what the chart is of: the scenario's title, and the date where there is one."""
    first = next(iter(results.values()))
    if row.result in {"day", "odds"}:
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


def _odds(result: OddsResult, system: System) -> dict[str, str]:
    end, chance = result.end_soc, result.whole_plan
    return {
        "start": f"{result.start:%H:%M}",
        "end": f"{result.end:%H:%M}",
        "limit_soc": words(result.limit_soc, "1", system),
        "end_p10": words(end.p10, "1", system),
        "end_p50": words(end.p50, "1", system),
        "end_p90": words(end.p90, "1", system),
        "whole_plan": f"{100.0 * chance.chance:.0f}",
        "members": f"{result.members:,}",
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


def _trips(result: TripCosts, system: System) -> dict[str, str]:
    money = result.currency
    told = [
        f"{result.price[at]:.2f} at {words(float(result.depth[at]), '1', system)}"
        for at in np.linspace(0, result.depth.size - 1, 4).astype(int)
    ]
    return {
        "kind": result.kind,
        "bank_price": f"{result.bank_price:,.0f} {money}",
        "trips_a_year": f"{result.trips_a_year:g}",
        "reading": f"{', '.join(told)} {money}.",
        "day_depth": words(result.day_depth, "1", system),
        "day_price": f"{result.day_price.value:.2f} {money}",
        "day_low": f"{result.day_price.low:.2f}",
        "day_high": f"{result.day_price.high:.2f}",
    }


def _options(result: CompareResult, system: System) -> dict[str, str]:
    told = []
    for one in result.rows:
        left = one.day.hold_left
        hold = "" if left is None else f", {left.seconds / 3600.0:.1f} h of hold left"
        told.append(
            f"{one.place}: {one.name}, {words(one.day.end_soc, '1', system)} left{hold}, "
            f"{words(one.day.load.mass_kg, 'kg', system)}"
        )
    return {
        "count": str(len(result.rows)),
        "on": f"{result.on.day} {result.on:%B %Y}",
        "rule": result.rule,
        "reason": result.reason,
        "reading": "; ".join(told) + ".",
    }


def _season(result: SeasonResult, system: System) -> dict[str, str]:
    del system
    laid = [(one, one.odds) for one in result.dates if one.odds is not None]
    best = sorted(laid, key=lambda pair: -pair[1].whole_plan.chance)[:5]
    means = chances_by_tide(result.dates).items()
    tides = [f"{100.0 * mean:.0f} at {tide}s" for tide, mean in means]
    other = len(starts_of(result))
    return {
        "first": f"{result.first.day} {result.first:%B %Y}",
        "last": f"{result.last.day} {result.last:%B %Y}",
        "good": str(sum(odds.whole_plan.chance >= GOOD for _, odds in laid)),
        "count": str(len(laid)),
        "good_chance": f"{100.0 * GOOD:.0f}",
        "tides": f"On average {', '.join(tides)}." if tides else "",
        "best": "Among the best: "
        + ", ".join(
            f"{one.date.day} {one.date:%B}, {100.0 * odds.whole_plan.chance:.0f}"
            for one, odds in best
        )
        + ".",
        "starts": f"On {other} dates another start than the planned one does better.",
    }


FACTS: dict[str, Callable[[Any, Any], dict[str, str]]] = {
    "day": _day,
    "night": _night,
    "odds": _odds,
    "motor": _motor,
    "hold": _hold,
    "map": _map,
    "trips": _trips,
    "options": _options,
    "season": _season,
}
