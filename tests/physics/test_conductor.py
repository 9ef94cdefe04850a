"""Cable by the volts it may lose and by the current it may carry."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energysim.conductors import conductors
from energysim.physics.cable import STRANDED, awg_area_m2, conductor_resistance_ohm
from energysim.physics.conductor import (
    CIRCULAR_MIL_M2,
    FOOT_M,
    ampacity_a,
    area_for_drop_m2,
    bundling_factor,
    conductor_temperature_degc,
    engine_space_factor,
    required_size,
)

TABLE = conductors()
PAIR_105 = {"insulation_degc": 105.0, "conductor_count": 2, "in_engine_space": False}


def names(places):
    return [TABLE.name[place] for place in np.atleast_1d(places)]


def size(amps, *, feet_one_way, volts, share, **laid):
    return required_size(
        amps,
        round_trip_m=2.0 * feet_one_way * FOOT_M,
        allowed_drop_v=share * volts,
        size_ampacity_a=ampacity_a(TABLE, **(PAIR_105 | laid)),
        conductors=TABLE,
    )


def test_the_area_is_that_of_the_formula_worked_by_hand():
    # 10.75 x 52 A x 40 ft / 1.08 V = 20 703.7 circular mils
    area = area_for_drop_m2(52.0, round_trip_m=40.0 * FOOT_M, allowed_drop_v=1.08)
    assert float(area / CIRCULAR_MIL_M2) == pytest.approx(20703.7, abs=0.05)


def test_a_circular_mil_is_a_circle_a_thousandth_of_an_inch_across():
    assert pytest.approx(5.067075e-10, rel=1e-6) == CIRCULAR_MIL_M2


def test_nothing_flows_through_no_metal():
    assert float(area_for_drop_m2(0.0, round_trip_m=10.0, allowed_drop_v=1.0)) == 0.0


@given(
    amps=st.floats(0.1, 200.0),
    length=st.floats(0.1, 30.0),
    drop=st.floats(0.05, 5.0),
    more=st.floats(1.01, 5.0),
)
def test_more_current_or_length_or_a_smaller_drop_never_asks_for_less(amps, length, drop, more):
    base = area_for_drop_m2(amps, round_trip_m=length, allowed_drop_v=drop)
    assert area_for_drop_m2(amps * more, round_trip_m=length, allowed_drop_v=drop) > base
    assert area_for_drop_m2(amps, round_trip_m=length * more, allowed_drop_v=drop) > base
    assert area_for_drop_m2(amps, round_trip_m=length, allowed_drop_v=drop / more) > base


@given(
    amps=st.floats(0.1, 150.0), feet=st.floats(1.0, 40.0), volts=st.sampled_from([12, 24, 36])
)
def test_the_size_by_drop_loses_no_more_than_allowed_at_the_formulas_warmth(amps, feet, volts):
    # The constant is copper at 29 degC; solid wire of the least area then meets the class.
    wanted = size(amps, feet_one_way=feet, volts=volts, share=0.03)
    place = int(wanted.by_drop)
    if place == len(TABLE.name):
        return
    ohm = conductor_resistance_ohm(
        2.0 * feet * FOOT_M,
        area_m2=TABLE.least_area_m2[place],
        temperature_degc=29.0,
        lay_factor=1.0,
    )
    assert float(ohm) * amps <= 0.03 * volts * 1.001
    if place > 0:
        assert TABLE.least_area_m2[place - 1] < area_for_drop_m2(
            amps, round_trip_m=2.0 * feet * FOOT_M, allowed_drop_v=0.03 * volts
        )


@given(amps=st.floats(0.1, 450.0), feet=st.floats(1.0, 40.0), count=st.integers(1, 30))
def test_the_answer_is_the_larger_of_two_and_carries_the_current(amps, feet, count):
    wanted = size(amps, feet_one_way=feet, volts=36.0, share=0.05, conductor_count=count)
    assert int(wanted.size) == max(int(wanted.by_drop), int(wanted.by_ampacity))
    assert bool(wanted.ruled_by_drop) == (wanted.by_drop > wanted.by_ampacity)
    place = int(wanted.by_ampacity)
    carries = ampacity_a(TABLE, **(PAIR_105 | {"conductor_count": count}))
    if place < len(TABLE.name):
        assert carries[place] >= amps * (1.0 - 1e-9)
    assert np.all(carries[:place] < amps)


def test_a_short_run_is_ruled_by_the_current_and_a_long_one_by_the_drop():
    short = size(52.0, feet_one_way=2.0, volts=36.0, share=0.10)
    long = size(52.0, feet_one_way=40.0, volts=36.0, share=0.03)
    assert (names(short.size), bool(short.ruled_by_drop)) == (["8 AWG"], False)
    assert (names(long.size), bool(long.ruled_by_drop)) == (["2 AWG"], True)


def test_where_no_size_is_large_enough_the_place_is_past_the_list():
    wanted = size(400.0, feet_one_way=90.0, volts=12.0, share=0.03)
    assert int(wanted.size) == len(TABLE.name)


def test_exactly_the_area_of_a_size_asks_for_that_size():
    amps = 1.08 * 25910.0 / (10.75 * 40.0)
    assert names(size(amps, feet_one_way=20.0, volts=36.0, share=0.03).by_drop) == ["6 AWG"]


def test_arrays_agree_with_scalars():
    amps = np.array([5.0, 52.0, 120.0])
    together = size(amps, feet_one_way=15.0, volts=24.0, share=0.03)
    alone = [size(a, feet_one_way=15.0, volts=24.0, share=0.03) for a in amps]
    assert together.size.tolist() == [int(one.size) for one in alone]
    table = ampacity_a(
        TABLE,
        insulation_degc=[60.0, 105.0],
        conductor_count=[1, 5],
        in_engine_space=[False, True],
    )
    assert table.shape == (2, len(TABLE.name))
    one = ampacity_a(TABLE, insulation_degc=105.0, conductor_count=5, in_engine_space=True)
    np.testing.assert_allclose(table[1], one)


def test_bundles_keep_less_and_never_more_as_they_grow():
    factors = bundling_factor(np.arange(1, 60))
    assert np.all(np.diff(factors) <= 0.0)
    assert set(factors.tolist()) == {1.0, 0.7, 0.6, 0.5, 0.4}


def test_the_lowest_insulation_carries_nothing_in_an_engine_space():
    inside = ampacity_a(TABLE, insulation_degc=60.0, conductor_count=1, in_engine_space=True)
    assert not inside.any()
    assert np.all(np.diff(engine_space_factor([60.0, 75.0, 80.0, 90.0, 105.0])) > 0.0)


def test_a_conductor_at_its_ampacity_is_as_warm_as_its_insulation_may_be():
    feed = {"ampacity_a": 84.0, "insulation_degc": 105.0}
    assert conductor_temperature_degc(84.0, **feed, surroundings_degc=30.0) == 105.0
    assert conductor_temperature_degc(0.0, **feed, surroundings_degc=18.0) == 18.0
    # A quarter of the heat at half the current: 30 + 75 / 4.
    assert conductor_temperature_degc(42.0, **feed, surroundings_degc=30.0) == 48.75


def test_the_least_metal_of_a_size_is_less_than_the_gauges_own():
    # SAE gauges hold 1 to 11 % less metal than AWG of the same number; 6 AWG least so.
    ratio = TABLE.least_area_m2 / awg_area_m2(TABLE.awg)
    assert np.all((ratio > 0.88) & (ratio < 1.0))


def test_the_sizing_formula_leaves_out_how_much_hotter_cable_loses():
    # 75 degC stranded over the formula's constant: 12.613 x 1.02 / 10.75 = 1.197 (IACS).
    area = awg_area_m2(6)
    true = conductor_resistance_ohm(
        1.0, area_m2=area, temperature_degc=75.0, lay_factor=STRANDED
    )
    formula = 10.75 * CIRCULAR_MIL_M2 / FOOT_M / area
    assert float(true / formula) == pytest.approx(1.197, abs=0.001)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (
            lambda: area_for_drop_m2(-1.0, round_trip_m=1.0, allowed_drop_v=1.0),
            "current_a = -1",
        ),
        (lambda: area_for_drop_m2(1.0, round_trip_m=-1.0, allowed_drop_v=1.0), "round_trip_m"),
        (lambda: area_for_drop_m2(1.0, round_trip_m=1.0, allowed_drop_v=0.0), "above 0"),
        (lambda: bundling_factor(0), "conductor_count = 0"),
        (lambda: engine_space_factor(85.0), "insulation_degc = 85; it must be one of 60, 75"),
        (lambda: ampacity_a(TABLE, **(PAIR_105 | {"insulation_degc": 70.0})), "one of 60, 75"),
        (
            lambda: conductor_temperature_degc(
                1.0, ampacity_a=0.0, insulation_degc=60.0, surroundings_degc=20.0
            ),
            "ampacity_a = 0",
        ),
    ],
    ids=["current", "length", "drop", "bundle", "insulation", "column", "ampacity"],
)
def test_numbers_a_law_cannot_take_are_refused_by_name(call, match):
    with pytest.raises(ValueError, match=match):
        call()
