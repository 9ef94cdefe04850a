"""
The local clock along a chart's foot.

Depends on: clock.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any, Final

from energysim.clock import clock_after, seconds_between

if TYPE_CHECKING:
    from datetime import datetime

STEPS_H: Final = (1, 2, 3, 4, 6, 12, 24)
LABEL_IN: Final = 0.46  # "06:00" and the room beside it


def clock_axis(axes: Any, start: datetime, first_h: float, last_h: float) -> None:
    """
    Mark whole hours of the local clock, as many as stand clear of one another.

    Over a clock change the marks follow the clock on the wall.

    Parameters
    ----------
    axes : Axes
        Its x is hours from `start`.
    start : datetime
        Zone-aware.
    first_h, last_h : float
        The ends of the axis. [h]
    """
    axes.set_xlim(first_h, last_h)
    width_in = axes.get_position().width * axes.figure.get_size_inches()[0]
    most = max(2, int(width_in / LABEL_IN))
    step = next((s for s in STEPS_H if (last_h - first_h) / s < most), STEPS_H[-1])
    hours = whole_hours(start, first_h, last_h)
    major = [at for at, clock in hours if clock.hour % step == 0]
    axes.set_xticks(major, [f"{clock:%H:%M}" for _, clock in hours if clock.hour % step == 0])
    axes.set_xticks([at for at, _ in hours], minor=True)


def whole_hours(start: datetime, first_h: float, last_h: float) -> list[tuple[float, datetime]]:
    """Return the whole hours on the wall between two moments: hours from `start`, clock."""
    clock = clock_after(start, 3600.0 * first_h)
    past = timedelta(minutes=clock.minute, seconds=clock.second, microseconds=clock.microsecond)
    clock = clock_after(clock, -past.total_seconds())
    found: list[tuple[float, datetime]] = []
    while True:
        at = seconds_between(start, clock) / 3600.0
        if at > last_h + 1e-9:
            return found
        if at >= first_h - 1e-9:
            found.append((at, clock))
        clock = clock_after(clock, 3600.0)
