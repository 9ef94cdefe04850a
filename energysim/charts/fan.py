"""
The odds of the charge against the clock: the middle day, and a band that holds eight in ten.

Depends on: charts.clock_axis, charts.frame, charts.labels, charts.shown, charts.style, clock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.clock_axis import clock_axis
from energysim.charts.frame import Layout
from energysim.charts.labels import RULE_GID, Wish
from energysim.charts.shown import words
from energysim.charts.style import RULE, SOFT_INK
from energysim.clock import seconds_between

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.charts.frame import Frame

HEIGHT_SHARE: Final = 0.58
HIGHEST_IN: Final = 3.0
NAMES: Final = {
    "soc_p50": "half of the days above",
    "soc_p10": "1 day in 10 below",
    "soc_p90": "1 day in 10 above",
}


def layout(frame: Frame) -> Layout:
    """Return one axes of a quiet shape."""
    return Layout(1, 1, min(HEIGHT_SHARE * frame.look.width_in, HIGHEST_IN) + 0.45)


def draw_fan(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw the middle day, the band about it and the limit; return the texts to be placed."""
    if len(frame.tables) > 1:
        raise ValueError(f"a {frame.row.kind!r} chart shows one result at a time")
    (ax,), (table,), (result,) = axes, frame.tables, frame.results
    hours = table["elapsed"].values / 3600.0
    low, middle, high = (table[key].values for key in ("soc_p10", "soc_p50", "soc_p90"))
    ends = hours[[0, -1]]
    ax.set_ylim(0.0, 106.0)
    ax.set_yticks([0.0, 25.0, 50.0, 75.0, 100.0])
    ax.set_title("State of charge, %", pad=4.0)
    clock_axis(ax, result.start, float(ends[0]), float(ends[1]))
    for leg in result.legs[1:]:
        at = seconds_between(result.start, leg.start) / 3600.0
        ax.axvline(at, color=RULE, lw=0.5, zorder=0.5, gid=RULE_GID)
    ax.fill_between(hours, low, high, facecolor=frame.look.tint, lw=0.0, gid="band")
    limit = table["limit_soc"].values[[0, -1]]
    ax.plot(ends, limit, color=SOFT_INK, ls=(0.0, (3.0, 2.0)), lw=0.8, gid="limit")
    pen, edge = frame.look.pen(0), frame.look.pen(2)
    for key, values in (("soc_p10", low), ("soc_p90", high)):
        ax.plot(hours, values, color=SOFT_INK, ls=edge.dash, lw=0.8, gid=key)
    ax.plot(hours, middle, color=pen.colour, lw=pen.width, gid="soc_p50")
    wishes = [Wish(ax, f"the plan's limit, {words(result.limit_soc, '1', 'us')}", ends, limit)]
    return wishes + [
        Wish(ax, name, hours, table[key].values)
        for key, name in NAMES.items()
        if _stands_apart(table[key].values, middle, key)
    ]


def _stands_apart(values: Any, middle: Any, key: str) -> bool:
    """Say whether a line is far enough from the middle one to be told from it, in points."""
    return key == "soc_p50" or float(np.max(np.abs(values - middle))) > 2.0


def foot(frame: Frame) -> str:
    """Say which clock it is, and how many days were run."""
    result = frame.results[0]
    return f"Local clock ({result.start:%Z}).  {result.members:,} days, each otherwise."
