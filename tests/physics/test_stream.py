"""Moving water between the points of a table. Hand values are trigonometry."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.stream import (
    slack_duration_s,
    speed_from_events,
    stream_set_deg,
    vector_from_speed_and_set,
)
from energysim.physics.stream_series import (
    speed_from_points,
    speed_from_uniform_series,
    vector_from_series,
)
from energysim.physics.subordinate import StationDifferences, subordinate_events

HOUR_S = 3600.0


def test_each_leg_takes_its_own_length():
    # Slack, flood 2 after 3 h, slack after 4 h more, ebb -1 after 2 h.
    at_s = np.array([0.0, 3.0, 7.0, 9.0]) * HOUR_S
    got = speed_from_events(
        np.array([1.0, 3.0, 5.0, 7.0, 8.0]) * HOUR_S,
        event_time_s=at_s,
        event_speed_mps=[0.0, 2.0, 0.0, -1.0],
    )
    expected = [2.0 * 0.5, 2.0, 2.0 * 0.5**0.5, 0.0, -(0.5**0.5)]
    np.testing.assert_allclose(got, expected, atol=1e-12)


@pytest.mark.parametrize(
    ("speeds", "middle"),
    [
        ((-1.2, -0.3), -0.75),
        ((1.0, -1.0), 0.0),
        ((0.0, 0.0), 0.0),
        ((1.5, 1.5), 1.5),
    ],
    ids=["weak-minimum", "slack-left-out", "two-slacks", "no-change"],
)
def test_any_order_of_events_is_taken(speeds, middle):
    got = speed_from_events(0.5, event_time_s=[0.0, 1.0], event_speed_mps=speeds)
    assert float(got) == pytest.approx(middle, abs=1e-12)


def test_speed_between_two_maxima_falls_and_rises_once():
    # The shape of a real list: ebb, weak ebb, ebb, without a slack between.
    time_s = np.linspace(0.0, 10.0, 201)
    got = speed_from_events(
        time_s, event_time_s=[0.0, 5.0, 10.0], event_speed_mps=[-1.23, -0.30, -2.62]
    )
    assert (np.diff(got[:101]) >= 0.0).all()
    assert (np.diff(got[100:]) <= 0.0).all()
    assert (got < 0.0).all()


@given(
    gaps=st.lists(st.floats(600.0, 30_000.0), min_size=1, max_size=8),
    data=st.data(),
)
@settings(max_examples=60)
def test_stream_passes_through_its_events_and_never_beyond_the_strongest(gaps, data):
    event_s = np.concatenate(([0.0], np.cumsum(gaps)))
    speed = st.one_of(st.just(0.0), st.floats(0.05, 3.0), st.floats(-3.0, -0.05))
    events = np.array(data.draw(st.lists(speed, min_size=event_s.size, max_size=event_s.size)))
    at_events = speed_from_events(event_s, event_time_s=event_s, event_speed_mps=events)
    np.testing.assert_allclose(at_events, events, atol=1e-9)
    between = speed_from_events(
        np.linspace(0.0, event_s[-1], 300), event_time_s=event_s, event_speed_mps=events
    )
    assert between.max() <= max(events.max(), 0.0) + 1e-9
    assert between.min() >= min(events.min(), 0.0) - 1e-9


def test_stream_is_continuous_at_every_event():
    event_s, events = [0.0, 100.0, 300.0, 350.0, 500.0], [0.0, 1.0, -0.5, 0.0, 0.0]
    for at in (100.0, 300.0, 350.0):
        before, after = speed_from_events(
            [at - 1e-6, at + 1e-6], event_time_s=event_s, event_speed_mps=events
        )
        assert before == pytest.approx(after, abs=1e-6)


def test_members_with_their_own_shift_equal_one_by_one():
    event_s, events = [0.0, 100.0, 300.0], [0.0, 1.0, -0.5]
    time_s = np.linspace(5.0, 250.0, 6)[:, np.newaxis] + np.array([-5.0, 0.0, 40.0])
    together = speed_from_events(time_s, event_time_s=event_s, event_speed_mps=events)
    assert together.shape == (6, 3)
    for index, one in np.ndenumerate(time_s):
        alone = speed_from_events(one, event_time_s=event_s, event_speed_mps=events)
        assert float(alone) == together[index]


@pytest.mark.parametrize(
    ("time_s", "event_s", "events", "said"),
    [
        (5.0, [0.0, 4.0], [0.0, 1.0], "outside the given span of 0 to 4 s"),
        (-1.0, [0.0, 4.0], [0.0, 1.0], "from -1 to -1 s"),
        (1.0, [0.0, 4.0, 3.0], [0.0, 1.0, 0.0], r"3 s follows 4 s \(point 3\)"),
        (1.0, [0.0, 4.0], [0.0, np.inf], "finite"),
        (0.0, [0.0], [0.0], "at least 2"),
        (0.0, [0.0, 1.0], [0.0], "same length"),
    ],
)
def test_unusable_events_are_refused(time_s, event_s, events, said):
    with pytest.raises(ValueError, match=said):
        speed_from_events(time_s, event_time_s=event_s, event_speed_mps=events)


def m2_and_m4(time_s):
    # A strong tide with its overtide, as a stand-in for an agency's hourly prediction.
    hours = np.asarray(time_s) / HOUR_S
    return 1.6 * np.cos(np.deg2rad(28.984 * hours)) + 0.2 * np.cos(np.deg2rad(57.968 * hours))


def test_spline_through_hourly_samples_keeps_the_peaks_that_lines_lose():
    at_s = np.arange(49) * HOUR_S
    time_s = np.linspace(0.0, 48.0 * HOUR_S, 2881)
    true = m2_and_m4(time_s)
    spline = speed_from_uniform_series(
        time_s, start_s=0.0, step_s=HOUR_S, speed_mps=m2_and_m4(at_s)
    )
    lines = np.interp(time_s, at_s, m2_and_m4(at_s))
    assert np.abs(spline - true).max() < 0.02
    assert np.abs(lines - true).max() > 0.05
    assert np.sqrt(np.mean((spline - true) ** 2)) < 0.1 * np.sqrt(np.mean((lines - true) ** 2))


@pytest.mark.parametrize("step_s", [0.0, -60.0, 3601.0, np.nan])
def test_step_outside_its_range_is_refused(step_s):
    with pytest.raises(ValueError, match="above 0 and at most 3600 s"):
        speed_from_uniform_series(0.0, start_s=0.0, step_s=step_s, speed_mps=np.zeros(5))


def test_points_typed_by_hand_make_no_peak_of_their_own():
    time_s = np.linspace(0.0, 1000.0, 500)
    got = speed_from_points(time_s, at_s=[0, 100, 120, 1000], speed_mps=[0, 1.0, 1.0, 0.2])
    assert got.max() <= 1.0 + 1e-12
    assert got.min() >= 0.0


def test_reversing_stream_with_sets_goes_through_zero_without_swinging_sideways():
    at_s = np.arange(7) * HOUR_S
    speed = np.abs([2.0, 1.5, 0.7, -0.4, -1.3, -1.8, -1.9])
    toward = np.where(np.arange(7) < 3, 30.0, 210.0)
    time_s = np.linspace(0.0, 6.0 * HOUR_S, 361)
    east, north = vector_from_series(time_s, at_s=at_s, speed_mps=speed, toward_deg=toward)
    across = east * np.cos(np.deg2rad(30.0)) - north * np.sin(np.deg2rad(30.0))
    assert np.abs(across).max() < 1e-12
    assert np.hypot(east, north).min() < 0.01


def test_uneven_series_with_sets_keeps_between_its_neighbours():
    east, north = vector_from_series(
        np.linspace(0.0, 9000.0, 50),
        at_s=[0, 100, 9000],
        speed_mps=[0, 1, 1],
        toward_deg=[90] * 3,
    )
    assert east.max() <= 1.0 + 1e-12
    np.testing.assert_allclose(north, 0.0, atol=1e-12)


@pytest.mark.parametrize(
    ("speed", "toward", "said"),
    [([1.0, -1.0], [0.0, 0.0], "zero or more"), ([1.0, 1.0], [0.0], "each speed needs")],
)
def test_unusable_series_with_sets_are_refused(speed, toward, said):
    with pytest.raises(ValueError, match=said):
        vector_from_series(0.0, at_s=[0.0, 1.0], speed_mps=speed, toward_deg=toward)


def test_sets_need_not_be_opposite():
    # 264 and 112 degrees: the two sets of a station in an agency list.
    speed = np.array([1.0, -1.0, 0.0])
    toward = stream_set_deg(speed, flood_toward_deg=264.0, ebb_toward_deg=112.0)
    assert toward.tolist() == [264.0, 112.0, 264.0]
    east, north = vector_from_speed_and_set(speed, set_deg=toward)
    np.testing.assert_allclose(east, [np.sin(np.deg2rad(264)), np.sin(np.deg2rad(112)), 0.0])
    np.testing.assert_allclose(north, [np.cos(np.deg2rad(264)), np.cos(np.deg2rad(112)), 0.0])


def slack(threshold, before, after, before_s=3 * HOUR_S, after_s=3 * HOUR_S):
    return slack_duration_s(
        threshold,
        before_max_mps=before,
        before_leg_s=before_s,
        after_max_mps=after,
        after_leg_s=after_s,
    )


def test_slack_lasts_as_long_as_the_curve_stays_under_the_threshold():
    time_s = np.linspace(0.0, 7.0 * HOUR_S, 700_001)
    curve = speed_from_events(
        time_s, event_time_s=[0.0, 4 * HOUR_S, 7 * HOUR_S], event_speed_mps=[1.2, 0.0, -0.7]
    )
    counted_s = np.mean(np.abs(curve) <= 0.25) * 7.0 * HOUR_S
    law_s = slack(0.25, 1.2, -0.7, before_s=4 * HOUR_S)
    assert float(law_s) == pytest.approx(counted_s, abs=1.0)


def test_unequal_maxima_take_the_mean_of_the_two_printed_values():
    mean = 0.5 * (slack(0.2, 1.0, 1.0) + slack(0.2, 2.0, 2.0))
    assert float(slack(0.2, 1.0, -2.0)) == pytest.approx(float(mean))


def test_slack_ends():
    assert float(slack(0.0, 1.0, 1.0)) == 0.0
    assert float(slack(5.0, 1.0, 1.0)) == 6 * HOUR_S
    many = slack(np.array([0.1, 0.2]), np.array([[1.0], [2.0], [3.0]]), 1.0)
    assert many.shape == (3, 2)
    assert float(many[1, 0]) == float(slack(0.1, 2.0, 1.0))


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((-0.1, 1.0, 1.0), "threshold_mps is -0.1 m/s"),
        ((0.1, 0.0, 1.0), "before_max_mps is 0"),
        ((0.1, 1.0, 1.0, 3600.0, 0.0), "after_leg_s is 0 s"),
    ],
)
def test_slack_that_makes_no_sense_is_refused(arguments, said):
    with pytest.raises(ValueError, match=said):
        slack(*arguments)


# The four differences and two ratios of one subordinate station, as an agency lists them.
LISTED = StationDifferences(
    flood_s=85 * 60.0,
    slack_before_ebb_s=53 * 60.0,
    ebb_s=-26 * 60.0,
    slack_before_flood_s=-31 * 60.0,
    flood_ratio=0.6,
    ebb_ratio=0.5,
)


def test_each_event_takes_its_own_difference():
    event_s = np.array([0.0, 4.0, 8.0, 12.0, 16.0]) * HOUR_S
    time_s, speed = subordinate_events(
        event_s, event_speed_mps=[0.0, 1.5, 0.0, -2.0, 0.0], differences=LISTED
    )
    np.testing.assert_allclose((time_s - event_s) / 60.0, [-31, 85, 53, -26, -31])
    np.testing.assert_allclose(speed, [0.0, 0.9, 0.0, -1.0, 0.0])


def test_weak_minimum_moves_and_scales_with_its_run():
    # As the agency's own lists for such a place do: tests/reference/test_agency_streams.py.
    event_s = np.array([0.0, 5.0, 10.0]) * HOUR_S
    time_s, speed = subordinate_events(
        event_s, event_speed_mps=[-1.2, -0.3, -2.6], differences=LISTED
    )
    np.testing.assert_allclose((time_s - event_s) / 60.0, [-26, -26, -26])
    np.testing.assert_allclose(speed, [-0.6, -0.15, -1.3])


def test_no_differences_change_nothing():
    none = StationDifferences(
        flood_s=0.0,
        slack_before_ebb_s=0.0,
        ebb_s=0.0,
        slack_before_flood_s=0.0,
        flood_ratio=1.0,
        ebb_ratio=1.0,
    )
    event_s, events = [0.0, 4.0, 8.0], [0.0, 1.5, -0.2]
    time_s, speed = subordinate_events(event_s, event_speed_mps=events, differences=none)
    assert time_s.tolist() == event_s
    assert speed.tolist() == events


@pytest.mark.parametrize(
    ("event_s", "events", "said"),
    [
        ([0.0, 600.0], [1.0, 0.0], "at 3780 s before the one at 5100 s"),
        ([0.0, 9000.0], [0.0, 0.0], "slacks only"),
        ([0.0], [1.0], "at least 2"),
    ],
)
def test_differences_that_do_not_fit_are_refused(event_s, events, said):
    with pytest.raises(ValueError, match=said):
        subordinate_events(event_s, event_speed_mps=events, differences=LISTED)


def test_negative_ratio_is_refused():
    wrong = StationDifferences(
        flood_s=0.0,
        slack_before_ebb_s=0.0,
        ebb_s=0.0,
        slack_before_flood_s=0.0,
        flood_ratio=-0.6,
        ebb_ratio=1.0,
    )
    with pytest.raises(ValueError, match=r"flood_ratio is -0\.6"):
        subordinate_events([0.0, 1.0], event_speed_mps=[0.0, 1.0], differences=wrong)
