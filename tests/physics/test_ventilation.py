"""Air drawn to a shallow propeller."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.ventilation import ventilation_thrust_ratio, ventilation_torque_ratio

RADIUS = 0.14


def test_half_a_radius_of_water_by_hand():
    # 1 - 0.675 (1 - 0.3845)^1.258 = 1 - 0.675 x 0.54306 = 0.63343
    ratio = ventilation_thrust_ratio(0.5 * RADIUS, propeller_radius_m=RADIUS)
    assert ratio == pytest.approx(0.63343, abs=2e-5)


@pytest.mark.parametrize(
    ("radii", "expected"), [(-5.0, 0.0), (-0.48, 0.0), (1.3005, 1.0), (9.0, 1.0)]
)
def test_out_of_the_water_and_deep_down(radii, expected):
    ratio = ventilation_thrust_ratio(radii * RADIUS, propeller_radius_m=RADIUS)
    assert ratio == pytest.approx(expected, abs=1e-12)


def test_the_usual_mounting_depth_is_deep_enough():
    # common practice, no source: blades at least a hand under, 12 in over a 5.5 in radius
    assert ventilation_thrust_ratio(0.305, propeller_radius_m=0.14) == 1.0


@settings(max_examples=80)
@given(depth=st.floats(-0.3, 0.5), deeper=st.floats(0.0, 0.3))
def test_deeper_never_loses_thrust(depth, deeper):
    shallow, deep = ventilation_thrust_ratio([depth, depth + deeper], propeller_radius_m=RADIUS)
    assert 0.0 <= shallow <= deep <= 1.0


@settings(max_examples=40)
@given(ratio=st.floats(0.0, 1.0))
def test_torque_eases_less_than_thrust(ratio):
    assert ratio <= ventilation_torque_ratio(ratio, exponent=0.85) <= 1.0


def test_an_array_gives_what_its_numbers_give():
    depth = np.linspace(-0.2, 0.3, 7)
    together = ventilation_thrust_ratio(depth, propeller_radius_m=RADIUS)
    alone = [float(ventilation_thrust_ratio(h, propeller_radius_m=RADIUS)) for h in depth]
    assert together == pytest.approx(alone)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: ventilation_thrust_ratio(0.1, propeller_radius_m=0.0),
            "propeller_radius_m = 0; .* above 0",
        ),
        (lambda: ventilation_torque_ratio(1.2, exponent=0.8), r"thrust_ratio = 1\.2"),
        (lambda: ventilation_torque_ratio(0.5, exponent=1.5), r"exponent = 1\.5"),
    ],
    ids=["radius", "ratio", "exponent"],
)
def test_impossible_numbers_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
