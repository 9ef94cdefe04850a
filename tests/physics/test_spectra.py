"""Spectra of the wind, and winds made from them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, signal

from energysim.physics.gust_series import gust_series_mps, series_frequencies_per_s
from energysim.physics.spectra import (
    kaimal_density_m2ps,
    kaimal_length_m,
    kaimal_share_below,
    npd_density_m2ps,
    ochi_shin_density_m2ps,
    sigma_from_density_mps,
)

HOUR_TO_SECOND = np.geomspace(1.0 / 3600.0, 1.0, 300)
LAWS = [
    pytest.param(lambda f, u: npd_density_m2ps(f, wind_1h_mps=u, height_m=10.0), id="npd"),
    pytest.param(
        lambda f, u: kaimal_density_m2ps(f, wind_mps=u, sigma_mps=0.1 * u, length_m=56.7),
        id="kaimal",
    ),
]


def test_the_npd_spectrum_by_hand_where_its_parts_are_simple():
    # 10 m/s at 10 m and f = 1/172 Hz: reduced frequency 1, so 320 / 2^(5 / 1.404).
    found = npd_density_m2ps(1.0 / 172.0, wind_1h_mps=10.0, height_m=10.0)
    assert found == pytest.approx(320.0 / 2.0 ** (5.0 / 1.404), rel=1e-12)
    # Twice as high, where 2^0.45 = 1.36604, and slower by 2^(2/3) = 1.58740.
    higher = npd_density_m2ps(1.0 / (172.0 * 1.5874011), wind_1h_mps=10.0, height_m=20.0)
    assert higher == pytest.approx(1.36604 * found, rel=1e-5)


def test_slow_gusts_have_a_limit_in_every_spectrum():
    slow = 1e-9
    assert npd_density_m2ps(slow, wind_1h_mps=10.0, height_m=10.0) == pytest.approx(
        320.0, rel=0.01
    )
    # 583 x 10 / U x u*^2 with u*^2 = 0.144 m2/s2.
    assert ochi_shin_density_m2ps(slow, wind_10m_mps=10.0) == pytest.approx(
        583.0 * 0.144, rel=1e-12
    )
    assert kaimal_density_m2ps(
        slow, wind_mps=10.0, sigma_mps=1.0, length_m=50.0
    ) == pytest.approx(20.0, rel=1e-6)


@pytest.mark.parametrize("law", LAWS)
def test_quick_gusts_fall_off_with_the_five_thirds_of_turbulence(law):
    # Kolmogorov's -5/3 of the inertial range (from memory).
    frequency = np.array([1e4, 1e5])
    fall = np.diff(np.log(law(frequency, 10.0))) / np.diff(np.log(frequency))
    assert fall == pytest.approx(-5.0 / 3.0, abs=0.01)


@pytest.mark.parametrize("joint", [0.003, 0.1])
def test_the_pieces_of_the_second_sea_spectrum_meet(joint):
    edge = joint * np.array([1.0 - 1e-9, 1.0 + 1e-9])
    low, high = ochi_shin_density_m2ps(edge, wind_10m_mps=10.0)
    assert low == pytest.approx(high, rel=2e-3)


def test_length_scales_grow_with_height_up_to_sixty_metres():
    assert kaimal_length_m([1.0, 10.0, 60.0, 90.0]) == pytest.approx(
        [5.67, 56.7, 340.2, 340.2], rel=1e-12
    )


@pytest.mark.parametrize("wind", [5.0, 10.0, 15.0])
def test_the_sea_spectrum_holds_the_same_gusts_by_another_quadrature(wind):
    # scipy's adaptive rule in the logarithm of the frequency.
    variance, _ = integrate.quad(
        lambda x: np.exp(x) * npd_density_m2ps(np.exp(x), wind_1h_mps=wind, height_m=10.0),
        *np.log([1.0 / 3600.0, 1.0]),
    )
    density = npd_density_m2ps(HOUR_TO_SECOND, wind_1h_mps=wind, height_m=10.0)
    found = sigma_from_density_mps(density, frequency_per_s=HOUR_TO_SECOND)
    assert found == pytest.approx(np.sqrt(variance), rel=1e-4)


def test_the_two_sea_spectra_agree_on_how_gusty_a_sea_wind_is_to_a_quarter():
    for wind in (10.0, 15.0):
        both = [
            sigma_from_density_mps(density, frequency_per_s=HOUR_TO_SECOND)
            for density in (
                npd_density_m2ps(HOUR_TO_SECOND, wind_1h_mps=wind, height_m=10.0),
                ochi_shin_density_m2ps(HOUR_TO_SECOND, wind_10m_mps=wind),
            )
        ]
        assert both[0] == pytest.approx(both[1], rel=0.25)


def test_the_whole_of_a_kaimal_spectrum_is_sigma_squared():
    frequency = np.geomspace(1e-7, 1e6, 2000)
    density = kaimal_density_m2ps(
        frequency, wind_mps=8.0, sigma_mps=1.2, length_m=kaimal_length_m(2.0)
    )
    # Beyond a megahertz a part in 1e5 is left.
    assert sigma_from_density_mps(density, frequency_per_s=frequency) == pytest.approx(
        1.2, rel=1e-4
    )


@settings(max_examples=50, deadline=None)
@given(frequency=st.floats(1e-4, 10.0), wind=st.floats(0.5, 30.0), height=st.floats(0.3, 80.0))
def test_the_share_below_is_the_integral_of_the_spectrum(frequency, wind, height):
    length = float(kaimal_length_m(height))
    below, _ = integrate.quad(
        lambda f: kaimal_density_m2ps(f, wind_mps=wind, sigma_mps=1.0, length_m=length),
        0.0,
        frequency,
        points=[frequency / 100.0, frequency / 10.0],
        limit=200,
    )
    share = kaimal_share_below(frequency, wind_mps=wind, length_m=length)
    assert share == pytest.approx(below, abs=1e-6)


def test_nothing_is_slower_than_no_frequency_and_all_is_slow_in_a_calm():
    assert kaimal_share_below(0.0, wind_mps=[0.0, 5.0], length_m=10.0) == pytest.approx(
        [0.0, 0.0]
    )
    assert kaimal_share_below(0.1, wind_mps=0.0, length_m=10.0) == 1.0


def test_sigma_of_many_winds_at_once_is_that_of_each():
    winds = np.array([[3.0, 8.0], [12.0, 20.0]])
    density = npd_density_m2ps(
        HOUR_TO_SECOND[:, np.newaxis, np.newaxis], wind_1h_mps=winds, height_m=2.0
    )
    together = sigma_from_density_mps(density, frequency_per_s=HOUR_TO_SECOND)
    assert together.shape == winds.shape
    for place, wind in np.ndenumerate(winds):
        one = npd_density_m2ps(HOUR_TO_SECOND, wind_1h_mps=wind, height_m=2.0)
        assert together[place] == pytest.approx(
            sigma_from_density_mps(one, frequency_per_s=HOUR_TO_SECOND), rel=1e-12
        )


# Made winds.


def sea_series(steps, step_s, seed, wind=10.0):
    frequency = series_frequencies_per_s(steps, step_s=step_s)
    density = npd_density_m2ps(frequency, wind_1h_mps=wind, height_m=10.0)
    return frequency, density, gust_series_mps(density, steps=steps, step_s=step_s, seed=seed)


@pytest.mark.parametrize("steps", [3, 4, 5, 100, 101])
def test_frequencies_of_a_series_lie_between_its_length_and_two_steps(steps):
    frequency = series_frequencies_per_s(steps, step_s=0.5)
    assert frequency[0] == pytest.approx(1.0 / (0.5 * steps))
    assert frequency[-1] < 1.0
    assert frequency[-1] + frequency[0] >= 1.0 - 1e-12


@pytest.mark.parametrize("steps", [1800, 1801])
def test_a_made_wind_has_the_variance_of_its_lines_and_no_mean(steps):
    frequency, density, gust = sea_series(steps, 1.0, seed=7)
    assert gust.shape == (steps,)
    assert gust.mean() == pytest.approx(0.0, abs=1e-12)
    assert gust.var() == pytest.approx(np.sum(density) * frequency[0], rel=1e-12)


def test_a_made_hour_is_as_gusty_as_its_spectrum():
    # By the trapezoid rule over the same band; sums of lines cut the steep slow end coarsely.
    frequency, density, gust = sea_series(7200, 0.5, seed=1)
    band = sigma_from_density_mps(density, frequency_per_s=frequency)
    assert gust.std() == pytest.approx(band, rel=0.05)


def test_a_made_wind_is_the_plain_sum_of_its_cosines():
    # The same phases summed one cosine at a time, at a few moments.
    steps, step_s, seed = 240, 2.0, 11
    frequency, density, gust = sea_series(steps, step_s, seed)
    phase = np.random.default_rng(seed).uniform(0.0, 2.0 * np.pi, frequency.size)
    for index in (0, 1, 77, 239):
        sum_of_lines = sum(
            np.sqrt(2.0 * s * frequency[0]) * np.cos(2.0 * np.pi * f * index * step_s + p)
            for f, s, p in zip(frequency, density, phase, strict=True)
        )
        assert gust[index] == pytest.approx(sum_of_lines, abs=1e-10)


def test_a_made_wind_gives_its_spectrum_back_to_another_estimator():
    # scipy's Welch estimate of 2 h at 1 s, in bands wide enough to hold its scatter down.
    steps = 7200
    _, _, gust = sea_series(steps, 1.0, seed=3)
    frequency, estimate = signal.welch(gust, fs=1.0, nperseg=720)
    for low, high in ((0.01, 0.03), (0.03, 0.1), (0.1, 0.3)):
        band = (frequency >= low) & (frequency < high)
        wanted = npd_density_m2ps(frequency[band], wind_1h_mps=10.0, height_m=10.0)
        assert estimate[band].sum() == pytest.approx(wanted.sum(), rel=0.15)


def test_the_same_seed_gives_the_same_wind_and_another_gives_another():
    first, again, other = (sea_series(600, 1.0, seed)[2] for seed in (5, 5, 6))
    assert np.array_equal(first, again)
    assert abs(np.corrcoef(first, other)[0, 1]) < 0.5
    assert first.std() == pytest.approx(other.std(), rel=1e-12)


def test_made_winds_side_by_side_are_independent_and_each_as_gusty_as_asked():
    frequency = series_frequencies_per_s(3600, step_s=1.0)
    winds = np.array([5.0, 10.0, 15.0])
    density = npd_density_m2ps(frequency[:, np.newaxis], wind_1h_mps=winds, height_m=10.0)
    gust = gust_series_mps(density, steps=3600, step_s=1.0, seed=2)
    assert gust.shape == (3600, 3)
    assert gust.std(axis=0) == pytest.approx(
        np.sqrt(density.sum(axis=0) * frequency[0]), rel=1e-12
    )
    between = np.corrcoef(gust.T)[np.triu_indices(3, 1)]
    assert np.all(np.abs(between) < 0.5)


def test_no_gusts_make_a_still_series():
    nothing = np.zeros(series_frequencies_per_s(50, step_s=1.0).size)
    assert not gust_series_mps(nothing, steps=50, step_s=1.0, seed=0).any()


@pytest.mark.parametrize(
    ("call", "says"),
    [
        pytest.param(
            lambda: npd_density_m2ps(0.0, wind_1h_mps=5.0, height_m=2.0),
            "frequency_per_s = 0; .*above 0",
            id="no-frequency",
        ),
        pytest.param(
            lambda: npd_density_m2ps(0.1, wind_1h_mps=0.0, height_m=2.0),
            "wind_1h_mps = 0",
            id="npd-calm",
        ),
        pytest.param(
            lambda: ochi_shin_density_m2ps(0.1, wind_10m_mps=-1.0),
            "wind_10m_mps = -1",
            id="ochi-shin-calm",
        ),
        pytest.param(
            lambda: kaimal_density_m2ps(0.1, wind_mps=5.0, sigma_mps=-1.0, length_m=9.0),
            "sigma_mps = -1",
            id="negative-sigma",
        ),
        pytest.param(lambda: kaimal_length_m(0.0), "height_m = 0", id="no-height"),
        pytest.param(
            lambda: sigma_from_density_mps([1.0, 1.0], frequency_per_s=[2.0, 1.0]),
            "frequency_per_s must rise",
            id="falling",
        ),
        pytest.param(
            lambda: sigma_from_density_mps([1.0, 1.0], frequency_per_s=[1.0, 2.0, 3.0]),
            r"frequency_per_s has shape \(3,\)",
            id="unlike",
        ),
        pytest.param(
            lambda: series_frequencies_per_s(2, step_s=1.0),
            "steps = 2; .*at least 3",
            id="short",
        ),
        pytest.param(
            lambda: gust_series_mps([1.0], steps=100, step_s=1.0, seed=1),
            "must hold the 49 values",
            id="few-lines",
        ),
        pytest.param(
            lambda: gust_series_mps([-1.0], steps=3, step_s=1.0, seed=1),
            "density_m2ps = -1",
            id="negative-density",
        ),
    ],
)
def test_what_makes_no_sense_is_refused(call, says):
    with pytest.raises(ValueError, match=says):
        call()
