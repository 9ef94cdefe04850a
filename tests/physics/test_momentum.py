"""The ideal disc: hand-worked points, its limits, and the way back."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.momentum import (
    ideal_efficiency,
    ideal_power_w,
    ideal_static_thrust_n,
)

DISC = {"diameter_m": 0.3, "water_density_kgpm3": 1000.0}
AREA = math.pi * 0.09 / 4.0


def test_a_static_disc_by_hand():
    # 200 N on 0.0707 m2: sqrt(200^3 / (2 x 1000 x 0.070686)) = 237.88 W
    assert ideal_power_w(200.0, inflow_mps=0.0, **DISC) == pytest.approx(237.88, abs=0.01)


def test_a_light_load_costs_thrust_times_speed():
    power = ideal_power_w(1e-6, inflow_mps=2.0, **DISC)
    assert power == pytest.approx(2e-6, rel=1e-6)
    assert ideal_efficiency(1e-6, inflow_mps=2.0, **DISC) == pytest.approx(1.0, abs=1e-6)


@settings(max_examples=60)
@given(power=st.floats(1.0, 5000.0))
def test_thrust_and_power_undo_each_other_in_still_water(power):
    thrust = ideal_static_thrust_n(power, **DISC)
    assert ideal_power_w(thrust, inflow_mps=0.0, **DISC) == pytest.approx(power, rel=1e-10)


@settings(max_examples=60)
@given(thrust=st.floats(1.0, 600.0), speed=st.floats(0.05, 4.0))
def test_efficiency_is_useful_over_ideal_power(thrust, speed):
    power = ideal_power_w(thrust, inflow_mps=speed, **DISC)
    assert ideal_efficiency(thrust, inflow_mps=speed, **DISC) == pytest.approx(
        thrust * speed / power, rel=1e-10
    )
    assert power > ideal_power_w(thrust, inflow_mps=0.0, **DISC)


def test_an_array_gives_what_its_numbers_give():
    thrust, speed = np.array([0.0, 50.0, 300.0]), np.array([[0.0], [1.5]])
    together = ideal_power_w(thrust, inflow_mps=speed, **DISC)
    assert together.shape == (2, 3)
    for i, v in enumerate(speed[:, 0]):
        for j, t in enumerate(thrust):
            assert together[i, j] == ideal_power_w(t, inflow_mps=v, **DISC)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: ideal_power_w(-1.0, inflow_mps=0.0, **DISC), "thrust_n = -1"),
        (lambda: ideal_power_w(1.0, inflow_mps=-2.0, **DISC), "inflow_mps = -2"),
        (lambda: ideal_efficiency(1.0, inflow_mps=0.0, **DISC), "inflow_mps = 0; .*above 0"),
        (
            lambda: ideal_static_thrust_n(1.0, diameter_m=0.0, water_density_kgpm3=1000.0),
            "diameter_m = 0",
        ),
        (lambda: ideal_static_thrust_n(math.inf, **DISC), "power_w = inf; it must be finite"),
    ],
    ids=["thrust", "inflow", "no-inflow", "diameter", "infinite"],
)
def test_what_no_disc_can_have_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
