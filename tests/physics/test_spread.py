"""The expected weakest of several blocks."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.spread import expected_weakest

# Textbook closed forms of the expected greatest of n standard normal numbers (from memory).
CLOSED = {
    1: 0.0,
    2: 1.0 / math.sqrt(math.pi),
    3: 1.5 / math.sqrt(math.pi),
    4: 3.0 / math.sqrt(math.pi) * (0.5 + math.asin(1.0 / 3.0) / math.pi),
    5: 5.0 / math.sqrt(math.pi) * (0.25 + 1.5 * math.asin(1.0 / 3.0) / math.pi),
}


@pytest.mark.parametrize("count", CLOSED)
def test_the_integral_meets_the_closed_forms(count):
    behind = -float(expected_weakest(count, mean=0.0, deviation=1.0))
    assert behind == pytest.approx(CLOSED[count], abs=1e-10)


def test_three_blocks_five_per_cent_apart_by_hand():
    # 0.8463 x 5 % = 4.23 % behind the mean.
    assert float(expected_weakest(3, mean=100.0, deviation=5.0)) == pytest.approx(
        95.769, abs=1e-3
    )


@pytest.mark.parametrize("count", [4, 24, 1000])
def test_drawing_many_banks_comes_to_the_same(count):
    # Independent of the integral: the mean least of many drawn banks, to four standard errors.
    rng = np.random.default_rng(20260516)
    draws = 200_000 // count
    least = rng.standard_normal((draws, count)).min(axis=1)
    error = float(least.std(ddof=1)) / math.sqrt(draws)
    expected = float(expected_weakest(count, mean=0.0, deviation=1.0))
    assert abs(float(least.mean()) - expected) < 4.0 * error


def test_more_blocks_are_never_stronger():
    weakest = expected_weakest(np.arange(1, 60), mean=1.0, deviation=0.05)
    assert weakest[0] == pytest.approx(1.0, abs=1e-12)
    assert np.all(np.diff(weakest) < 0.0)


def test_without_a_spread_the_weakest_is_the_mean():
    np.testing.assert_array_equal(expected_weakest([1, 6], mean=80.0, deviation=0.0), 80.0)


@settings(max_examples=40, deadline=None)
@given(
    count=st.integers(1, 40),
    mean=st.floats(-100.0, 100.0),
    deviation=st.floats(0.0, 20.0),
)
def test_the_answer_moves_with_its_scale(count, mean, deviation):
    plain = float(expected_weakest(count, mean=0.0, deviation=1.0))
    scaled = float(expected_weakest(count, mean=mean, deviation=deviation))
    assert scaled == pytest.approx(mean + deviation * plain, abs=1e-9)


def test_an_array_gives_what_its_numbers_give():
    counts = np.array([[1, 2], [4, 8]])
    together = expected_weakest(counts, mean=1.0, deviation=[0.02, 0.1])
    assert together.shape == (2, 2)
    alone = [
        [
            float(expected_weakest(n, mean=1.0, deviation=d))
            for n, d in zip(row, (0.02, 0.1), strict=True)
        ]
        for row in counts
    ]
    np.testing.assert_array_equal(together, alone)


@pytest.mark.parametrize(
    ("count", "deviation", "message"),
    [
        (0, 0.1, "count = 0"),
        (2.5, 0.1, "whole numbers"),
        (3, -0.1, "deviation = -0.1"),
        (20_000, 0.1, "count = 20000"),
    ],
)
def test_what_cannot_be_is_refused(count, deviation, message):
    with pytest.raises(ValueError, match=message):
        expected_weakest(count, mean=1.0, deviation=deviation)
