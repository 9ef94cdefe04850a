"""The table of a motor's losses in chop, held to the means it stands for."""

import numpy as np
import pytest

from energysim.physics.immersion import mean_thrust_ratio, mean_torque_ratio
from energysim.physics.immersion_table import immersion_ratios, immersion_table

RADIUS = 0.13
MOTION = np.linspace(0.0, 4.0 * RADIUS, 997)


def table(depth_m=0.2, *, radius_m=RADIUS, exponent=0.8):
    return immersion_table(depth_m, propeller_radius_m=radius_m, exponent=exponent)


@pytest.mark.parametrize("depth_m", [-0.05, 0.0, 0.08, 0.17, 0.2, 0.3, 0.6])
def test_the_table_holds_the_means_to_a_thousandth(depth_m):
    swing = {"motion_sd_m": MOTION, "propeller_radius_m": RADIUS}
    thrust, torque = immersion_ratios(MOTION, table=table(depth_m))
    assert thrust == pytest.approx(mean_thrust_ratio(depth_m, **swing), abs=1e-3)
    assert torque == pytest.approx(mean_torque_ratio(depth_m, exponent=0.8, **swing), abs=1e-3)


def test_rougher_than_the_table_counts_as_its_roughest():
    thrust, torque = immersion_ratios([4.0 * RADIUS, 9.0 * RADIUS], table=table())
    assert thrust[0] == thrust[1] < torque[0] == torque[1]


def test_one_motor_any_shape_of_chop():
    motion = MOTION[:996].reshape(83, 12)
    together = immersion_ratios(motion, table=table())
    alone = immersion_ratios(float(motion[40, 3]), table=table())
    assert together[0].shape == together[1].shape == (83, 12)
    assert (together[0][40, 3], together[1][40, 3]) == (float(alone[0]), float(alone[1]))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: table(radius_m=0.0), "propeller_radius_m = 0; .* above 0"),
        (lambda: table(exponent=0.0), "exponent = 0; .* above 0"),
        (lambda: table(np.inf), "shaft_depth_m = inf"),
        (lambda: immersion_ratios(-0.1, table=table()), r"motion_sd_m = -0\.1"),
    ],
)
def test_impossible_numbers_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
