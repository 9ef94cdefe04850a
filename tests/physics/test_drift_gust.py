import numpy as np
import pytest

from energysim.physics.drift_gust import drift_in_gust_load
from energysim.physics.station import drift_load, hold_load

KNOT_MPS = 1852.0 / 3600.0
ACROSS = {"wind_from_deg": 250.0, "stream_mps": 0.5, "stream_toward_deg": 340.0}
CALM = {"wind_from_deg": 250.0, "stream_mps": 0.0, "stream_toward_deg": 0.0}


def settled(boat, wind_mps, drift_mps, **around):
    return drift_load(wind_mps, drift_speed_mps=drift_mps, boat=boat, **around)


def test_at_the_mean_wind_it_is_the_settled_drift(skiff):
    mean = settled(skiff, 8.0, 0.2, **ACROSS)
    load = drift_in_gust_load(np.array([8.0]), settled=mean, boat=skiff, **ACROSS)
    assert mean.thrust_n > 10.0
    np.testing.assert_allclose(load.thrust_n, mean.thrust_n, rtol=1e-6)
    np.testing.assert_allclose(load.heading_deg, mean.heading_deg, atol=1e-3)


def test_a_drift_slowed_to_nothing_meets_its_gusts_as_a_hold(skiff):
    mean = settled(skiff, 8.0, 0.0, **ACROSS)
    gusts = np.array([8.0, 10.0, 13.0])
    load = drift_in_gust_load(gusts, settled=mean, boat=skiff, **ACROSS)
    hold = hold_load(gusts, near_deg=mean.heading_deg, boat=skiff, **ACROSS)
    np.testing.assert_allclose(load.thrust_n, hold.thrust_n, rtol=1e-6)


def test_dead_downwind_a_gust_costs_the_wind_past_the_moving_boat_by_hand(skiff):
    # In still water, going straight downwind bow to the wind, the wind felt is v - u and the
    # water goes by at u: the pull is a hold's in that wind against a stream of -u.
    mean = settled(skiff, 9.0, 0.15, **CALM)
    load = drift_in_gust_load(np.array([12.0]), settled=mean, boat=skiff, **CALM)
    held = hold_load(
        12.0 - 0.15,
        wind_from_deg=250.0,
        stream_mps=0.15,
        stream_toward_deg=250.0,
        boat=skiff,
        near_deg=250.0,
    )
    assert float(mean.speed_over_ground_mps) == pytest.approx(0.15, rel=1e-6)
    assert load.thrust_n == pytest.approx(float(held.thrust_n), rel=1e-4)


def test_a_drift_left_alone_stays_free_in_its_gusts(skiff):
    mean = settled(skiff, 6.0, 5.0, **ACROSS)
    load = drift_in_gust_load(np.array([3.0, 9.0, 12.0]), settled=mean, boat=skiff, **ACROSS)
    assert float(mean.thrust_n) == 0.0
    assert not load.thrust_n.any()
    assert not load.inflow_mps.any()


def test_a_lull_is_never_pushed_along(skiff):
    # Downwind in still water a calm leaves nothing across: any push would be along.
    mean = settled(skiff, 9.0, 0.3, **CALM)
    load = drift_in_gust_load(np.array([0.0]), settled=mean, boat=skiff, **CALM)
    assert load.thrust_n == pytest.approx(0.0, abs=0.01)


def test_speed_and_course_are_those_of_the_mean(skiff):
    mean = settled(skiff, np.array([8.0, 9.0]), 0.2, **ACROSS)
    load = drift_in_gust_load(
        np.array([[5.0, 5.0], [12.0, 12.0]]), settled=mean, boat=skiff, **ACROSS
    )
    np.testing.assert_array_equal(load.speed_over_ground_mps, [mean.speed_over_ground_mps] * 2)
    np.testing.assert_array_equal(load.course_deg, [mean.course_deg] * 2)


@pytest.mark.parametrize(("wind_mps", "problem"), [(np.nan, "finite"), (-1.0, "at least 0")])
def test_a_wind_that_cannot_be_is_refused(wind_mps, problem, skiff):
    mean = settled(skiff, 8.0, 0.2, **ACROSS)
    with pytest.raises(ValueError, match=f"wind_mps.*{problem}"):
        drift_in_gust_load(np.array([wind_mps]), settled=mean, boat=skiff, **ACROSS)
