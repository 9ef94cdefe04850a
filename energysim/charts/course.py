"""
The night at the charger against the clock.

Depends on: charts.clock_axis, charts.frame, charts.labels, charts.style, clock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.clock_axis import clock_axis
from energysim.charts.frame import Layout
from energysim.charts.labels import Wish
from energysim.charts.style import SOFT_INK
from energysim.clock import clock_after, seconds_between

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.charts.frame import Frame
    from energysim.results.reach import NightCourse

HEIGHT_SHARE: Final = 0.62
MARGIN: Final = 0.03


def layout(frame: Frame) -> Layout:
    """Return one axes of a quiet shape."""
    return Layout(1, 1, min(HEIGHT_SHARE * frame.look.width_in, 3.2) + 0.45)


def draw_course(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw the charge through the night, its marks, and when it is wanted."""
    (ax,) = axes
    first = frame.results[0]
    wishes: list[Wish] = []
    last_h = max(float(night.hours[-1]) for night in frame.results)
    least = 100.0 * min(float(night.soc.min()) for night in frame.results)
    # Down to a whole quarter, with room below the start for its label.
    foot_at = max(0.0, np.floor((least - 12.0) / 25.0) * 25.0)
    ax.set_ylim(foot_at, 100.0 + 0.09 * (100.0 - foot_at))
    ax.set_yticks(np.arange(foot_at, 101.0, 25.0 if foot_at < 50.0 else 10.0))
    ax.set_title("State of charge by ampere-hours, %", pad=4.0)
    clock_axis(ax, first.plugged_in_at, -MARGIN * last_h, (1.0 + MARGIN) * last_h)
    wanted_h = seconds_between(first.plugged_in_at, first.recharge.ready_by) / 3600.0
    rule = (np.array([wanted_h, wanted_h]), np.array([foot_at, 100.0]))
    ax.plot(*rule, color=SOFT_INK, ls=(0.0, (3.0, 2.0)), lw=0.8, gid="ready-by")
    for number, (table, night) in enumerate(zip(frame.tables, frame.results, strict=True)):
        pen = frame.look.pen(number)
        hours, soc = table["hours"].values, table["soc"].values
        ax.plot(hours, soc, color=pen.colour, ls=pen.dash, lw=pen.width, gid=f"soc-{number}")
        alone = len(frame.tables) == 1
        if not alone:
            wishes.append(Wish(ax, table.name, hours, soc))
        for at, said in marks(night):
            height = float(np.interp(at, hours, soc))
            ax.plot([at], [height], pen.marker, ms=4.0, color=pen.colour, gid="mark")
            if alone:
                wishes.append(Wish(ax, said, [at], [height]))
    wishes.append(Wish(ax, f"wanted by {first.recharge.ready_by:%H:%M}", *rule))
    return wishes


def marks(night: NightCourse) -> list[tuple[float, str]]:
    """Return the moments worth a mark, in hours from the plug, and what they are called."""
    recharge = night.recharge
    start = 100.0 * float(night.soc[0])
    found = [(0.0, f"{start:.0f} % at {night.plugged_in_at:%H:%M}, plugged in")]
    for hours, name in (
        (recharge.to_80_h, "80 %"),
        (recharge.to_95_h, "95 %"),
        (recharge.full_h, "full"),
    ):
        if hours is not None and 0.0 < hours <= night.hours[-1] + 1e-9:
            clock = clock_after(night.plugged_in_at, 3600.0 * hours)
            found.append((hours, f"{name} at {clock:%H:%M}"))
    return found


def foot(frame: Frame) -> str:
    """Say which clock it is, and what is in the way of the charge."""
    note = frame.results[0].recharge.note
    return f"Local clock ({frame.results[0].plugged_in_at:%Z})." + (f" {note}." if note else "")
