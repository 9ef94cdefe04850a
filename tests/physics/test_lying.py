"""How a boat held by its bow lies: roots of the moment, which is taken, and following it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from energysim.physics import following
from energysim.physics.boat import Chop, forces_at_heading_n
from energysim.physics.leeway import free_drift
from energysim.physics.lying import SWING_DEG, lying, lying_heading_deg
from energysim.physics.steady import steady_angle_near
from energysim.physics.wave_drift import DriftForces
from energysim.physics.yaw import moment_at, turning

HEAD_SEA = DriftForces(
    head_surge_n=np.array(20.0),
    quarter_surge_n=np.array(25.0),
    quarter_sway_n=np.array(60.0),
    beam_sway_n=np.array(110.0),
)


def turn(first_deg, second_deg):
    """Return the angle between two bearings, 0 to 180."""
    return np.abs(np.mod(np.asarray(first_deg) - second_deg + 180.0, 360.0) - 180.0)


def moment(heading_deg, boat, **weather):
    return forces_at_heading_n(heading_deg, boat=boat, **weather).turning_moment_nm


def weather_cases(count, seed):
    """Return winds and streams of every strength and angle, some nearly opposed."""
    rng = np.random.default_rng(seed)
    angle = rng.uniform(-180.0, 180.0, count)
    angle[: count // 4] = 180.0 - rng.uniform(0.0, 25.0, count // 4)
    return {
        "wind_mps": rng.uniform(0.0, 20.0, count) * rng.choice([1.0, 0.1], count),
        "wind_from_deg": angle,
        "stream_mps": rng.uniform(0.0, 2.0, count) * rng.choice([1.0, 0.2], count),
        "stream_toward_deg": 180.0,
    }


def steady_headings_by_scan(boat, case):
    """Every heading at which the moment falls through zero: small steps, then a root finder."""
    scan = np.linspace(0.0, 360.0, 2881) + 0.0371
    turns = moment(scan, boat, **case)
    falls = np.flatnonzero((turns[:-1] > 0.0) & (turns[1:] <= 0.0))
    return [
        brentq(lambda x: float(moment(x, boat, **case)), scan[k], scan[k + 1], xtol=1e-6)
        for k in falls
    ]


# ---- the moment


def test_the_moment_about_the_bow_by_hand(skiff):
    # Wind abeam from starboard, 10 m/s, no stream: Y = -61.25 Pa x 4.1452 m2 x 0.95 =
    # -241.20 N at -0.2317 m; the bow motor is at 0.48 x 5.334 = 2.56032 m, so the bow swings
    # to starboard with 241.20 x 2.79207 N m.
    still = {"stream_mps": 0.0, "stream_toward_deg": 0.0}
    turns = moment(0.0, skiff, wind_mps=10.0, wind_from_deg=90.0, **still)
    assert turns == pytest.approx(241.20 * 2.79207, rel=1e-4)


def test_the_search_and_the_forces_speak_of_the_same_moment(skiff, console_boat):
    """Two routes through the code: forces in full, and the reduced form of the search."""
    weather = weather_cases(500, seed=5)
    heading = np.random.default_rng(6).uniform(0.0, 360.0, 500)
    chop = Chop(from_deg=40.0, forces=HEAD_SEA)
    for boat in (skiff, console_boat):
        around = {"boat": boat, "chop": chop, "depth_m": 1.0}
        full = forces_at_heading_n(heading, **weather, **around).turning_moment_nm
        # The search counts from where the stream comes from, here 0.
        reduced = moment_at(np.deg2rad(heading), turning(**weather, **around))
        assert reduced == pytest.approx(full, rel=1e-9, abs=1e-6)


# ---- the heading


def test_no_stream_puts_the_bow_to_the_wind_and_no_wind_to_the_stream(skiff):
    heading = lying_heading_deg(
        [9.0, 0.0],
        wind_from_deg=250.0,
        stream_mps=[0.0, 0.8],
        stream_toward_deg=33.0,
        boat=skiff,
    )
    assert heading == pytest.approx([250.0, 213.0], abs=1e-6)


def test_where_nothing_turns_the_boat_it_points_into_the_wind(skiff):
    lies = lying(
        0.0, wind_from_deg=77.0, stream_mps=0.0, stream_toward_deg=5.0, boat=skiff, near_deg=3.0
    )
    assert (float(lies.heading_deg), int(lies.steady_headings)) == (77.0, 0)


def test_chop_alone_puts_the_bow_to_the_chop(skiff):
    heading = lying_heading_deg(
        0.0,
        wind_from_deg=200.0,
        stream_mps=0.0,
        stream_toward_deg=0.0,
        boat=skiff,
        chop=Chop(from_deg=310.0, forces=HEAD_SEA),
    )
    assert heading == pytest.approx(310.0, abs=1e-6)


def test_chop_turns_the_bow_toward_itself(skiff):
    weather = {"wind_from_deg": 90.0, "stream_mps": 0.7, "stream_toward_deg": 180.0}
    chop = Chop(from_deg=90.0, forces=HEAD_SEA)
    smooth = lying_heading_deg(5.0, **weather, boat=skiff)
    rough = lying_heading_deg(5.0, **weather, boat=skiff, chop=chop)
    assert 0.0 < float(smooth) < float(rough) < 90.0


@pytest.mark.parametrize("name", ["skiff", "console_boat"])
def test_every_steady_heading_is_found_and_the_one_against_the_drift_taken(request, name):
    """Against a scan by eighths of a degree and an independent root finder."""
    boat = request.getfixturevalue(name)
    weather = weather_cases(120, seed=2)
    lies = lying(**weather, boat=boat)
    against = free_drift(**weather, boat=boat).course_deg + 180.0
    close = 0
    for index in range(lies.heading_deg.size):
        case = {
            key: float(np.broadcast_to(value, lies.heading_deg.shape)[index])
            for key, value in weather.items()
        }
        roots = steady_headings_by_scan(boat, case)
        # The search counts two that are within its 5 degrees as one; few cases are so.
        close += len(roots) != lies.steady_headings[index]
        nearest = min(roots, key=lambda root, at=against[index]: turn(root, at))
        assert turn(lies.heading_deg[index], nearest) < 0.01, case
    assert close <= 2
    assert (lies.steady_headings >= 1).all()


def test_a_lying_boat_turns_back_when_nudged(skiff):
    weather = weather_cases(3000, seed=1)
    lies = lying(**weather, boat=skiff)
    for nudge, sign in ((0.05, -1.0), (-0.05, 1.0)):
        back = moment(lies.heading_deg + nudge, skiff, **weather) * sign
        assert (back > 0.0).all()


def test_with_one_steady_heading_it_lies_between_wind_and_stream(skiff):
    weather = weather_cases(2000, seed=3)
    lies = lying(**weather, boat=skiff)
    one = lies.steady_headings == 1
    between = turn(lies.heading_deg, 0.0) + turn(lies.heading_deg, weather["wind_from_deg"])
    assert between[one] == pytest.approx(turn(weather["wind_from_deg"], 0.0)[one], abs=1e-6)
    # A second heading takes wind and stream opposed; the sharpest seen is well within 40 deg.
    assert turn(weather["wind_from_deg"][~one], 180.0).max() < 40.0


@given(
    st.floats(-180.0, 180.0),
    st.floats(0.5, 20.0),
    st.floats(0.05, 2.0),
    st.floats(-360.0, 720.0),
)
@settings(max_examples=80)
def test_turning_the_compass_turns_the_headings_and_mirroring_mirrors_them(
    hull_rows, angle_deg, wind_mps, stream_mps, turned_deg
):
    lies = lying(
        wind_mps,
        wind_from_deg=np.array([angle_deg, -angle_deg, angle_deg + turned_deg]),
        stream_mps=stream_mps,
        stream_toward_deg=np.array([180.0, 180.0, 180.0 + turned_deg]),
        boat=hull_rows.boat(),
        near_deg=np.array([10.0, -10.0, 10.0 + turned_deg]),
    )
    # Opposed, there may be two headings close together and a rounding decides which is seen;
    # the scan above looks at those.
    assume(abs(angle_deg) < 140.0)
    first = lies.heading_deg[0]
    assert turn(lies.heading_deg[1], -first) < 0.01
    assert turn(lies.heading_deg[2], first + turned_deg) < 0.01


@given(st.floats(0.0, 360.0), st.floats(0.5, 20.0), st.floats(0.05, 2.0), st.floats(0.2, 4.0))
@settings(max_examples=80)
def test_only_the_ratio_of_wind_to_stream_matters(
    hull_rows, angle_deg, wind_mps, stream_mps, faster
):
    """Both moments grow with the square of the speed, so the heading stays."""
    slow, fast = lying_heading_deg(
        wind_mps * np.array([1.0, faster]),
        wind_from_deg=angle_deg,
        stream_mps=stream_mps * np.array([1.0, faster]),
        stream_toward_deg=180.0,
        boat=hull_rows.boat(),
        near_deg=5.0,
    )
    assert turn(slow, fast) < 0.01


def test_exactly_opposed_there_is_a_mirror_pair_and_either_can_be_had(skiff):
    weather = {"wind_from_deg": 0.0, "stream_mps": 0.5, "stream_toward_deg": 0.0}
    right, left = (lying(6.0, **weather, boat=skiff, near_deg=near) for near in (250.0, 110.0))
    assert int(right.steady_headings) == int(left.steady_headings) == 2
    assert turn(right.heading_deg, 180.0) > 20.0
    assert right.heading_deg == pytest.approx(360.0 - left.heading_deg, abs=1e-6)


def test_shallow_water_keeps_the_bow_nearer_to_the_stream(skiff):
    weather = {"wind_from_deg": 90.0, "stream_mps": 0.8, "stream_toward_deg": 180.0}
    deep, shallow = (
        lying_heading_deg(6.0, **weather, boat=skiff, depth_m=depth) for depth in (None, 0.4)
    )
    assert 1.0 < float(shallow) < float(deep) - 1.0


def test_windage_far_aft_lets_the_stern_swing_downwind(skiff):
    weather = {"wind_from_deg": 90.0, "stream_mps": 0.8, "stream_toward_deg": 180.0}
    headings = [
        float(lying_heading_deg(6.0, **weather, boat=boat))
        for boat in (
            skiff,
            replace(skiff, windage=replace(skiff.windage, centroid_m=-1.0)),
        )
    ]
    assert headings[1] > headings[0] + 2.0


# ---- following a series


def opposed(wind_mps):
    return {
        "wind_mps": np.asarray(wind_mps),
        "wind_from_deg": 6.0,
        "stream_mps": 0.9,
        "stream_toward_deg": 0.0,
    }


def test_a_series_follows_its_heading_until_it_vanishes(skiff):
    """Wind 6 deg off opposition: one heading turns all the way to the wind, one ends dead."""
    wind = np.linspace(0.0, 18.0, 1801)
    going_on = np.zeros(wind.size, dtype=bool)
    whole = lying(**opposed(wind), boat=skiff, fresh=going_on)
    assert turn(whole.heading_deg[0], 180.0) < 0.1
    assert turn(whole.heading_deg[-1], 6.0) < 20.0
    assert not whole.swung.any()
    # Put on the other heading where there are two, it stays there while it can, then swings.
    both = np.flatnonzero(whole.steady_headings == 2)
    late = wind[both[len(both) // 2] :]
    other = lying(**opposed(late), boat=skiff, fresh=going_on[: late.size], near_deg=250.0)
    swings = np.flatnonzero(other.swung)
    assert swings.size == 1
    assert (other.steady_headings[: swings[0]] == 2).all()
    assert (other.steady_headings[swings[0] :] == 1).all()
    follows = whole.heading_deg[-late.size :]
    assert turn(other.heading_deg[: swings[0]], follows[: swings[0]]).min() > SWING_DEG
    assert turn(other.heading_deg[swings[0] :], follows[swings[0] :]).max() < 1e-6


def test_exactly_opposed_the_boat_swings_to_the_wind_once(skiff):
    wind = np.linspace(0.0, 18.0, 3601)
    weather = opposed(wind) | {"wind_from_deg": 0.0}
    lies = lying(**weather, boat=skiff, fresh=np.zeros(wind.size, dtype=bool))
    swings = np.flatnonzero(lies.swung)
    assert swings.size == 1
    assert turn(lies.heading_deg[swings[0] :], 0.0).max() < 1e-6


def test_memory_decides_between_two_headings(skiff):
    """The same weather reached from either side: the boat lies where it lay."""
    weather = {"wind_mps": 6.0, "stream_mps": 0.5, "stream_toward_deg": 0.0}
    for side in (-1.0, 1.0):
        angle = side * np.concatenate([np.linspace(60.0, 0.0, 61), [0.0]])
        lies = lying(
            **weather, wind_from_deg=angle, boat=skiff, fresh=np.zeros(angle.size, dtype=bool)
        )
        assert int(lies.steady_headings[-1]) == 2
        assert np.sign(np.sin(np.deg2rad(lies.heading_deg[-1]))) == side
        assert not lies.swung.any()


def test_a_fresh_step_forgets(skiff):
    angle = np.concatenate([np.linspace(60.0, 0.0, 61), [0.0, 0.0]])
    fresh = np.zeros(angle.size, dtype=bool)
    fresh[-1] = True
    weather = {"wind_mps": 6.0, "stream_mps": 0.5, "stream_toward_deg": 0.0}
    lies = lying(**weather, wind_from_deg=angle, boat=skiff, fresh=fresh)
    alone = lying(**weather, wind_from_deg=0.0, boat=skiff)
    assert lies.heading_deg[-1] == pytest.approx(alone.heading_deg, abs=1e-6)
    assert turn(lies.heading_deg[-1], lies.heading_deg[-2]) > 20.0
    assert not lies.swung[-1]


def test_members_of_a_series_follow_each_their_own(hull_rows):
    factors = np.array([0.7, 1.0, 1.4])
    wind = np.linspace(0.0, 15.0, 151)
    fresh = np.zeros(wind.size, dtype=bool)
    boats = hull_rows.boat(drag_factor=factors)
    together = lying(**opposed(wind[:, None]), boat=boats, fresh=fresh)
    assert together.heading_deg.shape == (151, 3)
    for member, factor in enumerate(factors):
        one = lying(**opposed(wind), boat=hull_rows.boat(drag_factor=factor), fresh=fresh)
        assert turn(together.heading_deg[:, member], one.heading_deg).max() < 1e-6
        assert (together.steady_headings[:, member] == one.steady_headings).all()


def test_one_series_and_a_column_of_many_look_as_closely(hull_rows, monkeypatch):
    """A single series looks closely at its steps together, many members step by step."""
    rng = np.random.default_rng(5)
    steps = 4000
    weather = {
        "wind_mps": 7.0 + np.cumsum(rng.normal(0.0, 0.15, steps)) % 8.0,
        "wind_from_deg": 12.0 * np.sin(np.cumsum(rng.normal(0.0, 0.2, steps))),
        "stream_mps": 0.8 + 0.4 * np.sin(np.arange(steps) / 300.0),
        "stream_toward_deg": 0.0,
    }
    found = []

    def looking(before, turns):
        there, angle = steady_angle_near(before, turns)
        found.append(int(there.sum()))
        return there, angle

    monkeypatch.setattr(following, "steady_angle_near", looking)
    fresh = rng.random(steps) < 0.01
    one = lying(**weather, boat=hull_rows.boat(), fresh=fresh)
    assert sum(found) > 0, "no heading was found by looking closely: the test sees nothing"
    column = {
        name: values[:, None] if np.ndim(values) else values for name, values in weather.items()
    }
    many = lying(**column, boat=hull_rows.boat(drag_factor=np.array([1.0, 1.0])), fresh=fresh)
    for member in range(2):
        assert turn(many.heading_deg[:, member], one.heading_deg).max() < 1e-6
        assert (many.swung[:, member] == one.swung).all()


def test_points_with_a_boat_each_are_those_of_each_boat_alone(hull_rows):
    """Some come from far off their heading and are looked at closely, each with its boat."""
    factors = np.linspace(0.6, 1.6, 40)
    around = opposed(np.linspace(2.0, 14.0, 40))
    around["near_deg"] = np.where(np.arange(40) % 2, 250.0, 180.0)
    together = lying(**around, boat=hull_rows.boat(drag_factor=factors))
    for point, factor in enumerate(factors):
        own = {name: around[name][point] for name in ("wind_mps", "near_deg")}
        alone = lying(**(around | own), boat=hull_rows.boat(drag_factor=factor))
        assert turn(together.heading_deg[point], alone.heading_deg) < 1e-6


def test_flags_that_do_not_match_the_steps_are_refused(skiff):
    with pytest.raises(ValueError, match="one flag for each step"):
        lying(**opposed(np.ones(4)), boat=skiff, fresh=[True, False])
