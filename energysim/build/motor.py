"""
The bow motor, from its label or the owner's own test.

Depends on: scenario, physics, errors.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

from energysim.build.boat import density_of_the_water
from energysim.errors import Problem, ScenarioError
from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.calibrate import Calibration, motor_from_bench, motor_from_label

if TYPE_CHECKING:
    from energysim.physics.motor import Motor
    from energysim.scenario.model import Scenario
    from energysim.scenario.motor import Motor as MotorTable

SWITCHING_LOSS: Final = 0.01
"""Controller loss below full throttle over motor power: 1 to 2 %, our choice. [1]"""

DROP_OUT_SHARE: Final = 0.8
"""Share of rated voltage where controllers let go: 0.75 to 0.85, common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MotorPart:
    """The calibrated motor and what the day needs to know about it."""

    motor: Motor
    rated_thrust_n: float
    rated_voltage_v: float
    current_limit_a: float
    lowest_voltage_v: float
    notes: tuple[str, ...]
    warnings: tuple[str, ...]


def build_motor(scenario: Scenario) -> MotorPart:
    """
    Return the motor that passes through its label or the owner's points.

    Raises
    ------
    ScenarioError
        The label or the points make no motor.
    """
    return _calibrated(scenario.motor, float(density_of_the_water(scenario)))


@lru_cache(maxsize=16)  # a day and its variants share one motor
def _calibrated(table: MotorTable, water_density_kgpm3: float) -> MotorPart:
    strongest = max(table.bench, key=lambda point: point.thrust_n) if table.bench else None
    voltage = table.voltage_v or (strongest.voltage_v if strongest else None)
    most = table.max_current_a or (strongest.current_a if strongest else None)
    thrust = table.thrust_n or (strongest.thrust_n if strongest else None)
    if voltage is None or most is None or thrust is None:
        # The scenario model asks for the label or a bench test; this is for other callers.
        raise ScenarioError(
            Problem(path="motor", reason="has neither a label nor a bench test")
        )
    limit = table.current_limit_a or most
    shared: dict[str, Any] = {
        "diameter_m": table.propeller_diameter_m,
        "blades": table.blades,
        "pitch_ratio": table.pitch_ratio,
        "idle_current_a": table.idle_current_a,
        "switching_loss": SWITCHING_LOSS,
        "thrust_deduction": table.thrust_deduction,
        "fouling": table.fouling,
        "control": table.control,
        "current_limit_a": limit,
        "water_density_kgpm3": water_density_kgpm3,
        "series": WAGENINGEN_B,
    }
    try:
        if table.bench:
            calibration: Calibration = motor_from_bench(
                [point.thrust_n for point in table.bench],
                current_a=[point.current_a for point in table.bench],
                voltage_v=[point.voltage_v for point in table.bench],
                **shared,
            )
        else:
            calibration = motor_from_label(
                thrust, rated_voltage_v=voltage, max_current_a=most, **shared
            )
    except ValueError as error:
        raise ScenarioError(Problem(path="motor", reason=str(error))) from None
    if calibration.electrical_to_ideal > 1.0:
        raise ScenarioError(
            Problem(
                path="motor.bench" if table.bench else "motor.thrust",
                value=f"{thrust:.0f} N from {voltage * most:.0f} W",
                reason=(
                    f"is {calibration.electrical_to_ideal:.1f} times what an ideal propeller "
                    "of this size could make of it"
                ),
                hint="check thrust, voltage, current and diameter, and their units",
            )
        )
    notes = list(calibration.notes)
    if table.current_limit_a is None:
        notes.append(f"the motor's own limit is the {limit:g} A of its full thrust")
    if table.lowest_voltage_v is None:
        notes.append(
            f"the motor lets go below {DROP_OUT_SHARE * voltage:.1f} V, {DROP_OUT_SHARE:.0%} "
            "of its rated voltage (common practice)"
        )
    return MotorPart(
        motor=calibration.motor,
        rated_thrust_n=thrust,
        rated_voltage_v=voltage,
        current_limit_a=limit,
        lowest_voltage_v=table.lowest_voltage_v or DROP_OUT_SHARE * voltage,
        notes=tuple(notes),
        warnings=calibration.warnings,
    )
