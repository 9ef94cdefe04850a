"""A motor that draws more for every thrust."""

from dataclasses import replace

import numpy as np
import pytest

from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.calibrate import POUND_FORCE_N, motor_from_label
from energysim.physics.motor import electrical_demand, full_throttle, thrust_at_power
from energysim.physics.motor_factor import hungrier_motor

LABEL_MOTOR = motor_from_label(
    80.0 * POUND_FORCE_N,
    rated_voltage_v=24.0,
    max_current_a=56.0,
    diameter_m=None,
    blades=3,
    pitch_ratio=0.6,
    idle_current_a=0.3,
    switching_loss=0.01,
    thrust_deduction=0.0,
    fouling=0.0,
    control="pwm",
    current_limit_a=None,
    water_density_kgpm3=1000.0,
    series=WAGENINGEN_B,
).motor
THRUST = np.array([5.0, 80.0, 250.0])


@pytest.mark.parametrize("control", ["pwm", "stepped"])
def test_every_current_is_larger_by_the_factor_and_voltages_stay(control):
    motor = replace(LABEL_MOTOR, control=control)
    more = hungrier_motor(motor, power_factor=1.3)
    asked = {"inflow_mps": 0.7}
    plain = electrical_demand(THRUST, **asked, motor=motor)
    hungry = electrical_demand(THRUST, **asked, motor=more)
    idle = motor.idle_power_w
    assert hungry.power_w - idle == pytest.approx(1.3 * (plain.power_w - idle), rel=1e-12)
    assert hungry.motor_voltage_v == pytest.approx(plain.motor_voltage_v, rel=1e-12)


def test_full_throttle_gives_the_same_thrust_at_a_larger_current():
    thrust, current = full_throttle([20.0, 24.0], inflow_mps=0.5, motor=LABEL_MOTOR)
    more = hungrier_motor(LABEL_MOTOR, power_factor=1.3)
    same, larger = full_throttle([20.0, 24.0], inflow_mps=0.5, motor=more)
    assert same == pytest.approx(thrust, rel=1e-9)
    idle = LABEL_MOTOR.idle_power_w / np.array([20.0, 24.0])
    assert larger - idle == pytest.approx(1.3 * (current - idle), rel=1e-9)


def test_the_way_back_from_power_knows_the_factor_and_members_have_their_own():
    more = hungrier_motor(LABEL_MOTOR, power_factor=[0.8, 1.0, 1.3])
    power = electrical_demand(THRUST, inflow_mps=0.3, motor=more).power_w
    assert thrust_at_power(power, inflow_mps=0.3, motor=more) == pytest.approx(THRUST, rel=1e-5)


def test_a_factor_of_nothing_is_refused():
    with pytest.raises(ValueError, match="power_factor = 0"):
        hungrier_motor(LABEL_MOTOR, power_factor=0.0)
