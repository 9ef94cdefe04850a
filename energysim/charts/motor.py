"""
The motor: current over thrust, and what a sagging voltage leaves.

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
    from energysim.results.reach import MotorCurve, MotorLine
    from energysim.unit_format import System

RULE_DASH: Final = (0.0, (3.0, 2.0))


def layout(frame: Frame) -> Layout:
    """Return two axes, side by side where there is room."""
    if frame.look.narrow:
        return Layout(2, 1, 4.6)
    return Layout(1, 2, 0.42 * frame.look.width_in + 0.3)


def draw_motor(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """
    Draw current over thrust with the points it was fitted to, and thrust over voltage.

    One motor in several water speeds, or several motors in still water.
    """
    left, right = axes
    system = frame.look.system
    force = shown_unit("N", system).unit
    curves: Sequence[MotorCurve] = frame.results
    wishes: list[Wish] = []
    for number, curve in enumerate(curves):
        wishes.append(_points(left, frame, number))
        if len(curves) == 1:
            for pen, line in enumerate(curve.lines):
                said = _water(line.water_speed_mps, system)
                wishes += _line(left, right, line, frame, pen=pen, said=said)
        else:
            name = frame.tables[number].name
            wishes += _line(left, right, curve.lines[0], frame, pen=number, said=name)
    at = f"{curves[0].rated_voltage_v:g} V" if len(curves) == 1 else "rated voltage"
    left.set_title(f"Current at {at}, A", pad=4.0)
    left.set_xlabel(f"Thrust, {force}")
    left.set_xlim(0.0, 1.12 * max(line.get_xdata().max() for line in left.lines))
    left.set_ylim(0.0, 1.15 * max(line.get_ydata().max() for line in left.lines))
    right.set_title(f"Most thrust, {force}", pad=4.0)
    right.set_xlabel("Voltage at the motor, V")
    right.set_ylim(0.0, 1.12 * max(line.get_ydata().max() for line in right.lines))
    volts = np.concatenate([curve.lines[0].voltage_v for curve in curves])
    right.set_xlim(volts.min(), volts.max())
    rated = sorted({curve.rated_voltage_v for curve in curves})
    for volt in rated:
        rule = (np.full(2, volt), np.array(right.get_ylim()))
        right.plot(*rule, color=SOFT_INK, ls=RULE_DASH, lw=0.8, gid="rated")
        said = "rated" if len(rated) == 1 else f"rated {volt:g} V"
        wishes.append(Wish(right, said, *rule))
    return wishes


def _points(ax: Any, frame: Frame, number: int) -> Wish:
    """Mark the points a curve was fitted to; name one of them."""
    curve: MotorCurve = frame.results[number]
    x = shown([point.thrust_n for point in curve.points], "N", frame.look.system)
    y = np.array([point.current_a for point in curve.points])
    ax.plot(
        x, y, frame.look.pen(number).marker, ms=4.0, color="black", mfc="white", ls="none",
        gid="points" if number == 0 else f"points-{number}", zorder=4.0,
    )  # fmt: skip
    name = "owner's test" if curve.from_bench else "label"
    return Wish(ax, name, x[-1:], y[-1:])


def _line(
    left: Any, right: Any, line: MotorLine, frame: Frame, *, pen: int, said: str
) -> list[Wish]:
    """Draw one line in both axes."""
    ink = frame.look.pen(pen)
    style = {"color": ink.colour, "ls": ink.dash, "lw": ink.width}
    thrust = shown(line.thrust_n, "N", frame.look.system)
    most = shown(line.most_thrust_n, "N", frame.look.system)
    left.plot(thrust, line.current_a, gid=f"current-{pen}", **style)
    right.plot(line.voltage_v, most, gid=f"most-{pen}", **style)
    return [Wish(left, said, thrust, line.current_a), Wish(right, said, line.voltage_v, most)]


def _water(speed_mps: float, system: System) -> str:
    return "still water" if speed_mps <= 0.0 else words(speed_mps, "m/s", system) + " of water"


def foot(frame: Frame) -> str:
    """Say what the points are, and what holds the thrust down."""
    curves: Sequence[MotorCurve] = frame.results
    told = {
        "Open marks: the owner's test, the boat tied up."
        if curve.from_bench
        else "Open marks: the label, the propeller's own thrust, before the hull's share."
        for curve in curves
    }
    if len(curves) == 1:
        (points,) = told
        return f"{points} The motor is kept below {curves[0].current_limit_a:g} A."
    limits = "; ".join(
        f"{words(curve.current_limit_a, 'A', 'us')}, {table.name}"
        for table, curve in zip(frame.tables, curves, strict=True)
    )
    return f"In still water. {' '.join(sorted(told))} The motors are kept below: {limits}."
