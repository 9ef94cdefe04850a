"""
Steps of a day against the clock, panel under panel.

Depends on: charts.clock_axis, charts.day_marks, charts.frame, charts.labels, charts.shown,
charts.side_by_side, charts.style.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts import side_by_side
from energysim.charts.clock_axis import clock_axis
from energysim.charts.day_marks import legs_key, rule_off_legs
from energysim.charts.frame import Layout
from energysim.charts.labels import Wish
from energysim.charts.shown import words
from energysim.charts.style import SOFT_INK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.charts.columns import ChartTable
    from energysim.charts.frame import Frame
    from energysim.charts.style import Pen
    from energysim.results.day import DayResult

    Array = NDArray[np.float64]

AT_THE_STEPS_END: Final = {"soc", "charge", "drawn_charge", "drawn_energy"}
"""Columns that hold what stands at a step's end; all others are of its middle."""

JUMPS_BETWEEN_LEGS: Final = {"thrust_wanted", "thrust_available", "thrust_given"}
SHORT: Final[dict[str, str]] = {
    "thrust_wanted": "wanted",
    "thrust_available": "available",
    "thrust_given": "given",
    "wind": "mean",
    "gust": "gust",
    "bank_voltage": "at the bank",
    "motor_voltage": "at the motor",
    "current": "mean",
    "peak_current": "in the gust",
}
"""What a line is called where its panel says the rest."""

HEADINGS: Final[dict[str, str]] = {
    "thrust_wanted": "Thrust",
    "wind": "Wind at the boat",
    "bank_voltage": "Voltage",
    "current": "Current out of the bank",
}
PANEL_IN: Final = {"soc": 1.15, "stream": 0.85, "wind": 0.9}
USUAL_PANEL_IN: Final = 1.2
TICKS: Final = 4
POINTS_OF_THE_COMPASS: Final = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


def layout(frame: Frame) -> Layout:
    """Return a row a panel; panels in which nothing ever happens are left out."""
    if len(frame.tables) > 1:
        return side_by_side.layout(frame)
    panels = shown_panels(frame)
    heights = tuple(PANEL_IN.get(panel[0], USUAL_PANEL_IN) for panel in panels)
    wide = 1.0 if frame.look.narrow else 1.15
    return Layout(len(panels), 1, wide * sum(heights) + 0.85, heights, one_clock=True)


def shown_panels(frame: Frame) -> list[tuple[str, ...]]:
    """Return the panels that have something to show."""
    table = frame.tables[0]
    return [
        panel
        for panel in frame.row.panels()
        if any(np.any(table[key].values != 0.0) for key in panel)
    ]


def draw_panels(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw every panel; return the texts that still want a place."""
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415 - start-up

    if len(frame.tables) > 1:
        return side_by_side.draw(frame, axes)
    (table,), (result,) = frame.tables, frame.results
    elapsed, step = table["elapsed"].values, table["step"].values
    last_h = float(elapsed[-1] + step[-1]) / 3600.0
    wishes: list[Wish] = []
    for ax, panel in zip(axes, shown_panels(frame), strict=True):
        columns = [table[key] for key in panel]
        heading = HEADINGS.get(panel[0], columns[0].label)
        top = 11.0 if ax is axes[0] else 4.0  # the legs' numbers stand above the first
        ax.set_title(f"{heading}, {columns[0].unit}", pad=top)
        for number, key in enumerate(panel):
            if key == "stream":
                wishes += _stream(ax, table, frame)
            else:
                wishes += _line(ax, table, key, frame.look.pen(number), len(panel) > 1)
        if "thrust_available" in panel:
            _shortfall(ax, table, frame)
        if "soc" in panel:
            wishes += _soc(ax, table, result)
        elif "voltage" not in panel[0]:
            ax.yaxis.set_major_locator(MaxNLocator(TICKS, steps=[1, 2, 2.5, 5, 10]))
            ax.set_ylim(0.0, 1.18 * max(1e-9, *(np.nanmax(c.values) for c in columns)))
        else:
            ax.margins(y=0.25)
            # So few numbers that their steps do not turn on how tall the panel is.
            ax.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
    rule_off_legs(axes, result, last_h)
    last = axes[-1]
    shared = last.get_shared_x_axes()
    for ax in axes:
        if ax is last or not shared.joined(ax, last):
            clock_axis(ax, result.start, 0.0, last_h)
        else:  # one clock, marked at the foot
            ax.xaxis.set_visible(False)
    return wishes


def foot(frame: Frame) -> str:
    """Return the key to the numbers of the legs."""
    if len(frame.tables) > 1:
        return side_by_side.foot(frame)
    return legs_key(frame.results[0])


def _hours(table: ChartTable, key: str) -> Array:
    """Return where a column's values stand on the clock, in hours from the start."""
    share = 1.0 if key in AT_THE_STEPS_END else 0.5
    return np.asarray((table["elapsed"].values + share * table["step"].values) / 3600.0)


def _parted(values: Array, table: ChartTable, key: str) -> tuple[Array, Array]:
    """Return a line with a gap where the motor is off, and where a leg begins."""
    hours = _hours(table, key)
    if key not in JUMPS_BETWEEN_LEGS:
        return hours, values
    on = table["thrust_wanted"].values > 0.0
    legs = np.array(table["leg"].values)
    turns = np.flatnonzero(legs[1:] != legs[:-1]) + 1
    shown = np.where(on, values, np.nan)
    return np.insert(hours, turns, hours[turns]), np.insert(shown, turns, np.nan)


def _line(ax: Any, table: ChartTable, key: str, pen: Pen, named: bool) -> list[Wish]:
    hours, values = _parted(table[key].values, table, key)
    ax.plot(hours, values, color=pen.colour, ls=pen.dash, lw=pen.width, gid=key)
    if not named or not np.isfinite(values).any():
        return []
    return [Wish(ax, SHORT.get(key, table[key].label.lower()), hours, values)]


def _shortfall(ax: Any, table: ChartTable, frame: Frame) -> None:
    """Hatch where more is wanted than there is."""
    hours, wanted = _parted(table["thrust_wanted"].values, table, "thrust_wanted")
    _, most = _parted(table["thrust_available"].values, table, "thrust_available")
    with np.errstate(invalid="ignore"):
        short = wanted > most
    if short.any():
        ax.fill_between(
            hours, most, wanted, where=short, facecolor="none", edgecolor=frame.look.edge,
            hatch="xxxx", lw=0.0, gid="shortfall",
        )  # fmt: skip


def _soc(ax: Any, table: ChartTable, result: DayResult) -> list[Wish]:
    """Add the plan's limit, and what is left at the end."""
    limit = table["limit_soc"].values[0]
    hours, soc = _hours(table, "soc"), table["soc"].values
    ax.set_ylim(0.0, 106.0)
    ax.set_yticks([0.0, 25.0, 50.0, 75.0, 100.0])
    ends = np.array([0.0, hours[-1]])
    ax.plot(ends, [limit, limit], color=SOFT_INK, ls=(0.0, (3.0, 2.0)), lw=0.8, gid="limit")
    ax.plot(hours[-1:], soc[-1:], "o", ms=3.5, color="black", clip_on=False, gid="end")
    left = f"{words(result.end_soc, '1', 'us')} at {result.end:%H:%M}"
    return [
        Wish(ax, left, hours[-1:], soc[-1:]),
        Wish(
            ax,
            f"the plan's limit, {words(result.limit_soc, '1', 'us')}",
            ends,
            np.array([limit, limit]),
        ),
    ]


def _stream(ax: Any, table: ChartTable, frame: Frame) -> list[Wish]:
    """Fill the stream: a tint one way, a hatch the other, each named once."""
    hours, speed = _hours(table, "stream"), table["stream"].values
    ax.plot(hours, speed, color=frame.look.pen(0).colour, lw=1.0, gid="stream")
    toward = table["stream_toward"].values
    flood = frame.flood_toward_deg
    first = float(toward[np.argmax(speed)]) if flood is None else flood
    along = np.cos(np.deg2rad(toward - first)) >= 0.0
    fills = ({"facecolor": frame.look.tint}, {"facecolor": "none", "hatch": "////"})
    wishes = []
    for ways, fill, name in zip((along, ~along), fills, ("flood", "ebb"), strict=True):
        if not (ways & (speed > 0.0)).any():
            continue
        # One more step at either side, so that the two ways meet.
        reach = ways | np.append(ways[1:], False) | np.append(False, ways[:-1])
        ax.fill_between(
            hours, 0.0, speed, where=reach & (ways | (speed < 0.05)), lw=0.0,
            edgecolor=SOFT_INK, gid=f"stream-{name}", **fill,
        )  # fmt: skip
        top = int(np.argmax(np.where(ways, speed, -1.0)))
        bearing = float(toward[top])
        point = POINTS_OF_THE_COMPASS[round(bearing / 45.0) % 8]
        said = f"toward {point}" if flood is None else f"{name}, toward {point}"
        wishes.append(Wish(ax, said, hours[ways], speed[ways]))
    return wishes
