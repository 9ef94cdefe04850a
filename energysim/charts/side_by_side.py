"""
The state of charge of several days: in one panel, or of many in a panel each.

Depends on: charts.clock_axis, charts.day_marks, charts.frame, charts.labels, charts.several,
charts.shown, charts.style, clock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.clock_axis import clock_axis
from energysim.charts.day_marks import legs_key, rule_off_legs
from energysim.charts.end_labels import name_ends
from energysim.charts.frame import Layout
from energysim.charts.labels import Wish
from energysim.charts.several import BEHIND, crowded, draw_each, panel_grid
from energysim.charts.shown import words
from energysim.charts.style import SOFT_INK
from energysim.clock import clock_after, seconds_between

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.charts.frame import Frame
    from energysim.results.day import DayResult

    Array = NDArray[np.float64]

PANEL_SHAPE: Final = 0.75
TALL_SHARE: Final = 0.72
LIMIT_DASH: Final = (0.0, (3.0, 2.0))


def layout(frame: Frame) -> Layout:
    """Return one axes, or one for each of many days."""
    if crowded(frame):
        return panel_grid(frame, shape=PANEL_SHAPE)
    return Layout(1, 1, min(TALL_SHARE * frame.look.width_in, 3.6) + 0.5)


def draw(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw the state of charge of each day on one clock."""
    results: Sequence[DayResult] = frame.results
    starts = [result.start for result in results]
    ends = [clock_after(r.start, seconds_between(r.start, r.end)) for r in results]
    start, end = min(starts), max(ends)
    if len({one.date() for one in starts}) > 1:
        raise ValueError("days of different dates have no clock in common")
    last_h = seconds_between(start, end) / 3600.0
    lines = [_line(frame, number, start) for number in range(len(results))]
    if crowded(frame):

        def one_day(ax: Any, number: int) -> None:
            _scale(ax)
            hours, soc = lines[number]
            pen = frame.look.pen(0)
            ax.plot(hours, soc, color=pen.colour, lw=pen.width, gid=f"soc-{number}")
            limit = 100.0 * results[number].limit_soc
            ax.axhline(limit, color=SOFT_INK, ls=LIMIT_DASH, lw=0.8, gid="limit")
            clock_axis(ax, start, 0.0, last_h)

        draw_each(
            frame, axes, one_day, behind=lambda ax, number: ax.plot(*lines[number], **BEHIND),
            x_label=f"Local clock ({start:%Z})", y_label="State of charge, %",
        )  # fmt: skip
        return []
    (ax,) = axes
    _scale(ax)
    ax.set_title("State of charge, %", pad=11.0)
    wishes: list[Wish] = []
    names = []
    for number, (hours, soc) in enumerate(lines):
        pen = frame.look.pen(number)
        ax.plot(hours, soc, color=pen.colour, ls=pen.dash, lw=pen.width, gid=f"soc-{number}")
        ax.plot(hours[-1:], soc[-1:], pen.marker, ms=3.5, color=pen.colour, clip_on=False)
        end_soc = words(results[number].end_soc, "1", "us")
        names.append(f"{frame.tables[number].name}, {end_soc}")
    frame.settle()
    name_ends(ax, names, [float(soc[-1]) for _, soc in lines])
    ends_h = np.array([0.0, last_h])
    for limit in sorted({round(result.limit_soc, 6) for result in results}):
        rule = np.full(2, 100.0 * limit)
        ax.plot(ends_h, rule, color=SOFT_INK, ls=LIMIT_DASH, lw=0.8, gid="limit")
        wishes.append(Wish(ax, f"limit {words(limit, '1', 'us')}", ends_h, rule))
    clock_axis(ax, start, 0.0, last_h)
    if _one_plan(results):
        rule_off_legs([ax], results[0], last_h)
    return wishes


def _scale(ax: Any) -> None:
    ax.set_ylim(0.0, 106.0)
    ax.set_yticks([0.0, 25.0, 50.0, 75.0, 100.0])


def _line(frame: Frame, number: int, start: Any) -> tuple[Array, Array]:
    """Return what stands at each step's end, from what stands when the day begins."""
    table, result = frame.tables[number], frame.results[number]
    lead = seconds_between(start, result.start)
    hours = (lead + table["elapsed"].values + table["step"].values) / 3600.0
    return np.asarray(hours), np.asarray(table["soc"].values)


def _one_plan(results: Sequence[DayResult]) -> bool:
    """Say whether all days have the same legs at the same times."""
    legs = [[(leg.name, leg.start, leg.end) for leg in result.legs] for result in results]
    return all(one == legs[0] for one in legs)


def foot(frame: Frame) -> str:
    """Return the key to the legs, and what is drawn how."""
    results: Sequence[DayResult] = frame.results
    if crowded(frame):
        return "Dashed: the plan's limit of each. Grey: the other options."
    if _one_plan(results):
        return legs_key(results[0])
    return f"Local clock ({results[0].start:%Z})."
