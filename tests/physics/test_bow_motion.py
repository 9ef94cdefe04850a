"""The bow against the water, and what a shallow propeller loses by it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from energysim.physics.bow_motion import (
    TAPERED_BOW,
    bow_response,
    regular_motion_ratio,
    relative_bow_motion_m,
)
from energysim.physics.immersion import (
    mean_thrust_ratio,
    mean_torque_ratio,
    shaft_depth_for_m,
    swinging_thrust_ratio,
)
from energysim.physics.ventilation import ventilation_thrust_ratio

SKIFF = bow_response(4.85, beam_wl_m=1.86, motor_ahead_m=2.5)
RADIUS = 0.14


def regular(ratio, *, cosine=1.0):
    return regular_motion_ratio(ratio, motor_ahead_ratio=0.5, beam_ratio=0.38, cosine=cosine)


def motion(height_m, wavelength_m, *, cosine=1.0):
    return relative_bow_motion_m(
        height_m, wavelength_m=wavelength_m, cosine=cosine, response=SKIFF
    )


class TestRegularWaves:
    @pytest.mark.parametrize("ratio", [0.4, 0.8, 1.0, 1.7, 4.0])
    @pytest.mark.parametrize("cosine", [1.0, 0.7, 0.3])
    def test_the_boat_lies_on_the_line_of_least_squares(self, ratio, cosine):
        # the same line found by a general fit to the surface under a box, crest and slope apart
        box, aft = TAPERED_BOW
        x = np.linspace(-box / 2, box / 2, 4001)
        beam = 0.38 * np.linspace(-0.5, 0.5, 2001)
        k = 2.0 * np.pi / ratio
        across = np.mean(np.cos(k * np.sqrt(1.0 - cosine**2) * beam))
        at_motor = 0.5 + aft
        left = []
        for wave in (np.cos, np.sin):
            slope, middle = np.polyfit(x, across * wave(k * cosine * x), 1)
            left.append(middle + slope * at_motor - wave(k * cosine * at_motor))
        assert regular(ratio, cosine=cosine) == pytest.approx(np.hypot(*left), rel=2e-3)

    def test_long_waves_lift_the_bow_with_the_water(self):
        # to second order in the waves' slope: half a box's span squared, over the rest
        long = regular([20.0, 40.0])
        assert long[0] < 0.02
        assert long[0] / long[1] == pytest.approx(4.0, rel=0.01)

    def test_short_waves_run_past_a_boat_that_lies_still(self):
        # whatever the box still does dies off with the waves' length
        short = regular(np.array([0.11, 0.013, 0.0011]))
        assert np.all(np.abs(short - 1.0) < [0.25, 0.03, 0.003])

    @settings(max_examples=60)
    @given(ratio=st.floats(0.05, 60.0), cosine=st.floats(0.0, 1.0))
    def test_from_astern_as_from_ahead_and_never_wild(self, ratio, cosine):
        ahead, astern = regular(ratio, cosine=[cosine, -cosine])
        assert ahead == pytest.approx(astern)
        assert 0.0 <= ahead < 2.2


class TestChop:
    @pytest.mark.parametrize("cosine", [1.0, 0.6, 0.0])
    def test_the_table_holds_what_the_law_gives_over_a_whole_sea(self, cosine):
        # the same spectrum and spread with far finer steps, and no table between
        frequency = np.linspace(0.5, 6.0, 1500)
        turn = np.deg2rad(np.linspace(-89.5, 89.5, 180))
        width = np.where(frequency <= 1.0, 0.07, 0.09)
        sea = frequency**-5 * np.exp(-1.25 * frequency**-4)
        sea *= 3.3 ** np.exp(-0.5 * ((frequency - 1.0) / width) ** 2)
        spread = np.cos(turn) ** 2
        for ratio in (0.23, 0.5, 0.9, 1.6, 3.1, 7.7):
            waves = regular_motion_ratio(
                ratio / frequency**2,
                motor_ahead_ratio=2.5 / 4.85,
                beam_ratio=1.86 / 4.85,
                cosine=np.cos(np.arccos(cosine) + turn)[:, None],
            )
            square = (spread @ waves**2 @ sea) / (spread.sum() * sea.sum())
            found = motion(4.0, ratio * 4.85, cosine=cosine)
            assert found == pytest.approx(np.sqrt(square), rel=0.02)

    def test_short_chop_moves_the_water_at_the_bow_by_its_own_height(self):
        # a quarter of the significant height is the surface's standard deviation
        assert motion(0.2, 0.9) == pytest.approx(0.05, rel=0.15)

    def test_a_boat_follows_long_chop(self):
        # not as fast as one long wave: a sea has short waves among its long ones
        steps = motion(0.3, np.array([5.0, 10.0, 20.0, 40.0, 190.0]))
        assert np.all(np.diff(steps) < 0.0)
        assert steps[-1] < 0.1 * 0.075

    def test_flat_water_does_not_move(self):
        assert motion(0.0, 0.0) == 0.0

    def test_an_array_gives_what_its_numbers_give(self):
        rng = np.random.default_rng(5)
        height, wave, cosine = rng.uniform(0.0, 1.0, (3, 4, 2))
        together = motion(height, 12.0 * wave, cosine=cosine)
        assert together.shape == (4, 2)
        alone = motion(height[2, 1], 12.0 * wave[2, 1], cosine=cosine[2, 1])
        assert together[2, 1] == pytest.approx(float(alone))


def mean(depth_m, *, sd_m):
    return mean_thrust_ratio(depth_m, motion_sd_m=sd_m, propeller_radius_m=RADIUS)


class TestMeanThrust:
    @pytest.mark.parametrize(("largest", "error"), [(1.0, 0.003), (3.0, 0.01)])
    def test_as_a_general_integrator_has_it(self, largest, error):
        for radii in (-0.3, 0.4, 1.1, 2.0, 3.5):
            for swing in (0.1 * largest, 0.35 * largest, largest):
                corners = [(edge - radii) / swing for edge in (-0.48, 1.3004)]
                exact, _ = quad(
                    lambda z, h=radii, s=swing: (
                        norm.pdf(z)
                        * float(ventilation_thrust_ratio(h + s * z, propeller_radius_m=1.0))
                    ),
                    -8.0,
                    8.0,
                    points=[corner for corner in corners if abs(corner) < 8.0],
                    limit=200,
                )
                found = mean(radii * RADIUS, sd_m=swing * RADIUS)
                assert found == pytest.approx(exact, abs=error)

    def test_flat_water_leaves_the_law_as_it_is(self):
        depth = np.linspace(-0.1, 0.3, 9)
        still = ventilation_thrust_ratio(depth, propeller_radius_m=RADIUS)
        assert mean(depth, sd_m=0.0) == pytest.approx(still)

    def test_a_deep_shaft_never_feels_it(self):
        assert mean(1.0, sd_m=0.1) == 1.0

    @settings(max_examples=60)
    @given(depth=st.floats(-0.1, 0.6), sd=st.floats(0.0, 0.4), more=st.floats(0.0, 0.3))
    def test_a_deeper_shaft_never_loses_more(self, depth, sd, more):
        shallow, deep = mean([depth, depth + more], sd_m=sd)
        assert 0.0 <= shallow <= deep + 1e-12 <= 1.0 + 2e-12

    @settings(max_examples=40)
    @given(depth=st.floats(0.25, 0.6), sd=st.floats(0.0, 0.3), rougher=st.floats(1.0, 2.0))
    def test_rougher_water_never_helps_a_well_sunk_propeller(self, depth, sd, rougher):
        calm, rough = mean(depth, sd_m=[sd, sd * rougher])
        assert rough <= calm + 0.003  # what the even steps leave open

    def test_chop_costs_power(self):
        torque = mean_torque_ratio(
            0.3, motion_sd_m=0.2, propeller_radius_m=RADIUS, exponent=0.85
        )
        thrust = mean(0.3, sd_m=0.2)
        assert thrust < torque < 1.0
        assert torque / thrust**1.5 > 1.05

    def test_torque_as_thrust_when_the_exponent_is_one(self):
        torque = mean_torque_ratio(
            [0.1, 0.3], motion_sd_m=0.1, propeller_radius_m=RADIUS, exponent=1.0
        )
        assert torque == pytest.approx(mean([0.1, 0.3], sd_m=0.1))

    def test_members_may_each_have_their_own_motion(self):
        together = mean(np.array([[0.2], [0.4]]), sd_m=[0.05, 0.1, 0.3])
        assert together.shape == (2, 3)
        assert together[1, 2] == mean(0.4, sd_m=0.3)


class TestSwing:
    def test_no_swing_leaves_the_law_as_it_is(self):
        still = ventilation_thrust_ratio(0.1, propeller_radius_m=RADIUS)
        swung = swinging_thrust_ratio(0.1, amplitude_m=0.0, propeller_radius_m=RADIUS)
        assert swung == pytest.approx(still)

    def test_as_a_general_integrator_has_it(self):
        exact, _ = quad(
            lambda phase: float(
                ventilation_thrust_ratio(0.2 + 0.25 * np.sin(phase), propeller_radius_m=RADIUS)
            ),
            0.0,
            2.0 * np.pi,
            limit=200,
        )
        swung = swinging_thrust_ratio([0.2, 9.0], amplitude_m=0.25, propeller_radius_m=RADIUS)
        assert swung == pytest.approx([exact / (2.0 * np.pi), 1.0], abs=1e-3)


class TestShaft:
    @settings(max_examples=25)
    @given(loss=st.floats(0.001, 0.9), sd=st.floats(0.0, 0.4), radius=st.floats(0.08, 0.2))
    def test_the_depth_loses_just_the_share(self, loss, sd, radius):
        depth = shaft_depth_for_m(loss, motion_sd_m=sd, propeller_radius_m=radius)
        left = mean_thrust_ratio(depth, motion_sd_m=sd, propeller_radius_m=radius)
        assert left == pytest.approx(1.0 - loss, abs=1e-6)

    def test_flat_water_asks_for_little_more_than_a_radius(self):
        # 0.675 (1 - 0.769 h/R)^1.258 = 0.05 at (0.05 / 0.675)^(1 / 1.258) = 0.12635
        depth = shaft_depth_for_m(0.05, motion_sd_m=0.0, propeller_radius_m=RADIUS)
        assert depth == pytest.approx((1.0 - 0.12635) / 0.769 * RADIUS, rel=1e-4)

    def test_rougher_water_asks_for_a_longer_shaft(self):
        depth = shaft_depth_for_m(0.05, motion_sd_m=[0.0, 0.1, 0.2], propeller_radius_m=RADIUS)
        assert np.all(np.diff(depth) > 0.05)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: regular(0.0), "wavelength_ratio = 0; .* above 0"),
        (lambda: regular(1.0, cosine=1.5), r"cosine = 1\.5"),
        (
            lambda: bow_response(0.0, beam_wl_m=1.8, motor_ahead_m=2.4),
            "length_wl_m = 0; .* above 0",
        ),
        (
            lambda: bow_response(5.0, beam_wl_m=1.8, motor_ahead_m=-1.0),
            "motor_ahead_m = -1",
        ),
        (lambda: motion(-0.1, 3.0), r"significant_height_m = -0\.1"),
        (lambda: mean(0.3, sd_m=-0.1), r"motion_sd_m = -0\.1"),
        (
            lambda: mean_thrust_ratio(0.3, motion_sd_m=0.1, propeller_radius_m=0.0),
            "propeller_radius_m = 0; .* above 0",
        ),
        (
            lambda: mean_torque_ratio(
                0.3, motion_sd_m=0.2, propeller_radius_m=0.14, exponent=2.0
            ),
            "exponent = 2",
        ),
        (
            lambda: shaft_depth_for_m(0.0, motion_sd_m=0.1, propeller_radius_m=0.14),
            r"largest_loss = 0; .* at least 0\.001",
        ),
    ],
)
def test_impossible_numbers_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
