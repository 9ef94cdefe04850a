"""Draws by counter: their spread, their memory, their independence, and that they stay put."""

import numpy as np
import pytest
from scipy import stats

from energysim.physics.draws import (
    BLOCK,
    block_errors,
    block_normals,
    lognormal_factor,
    remembered_series,
)

BLOCKS = 40  # 10,240 members


def members(draw, *, source=0, seed=1, rows=1, blocks=BLOCKS, **more):
    return np.concatenate(
        [draw(seed, source=source, block=block, rows=rows, **more) for block in range(blocks)],
        axis=1,
    )


def test_normals_have_the_mean_spread_and_form_of_the_normal_distribution():
    drawn = members(block_normals, rows=3)
    # Kolmogorov and Smirnov's test of a general statistics library, fixed seed.
    assert stats.kstest(drawn.ravel(), "norm").pvalue > 0.01
    assert drawn.mean() == pytest.approx(0.0, abs=4.0 / np.sqrt(drawn.size))
    assert drawn.std() == pytest.approx(1.0, abs=4.0 / np.sqrt(2.0 * drawn.size))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"source": 0}, {"source": 1}),
        ({"seed": 1}, {"seed": 2}),
        ({"source": 1, "seed": 0}, {"source": 0, "seed": 1}),
    ],
    ids=["sources", "seeds", "source-and-seed"],
)
def test_what_is_drawn_for_one_key_says_nothing_about_another(one, other):
    first, second = (members(block_normals, **key).ravel() for key in (one, other))
    assert abs(np.corrcoef(first, second)[0, 1]) < 4.0 / np.sqrt(first.size)


def test_blocks_and_rows_say_nothing_about_each_other():
    blocks = np.stack(
        [block_normals(1, source=0, block=block, rows=40).ravel() for block in range(5)]
    )
    off = np.corrcoef(blocks) - np.eye(5)
    assert np.abs(off).max() < 4.0 / np.sqrt(blocks.shape[1])
    rows = members(block_normals, rows=6)
    assert np.abs(np.corrcoef(rows) - np.eye(6)).max() < 4.5 / np.sqrt(rows.shape[1])


def test_a_block_is_the_same_to_the_bit_whatever_was_drawn_before_it():
    alone = block_normals(7, source=3, block=11, rows=4)
    block_normals(7, source=3, block=10, rows=9)
    again = block_normals(7, source=3, block=11, rows=9)
    assert np.array_equal(alone, again[:4])
    assert alone.shape == (4, BLOCK)


@pytest.mark.parametrize("farthest", [2.0, 4.0])
def test_errors_follow_the_truncated_normal_distribution(farthest):
    drawn = members(block_errors, farthest=farthest).ravel()
    assert np.abs(drawn).max() <= farthest
    law = stats.truncnorm(-farthest, farthest)
    assert stats.kstest(drawn, law.cdf).pvalue > 0.01
    assert drawn.std() == pytest.approx(law.std(), abs=4.0 / np.sqrt(2.0 * drawn.size))


def test_a_lognormal_factor_has_median_one_and_the_spread_asked_for():
    z = members(block_normals).ravel()
    factor = lognormal_factor(z, spread=0.22)
    assert np.median(factor) == pytest.approx(1.0, abs=0.01)
    law = stats.lognorm(0.22)
    assert factor.mean() == pytest.approx(law.mean(), rel=0.01)
    assert factor.std() == pytest.approx(law.std(), rel=0.03)
    assert (lognormal_factor(z, spread=0.0) == 1.0).all()


AT_S = np.append(np.arange(0.0, 7200.0, 300.0), [7230.0, *np.arange(7500.0, 40000.0, 900.0)])


def test_a_remembered_series_is_everywhere_standard_and_forgets_at_its_own_pace():
    memory_s = 6.0 * 3600.0
    normals = members(block_normals, rows=AT_S.size)
    series = remembered_series(normals, at_s=AT_S, memory_s=memory_s)
    sampling = 1.0 / np.sqrt(series.shape[1])
    assert series.std(axis=1) == pytest.approx(np.ones(AT_S.size), abs=4.5 * sampling)
    assert np.abs(series.mean(axis=1)).max() < 4.5 * sampling
    found = np.corrcoef(series)
    wanted = np.exp(-np.abs(AT_S[:, None] - AT_S[None, :]) / memory_s)
    assert np.abs(found - wanted).max() < 5.0 * sampling


def test_a_series_over_no_time_stays_and_over_a_long_time_forgets():
    normals = np.array([[2.0], [5.0], [5.0]])
    series = remembered_series(normals, at_s=[0.0, 0.0, 1e9], memory_s=60.0)
    assert series.ravel() == pytest.approx([2.0, 2.0, 5.0])


def test_a_series_by_hand_is_the_exact_step():
    # r = e^-1: 0.3679 of the last and sqrt(1 - r^2) = 0.9298 of the new.
    series = remembered_series([1.0, 2.0], at_s=[0.0, 60.0], memory_s=60.0)
    assert series == pytest.approx([1.0, 0.36788 + 2.0 * 0.92987], abs=1e-4)


def test_forecast_error_makes_the_cube_of_the_wind_larger_by_the_closed_form():
    """
    Mean of |U + e|^3 for two normal parts of 1.4 m/s about 5 m/s, over 5 cubed: 1.3598.

    Closed form of a Rice distribution with a confluent hypergeometric function, computed.
    """
    parts = 1.4 * members(block_normals, rows=40, blocks=160)
    # Within four sampling errors.
    strength = np.hypot(5.0 + parts[:20], parts[20:])
    assert (strength**3).mean() / 125.0 == pytest.approx(
        1.3598, abs=0.0045
    )  # four sampling errors


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: block_normals(-1, source=0, block=0, rows=1), "seed = -1"),
        (lambda: block_normals(1, source=-1, block=0, rows=1), "source = -1"),
        (lambda: block_normals(1, source=0, block=2**32, rows=1), "block = 4294967296"),
        (lambda: block_errors(1, source=0, block=0, rows=1, farthest=0.5), "farthest = 0.5"),
        (lambda: lognormal_factor([0.0], spread=-0.1), "spread = -0.1"),
        (lambda: remembered_series([1.0, 2.0], at_s=[1.0, 0.0], memory_s=1.0), "at_s falls"),
        (lambda: remembered_series([1.0], at_s=[1.0, 2.0], memory_s=1.0), "one time for each"),
        (lambda: remembered_series([1.0], at_s=[1.0], memory_s=0.0), "memory_s = 0"),
    ],
)
def test_numbers_that_mean_nothing_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
