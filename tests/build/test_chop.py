"""
The chop a day lies in: from its wind past the moving water, its open water and its depth.

The growth laws themselves are held to published values in tests/physics and tests/reference;
here, that the day hands them the right wind, fetch and depth. Their form (height with the root
of the fetch, no sea beyond the fully grown one) is in Leenknecht, Szuwalski and Sherlock 1992,
chapter 1-1, as read; vectors and the logarithmic wind profile are textbook.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from energysim.build import build_day
from energysim.errors import ScenarioError
from energysim.physics.chop import (
    adjusted_wind_mps,
    peak_period_s,
    significant_height_m,
    wavelength_m,
)
from energysim.physics.wind import wind_at_height
from energysim.scenario.overlay import overlay

KNOT = 1852.0 / 3600.0
BY_BEARING = [
    {"from": "350 deg", "length": "4 km"},
    {"from": "030 deg", "length": "2 km"},
    {"from": "180 deg", "length": "500 m"},
]


@pytest.fixture(scope="module")
def built(plain_day, load_raw):
    def build(changes=None, *, chop=None):
        raw = plain_day() if chop is None else {**plain_day(), "chop": chop}
        return build_day(load_raw(overlay(raw, changes or {})))

    return build


def chop_of(plan):
    around = plan.surroundings
    return around.wave_height_m, around.wave_length_m, around.wave_from_deg


def test_without_the_table_the_water_is_flat_and_the_day_says_so(built):
    plan = built()
    assert not plan.surroundings.wave_height_m.any()
    assert not plan.load.chop_force_n.any()
    assert any("no chop" in note for note in plan.assumptions)
    assert not any("no chop" in note for note in built(chop={"fetch": "1 km"}).assumptions)


def test_the_chop_is_that_of_the_wind_at_ten_metres_over_the_fetch(built):
    # 12 kn forecast at 10 m over still water: the law as it stands, by its own hand.
    height, length, comes_from = chop_of(built(chop={"fetch": "2 nmi"}))
    wind = 12.0 * KNOT
    adjusted = wind * np.sqrt(0.75 + 0.067 * wind)
    by_hand = 0.0016 * adjusted * np.sqrt(3704.0 / 9.80665)
    assert_allclose(height, by_hand, rtol=1e-4)
    period = 0.2857 * (9.80665 * 3704.0 / adjusted**2) ** (1.0 / 3.0) * adjusted / 9.80665
    assert_allclose(length, 9.80665 * period**2 / (2.0 * np.pi), rtol=1e-3)
    assert_allclose(comes_from, 225.0)


def test_it_grows_with_the_root_of_the_fetch(built):
    heights = [
        chop_of(built(chop={"fetch": fetch}))[0][0] for fetch in ("500 m", "1 km", "2 km")
    ]
    assert_allclose(np.divide(heights[1:], heights[:-1]), np.sqrt(2.0), rtol=1e-9)


def test_a_light_wind_over_a_long_fetch_raises_no_more_than_the_fully_grown_sea(built):
    # The source: 0.2433 U^2 / g and 8.134 U / g; without them 300 km would give twice that.
    wind = 8.0 * KNOT
    height, length, _ = chop_of(
        built({"wind.speed": "8 kn", "wind.gust": "10 kn"}, chop={"fetch": "300 km"})
    )
    assert_allclose(height, 0.2433 * wind**2 / 9.80665, rtol=1e-6)
    period = 8.134 * wind / 9.80665
    assert_allclose(length, 9.80665 * period**2 / (2.0 * np.pi), rtol=1e-4)


def test_shallow_water_keeps_it_low_and_short(built):
    strong = {"wind.speed": "25 kn", "wind.gust": "32 kn"}
    deep_height, deep_length, _ = chop_of(built(strong, chop={"fetch": "10 km"}))
    heights, lengths = [], []
    for depth in ("1 m", "2 m", "5 m"):
        height, length, _ = chop_of(built(strong, chop={"fetch": "10 km", "depth": depth}))
        heights.append(height[0])
        lengths.append(length[0])
    assert heights == sorted(heights)
    assert lengths == sorted(lengths)
    assert heights[-1] < deep_height[0]
    assert lengths[-1] < deep_length[0]
    # Never above what so little water can carry: 0.283 tanh(0.530 d'^(3/4)) of U^2 / g.
    adjusted = float(adjusted_wind_mps(25.0 * KNOT))
    head = adjusted**2 / 9.80665
    most = 0.283 * head * np.tanh(0.530 * (1.0 / head) ** 0.75)
    assert heights[0] < most


@pytest.mark.parametrize(
    ("toward", "relative_kn"),
    [("225 deg", 14.0), ("45 deg", 10.0), ("135 deg", 12.165525)],
    ids=["against", "with", "across"],
)
def test_the_wind_that_raises_it_blows_past_the_moving_water(built, toward, relative_kn):
    # 12 kn from SW, 2 kn of stream: sums and differences along, Pythagoras across.
    plan = built(
        {"stream": {"speed": "2 kn", "toward": toward}}, chop={"fetch": "2 km", "depth": "4 m"}
    )
    adjusted = adjusted_wind_mps(relative_kn * KNOT)
    expected = significant_height_m(adjusted, fetch_m=2000.0, depth_m=4.0)
    period = peak_period_s(adjusted, fetch_m=2000.0, depth_m=4.0)
    assert_allclose(plan.surroundings.wave_height_m, expected, rtol=1e-5)
    assert_allclose(
        plan.surroundings.wave_length_m, wavelength_m(period, depth_m=4.0), rtol=1e-5
    )


def test_a_stream_across_brings_the_chop_round(built):
    # The stream runs south-east, so past the water the wind backs: atan(2 / 12) = 9.46 deg.
    plan = built({"stream": {"speed": "2 kn", "toward": "135 deg"}}, chop={"fetch": "2 km"})
    turned = np.degrees(np.arctan2(2.0, 12.0))
    assert_allclose(plan.surroundings.wave_from_deg, 225.0 - turned, atol=1e-6)


def test_a_stream_alone_raises_chop_from_where_the_water_runs_to(built):
    plan = built(
        {
            "wind.speed": "0 kn",
            "wind.gust": "0 kn",
            "stream": {"speed": "3 kn", "toward": "90 deg"},
        },
        chop={"fetch": "2 km"},
    )
    assert_allclose(plan.surroundings.wave_from_deg, 90.0, atol=1e-9)
    assert (plan.surroundings.wave_height_m > 0.0).all()


def test_a_calm_raises_nothing(built):
    plan = built({"wind.speed": "0 kn", "wind.gust": "0 kn"}, chop={"fetch": "50 km"})
    assert not plan.surroundings.wave_height_m.any()
    assert not plan.load.thrust_n.any()


def test_a_lee_shelters_the_water_as_it_does_the_boat(built):
    open_water = chop_of(built(chop={"fetch": "2 km"}))[0][0]
    half = chop_of(built({"leg[1].wind_shelter": 0.5}, chop={"fetch": "2 km"}))[0][0]
    ratio = adjusted_wind_mps(6.0 * KNOT) / adjusted_wind_mps(12.0 * KNOT)
    assert half / open_water == pytest.approx(float(ratio), rel=1e-4)


@pytest.mark.parametrize(
    ("wind_from", "fetch_m"),
    [
        ("350 deg", 4000.0),
        ("030 deg", 2000.0),
        ("010 deg", 3000.0),
        ("000 deg", 3500.0),
        ("360 deg", 3500.0),
        ("105 deg", 1250.0),
        ("265 deg", 2250.0),
    ],
)
def test_the_fetch_is_read_between_the_bearings_across_north(built, wind_from, fetch_m):
    by_bearing = built({"wind.from": wind_from}, chop={"reach": BY_BEARING})
    by_length = built({"wind.from": wind_from}, chop={"fetch": f"{fetch_m} m"})
    for ours, theirs in zip(chop_of(by_bearing), chop_of(by_length), strict=True):
        assert_allclose(ours, theirs, rtol=1e-9)


def test_one_reach_serves_every_bearing(built):
    one = built(chop={"reach": [{"from": "10 deg", "length": "3 km"}]})
    assert_allclose(chop_of(one)[0], chop_of(built(chop={"fetch": "3 km"}))[0])


def test_the_chop_pushes_the_boat(built):
    strong = {"wind.speed": "20 kn", "wind.gust": "26 kn"}
    flat, rough = built(strong), built(strong, chop={"fetch": "5 km"})
    assert (rough.load.chop_force_n > 0.0).all()
    assert (rough.load.thrust_n > flat.load.thrust_n).all()
    assert rough.demand.power_w.sum() > flat.demand.power_w.sum()


def test_water_shallower_than_the_boat_is_refused_with_both_depths(built):
    sunk = {"boat.mass": "3000 lb", "boat.people": 6}
    with pytest.raises(ScenarioError, match="less than the boat's draft") as caught:
        built(sunk, chop={"fetch": "1 km", "depth": "0.35 m"})
    (problem,) = caught.value.problems
    assert problem.path == "chop.depth"
    assert problem.value == "0.35 m"
    assert "0.40 m" in problem.reason
    assert built(sunk, chop={"fetch": "1 km", "depth": "0.41 m"}).load.thrust_n.all()


def test_open_water_given_twice_one_way_is_refused(built):
    twice = [{"from": "0 deg", "length": "1 km"}, {"from": "360 deg", "length": "2 km"}]
    with pytest.raises(ScenarioError, match=r"chop\.reach\[2\]\.from"):
        built(chop={"reach": twice})


def test_the_depth_counts_for_the_hull_as_well(built):
    # Drag across the keel grows in shallow water, so the day costs more at the same wind.
    stream = {"stream": {"speed": "1.5 kn", "toward": "120 deg"}, "leg[1].heading": "45 deg"}
    deep = built(stream, chop={"fetch": "20 m"})
    shallow = built(stream, chop={"fetch": "20 m", "depth": "0.35 m"})
    assert (shallow.load.thrust_n > 1.1 * deep.load.thrust_n).all()


def test_the_wind_is_brought_back_to_ten_metres_from_where_it_was_measured(built):
    measured = float(wind_at_height(12.0 * KNOT, reference_height_m=3.0, height_m=10.0))
    height, _, _ = chop_of(built({"wind.height": "3 m"}, chop={"fetch": "2 km"}))
    expected = significant_height_m(adjusted_wind_mps(measured), fetch_m=2000.0, depth_m=np.inf)
    assert_allclose(height, expected, rtol=1e-9)
