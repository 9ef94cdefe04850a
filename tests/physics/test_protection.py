"""Breakers, where they sit, and plugs."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energysim.physics.protection import (
    CAUTION,
    INCH_M,
    LOOK_AGAIN,
    PASS,
    overcurrent_ceiling_a,
    overcurrent_verdict,
    place_verdict,
    plug_needs_a,
)


@pytest.mark.parametrize(
    ("rating", "verdict"),
    [
        (51.9, CAUTION),
        (52.0, PASS),
        (60.0, PASS),
        (84.0, PASS),
        (84.1, LOOK_AGAIN),
        (126.0, LOOK_AGAIN),
        (126.1, CAUTION),
    ],
    ids=str,
)
def test_a_rating_passes_from_the_load_to_the_ampacity(rating, verdict):
    # 6 AWG, 105 degC, a pair in a sheath: 84 A; half as much again is 126 A.
    assert overcurrent_verdict(rating, load_a=52.0, ampacity_a=84.0) == verdict


@given(load=st.floats(1.0, 200.0), wire=st.floats(1.0, 400.0), rating=st.floats(1.0, 700.0))
def test_nothing_above_the_rules_ceiling_or_below_the_load_is_let_by(load, wire, rating):
    verdict = overcurrent_verdict(rating, load_a=load, ampacity_a=wire)
    if rating > 1.001 * overcurrent_ceiling_a(wire) or rating < 0.999 * load:
        assert verdict == CAUTION
    if verdict == PASS:
        assert load <= rating * 1.001 <= wire * 1.002


@pytest.mark.parametrize(
    ("inches", "sheathed", "verdict"),
    [
        (0, False, PASS),
        (7, False, PASS),
        (7.1, False, CAUTION),
        (7.1, True, PASS),
        (40, True, PASS),
        (40.1, True, LOOK_AGAIN),
        (72, True, LOOK_AGAIN),
        (72.1, True, CAUTION),
        (40, False, CAUTION),
    ],
)
def test_a_device_sits_within_seven_inches_or_forty_in_a_sheath(inches, sheathed, verdict):
    assert place_verdict(inches * INCH_M, sheathed=sheathed) == verdict
    assert place_verdict(round(inches * 25.4, 3) / 1000.0, sheathed=sheathed) == verdict


def test_a_plug_is_never_the_weak_link():
    assert plug_needs_a(52.0, breaker_a=60.0) == 60.0
    assert plug_needs_a(52.0, breaker_a=0.0) == 52.0


def test_arrays_agree_with_scalars():
    ratings = np.array([40.0, 60.0, 100.0, 150.0])
    together = overcurrent_verdict(ratings, load_a=52.0, ampacity_a=84.0)
    alone = [int(overcurrent_verdict(r, load_a=52.0, ampacity_a=84.0)) for r in ratings]
    assert together.tolist() == alone
    places = place_verdict([0.1, 0.5, 0.5], sheathed=[False, False, True])
    assert places.tolist() == [PASS, CAUTION, PASS]


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: overcurrent_verdict(0.0, load_a=1.0, ampacity_a=1.0), "rating_a = 0"),
        (lambda: overcurrent_verdict(1.0, load_a=-1.0, ampacity_a=1.0), "load_a = -1"),
        (lambda: overcurrent_ceiling_a(-1.0), "ampacity_a = -1"),
        (lambda: place_verdict(-0.1, sheathed=True), "distance_m = -0.1"),
        (lambda: plug_needs_a(-1.0, breaker_a=1.0), "load_a = -1"),
    ],
    ids=["rating", "load", "ampacity", "distance", "plug"],
)
def test_numbers_a_rule_cannot_take_are_refused_by_name(call, match):
    with pytest.raises(ValueError, match=match):
        call()
