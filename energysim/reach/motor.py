"""
The motor as the day uses it: current over thrust, and what a sagging voltage leaves.

Depends on: build, physics, scenario, results.reach.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.motor import build_motor
from energysim.physics.motor import electrical_demand, full_throttle, thrust_at_power
from energysim.results.reach import MotorCurve, MotorLine, MotorPoint
from energysim.units import unit_factor

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.motor import MotorPart
    from energysim.scenario.load import LoadedScenario

    Array = NDArray[np.float64]

WATER_SPEEDS_KN: Final = (0.0, 1.0, 2.0, 3.0)
POINTS: Final = 60
VOLTAGES: Final = 40
HIGHEST_SHARE: Final = 1.1  # of rated voltage: a full bank at rest (ours)


def motor_curve(loaded: LoadedScenario) -> MotorCurve:
    """
    Return the motor's thrust and current in still and in moving water.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario.

    Returns
    -------
    MotorCurve
        With the owner's points, or the label's one.

    Raises
    ------
    ScenarioError
        The label or the points make no motor.
    """
    part = build_motor(loaded.scenario)
    table = loaded.scenario.motor
    if table.bench:
        points = tuple(
            MotorPoint(
                thrust_n=point.thrust_n, current_a=point.current_a, voltage_v=point.voltage_v
            )
            for point in table.bench
        )
    else:
        most = table.max_current_a or part.current_limit_a
        points = (
            MotorPoint(
                thrust_n=part.rated_thrust_n, current_a=most, voltage_v=part.rated_voltage_v
            ),
        )
    knot = unit_factor("kn", "speed")
    return MotorCurve(
        title=loaded.scenario.title,
        lines=tuple(_line(part, speed * knot) for speed in WATER_SPEEDS_KN),
        points=points,
        from_bench=bool(table.bench),
        rated_voltage_v=part.rated_voltage_v,
        lowest_voltage_v=part.lowest_voltage_v,
        current_limit_a=part.current_limit_a,
    )


def _line(part: MotorPart, inflow_mps: float) -> MotorLine:
    """Return the curve at one water speed."""
    motor, rated = part.motor, part.rated_voltage_v
    voltage = np.linspace(part.lowest_voltage_v, HIGHEST_SHARE * rated, VOLTAGES)
    at_rated, _ = _most(np.array([rated]), inflow_mps, part)
    thrust = float(at_rated[0]) * np.linspace(0.0, 1.0, POINTS + 1)[1:]
    asked = electrical_demand(thrust, inflow_mps=inflow_mps, motor=motor)
    most_thrust, most_current = _most(voltage, inflow_mps, part)
    return MotorLine(
        water_speed_mps=inflow_mps,
        thrust_n=thrust,
        current_a=asked.current_a,
        voltage_v=voltage,
        most_thrust_n=most_thrust,
        most_current_a=most_current,
    )


def _most(voltage_v: Array, inflow_mps: float, part: MotorPart) -> tuple[Array, Array]:
    """Return the most thrust at each voltage, by full throttle and by the current limit."""
    limit = part.current_limit_a
    thrust, current = full_throttle(voltage_v, inflow_mps=inflow_mps, motor=part.motor)
    volts = part.rated_voltage_v if part.motor.control == "stepped" else voltage_v
    limited = thrust_at_power(
        np.broadcast_to(limit * volts, voltage_v.shape), inflow_mps=inflow_mps, motor=part.motor
    )
    within = np.where(current > limit, np.minimum(limited, thrust), thrust)
    return within, np.minimum(current, limit)
