"""Compass bearings. Expected values are trigonometry, worked by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.bearing import (
    components_from_toward,
    interpolate_bearing,
    toward_from_components,
)


@pytest.mark.parametrize(
    ("toward_deg", "east", "north"),
    [(0, 0, 1), (90, 1, 0), (180, 0, -1), (270, -1, 0), (45, 0.5**0.5, 0.5**0.5)],
)
def test_flow_toward_a_bearing_has_these_parts(toward_deg, east, north):
    got = components_from_toward(3.0, toward_deg=toward_deg)
    np.testing.assert_allclose(got, (3.0 * east, 3.0 * north), atol=1e-12)


def test_still_water_has_no_speed_and_bearing_zero():
    speed, toward = toward_from_components([0.0, -0.0], north_mps=[0.0, -0.0])
    assert speed.tolist() == [0.0, 0.0]
    assert toward.tolist() == [0.0, 0.0]


@given(
    speed=st.floats(0.001, 20.0),
    toward=st.floats(0.0, 359.999),
)
@settings(max_examples=100)
def test_there_and_back_gives_the_same_flow(speed, toward):
    east, north = components_from_toward(speed, toward_deg=toward)
    got_speed, got_toward = toward_from_components(east, north_mps=north)
    assert float(got_speed) == pytest.approx(speed, rel=1e-12)
    assert (float(got_toward) - toward + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-9)
    assert 0.0 <= float(got_toward) < 360.0


@pytest.mark.parametrize(
    ("start", "end", "quarter", "half"),
    [
        (350.0, 10.0, 355.0, 0.0),
        (10.0, 350.0, 5.0, 0.0),
        (80.0, 100.0, 85.0, 90.0),
        (0.0, 180.0, 45.0, 90.0),  # no short way: clockwise
        (180.0, 0.0, 225.0, 270.0),
        (720.0, 370.0, 2.5, 5.0),  # any turn of the circle
    ],
    ids=["over-north", "back-over-north", "plain", "opposite", "opposite-back", "whole-turns"],
)
def test_bearing_turns_the_short_way(start, end, quarter, half):
    got = interpolate_bearing([15.0, 30.0], at_s=[0.0, 60.0], bearing_deg=[start, end])
    np.testing.assert_allclose(got, [quarter, half], atol=1e-9)


def test_bearing_keeps_turning_through_several_nodes():
    got = interpolate_bearing(
        [0, 30, 90, 150, 180], at_s=[0, 60, 120, 180], bearing_deg=[300, 60, 180, 300]
    )
    np.testing.assert_allclose(got, [300, 0, 120, 240, 300], atol=1e-9)


def test_bearings_for_many_members_equal_one_by_one():
    at_s, bearing = [0.0, 100.0, 250.0], [350.0, 40.0, 200.0]
    time_s = np.linspace(0.0, 250.0, 12).reshape(4, 3)
    together = interpolate_bearing(time_s, at_s=at_s, bearing_deg=bearing)
    for index, one in np.ndenumerate(time_s):
        alone = interpolate_bearing(one, at_s=at_s, bearing_deg=bearing)
        assert alone.shape == ()
        assert float(alone) == together[index]


def test_time_outside_the_span_is_refused():
    with pytest.raises(ValueError, match="outside the given span of 0 to 60 s"):
        interpolate_bearing(61.0, at_s=[0.0, 60.0], bearing_deg=[1.0, 2.0])


@pytest.mark.parametrize(
    ("at_s", "bearing", "said"),
    [
        ([0.0, 0.0], [1.0, 2.0], "must increase"),
        ([0.0, 1.0], [1.0, np.nan], "finite"),
        ([0.0, 1.0], [1.0], "same length"),
        ([], [], "at least 1"),
    ],
)
def test_unusable_bearings_are_refused(at_s, bearing, said):
    with pytest.raises(ValueError, match=said):
        interpolate_bearing(0.0, at_s=at_s, bearing_deg=bearing)
