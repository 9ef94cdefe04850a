"""
What a trip costs over how deep it takes the bank, with the range thought possible.

Depends on: charts.frame, charts.labels, charts.several, charts.shown, charts.style.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.frame import Layout
from energysim.charts.labels import Wish
from energysim.charts.several import BEHIND, draw_each, panel_grid
from energysim.charts.shown import words
from energysim.charts.style import SOFT_INK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.charts.frame import Frame
    from energysim.results.reach import TripCosts

HEIGHT_SHARE: Final = 0.7
PANEL_SHAPE: Final = 0.8
CURVE: Final = "curve"
"""What the rows of the line are called in the table; the day's own is another."""


def layout(frame: Frame) -> Layout:
    """Return one axes, or one for each of several banks."""
    if len(frame.tables) > 1:
        return panel_grid(frame, shape=PANEL_SHAPE)
    return Layout(1, 1, min(HEIGHT_SHARE * frame.look.width_in, 3.4) + 0.45)


def draw_trips(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw the cost over the depth, its range as a band, and the day's own depth."""
    results: Sequence[TripCosts] = frame.results
    currency = results[0].currency
    if any(one.currency != currency for one in results):
        raise ValueError("trips priced in two currencies cannot share one scale")
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415 - start-up

    for ax in axes:
        ax.set_xlim(0.0, 100.0)
        ax.xaxis.set_major_locator(
            MaxNLocator(2 if len(results) > 1 else 5, steps=[1, 2, 5, 10])
        )
        # As many steps as the panel turns out tall or not: room is made but once.
        ax.yaxis.set_major_locator(MaxNLocator(4, steps=[1, 2, 5, 10]))
        ax.set_ylim(0.0, 1.1 * max(float(one.price_high.max()) for one in results))
    x_label, y_label = "Depth of discharge, %", f"Cost of a trip, {currency}"
    if len(results) > 1:
        draw_each(
            frame, axes, lambda ax, number: _cost(ax, frame, number),
            behind=lambda ax, number: ax.plot(*_line(frame, number, "price"), **BEHIND),
            x_label=x_label, y_label=y_label,
        )  # fmt: skip
        return []
    (ax,) = axes
    _cost(ax, frame, 0)
    ax.set_title(y_label, pad=4.0)
    ax.set_xlabel(x_label)
    (one,) = results
    depth, cost = 100.0 * one.day_depth, one.day_price.value
    day = f"this day: {cost:,.2f} {currency} at {words(one.day_depth, '1', 'us')}"
    energy = [Wish(ax, "of it energy", *_line(frame, 0, "energy"))]
    return [
        Wish(ax, day, [depth], [cost], ground=True),
        Wish(ax, "as expected", *_line(frame, 0, "price")),
        Wish(ax, "if it wears out soonest", *_line(frame, 0, "price_high")),
        Wish(ax, "if it lasts longest", *_line(frame, 0, "price_low")),
        *(energy if one.energy_price.any() else []),
    ]


def _line(frame: Frame, number: int, key: str) -> tuple[Any, Any]:
    table = frame.tables[number]
    curve = np.array(table["part"].values) == CURVE
    return table["depth"].values[curve], table[key].values[curve]


def _cost(ax: Any, frame: Frame, number: int) -> None:
    """Draw one bank's cost with its band and its day."""
    one: TripCosts = frame.results[number]
    look = frame.look
    pen = look.pen(0)
    depth, low = _line(frame, number, "price_low")
    high = _line(frame, number, "price_high")[1]
    ax.fill_between(depth, low, high, facecolor=look.tint, lw=0.0, zorder=0.5, gid="range")
    for key in ("price_low", "price_high"):
        ax.plot(*_line(frame, number, key), color=pen.colour, lw=0.6, gid=f"{key}-{number}")
    ax.plot(*_line(frame, number, "price"), color=pen.colour, lw=1.5, gid=f"price-{number}")
    if one.energy_price.any():
        energy = _line(frame, number, "energy")
        ax.plot(*energy, color=SOFT_INK, lw=0.9, ls=(0.0, (1.0, 1.4)), gid=f"energy-{number}")
    ax.plot(
        [100.0 * one.day_depth], [one.day_price.value], "o", ms=4.5, color="black", mec="white",
        mew=0.6, zorder=4.0, gid=f"day-{number}",
    )  # fmt: skip


def foot(frame: Frame) -> str:
    """Say what is in the cost, and what the mark is."""
    first: TripCosts = frame.results[0]
    said = ["The bank over its life, and the energy that fills it again:"]
    said.append(f"every trip as deep as the next, {first.trips_a_year:g} a year.")
    if len(frame.results) > 1:
        said.append("Dot: this day. Band: the range thought possible. Grey: the other options.")
        if any(one.energy_price.any() for one in frame.results):
            said.append("Dotted: the energy alone.")
    notes = dict.fromkeys(one.note for one in frame.results if one.note)
    said += [f"{note[:1].upper()}{note[1:]}." for note in notes]
    return " ".join(said)
