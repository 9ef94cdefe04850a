"""The mean over gusts, and the cost of bursts."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special

from energysim.physics.unsteady import (
    burst_mean_power_w,
    burst_thrust_n,
    gust_nodes,
    gust_penalty,
    ideal_burst_penalty,
    mean_over_nodes,
    normal_nodes,
)

SPREADS = [0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.35]
INTENSITIES = st.floats(0.0, 0.35)


def normal_pdf(z):
    return np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi)


def mean_of(power, intensity, *, count):
    factor, weight = gust_nodes(intensity, count=count)
    return mean_over_nodes(power(factor), weight=weight)


def exact_mean(power, intensity, *kinks):
    """The mean over the whole normal curve, by scipy; a wind that would reverse is a calm."""
    edges = sorted({-9.0, 9.0, *np.clip([(k - 1.0) / intensity for k in (0.0, *kinks)], -9, 9)})
    parts = (
        integrate.quad(lambda z: normal_pdf(z) * power(max(1.0 + intensity * z, 0.0)), *part)[0]
        for part in pairwise(edges)
    )
    return sum(parts)


# Nodes.


@pytest.mark.parametrize("count", range(1, 33))
def test_the_nodes_are_those_of_a_general_library(count):
    node, weight = normal_nodes(count)
    expected, mass = np.polynomial.hermite_e.hermegauss(count)
    assert node == pytest.approx(expected, abs=1e-12)
    assert weight == pytest.approx(mass / np.sqrt(2.0 * np.pi), abs=1e-13)


@pytest.mark.parametrize("count", [2, 5, 9, 20])
def test_moments_of_a_normal_error_are_exact_up_to_the_degree_promised(count):
    # 1, 0, 1, 0, 3, 0, 15 ...: odd none, even the double factorial.
    node, weight = normal_nodes(count)
    for degree in range(min(2 * count, 12)):
        expected = 0.0 if degree % 2 else special.factorial2(degree - 1, exact=False)
        expected = 1.0 if degree == 0 else expected
        assert weight @ node**degree == pytest.approx(expected, rel=1e-10, abs=1e-9)


def test_changing_the_nodes_handed_out_spoils_nothing():
    first, weight = normal_nodes(5)
    first[:] = 0.0
    weight[:] = 0.0
    assert normal_nodes(5)[0][-1] == pytest.approx(2.85697, abs=1e-5)


@pytest.mark.parametrize(
    ("count", "largest"), [(1, 0.5), (3, 0.5), (4, 0.428), (5, 0.35), (7, 0.266), (9, 0.221)]
)
def test_mean_square_and_cube_are_those_of_normal_gusts_while_no_lull_reverses(count, largest):
    for intensity in np.linspace(0.0, largest, 9):
        factor, weight = gust_nodes(intensity, count=count)
        assert weight.sum() == pytest.approx(1.0, abs=1e-15)
        assert weight @ factor == pytest.approx(1.0, abs=1e-14)
        if count > 1:
            assert weight @ factor**2 == pytest.approx(1.0 + intensity**2, abs=1e-9)
            assert weight @ factor**3 == pytest.approx(1.0 + 3.0 * intensity**2, abs=1e-9)


@settings(max_examples=80, deadline=None)
@given(intensity=st.floats(0.0, 0.5), count=st.integers(1, 32))
def test_no_wind_ever_reverses_and_the_mean_wind_is_kept(intensity, count):
    factor, weight = gust_nodes(intensity, count=count)
    assert factor.min() >= 0.0
    assert factor.max() <= 2.0
    assert np.all(np.diff(factor) >= 0.0)
    assert weight @ factor == pytest.approx(1.0, abs=1e-12)
    # Cutting the rarest lull and gust takes spread away, and never adds any.
    assert weight @ factor**2 <= 1.0 + intensity**2 + 1e-12


@pytest.mark.parametrize(("intensity", "loss"), [(0.35, 0.004), (0.5, 0.06)])
def test_cutting_the_rarest_gust_takes_no_more_of_the_mean_cube_than_stated(intensity, loss):
    whole = 1.0 + 3.0 * intensity**2
    for count in range(2, 33):
        assert 1.0 - mean_of(lambda x: x**3, intensity, count=count) / whole <= loss


def test_one_wind_is_the_mean_wind():
    factor, weight = gust_nodes([0.1, 0.3], count=1)
    assert np.array_equal(factor, np.ones((1, 2)))
    assert np.array_equal(weight, [1.0])


def test_many_intensities_at_once_are_each_alone():
    intensity = np.array([[0.0, 0.1], [0.2, 0.35]])
    factor, weight = gust_nodes(intensity, count=7)
    assert factor.shape == (7, 2, 2)
    for place, one in np.ndenumerate(intensity):
        alone, same = gust_nodes(one, count=7)
        assert np.array_equal(factor[:, *place], alone)
        assert np.array_equal(weight, same)


# Means.


@pytest.mark.parametrize(
    ("count", "intensity"),
    [(5, spread) for spread in SPREADS] + [(7, spread) for spread in SPREADS if spread < 0.26],
)
def test_the_ideal_signed_cube_costs_one_plus_three_intensities_squared(count, intensity):
    # Closed form of the third moment of a normal wind, for as long as no lull is cut.
    found = mean_of(lambda x: x * np.abs(x) ** 2, intensity, count=count)
    assert found == pytest.approx(1.0 + 3.0 * intensity**2, abs=1e-6)
    assert gust_penalty(intensity, exponent=3.0, lateral_intensity=0.0) == pytest.approx(
        1.0 + 3.0 * intensity**2, abs=1e-12
    )


@pytest.mark.parametrize("intensity", SPREADS)
def test_a_wind_that_reverses_hardly_adds_to_the_mean_cube(intensity):
    # |U|^3 over the whole normal curve in closed form, checked against scipy's quadrature; the
    # five winds leave the reversals out: 2 parts in a million at 0.30, 23 at 0.35.
    inverse = 1.0 / intensity
    closed = (1.0 + 3.0 * intensity**2) * special.erf(inverse / np.sqrt(2.0)) + 2.0 * (
        intensity * (1.0 + 2.0 * intensity**2) * normal_pdf(inverse)
    )
    whole, _ = integrate.quad(
        lambda z: normal_pdf(z) * abs(1.0 + intensity * z) ** 3, -9.0, 9.0, limit=200
    )
    assert closed == pytest.approx(whole, abs=1e-8)
    assert mean_of(lambda x: x**3, intensity, count=5) == pytest.approx(closed, abs=2.5e-5)


@pytest.mark.parametrize("count", [5, 7, 9])
@pytest.mark.parametrize("intensity", [0.1, 0.2, 0.35])
def test_a_smooth_power_is_met_to_three_per_mille(intensity, count):
    # Thrust from wind squared plus a steady stream along it, to the power 1.5: no kink.
    for stream in (0.25, 1.0, 2.0):

        def power(x, stream=stream):
            return (x**2 + stream) ** 1.5

        assert mean_of(power, intensity, count=count) == pytest.approx(
            exact_mean(power, intensity), rel=3e-3
        )


STATED = {
    # (count, intensity): error where the motor limits, where the stream relieves.
    (5, 0.15): (0.035, 0.005),
    (7, 0.15): (0.025, 0.003),
    (9, 0.15): (0.019, 0.002),
    (5, 0.35): (0.093, 0.017),
    (7, 0.35): (0.067, 0.014),
    (9, 0.35): (0.052, 0.013),
}
KINKS = np.linspace(0.5, 1.8, 261)


def limited(x):
    return np.minimum(np.asarray(x)[..., np.newaxis], KINKS) ** 3


def relieved(x):
    return np.maximum(np.asarray(x)[..., np.newaxis] ** 2 - KINKS**2, 0.0) ** 1.5


@pytest.mark.parametrize(("count", "intensity"), list(STATED))
def test_the_errors_stated_for_a_power_with_a_kink_are_the_worst_found(count, intensity):
    # Beside the nodes, scipy's Simpson rule over 4001 winds, each error at every kink.
    z = np.linspace(-9.0, 9.0, 4001)
    wind = np.maximum(1.0 + intensity * z, 0.0)
    for power, stated in zip((limited, relieved), STATED[count, intensity], strict=True):
        whole = integrate.simpson(normal_pdf(z)[:, np.newaxis] * power(wind), x=z, axis=0)
        error = np.abs(mean_of(power, intensity, count=count) - whole)
        if power is limited:
            error = error / whole
        # Printed to a tenth of a per cent.
        assert error.max() == pytest.approx(stated, abs=5.1e-4)


def test_at_its_limit_a_motor_is_billed_too_much_rather_than_too_little():
    for count in (5, 7, 9):
        for intensity in (0.1, 0.2, 0.3):
            found = mean_of(lambda x: np.minimum(x, 1.0) ** 3, intensity, count=count)
            exact = exact_mean(lambda x: min(x, 1.0) ** 3, intensity, 1.0)
            assert found > exact


@settings(max_examples=60, deadline=None)
@given(intensity=INTENSITIES, offset=st.floats(-1.5, 1.5), power=st.floats(1.0, 2.0))
def test_gusts_never_make_a_convex_power_cheaper(intensity, offset, power):
    def bill(x):
        return np.abs(x + offset) ** power

    assert mean_of(bill, intensity, count=5) >= bill(1.0) - 1e-12


def test_the_mean_of_many_steps_and_members_is_that_of_each():
    rng = np.random.default_rng(4)
    intensity = rng.uniform(0.05, 0.35, (6, 3))
    factor, weight = gust_nodes(intensity, count=5)
    together = mean_over_nodes(factor**2.7, weight=weight)
    assert together.shape == (6, 3)
    for place, one in np.ndenumerate(intensity):
        assert together[place] == pytest.approx(
            mean_of(lambda x: x**2.7, one, count=5), rel=1e-13
        )


@pytest.mark.parametrize(("wind", "error"), [(3.0, 1.4), (5.0, 1.4), (8.0, 1.4)])
def test_an_error_in_both_components_of_a_wind_costs_what_the_closed_form_says(wind, error):
    # The third moment of a Rice distribution, scipy's 1F1 beside the nodes in two directions.
    node, weight = normal_nodes(24)
    speed = np.hypot(wind + error * node[:, np.newaxis], error * node)
    found = mean_over_nodes(mean_over_nodes(speed**3, weight=weight), weight=weight)
    closed = (
        error**3
        * 2.0**1.5
        * special.gamma(2.5)
        * special.hyp1f1(-1.5, 1.0, -(wind**2) / (2.0 * error**2))
    )
    assert found == pytest.approx(closed, rel=1e-4)


# The closed form.


def test_gusts_across_add_to_the_bill_as_the_expansion_says():
    # Full two-direction quadrature of |U|^n; the expansion leaves out fourth order.
    node, weight = normal_nodes(20)
    for n in (2.0, 3.0):
        speed = np.hypot(1.0 + 0.1 * node[:, np.newaxis], 0.08 * node)
        found = mean_over_nodes(mean_over_nodes(speed**n, weight=weight), weight=weight)
        assert gust_penalty(0.1, exponent=n, lateral_intensity=0.08) == pytest.approx(
            found, abs=2e-4
        )


def test_at_the_same_mean_thrust_gusts_still_cost_power():
    # (1 + 3 I^2) / (1 + I^2)^1.5 by hand: 1.12 / 1.04^1.5 = 1.0560.
    power, thrust = (gust_penalty(0.2, exponent=n, lateral_intensity=0.0) for n in (3.0, 2.0))
    assert power / thrust**1.5 == pytest.approx(1.0560, abs=5e-5)


def test_a_steady_wind_and_a_straight_line_cost_nothing_extra():
    assert gust_penalty(0.0, exponent=3.0, lateral_intensity=0.0) == 1.0
    assert gust_penalty([0.1, 0.5], exponent=1.0, lateral_intensity=0.0).tolist() == [1.0, 1.0]


# Bursts.


@pytest.mark.parametrize("duty", [1.0, 0.75, 0.5, 0.25, 0.1])
def test_bursts_of_an_ideal_propeller_cost_the_root_of_the_duty(duty):
    thrust = burst_thrust_n(100.0, duty=duty)
    bursts = burst_mean_power_w(0.6 * thrust**1.5, duty=duty, idle_power_w=0.0)
    steady = 0.6 * 100.0**1.5
    assert bursts / steady == pytest.approx(ideal_burst_penalty(duty), rel=1e-12)


@settings(max_examples=60, deadline=None)
@given(
    thrust=st.floats(1.0, 300.0),
    duty=st.floats(0.05, 1.0),
    exponent=st.floats(1.0, 2.0),
    idle=st.floats(0.0, 20.0),
)
def test_bursts_never_save_power_when_idling_costs_the_same_throughout(
    thrust, duty, exponent, idle
):
    def power(n):
        return idle + 0.3 * n**exponent

    on = power(burst_thrust_n(thrust, duty=duty))
    assert burst_mean_power_w(on, duty=duty, idle_power_w=idle) >= power(thrust) * (1.0 - 1e-12)


def test_bursts_save_power_when_the_electronics_sleep_between_them():
    # 40 W whenever on, nothing off, P = 40 + T^1.5: at 4 N steady 48 W. A quarter of the time
    # at 16 N: (40 + 64) / 4 = 26 W.
    on = 40.0 + burst_thrust_n(4.0, duty=0.25) ** 1.5
    assert burst_mean_power_w(on, duty=0.25, idle_power_w=0.0) == pytest.approx(26.0)


def test_always_on_is_steady_whatever_idling_would_cost():
    assert burst_mean_power_w(321.0, duty=1.0, idle_power_w=50.0) == 321.0


def test_many_bursts_at_once_are_each_alone():
    on, duty = np.array([[100.0], [700.0]]), np.array([0.2, 0.6, 1.0])
    together = burst_mean_power_w(on, duty=duty, idle_power_w=3.0)
    alone = [[burst_mean_power_w(p, duty=d, idle_power_w=3.0) for d in duty] for p in on[:, 0]]
    assert np.array_equal(together, np.array(alone))


@pytest.mark.parametrize(
    ("call", "says"),
    [
        pytest.param(lambda: normal_nodes(0), "count = 0; .*from 1 to 32", id="no-nodes"),
        pytest.param(lambda: normal_nodes(33), "count = 33", id="too-many-nodes"),
        pytest.param(
            lambda: gust_nodes(0.6, count=5), "intensity = 0.6; .*at most 0.5", id="too-gusty"
        ),
        pytest.param(lambda: gust_nodes(-0.1, count=5), "intensity = -0.1", id="negative"),
        pytest.param(lambda: gust_nodes(np.nan, count=5), "intensity = nan", id="nan"),
        pytest.param(
            lambda: mean_over_nodes([1.0, 2.0], weight=[1.0]),
            r"values has shape \(2,\)",
            id="unlike",
        ),
        pytest.param(
            lambda: mean_over_nodes([1.0, np.nan], weight=[0.5, 0.5]),
            "must be finite",
            id="nan-power",
        ),
        pytest.param(
            lambda: gust_penalty(0.1, exponent=0.5, lateral_intensity=0.0),
            "exponent = 0.5",
            id="concave",
        ),
        pytest.param(
            lambda: burst_mean_power_w(-1.0, duty=0.5, idle_power_w=0.0),
            "on_power_w = -1",
            id="negative-power",
        ),
        pytest.param(
            lambda: burst_thrust_n(10.0, duty=0.0), "duty = 0; .*above 0", id="never-on"
        ),
        pytest.param(
            lambda: ideal_burst_penalty(1.1), "duty = 1.1; .*at most 1", id="more-than-always"
        ),
    ],
)
def test_what_makes_no_sense_is_refused(call, says):
    with pytest.raises(ValueError, match=says):
        call()
