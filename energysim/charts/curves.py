"""
Curves with their names beside them: the motor, and the hours of hold.

Depends on: charts.frame, charts.labels, charts.shown, charts.style.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.frame import Layout
from energysim.charts.labels import Wish
from energysim.charts.shown import shown, shown_unit, words
from energysim.charts.style import SOFT_INK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.charts.frame import Frame
    from energysim.results_reach import HoldHours, MotorCurve
    from energysim.unit_format import System

SHORT_DASH: Final = (0.0, (1.0, 1.0))
HOURS_TICKS: Final = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 12.0, 24.0)


def motor_layout(frame: Frame) -> Layout:
    """Return two axes, side by side where there is room."""
    if frame.look.narrow:
        return Layout(2, 1, 4.6)
    return Layout(1, 2, 0.42 * frame.look.width_in + 0.3)


def draw_motor(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw current over thrust with the points it was fitted to, and thrust over voltage."""
    if len(frame.results) > 1:
        raise ValueError("a 'motor' chart shows one motor at a time")
    left, right = axes
    (curve,), look = frame.results, frame.look
    force = shown_unit("N", look.system).unit
    wishes: list[Wish] = []
    for number, line in enumerate(curve.lines):
        pen = look.pen(number)
        style = {"color": pen.colour, "ls": pen.dash, "lw": pen.width}
        said = _water(line.water_speed_mps, look.system)
        thrust = shown(line.thrust_n, "N", look.system)
        left.plot(thrust, line.current_a, gid=f"current-{number}", **style)
        most = shown(line.most_thrust_n, "N", look.system)
        right.plot(line.voltage_v, most, gid=f"most-{number}", **style)
        wishes += [Wish(left, said, thrust, line.current_a)]
        wishes += [Wish(right, said, line.voltage_v, most)]
    x = shown([point.thrust_n for point in curve.points], "N", look.system)
    y = [point.current_a for point in curve.points]
    left.plot(x, y, "o", ms=4.0, color="black", mfc="white", gid="points", zorder=4.0)
    name = "owner's test" if curve.from_bench else "label"
    wishes.insert(0, Wish(left, name, x[-1:], y[-1:]))
    left.set_title(f"Current at {curve.rated_voltage_v:g} V, A", pad=4.0)
    left.set_xlabel(f"Thrust, {force}")
    left.set_xlim(0.0, 1.12 * max(x.max(), *(line.get_xdata().max() for line in left.lines)))
    left.set_ylim(0.0, 1.15 * max(*y, *(line.current_a.max() for line in curve.lines)))
    right.set_title(f"Most thrust, {force}", pad=4.0)
    right.set_xlabel("Voltage at the motor, V")
    right.set_ylim(
        0.0, 1.12 * float(shown(curve.lines[0].most_thrust_n.max(), "N", look.system))
    )
    volts = curve.lines[0].voltage_v
    right.set_xlim(volts[0], volts[-1])
    rule = (np.full(2, curve.rated_voltage_v), np.array(right.get_ylim()))
    right.plot(*rule, color=SOFT_INK, ls=(0.0, (3.0, 2.0)), lw=0.8, gid="rated")
    wishes.append(Wish(right, "rated", *rule))
    return wishes


def _water(speed_mps: float, system: Any) -> str:
    return "still water" if speed_mps <= 0.0 else words(speed_mps, "m/s", system) + " of water"


def motor_foot(frame: Frame) -> str:
    """Say what the points are, and what holds the thrust down."""
    curve: MotorCurve = frame.results[0]
    points = (
        "Open circles: the owner's test, the boat tied up."
        if curve.from_bench
        else "Open circle: the label, the propeller's own thrust, before the hull's share."
    )
    return f"{points} The motor is kept below {curve.current_limit_a:g} A."


def hold_layout(frame: Frame) -> Layout:
    """Return one axes."""
    return Layout(1, 1, min(0.68 * frame.look.width_in, 3.4) + 0.45)


def draw_hold(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw hours of hold over the thrust, or over the wind, an option a line."""
    (ax,) = axes
    first, look = frame.results[0], frame.look
    if any(result.over != first.over for result in frame.results):
        raise ValueError("hours over thrust and over wind cannot share one axis")
    key = first.over
    wishes: list[Wish] = []
    for number, (table, result) in enumerate(zip(frame.tables, frame.results, strict=True)):
        pen = look.pen(number)
        x, hours = table[key].values, table["hours"].values
        told = (hours > 0.0) & (hours < result.longest_h)
        short = told & (np.array(result.ended_by) == "short")
        # The last that reaches the limit is where the dotted part begins.
        solid, dotted = told & ~short, short | (told & np.append(short[1:], [False]))
        style = {"color": pen.colour, "lw": pen.width}
        ax.plot(x[solid], hours[solid], ls=pen.dash, gid=f"hold-{number}", **style)
        if table.name:
            wishes.append(Wish(ax, table.name, x[solid], hours[solid]))
        if short.any():
            ax.plot(x[dotted], hours[dotted], ls=SHORT_DASH, gid=f"short-{number}", **style)
            if number == 0:
                wishes.append(Wish(ax, "thrust gives out first", x[dotted], hours[dotted]))
    ax.set_yscale("log")
    most = max(float(t["hours"].values.max()) for t in frame.tables)
    held = np.concatenate([t["hours"].values[t["hours"].values > 0.0] for t in frame.tables])
    least = float(held.min()) if held.size else 0.5
    ticks = [hour for hour in HOURS_TICKS if 0.7 * least <= hour <= 1.01 * most]
    ax.set_yticks(ticks, [f"{hour:g}" for hour in ticks])
    ax.set_yticks([], minor=True)
    ax.set_ylim(0.75 * least, 1.25 * most)
    ax.grid(axis="y", color="#dddddd", lw=0.5)
    ax.set_axisbelow(True)
    ax.set_xlim(0.0, float(frame.tables[0][key].values.max()) * 1.02)
    ax.set_title("Hours until the plan's limit", pad=4.0)
    unit = frame.tables[0][key].unit
    where = "" if key == "thrust" else f" {first.wind_height_m:g} m up"
    label = "Thrust all the time" if key == "thrust" else f"Mean wind{where}"
    ax.set_xlabel(f"{label}, {unit}")
    return wishes


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
    if angle_deg > 170.0:
        return "Wind against stream."
    return f"Wind and stream push {angle_deg:.0f} deg apart."
