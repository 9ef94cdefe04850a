"""Full throttle: the exact point, the laws of voltage, the quadratics and their bound."""

from dataclasses import replace

import numpy as np
import pytest

from energysim.constants import KNOT_MPS
from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.calibrate import POUND_FORCE_N, motor_from_label
from energysim.physics.throttle import (
    QUADRATIC_SPAN,
    full_throttle,
    full_throttle_quadratics,
)

LABELS = {
    "12-volt": (55.0, 12.0, 50.0),
    "24-volt": (80.0, 24.0, 56.0),
    "36-volt": (110.0, 36.0, 52.0),
}


def motor(name="24-volt", **changes):
    thrust_lbf, voltage_v, current_a = LABELS[name]
    given = {
        "rated_voltage_v": voltage_v,
        "max_current_a": current_a,
        "diameter_m": None,
        "blades": 3,
        "pitch_ratio": 0.6,
        "idle_current_a": 0.3,
        "switching_loss": 0.01,
        "thrust_deduction": 0.0,
        "fouling": 0.0,
        "control": "pwm",
        "current_limit_a": None,
        "water_density_kgpm3": 1000.0,
        "series": WAGENINGEN_B,
    } | changes
    return motor_from_label(thrust_lbf * POUND_FORCE_N, **given).motor


MOTOR = motor()


@pytest.mark.parametrize("name", LABELS)
@pytest.mark.parametrize("blades", [2, 3], ids=["two-blades", "three-blades"])
def test_the_label_comes_back(name, blades):
    thrust_lbf, voltage_v, current_a = LABELS[name]
    drive = motor(name, blades=blades)
    thrust, current = full_throttle(voltage_v, inflow_mps=0.0, motor=drive)
    assert thrust == pytest.approx(thrust_lbf * POUND_FORCE_N, rel=1e-12)
    assert current == pytest.approx(current_a, rel=1e-12)


def test_thrust_follows_the_voltage_by_the_motor_s_own_resistance():
    # d ln T / d ln V = 2 / (1 + r), r = I R / V; differentiated by hand for I ~ T, n ~ sqrt T,
    # the no-load current taken as growing with the rest
    step = 1e-4
    thrust, _ = full_throttle([24 * (1 - step), 24 * (1 + step)], inflow_mps=0.0, motor=MOTOR)
    r = 55.7 * MOTOR.winding_resistance_ohm / 24.0
    assert np.log(thrust[1] / thrust[0]) / (2 * step) == pytest.approx(2 / (1 + r), rel=0.01)


def test_the_voltage_balance_closes():
    voltage = np.array([16.0, 24.0, 29.0])[:, np.newaxis]
    inflow = np.array([0.0, 1.0, 2.5])
    thrust, current = full_throttle(voltage, inflow_mps=inflow, motor=MOTOR)
    motor_current = current - MOTOR.idle_power_w / voltage
    turning = voltage - MOTOR.winding_resistance_ohm * motor_current
    n = turning / (2 * np.pi * MOTOR.torque_constant_nmpa)
    curve = np.polynomial.Polynomial(MOTOR.thrust_cubic)
    scale = MOTOR.water_density_kgpm3 * n**2 * MOTOR.diameter_m**4
    assert thrust == pytest.approx(scale * curve(inflow / (n * MOTOR.diameter_m)), rel=1e-10)


def test_fast_water_takes_all_thrust_and_never_feeds_the_battery():
    thrust, current = full_throttle(24.0, inflow_mps=[5.0, 8.0, 30.0], motor=MOTOR)
    assert np.all(thrust == 0.0)
    assert np.all(current >= 0.3)


def test_thrust_fades_with_inflow_and_rises_with_voltage():
    inflow = np.linspace(0.0, 6.0, 61)
    voltage = np.linspace(14.0, 30.0, 17)[:, np.newaxis]
    thrust, _ = full_throttle(voltage, inflow_mps=inflow, motor=MOTOR)
    assert np.all(np.diff(thrust, axis=1) <= 0.0)
    assert np.all(np.diff(thrust, axis=0) >= 0.0)


def test_a_usual_motor_runs_out_of_push_at_some_seven_knots():
    # common practice, no source: 24 V bow motors stop pulling a light boat at 5 to 8 kn
    inflow = np.linspace(0.0, 6.0, 601)
    thrust, _ = full_throttle(24.0, inflow_mps=inflow, motor=MOTOR)
    assert 5.0 < inflow[np.argmax(thrust == 0.0)] / KNOT_MPS < 8.0


@pytest.mark.parametrize("name", LABELS)
@pytest.mark.parametrize("blades", [2, 3], ids=["two-blades", "three-blades"])
@pytest.mark.parametrize("pitch", [0.5, 0.6, 0.8])
def test_the_quadratics_stay_within_their_bound(name, blades, pitch):
    thrust_lbf, rated_v, rated_a = LABELS[name]
    drive = motor(name, blades=blades, pitch_ratio=pitch)
    inflow = np.linspace(0.0, 5.0, 101)  # beyond the zero-thrust speed of each
    voltage = rated_v * np.linspace(*QUADRATIC_SPAN, 27)[:, np.newaxis]
    thrust, current = full_throttle(voltage, inflow_mps=inflow, motor=drive)
    t, i = full_throttle_quadratics(inflow, motor=drive)
    quick_thrust = np.maximum(t[0] + t[1] * voltage + t[2] * voltage**2, 0.0)
    quick_current = i[0] + i[1] * voltage + i[2] * voltage**2
    pushing = thrust > 0.0
    assert np.abs(quick_thrust - thrust).max() < 0.004 * thrust_lbf * POUND_FORCE_N
    assert np.abs(quick_current - current)[pushing].max() < 0.004 * rated_a


def test_the_quadratics_are_exact_at_the_label():
    t, i = full_throttle_quadratics(np.zeros(200), motor=MOTOR)
    powers = 24.0 ** np.arange(3.0)
    assert powers @ t == pytest.approx(80.0 * POUND_FORCE_N, rel=1e-9)
    assert powers @ i == pytest.approx(56.0, rel=1e-9)


@pytest.mark.parametrize("pitch", [0.5, 0.8])
def test_many_inflows_come_out_as_few(pitch):
    drive = motor(pitch_ratio=pitch)
    inflow = np.linspace(0.0, 3.5, 400)
    many = full_throttle_quadratics(inflow, motor=drive)
    few = [full_throttle_quadratics(inflow[k : k + 20], motor=drive) for k in range(0, 400, 20)]
    powers = np.vander([15.0, 24.0, 29.0], 3, increasing=True)
    for part, scale in ((0, 356.0), (1, 56.0)):
        whole = powers @ many[part]
        pieces = powers @ np.concatenate([pair[part] for pair in few], axis=1)
        assert np.abs(whole - pieces).max() < 1e-5 * scale


def test_members_come_out_as_each_would_alone():
    factors = np.array([0.9, 1.0, 1.2])
    many = replace(MOTOR, torque_factor=factors, thrust_factor=1.0 / factors)
    inflow = np.linspace(0.0, 3.0, 300)[:, np.newaxis]
    thrust, current = full_throttle_quadratics(inflow, motor=many)
    assert thrust.shape == current.shape == (3, 300, 3)
    for k, factor in enumerate(factors):
        one = replace(MOTOR, torque_factor=factor, thrust_factor=1.0 / factor)
        alone_thrust, alone_current = full_throttle_quadratics(inflow[:, 0], motor=one)
        # compared as forces and currents at rated voltage, where the parts do not cancel
        powers = 24.0 ** np.arange(3.0)
        assert powers @ thrust[:, :, k] == pytest.approx(powers @ alone_thrust, abs=0.01)
        assert powers @ current[:, :, k] == pytest.approx(powers @ alone_current, abs=0.002)


def test_an_array_gives_what_its_numbers_give():
    voltage, inflow = np.array([18.0, 24.0, 27.0]), np.array([0.0, 1.0, 6.0])
    thrust, current = full_throttle(voltage, inflow_mps=inflow, motor=MOTOR)
    for k in range(3):
        alone = full_throttle(float(voltage[k]), inflow_mps=float(inflow[k]), motor=MOTOR)
        assert alone[0].shape == alone[1].shape == ()
        assert (thrust[k], current[k]) == pytest.approx((float(alone[0]), float(alone[1])))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: full_throttle([12.0, 0.0], inflow_mps=0.0, motor=MOTOR),
            "bus_voltage_v = 0; it must be finite and above 0",
        ),
        (lambda: full_throttle_quadratics([0.0, np.nan], motor=MOTOR), "inflow_mps = nan"),
    ],
    ids=["no-voltage", "nan"],
)
def test_impossible_numbers_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
