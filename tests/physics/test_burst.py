"""The cycle of a hold in bursts, against a ball rolled by hand and by small steps."""

import math

import numpy as np
import pytest

from energysim.physics.burst import burst_cycle_s


@pytest.mark.parametrize("duty", [0.1, 0.25, 0.5, 0.8])
def test_the_cycle_keeps_a_plain_mass_within_its_circle(duty):
    # Newton's second law in small steps: the same push, the motor on for its share.
    thrust, mass, wander = 60.0, 1200.0, 15.0
    cycle = float(burst_cycle_s(thrust, duty=duty, mass_kg=mass, wander_m=wander))
    step = cycle / 20_000
    off = (1.0 - duty) * cycle
    # Begin in the middle of the quiet half, where the boat stands still at one end.
    speed, place, places = 0.0, 0.0, []
    for number in range(20_000):
        now = (number + 0.5) * step
        pushing = now < off / 2 or now > off / 2 + duty * cycle
        acceleration = -thrust / mass if pushing else (thrust / duty - thrust) / mass
        speed += acceleration * step
        place += speed * step
        places.append(place)
    assert max(places) - min(places) == pytest.approx(wander, rel=2e-3)
    assert speed == pytest.approx(0.0, abs=1e-2)


def test_twice_the_push_shortens_the_cycle_by_root_two():
    hold = {"duty": 0.5, "mass_kg": 1000.0, "wander_m": 10.0}
    ratio = burst_cycle_s(50.0, **hold) / burst_cycle_s(100.0, **hold)
    assert float(ratio) == pytest.approx(math.sqrt(2.0), rel=1e-12)


def test_a_calm_needs_no_burst():
    assert np.isinf(burst_cycle_s(0.0, duty=0.5, mass_kg=1000.0, wander_m=10.0))


def test_arrays_and_scalars_agree():
    thrust = np.array([10.0, 40.0, 90.0])
    hold = {"duty": 0.4, "mass_kg": 900.0, "wander_m": 12.0}
    alone = [float(burst_cycle_s(value, **hold)) for value in thrust]
    np.testing.assert_allclose(burst_cycle_s(thrust, **hold), alone, rtol=1e-15)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"duty": 1.0}, "always runs"),
        ({"duty": 0.0}, "duty = 0"),
        ({"mass_kg": 0.0}, "mass_kg = 0"),
        ({"wander_m": -1.0}, "wander_m = -1"),
    ],
)
def test_what_makes_no_cycle_is_refused(changed, said):
    hold = {"duty": 0.5, "mass_kg": 1000.0, "wander_m": 10.0} | changed
    with pytest.raises(ValueError, match=said):
        burst_cycle_s(50.0, **hold)
