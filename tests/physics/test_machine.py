"""The direct-current machine: textbook laws by hand and against each other."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from energysim.physics.machine import (
    best_efficiency_current_a,
    chopper_bus_current_a,
    motor_efficiency,
    motor_torque_nm,
    warm_resistance_ohm,
)

MACHINE = {"winding_resistance_ohm": 0.05, "no_load_current_a": 3.0}


def test_no_load_current_turns_the_shaft_and_nothing_else():
    assert motor_torque_nm(3.0, torque_constant_nmpa=0.2, no_load_current_a=3.0) == 0.0
    assert motor_efficiency(3.0, motor_voltage_v=24.0, **MACHINE) == 0.0


def test_efficiency_by_hand():
    # 40 A at 24 V: (1 - 2/24)(1 - 3/40) = 0.84792
    efficiency = motor_efficiency(40.0, motor_voltage_v=24.0, **MACHINE)
    assert efficiency == pytest.approx(0.84792, abs=1e-5)


def test_the_best_current_is_where_a_search_finds_it():
    found = minimize_scalar(  # scipy knows nothing of the closed form
        lambda current: -float(motor_efficiency(current, motor_voltage_v=24.0, **MACHINE)),
        bounds=(4.0, 200.0),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert best_efficiency_current_a(24.0, **MACHINE) == pytest.approx(found.x, rel=1e-6)


def test_an_ideal_chopper_loses_no_power():
    duty = np.linspace(0.0, 1.0, 11)
    bus = chopper_bus_current_a(30.0, duty=duty)
    assert bus * 24.0 == pytest.approx(30.0 * duty * 24.0)


def test_a_winding_at_its_cold_temperature_is_cold():
    assert warm_resistance_ohm(0.07, temperature_rise_degc=0.0) == 0.07


def test_an_array_gives_what_its_numbers_give():
    current = np.array([5.0, 20.0, 60.0])
    together = motor_efficiency(current, motor_voltage_v=24.0, **MACHINE)
    alone = [float(motor_efficiency(i, motor_voltage_v=24.0, **MACHINE)) for i in current]
    assert together == pytest.approx(alone)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: chopper_bus_current_a(1.0, duty=1.2), r"duty = 1\.2; .* at most 1"),
        (
            lambda: motor_torque_nm(1.0, torque_constant_nmpa=0.0, no_load_current_a=0.0),
            "torque_constant_nmpa = 0; .* above 0",
        ),
        (lambda: motor_efficiency(0.0, motor_voltage_v=12.0, **MACHINE), "current_a = 0"),
        (lambda: best_efficiency_current_a(-12.0, **MACHINE), "motor_voltage_v = -12"),
        (
            lambda: warm_resistance_ohm(0.1, temperature_rise_degc=-300.0),
            "temperature_rise_degc = -300",
        ),
    ],
    ids=["duty", "constant", "current", "voltage", "cold"],
)
def test_what_no_machine_can_have_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
