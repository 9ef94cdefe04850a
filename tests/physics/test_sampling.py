"""Reading between points, beside scipy's interpolators of the same construction."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline, PchipInterpolator

from energysim.physics.sampling import interpolate_cubic, interpolate_monotone

RNG = np.random.default_rng(20260516)


def uneven_points(count: int) -> tuple[np.ndarray, np.ndarray]:
    return np.cumsum(RNG.uniform(100.0, 5000.0, count)), RNG.normal(0.0, 1.0, count)


@pytest.mark.parametrize("count", [4, 5, 30])
def test_spline_equals_scipys(count):
    at_s, value = uneven_points(count)
    time_s = np.linspace(at_s[0], at_s[-1], 400)
    expected = CubicSpline(at_s, value, bc_type="not-a-knot")(time_s)
    got = interpolate_cubic(time_s, at_s=at_s, value=value)
    np.testing.assert_allclose(got, expected, rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize("count", [2, 3, 30])
def test_monotone_curve_equals_scipys(count):
    at_s, value = uneven_points(count)
    time_s = np.linspace(at_s[0], at_s[-1], 400)
    got = interpolate_monotone(time_s, at_s=at_s, value=value)
    np.testing.assert_allclose(got, PchipInterpolator(at_s, value)(time_s), atol=1e-10)


@pytest.mark.parametrize(
    "value",
    [[1, 1, 2, 2, 0], [0, 1, 0, 1, 0], [3, 1, 1, 1, 5], [0, 5, 4, 4, 9]],
    ids=["flat-steps", "saw", "bathtub", "end-overshoot"],
)
def test_monotone_curve_equals_scipys_at_flats_and_turns(value):
    at_s = np.array([0.0, 1.0, 3.0, 4.0, 9.0])
    time_s = np.linspace(0.0, 9.0, 181)
    got = interpolate_monotone(time_s, at_s=at_s, value=value)
    np.testing.assert_allclose(got, PchipInterpolator(at_s, value)(time_s), atol=1e-12)


def test_spline_gives_a_cubic_back_exactly():
    at_s = np.array([0.0, 1.0, 2.5, 4.0, 7.0])
    time_s = np.linspace(0.0, 7.0, 29)
    got = interpolate_cubic(time_s, at_s=at_s, value=at_s**3 - 2.0 * at_s)
    np.testing.assert_allclose(got, time_s**3 - 2.0 * time_s, atol=1e-10)


@given(st.lists(st.floats(-5.0, 5.0), min_size=2, max_size=12))
@settings(max_examples=60)
def test_monotone_curve_never_leaves_its_neighbours(value):
    at_s = np.arange(len(value), dtype=float)
    left = np.repeat(np.arange(len(value) - 1), 9)
    time_s = left + np.tile(np.linspace(0.0, 1.0, 9), len(value) - 1)
    got = interpolate_monotone(time_s, at_s=at_s, value=value)
    given_at = np.asarray(value)
    low = np.minimum(given_at[left], given_at[left + 1])
    high = np.maximum(given_at[left], given_at[left + 1])
    assert (got >= low - 1e-9).all()
    assert (got <= high + 1e-9).all()


@pytest.mark.parametrize("read", [interpolate_cubic, interpolate_monotone])
def test_points_themselves_come_back(read):
    at_s, value = uneven_points(8)
    np.testing.assert_allclose(read(at_s, at_s=at_s, value=value), value, atol=1e-9)


@pytest.mark.parametrize(
    ("read", "count", "said"),
    [(interpolate_cubic, 3, "at least 4"), (interpolate_monotone, 1, "at least 2")],
)
def test_too_few_points_are_refused(read, count, said):
    with pytest.raises(ValueError, match=said):
        read(0.0, at_s=np.arange(count), value=np.zeros(count))


def test_time_that_is_not_a_number_is_refused():
    with pytest.raises(ValueError, match="outside the given span"):
        interpolate_monotone([0.5, np.nan], at_s=[0.0, 1.0], value=[0.0, 1.0])
