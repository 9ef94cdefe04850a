"""The share of the time a gusty thrust is above what there is."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from energysim.physics.exceedance import normal_share_below, share_of_time_above
from energysim.physics.unsteady import gust_nodes, normal_nodes

NODE, _ = normal_nodes(5)


@pytest.mark.reference
def test_the_normal_share_agrees_with_a_general_library():
    # scipy.stats.norm; the approximation's stated bound is 1.5e-7 on erf, half that here.
    z = np.linspace(-6.0, 6.0, 2001)
    np.testing.assert_allclose(normal_share_below(z), norm.cdf(z), rtol=0.0, atol=8e-8)


def test_a_thrust_linear_in_the_gust_is_counted_exactly():
    # 100 N at the mean, 15 N a deviation: above 115 N for 15.87 % of the time (by hand).
    share = share_of_time_above(100.0 + 15.0 * NODE, deviation=NODE, limit_n=115.0)
    assert share == pytest.approx(float(norm.sf(1.0)), abs=1e-6)


def test_a_thrust_that_falls_as_the_wind_rises_counts_too():
    share = share_of_time_above(100.0 - 15.0 * NODE, deviation=NODE, limit_n=115.0)
    assert share == pytest.approx(float(norm.sf(1.0)), abs=1e-6)


@pytest.mark.parametrize(("limit", "share"), [(1e3, 0.0), (-1e3, 1.0), (100.0, 0.0)])
def test_a_steady_thrust_is_above_always_or_never(limit, share):
    found = share_of_time_above(np.full(5, 100.0), deviation=NODE, limit_n=limit)
    assert found == pytest.approx(share, abs=1e-8)


@pytest.mark.parametrize("intensity", [0.1, 0.2, 0.3])
def test_a_thrust_that_goes_as_the_wind_squared_is_close_to_its_true_share(intensity):
    factor, _ = gust_nodes(intensity, count=5)
    for limit in (0.8, 1.0, 1.3, 1.6):
        found = share_of_time_above(factor**2, deviation=NODE, limit_n=limit)
        true = float(norm.sf((np.sqrt(limit) - 1.0) / intensity))
        # Straight lines between the nodes of a parabola lie above it: up to 4 points too much.
        assert -0.005 <= float(found) - true <= 0.04


@settings(max_examples=60)
@given(
    st.lists(st.floats(0.0, 500.0), min_size=5, max_size=5),
    st.floats(0.0, 500.0),
    st.floats(0.0, 100.0),
)
def test_more_thrust_at_hand_is_never_short_for_longer(values, limit, more):
    value = np.array(values)
    less = share_of_time_above(value, deviation=NODE, limit_n=limit + more)
    assert 0.0 <= less <= share_of_time_above(value, deviation=NODE, limit_n=limit) + 1e-9


def test_arrays_and_scalars_agree():
    value = 100.0 + np.multiply.outer(NODE, np.array([5.0, 10.0, 20.0]))
    limit = np.array([101.0, 105.0, 130.0])
    together = share_of_time_above(value, deviation=NODE, limit_n=limit)
    alone = [
        float(share_of_time_above(value[:, k], deviation=NODE, limit_n=limit[k]))
        for k in range(3)
    ]
    np.testing.assert_allclose(together, alone, rtol=1e-14)


@pytest.mark.parametrize(
    ("value", "said"), [([1.0], "at least two nodes"), ([1.0, np.nan], "must be finite")]
)
def test_what_cannot_be_counted_is_refused(value, said):
    with pytest.raises(ValueError, match=said):
        share_of_time_above(value, deviation=NODE[: len(value)], limit_n=1.0)
