"""
The ways of drawing, by what the catalogue calls them.

Depends on: every way of drawing, charts.several, charts.style.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, NamedTuple

from energysim.charts import (
    bars,
    calendar,
    contours,
    course,
    curves,
    fan,
    motor,
    options,
    panels,
    trips,
)
from energysim.charts.several import MOST_PANELS
from energysim.charts.style import MOST_OPTIONS

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from energysim.charts.catalogue import ChartRow
    from energysim.charts.frame import Frame, Layout
    from energysim.charts.labels import Wish


class Drawing(NamedTuple):
    """One way of drawing."""

    layout: Callable[[Frame], Layout]
    draw: Callable[[Frame, Sequence[Any]], list[Wish]]
    foot: Callable[[Frame], str] | None = None
    most: int = 1  # results on one chart


DRAWINGS: Final[dict[str, Drawing]] = {
    "panels": Drawing(panels.layout, panels.draw_panels, panels.foot, MOST_PANELS),
    "bars": Drawing(bars.layout, bars.draw_bars, None, MOST_OPTIONS),
    "course": Drawing(course.layout, course.draw_course, course.foot, MOST_OPTIONS),
    "fan": Drawing(fan.layout, fan.draw_fan, fan.foot),
    "motor": Drawing(motor.layout, motor.draw_motor, motor.foot, MOST_OPTIONS),
    "hold": Drawing(curves.hold_layout, curves.draw_hold, curves.hold_foot, MOST_PANELS),
    "map": Drawing(contours.layout, contours.draw_map, contours.foot, MOST_PANELS),
    "options": Drawing(options.layout, options.draw_options, options.foot),
    "trips": Drawing(trips.layout, trips.draw_trips, trips.foot, MOST_PANELS),
    "calendar": Drawing(calendar.layout, calendar.draw_calendar, calendar.foot),
}


def most_results(row: ChartRow) -> int:
    """Return how many results a kind of chart shows at most."""
    return DRAWINGS[row.drawing].most if row.several else 1
