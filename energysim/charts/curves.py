"""
Hours of hold over the thrust or the wind, an option a line.

Depends on: charts.frame, charts.labels, charts.several, charts.shown.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.frame import Layout
from energysim.charts.labels import Wish
from energysim.charts.several import BEHIND, crowded, draw_each, panel_grid
from energysim.charts.shown import words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.charts.frame import Frame
    from energysim.results.reach import HoldHours
    from energysim.unit_format import System

    Array = NDArray[np.float64]

PANEL_SHAPE: Final = 0.85
GIVES_OUT: Final = "thrust gives out first"
SHORT_DASH: Final = (0.0, (1.0, 1.0))
FEW_TICKS: Final = (0.25, 1.0, 4.0, 12.0)
HOURS_TICKS: Final = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 12.0, 24.0)


def hold_layout(frame: Frame) -> Layout:
    """Return one axes, or one for each of many options."""
    if crowded(frame):
        return panel_grid(frame, shape=PANEL_SHAPE)
    return Layout(1, 1, min(0.68 * frame.look.width_in, 3.4) + 0.45)


def draw_hold(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw hours of hold over the thrust, or over the wind."""
    first = frame.results[0]
    if any(result.over != first.over for result in frame.results):
        raise ValueError("hours over thrust and over wind cannot share one axis")
    for ax in axes:
        _scales(ax, frame)
    key = first.over
    where = "" if key == "thrust" else f" {first.wind_height_m:g} m up"
    label = "Thrust all the time" if key == "thrust" else f"Mean wind{where}"
    x_label = f"{label}, {frame.tables[0][key].unit}"
    if crowded(frame):
        draw_each(
            frame, axes, lambda ax, number: _hours(ax, frame, number, pen=0),
            behind=lambda ax, number: ax.plot(*_told(frame, number), **BEHIND),
            x_label=x_label, y_label="Hours of hold",
        )  # fmt: skip
        return []
    (ax,) = axes
    ax.set_title("Hours until the plan's limit", pad=4.0)
    ax.set_xlabel(x_label)
    wishes: list[Wish] = []
    for number, table in enumerate(frame.tables):
        _hours(ax, frame, number, pen=number)
        x, hours, short = *_told(frame, number), _short(frame, number)
        if table.name:
            wishes.append(Wish(ax, table.name, x[~short], hours[~short]))
        if short.any() and not any(wish.text == GIVES_OUT for wish in wishes):
            wishes.append(Wish(ax, GIVES_OUT, x[short], hours[short]))
    return wishes


def _told(frame: Frame, number: int) -> tuple[Array, Array]:
    """Return the part of a line that is told: held at all, and not for longer than is told."""
    table, result = frame.tables[number], frame.results[number]
    hours = table["hours"].values
    told = (hours > 0.0) & (hours < result.longest_h)
    return table[result.over].values[told], hours[told]


def _short(frame: Frame, number: int) -> NDArray[np.bool_]:
    """Return where on that part the thrust gives out before the limit."""
    table, result = frame.tables[number], frame.results[number]
    hours = table["hours"].values
    told = (hours > 0.0) & (hours < result.longest_h)
    return np.asarray((np.array(result.ended_by) == "short")[told])


def _hours(ax: Any, frame: Frame, number: int, *, pen: int) -> None:
    """Draw one option's line, dotted where the thrust gives out first."""
    style = frame.look.pen(pen)
    x, hours, short = *_told(frame, number), _short(frame, number)
    ink = {"color": style.colour, "lw": style.width}
    ax.plot(x[~short], hours[~short], ls=style.dash, gid=f"hold-{number}", **ink)
    if short.any():
        # The last that reaches the limit is where the dotted part begins.
        dotted = short | np.append(short[1:], [False])
        ax.plot(x[dotted], hours[dotted], ls=SHORT_DASH, gid=f"short-{number}", **ink)


def _scales(ax: Any, frame: Frame) -> None:
    """Set the scales that all options share."""
    hours = np.concatenate([table["hours"].values for table in frame.tables])
    most, held = float(hours.max()), hours[hours > 0.0]
    least = float(held.min()) if held.size else 0.5
    ax.set_yscale("log")
    marks = FEW_TICKS if crowded(frame) else HOURS_TICKS
    ticks = [hour for hour in marks if 0.7 * least <= hour <= 1.01 * most]
    ax.set_yticks(ticks, [f"{hour:g}" for hour in ticks])
    ax.set_yticks([], minor=True)
    ax.set_ylim(0.75 * least, 1.25 * most)
    ax.grid(axis="y", color="#dddddd", lw=0.5)
    ax.set_axisbelow(True)
    key = frame.results[0].over
    furthest = max(float(table[key].values.max()) for table in frame.tables)
    ax.set_xlim(0.0, furthest * 1.02)


def hold_foot(frame: Frame) -> str:
    """Say from where to where, and in what."""
    first: HoldHours = frame.results[0]
    system = frame.look.system
    water = (
        f"a stream of {words(first.stream_mps, 'm/s', system, digits=1)}"
        if first.stream_mps > 0.0
        else "still water"
    )
    start = _range_words([one.start_soc for one in frame.results], "that of each", system)
    limit = _range_words([one.limit_soc for one in frame.results], "the limit of each", system)
    span = f"From a state of charge of {start} down to {limit}, in {water}."
    if crowded(frame):
        span += f" Dotted: {GIVES_OUT}. Grey: the other options."
    if first.over == "thrust" or first.stream_mps <= 0.0:
        return span
    return f"{span} {angle_words(first.angle_deg)}"


def _range_words(socs: Sequence[float], each: str, system: System) -> str:
    """Say the one state of charge of all options, or from where to where theirs go."""
    low, high = (words(soc, "1", system) for soc in (min(socs), max(socs)))
    return low if low == high else f"{each}, {low} to {high}"


def angle_words(angle_deg: float) -> str:
    """Say how wind and stream stand to each other."""
    if angle_deg < 10.0:
        return "Wind and stream push the same way."
    if angle_deg >= 170.0:
        # Exactly opposed a boat has two headings alike: nobody can say which it takes.
        return f"Wind against stream, {180.0 - angle_deg:.0f} deg off straight."
    return f"Wind and stream push {angle_deg:.0f} deg apart."
