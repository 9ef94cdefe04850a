"""
The legs of a day on its charts: ruled off, numbered, and named at the foot.

Depends on: charts.labels, charts.shown, charts.style, clock, results.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.labels import RULE_GID
from energysim.charts.shown import NO_BREAK
from energysim.charts.style import RULE, SOFT_INK, TEXT_PT
from energysim.clock import seconds_between

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.results.day import DayResult

DIGIT_IN: Final = 0.075  # of a leg's number, with some room beside it


def legs_key(result: DayResult) -> str:
    """Return which clock it is, and the names of the legs by their numbers."""
    names = f"{NO_BREAK}· ".join(
        f"{number}{NO_BREAK}{leg.name}" for number, leg in enumerate(result.legs, 1)
    )
    return f"Local clock ({result.start:%Z}).  {names}"


def rule_off_legs(axes: Sequence[Any], result: DayResult, last_h: float) -> None:
    """Rule off the legs in every panel; number them above the first, where there is room."""
    width_in = axes[0].get_position().width * axes[0].figure.get_size_inches()[0]
    clear_of = -1.0
    hours = [
        tuple(seconds_between(result.start, at) / 3600.0 for at in (leg.start, leg.end))
        for leg in result.legs
    ]
    _rule_off(axes, sorted({at for leg in hours for at in leg if 0.0 < at < last_h}))
    for number, (begin, end) in enumerate(hours, 1):
        middle, room = 0.5 * (begin + end), len(str(number)) * DIGIT_IN * last_h / width_in
        if middle - 0.5 * room < clear_of:
            continue
        clear_of = middle + 0.5 * room
        axes[0].annotate(
            str(number),
            (middle, 1.0),
            xycoords=axes[0].get_xaxis_transform(),
            xytext=(0.0, 1.5),
            textcoords="offset points",
            ha="center",
            va="bottom",
            size=TEXT_PT - 0.5,
            color=SOFT_INK,
            annotation_clip=False,
        )


def _rule_off(axes: Sequence[Any], at_h: Sequence[float]) -> None:
    """Rule every panel from foot to top, with one line a panel: lines take time to draw."""
    x = np.repeat(at_h, 3)
    y = np.tile([0.0, 1.0, np.nan], len(at_h))  # a gap after each
    for ax in axes:
        ax.plot(
            x, y, transform=ax.get_xaxis_transform(), color=RULE, lw=0.5, zorder=0.5,
            gid=RULE_GID,
        )  # fmt: skip
