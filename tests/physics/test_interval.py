"""How sure a counted chance is, and what a spread comes from."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from energysim.physics.interval import chance_interval, ranks, spread_shares


@pytest.mark.reference
@pytest.mark.parametrize(("hits", "trials"), [(0, 10), (10, 10), (83, 100), (1, 1000), (5, 8)])
def test_the_interval_is_that_of_a_general_statistics_library(hits, trials):
    """Wilson's score interval without continuity correction, scipy.stats.binomtest."""
    theirs = stats.binomtest(hits, trials).proportion_ci(0.95, method="wilson")
    assert [float(end) for end in chance_interval(hits, trials=trials)] == pytest.approx(
        [theirs.low, theirs.high], abs=1e-12
    )


@pytest.mark.parametrize("chance", [0.02, 0.1, 0.5, 0.83, 0.97])
def test_nineteen_of_twenty_intervals_hold_the_chance_they_were_counted_from(chance):
    trials = 1000
    hits = np.random.default_rng(11).binomial(trials, chance, 4000)
    low, high = chance_interval(hits, trials=trials)
    covers = np.mean((low <= chance) & (chance <= high))
    # 95 %, which swings by some two points with the chance itself since hits are whole.
    assert covers == pytest.approx(0.95, abs=0.02)


@given(st.integers(1, 10_000), st.floats(0.0, 1.0))
@settings(max_examples=60)
def test_the_interval_holds_what_was_counted_and_stays_a_chance(trials, share):
    hits = int(share * trials)
    low, high = chance_interval(hits, trials=trials)
    assert 0.0 <= low <= hits / trials <= high <= 1.0


@given(st.lists(st.integers(-5, 5), min_size=1, max_size=60))
@settings(max_examples=60)
def test_ranks_are_those_of_a_general_statistics_library(values):
    assert ranks(values) == pytest.approx(stats.rankdata(values))


def test_a_sum_of_independent_parts_is_shared_by_their_variances():
    x = np.random.default_rng(3).normal(size=(4, 20_000))
    shares = spread_shares(3.0 * x[0] - 2.0 * x[1] + x[2], inputs=x, source=[0, 1, 2, 3])
    # Variances 9, 4, 1 and 0 of 14; ranks of normal sums lose a per cent or two.
    assert shares == pytest.approx([9 / 14, 4 / 14, 1 / 14, 0.0], abs=0.02)
    assert shares.sum() <= 1.0


def test_shares_do_not_change_if_the_answer_is_bent_but_keeps_its_order():
    x = np.random.default_rng(4).normal(size=(2, 3000))
    y = x[0] + 0.5 * x[1]
    straight = spread_shares(y, inputs=x, source=[0, 1])
    assert spread_shares(np.exp(3.0 * y), inputs=x, source=[0, 1]) == pytest.approx(straight)


def test_columns_of_one_source_are_added_up():
    """
    Ranks of normal variables correlate by (6 / pi) asin(r / 2), here with r squared a third.

    Pearson's relation of 1907, from memory; held to the ranks of scipy's own by the run.
    """
    x = np.random.default_rng(5).normal(size=(3, 20_000))
    shares = spread_shares(x.sum(axis=0), inputs=x, source=[0, 0, 1])
    each = (6.0 / np.pi * np.arcsin(0.5 / np.sqrt(3.0))) ** 2
    assert shares == pytest.approx([2.0 * each, each], abs=0.01)
    assert stats.spearmanr(x[0], x.sum(axis=0))[0] ** 2 == pytest.approx(each, abs=0.01)


def test_what_was_not_drawn_has_no_share_and_nothing_explains_an_answer_that_never_differs():
    x = np.random.default_rng(6).normal(size=(2, 500))
    x[1] = 1.0
    assert spread_shares(x[0], inputs=x, source=[0, 1]) == pytest.approx([1.0, 0.0])
    assert (spread_shares(np.ones(500), inputs=x, source=[0, 1]) == 0.0).all()


def test_an_answer_that_turns_back_is_left_unexplained():
    x = np.random.default_rng(7).normal(size=(1, 5000))
    assert spread_shares(x[0] ** 2, inputs=x, source=[0])[0] < 0.01


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: chance_interval(3, trials=2), "more than trials"),
        (lambda: chance_interval(0, trials=0), "trials = 0"),
        (lambda: ranks([1.0, float("nan")]), "values = nan"),
        (lambda: spread_shares([1.0, 2.0], inputs=[[1.0]], source=[0]), "inputs has shape"),
    ],
)
def test_numbers_that_mean_nothing_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
