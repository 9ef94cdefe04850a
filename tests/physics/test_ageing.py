"""How a battery wears out: depth, calendar, capacity left, price of a trip."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.ageing import (
    LifeLaw,
    aged_capacity_fraction,
    cycle_wear,
    cycles_to_end,
    life_used,
    price_per_trip,
    years_to_end,
)


def law(depth=(0.3, 0.5, 0.8), cycles=(1100.0, 600.0, 300.0), years=5.0, power=1.0):
    """A life of our own making, near that of a flooded block."""
    return LifeLaw(
        depth=np.array(depth),
        cycles=np.array(cycles),
        calendar_years=years,
        calendar_power=power,
    )


USUAL = law()


def test_nodes_come_back_whole():
    np.testing.assert_allclose(cycles_to_end(USUAL.depth, law=USUAL), USUAL.cycles, rtol=1e-12)


def test_between_two_nodes_by_hand():
    # 0.4 between 0.3 (1100) and 0.5 (600): in logarithms ln(4/3)/ln(5/3) = 0.563166 of the way,
    # 1100 x (600/1100)^0.563166 = 781.9.
    assert float(cycles_to_end(0.4, law=USUAL)) == pytest.approx(781.9, abs=0.1)


def test_shallow_trips_take_the_same_life_per_ampere_hour_as_the_least_node():
    assert float(cycles_to_end(0.1, law=USUAL)) == pytest.approx(3300.0)
    assert float(cycles_to_end(0.003, law=USUAL)) == pytest.approx(110_000.0)


def test_no_depth_wears_nothing():
    assert float(cycles_to_end(0.0, law=USUAL)) == np.inf
    assert float(cycle_wear(0.0, trips=100.0, law=USUAL)) == 0.0


def test_beyond_the_greatest_node_the_last_line_goes_on():
    # slope ln(1/2)/ln(1.6) = -1.4748: 300 x 1.25^-1.4748 = 215.9
    assert float(cycles_to_end(1.0, law=USUAL)) == pytest.approx(215.9, abs=0.1)


def test_beyond_the_greatest_node_a_flat_line_is_not_believed():
    flat = law(cycles=(1000.0, 900.0, 880.0))
    assert float(cycles_to_end(1.0, law=flat)) == pytest.approx(880.0 * 0.8)
    one = law(depth=(0.5,), cycles=(600.0,))
    assert float(cycles_to_end(1.0, law=one)) == pytest.approx(300.0)


def test_a_season_of_unlike_trips_by_hand():
    # 20 trips to half and 10 to four fifths: 20/600 + 10/300 = 1/15 of a life a year.
    wear = cycle_wear([0.5, 0.8], trips=[20.0, 10.0], law=USUAL)
    assert float(wear) == pytest.approx(1.0 / 15.0)
    assert float(years_to_end(wear, law=USUAL)) == 5.0  # the calendar is earlier
    assert float(years_to_end(wear, law=law(years=20.0))) == pytest.approx(15.0)


def test_the_earlier_end_counts_and_a_bank_at_rest_still_ages():
    assert float(years_to_end(0.0, law=USUAL)) == 5.0
    assert float(years_to_end(0.5, law=USUAL)) == 2.0


@settings(max_examples=60, deadline=None)
@given(
    depths=st.lists(st.floats(0.0, 1.0), min_size=1, max_size=6),
    trips=st.floats(0.0, 300.0),
)
def test_the_order_and_the_grouping_of_trips_do_not_matter(depths, trips):
    together = float(cycle_wear(depths, trips=trips, law=USUAL))
    turned = float(cycle_wear(depths[::-1], trips=trips, law=USUAL))
    apart = sum(float(cycle_wear(depth, trips=trips, law=USUAL)) for depth in depths)
    assert together == pytest.approx(turned) == pytest.approx(apart)


@settings(max_examples=80, deadline=None)
@given(st.floats(0.001, 1.0), st.floats(0.001, 1.0))
def test_deeper_trips_are_never_more_nor_give_more_in_all(one, other):
    shallow, deep = sorted((one, other))
    few, many = cycles_to_end([deep, shallow], law=USUAL)
    assert few <= many * (1.0 + 1e-12)
    assert deep * few <= shallow * many * (1.0 + 1e-12)


def test_a_bank_at_the_end_of_its_life_has_80_per_cent():
    assert float(aged_capacity_fraction(5.0, wear=0.0, law=USUAL)) == pytest.approx(0.8)
    assert float(aged_capacity_fraction(1.0, wear=1.0, law=USUAL)) == pytest.approx(0.8)
    assert float(aged_capacity_fraction(0.0, wear=0.0, law=USUAL)) == 1.0


def test_three_years_of_forty_half_deep_trips_by_hand():
    # 120/600 = 0.2 of the cycles, 3/5 of the calendar: 1 - 0.2 x 0.6.
    wear = cycle_wear(0.5, trips=120.0, law=USUAL)
    assert float(life_used(3.0, wear=wear, law=USUAL)) == pytest.approx(0.6)
    assert float(aged_capacity_fraction(3.0, wear=wear, law=USUAL)) == pytest.approx(0.88)


def test_a_square_root_of_time_loses_most_at_first():
    lithium = law(years=16.0, power=0.5)
    first, fourth, last = aged_capacity_fraction([1.0, 4.0, 16.0], wear=0.0, law=lithium)
    assert (1.0 - first, 1.0 - fourth, 1.0 - last) == pytest.approx((0.05, 0.1, 0.2))


@settings(max_examples=60, deadline=None)
@given(
    age=st.floats(0.0, 9.0),
    more=st.floats(0.0, 9.0),
    wear=st.floats(0.0, 3.0),
    power=st.floats(0.3, 1.0),
)
def test_years_and_trips_never_give_capacity_back(age, more, wear, power):
    aged = law(power=power)
    younger = float(aged_capacity_fraction(age, wear=wear, law=aged))
    older = float(aged_capacity_fraction(age + more, wear=wear, law=aged))
    worn = float(aged_capacity_fraction(age, wear=1.3 * wear, law=aged))
    assert older <= younger <= 1.0
    assert worn <= younger


def test_a_bank_of_four_lives_has_to_be_measured():
    with pytest.raises(ValueError, match="life used = 5; it must be finite and at most 4"):
        aged_capacity_fraction(25.0, wear=0.1, law=USUAL)


def test_the_price_of_a_trip_by_hand():
    # 640 over 160 trips is 4.00; 1.5 kWh at 0.20 is 0.30.
    price = price_per_trip(640.0, trips=160.0, recharge_wh=1500.0, energy_price_per_kwh=0.20)
    assert float(price) == pytest.approx(4.30)


def test_a_bank_that_never_wears_out_costs_its_energy():
    price = price_per_trip(640.0, trips=math.inf, recharge_wh=500.0, energy_price_per_kwh=0.3)
    assert float(price) == pytest.approx(0.15)


def test_an_array_gives_what_its_numbers_give():
    depths = np.array([[0.0, 0.2], [0.45, 1.0]])
    alone = [[float(cycles_to_end(value, law=USUAL)) for value in row] for row in depths]
    np.testing.assert_array_equal(cycles_to_end(depths, law=USUAL), alone)
    assert cycle_wear(depths, trips=[1.0, 2.0], law=USUAL).shape == (2,)
    ages = np.array([[0.0], [2.0]])
    assert aged_capacity_fraction(ages, wear=[0.1, 0.5, 0.9], law=USUAL).shape == (2, 3)
    prices = price_per_trip(
        [600.0, 900.0], trips=[[100.0], [np.inf]], recharge_wh=0.0, energy_price_per_kwh=0.0
    )
    np.testing.assert_allclose(prices, [[6.0, 9.0], [0.0, 0.0]])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: cycles_to_end(1.2, law=USUAL), "depth = 1.2; .* at most 1"),
        (lambda: cycles_to_end(np.nan, law=USUAL), "depth = nan"),
        (lambda: cycle_wear(0.5, trips=-1.0, law=USUAL), "trips = -1"),
        (lambda: years_to_end(-0.1, law=USUAL), "wear_a_year = -0.1"),
        (lambda: life_used(-1.0, wear=0.0, law=USUAL), "age_years = -1"),
        (lambda: cycles_to_end(0.5, law=law(depth=(0.5, 0.3, 0.8))), "law.depth must rise"),
        (
            lambda: cycles_to_end(0.5, law=law(cycles=(100.0, 200.0, 50.0))),
            "law.cycles fall",
        ),
        (lambda: cycles_to_end(0.5, law=law(cycles=(100.0, 50.0))), "as long as law.depth"),
        (lambda: years_to_end(0.5, law=law(years=0.0)), "law.calendar_years = 0"),
        (lambda: life_used(1.0, wear=0.0, law=law(power=0.0)), "law.calendar_power = 0"),
        (
            lambda: price_per_trip(1.0, trips=0.0, recharge_wh=0.0, energy_price_per_kwh=0.0),
            "trips = 0",
        ),
        (
            lambda: price_per_trip(
                1.0, trips=np.nan, recharge_wh=0.0, energy_price_per_kwh=0.0
            ),
            "trips = nan",
        ),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
