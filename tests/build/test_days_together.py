"""
Days that are built together: each must come out as it does alone.

The laws are asked about all days at once, with boats that may differ point by point. Nothing
outside the package says what that should give but the days themselves, each built alone.
"""

from dataclasses import fields

import numpy as np
import pytest
from numpy.testing import assert_allclose

from energysim.build import DayAsked, build_day, build_days
from energysim.errors import ScenarioError
from energysim.scenario.overlay import overlay

EVERY_VERB = {
    "stream": {
        "flood_toward": "30 deg",
        "ebb_toward": "220 deg",
        "event": [
            {"at": "04:30", "kind": "slack"},
            {"at": "07:20", "kind": "flood", "speed": "2.6 kn"},
            {"at": "09:10", "kind": "slack"},
            {"at": "11:00", "kind": "ebb", "speed": "2.9 kn"},
            {"at": "13:50", "kind": "slack"},
        ],
    },
    "leg": [
        {"do": "hold", "start": "06:00", "for": "95 min"},
        {"do": "run", "for": "20 min"},
        {"do": "hold", "heading": "stream", "for": "35 min"},
        {"do": "drift", "drift_speed": "0.4 kn", "for": "45 min"},
        {"do": "creep", "course": "80 deg", "speed": "1 kn", "for": "40 min"},
        {"do": "creep", "course": "80 deg", "speed": "1 kn", "over": "water", "for": "30 min"},
        {"do": "drift", "drift_speed": "1 kn", "for": "30 min", "wind_shelter": 0.3},
        {"do": "hold", "for": "70 min", "style": "burst", "duty": 0.4},
    ],
}
CHOPPY = {"chop": {"fetch": "3 km"}}
SHALLOW = {"chop": {"fetch": "3 km", "depth": "3 ft"}}

TOGETHER = {
    "heavier-and-lighter": [{}, {"boat.people": 4}, {"bank.parallel": 3}],
    "chop-for-some": [{}, CHOPPY, SHALLOW, SHALLOW | {"boat.people": 4}],
    "other-hulls": [CHOPPY, CHOPPY | {"boat.hull": "jon-boat"}, CHOPPY | {"boat.people": 1}],
    "the-leg-of-the-outboard": [{"boat.outboard": "down"}, {"boat.outboard": "tilted"}],
    "wind-against-the-ebb": [
        {"wind.from": "215 deg"}, {"wind.from": "215 deg", "boat.people": 4},
    ],
    "another-motor-between": [{}, {"motor.thrust": "55 lbf", "motor.max_current": "40 A"}, {}],
    "no-motor-in-one": [{}, {"leg": [{"do": "run", "start": "06:00", "for": "1 h"}]}],
}  # fmt: skip


@pytest.fixture(scope="module")
def loaded(plain_day, load_raw):
    """A loaded scenario of every verb with keys laid over it."""
    return lambda change: load_raw(overlay(overlay(plain_day(), EVERY_VERB), change))


def assert_same(one, other):
    """Hold every number of a record to another's, but for rounding."""
    for field in fields(one):
        got, expected = getattr(one, field.name), getattr(other, field.name)
        assert_allclose(got, expected, rtol=1e-9, atol=1e-9, err_msg=field.name)


@pytest.mark.parametrize("changes", TOGETHER.values(), ids=TOGETHER.keys())
def test_days_built_together_are_those_built_alone(loaded, changes):
    asked = [DayAsked(loaded(change), shift_s=600.0 * n) for n, change in enumerate(changes)]
    for one, day in zip(asked, build_days(asked), strict=True):
        alone = build_day(one.loaded, shift_s=one.shift_s)
        assert_same(day.load, alone.load)
        assert_same(day.wanted, alone.wanted)
        assert_same(day.demand, alone.demand)
        assert_allclose(day.gust_power_w, alone.gust_power_w, rtol=1e-9, atol=1e-9)
        assert day.assumptions == alone.assumptions
        assert day.warnings == alone.warnings


def test_days_built_together_differ_where_their_boats_do(loaded):
    # Or the test above would hold for a build that gave every day the first one's boat.
    light, heavy = build_days([DayAsked(loaded(c)) for c in ({}, {"boat.people": 4})])
    assert not np.allclose(light.load.thrust_n, heavy.load.thrust_n, rtol=1e-3)


def test_a_day_shortened_and_one_shifted_keep_their_own_steps(loaded):
    day = loaded(CHOPPY)
    asked = [DayAsked(day), DayAsked(day, 3600.0), DayAsked(day, 0.0, (0, 1800.0))]
    for one, built in zip(asked, build_days(asked), strict=True):
        alone = build_day(day, shift_s=one.shift_s, shorten=one.shorten)
        assert built.start == alone.start
        assert_allclose(built.edges_s, alone.edges_s)
        assert_same(built.wanted, alone.wanted)


def test_a_day_that_cannot_be_built_spoils_no_other(loaded):
    asked = [DayAsked(loaded({})), DayAsked(loaded({}), 86400.0), DayAsked(loaded({}), 600.0)]
    first, refused, last = build_days(asked)
    assert isinstance(refused, ScenarioError)
    with pytest.raises(ScenarioError, match="the stream is given from"):
        build_day(loaded({}), shift_s=86400.0)
    assert "the stream is given from" in str(refused)
    assert_same(first.wanted, build_day(loaded({})).wanted)
    assert_same(last.wanted, build_day(loaded({}), shift_s=600.0).wanted)


def test_no_days_are_no_trouble():
    assert build_days([]) == []
