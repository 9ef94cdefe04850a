"""What a day costs its bank: by hand, in words, and with its range."""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.build.prices import build_costs
from energysim.catalogue import chemistry, chemistry_tables
from energysim.report.wear import wear_lines
from energysim.scenario.prices import Prices
from energysim.wear import NO_PRICES, Costs, day_depth, day_wear

FLOODED, LITHIUM = chemistry("flooded"), chemistry("lfp")
EVERY_CHEMISTRY = pytest.mark.parametrize("name", sorted(chemistry_tables()))


def costs(**changes):
    given_ = {
        "currency": "USD",
        "bank_price": 640.0,
        "energy_price_per_kwh": 0.2,
        "trips_a_year": 40.0,
    }
    return Costs(**(given_ | changes))


def wear(depth=0.5, kind=FLOODED, recharge_wh=1500.0, **changes):
    return day_wear(depth, kind=kind, costs=costs(**changes), recharge_wh=recharge_wh)


def range_of(estimate):
    return (estimate.low, estimate.value, estimate.high)


def test_forty_half_deep_days_a_year_end_by_the_calendar():
    # 600 cycles (450 to 1000) would be 15 years; the calendar says 5 (3 to 8): 200 trips
    # (120 to 320), 640 / 200 = 3.20 and 1.5 kWh x 0.20 = 0.30 a trip.
    day = wear()
    assert range_of(day.cycles) == pytest.approx((450.0, 600.0, 1000.0))
    assert range_of(day.years) == pytest.approx((3.0, 5.0, 8.0))
    assert range_of(day.trips) == pytest.approx((120.0, 200.0, 320.0))
    assert day.ended_by == "years"
    assert day.energy_price_per_trip == pytest.approx(0.30)
    assert range_of(day.price_per_trip) == pytest.approx(
        (640 / 320 + 0.3, 640 / 200 + 0.3, 640 / 120 + 0.3)
    )
    assert range_of(day.price_per_year) == pytest.approx(
        (40 * 2.3, 40 * 3.5, 40 * (640 / 120 + 0.3))
    )


def test_two_hundred_deep_days_a_year_end_by_use():
    # 300 cycles at 80 % (220 to 500) over 200 a year: 1.5 years (1.1 to 2.5).
    day = wear(depth=0.8, trips_a_year=200.0)
    assert range_of(day.years) == pytest.approx((1.1, 1.5, 2.5))
    assert range_of(day.trips) == pytest.approx(range_of(day.cycles))
    assert day.ended_by == "use"


def test_lithium_at_a_trip_a_week_is_dearer_to_buy_and_cheaper_a_trip():
    # Three times the price; 17 years against 5, both by the calendar.
    lead = wear(trips_a_year=52.0)
    lithium = wear(kind=LITHIUM, bank_price=1920.0, trips_a_year=52.0)
    assert lead.ended_by == lithium.ended_by == "years"
    assert lithium.price_per_trip.value < lead.price_per_trip.value


def test_a_day_without_any_use_is_worn_by_the_years_alone():
    day = wear(depth=0.0, recharge_wh=0.0)
    assert day.cycles is None
    assert day.ended_by == "years"
    assert range_of(day.years) == (3.0, 5.0, 8.0)


@EVERY_CHEMISTRY
@settings(max_examples=40, deadline=None)
@given(depth=st.floats(0.0, 1.0), trips=st.floats(0.5, 366.0))
def test_every_range_holds_its_value_and_every_number_is_finite(name, depth, trips):
    day = wear(depth=depth, kind=chemistry(name), trips_a_year=trips)
    found = [day.years, day.trips, day.price_per_trip, day.price_per_year]
    for estimate in found + ([] if day.cycles is None else [day.cycles]):
        low, value, high = range_of(estimate)
        assert 0.0 < low <= value <= high < np.inf
    assert wear_lines(day)


@EVERY_CHEMISTRY
def test_a_deeper_day_never_costs_less(name):
    prices = [
        wear(depth=depth, kind=chemistry(name), trips_a_year=150.0).price_per_trip.value
        for depth in np.linspace(0.0, 1.0, 21)
    ]
    assert np.all(np.diff(prices) >= 0.0)


@pytest.mark.parametrize(
    ("changes", "note", "priced"),
    [
        ({}, "", True),
        ({"bank_price": None}, "no price of the bank given: only the energy is priced", False),
        (
            {"energy_price_per_kwh": None},
            "no price of energy given: only the bank is priced",
            True,
        ),
        ({"recharge_wh": None}, "no charger given: only the bank is priced", True),
    ],
    ids=["all", "no-bank", "no-energy", "no-charger"],
)
def test_what_is_left_out_of_the_price_is_said(changes, note, priced):
    day = wear(**changes)
    assert day.note == note
    assert (day.price_per_trip is not None) == priced
    text = " ".join(wear_lines(day))
    assert (note[1:] in text) if note else ("only" not in text)


def test_without_prices_nothing_is_told_but_that():
    assert day_wear(0.5, kind=FLOODED, costs=None, recharge_wh=None) is None
    assert wear_lines(None) == ["No prices given."]
    assert NO_PRICES == "no prices given"


def test_the_words_of_a_priced_day():
    assert wear_lines(wear(depth=0.42)) == [
        "A day takes 42% of the bank; about 740 such days wear it out (550 to 1,200).",
        "At 40 a year it is down to 80% of its capacity in about 5 years (3 to 8), by its "
        "years, before the days are used up.",
        "A trip costs about 3.50 USD (2.30 to 5.63), of which energy 0.30; a year 140 USD.",
    ]


@pytest.mark.parametrize(
    ("table", "blocks", "expected"),
    [
        ({"currency": "EUR", "bank": 640}, 4, (640.0, None)),
        ({"currency": "EUR", "block": 160, "energy_per_kwh": 0.3}, 4, (640.0, 0.3)),
        ({"currency": "EUR", "energy_per_kwh": 0.3}, 4, (None, 0.3)),
    ],
    ids=["bank", "block", "energy"],
)
def test_the_price_of_a_bank_is_that_of_its_blocks(table, blocks, expected):
    found = build_costs(Prices.model_validate(table), blocks=blocks)
    assert (found.bank_price, found.energy_price_per_kwh) == expected
    assert (found.currency, found.trips_a_year) == ("EUR", 40.0)


def test_no_table_of_prices_is_no_costs():
    assert build_costs(None, blocks=2) is None


def test_the_depth_of_a_day_is_its_lowest_from_full():
    def day(end, *charges):
        return SimpleNamespace(end_charge=end, series={"charge": np.array(charges)})

    assert day_depth(day(0.55, 0.9, 0.7, 0.55)) == pytest.approx(0.45)
    assert day_depth(day(0.6, 0.9, 0.5, 0.6)) == pytest.approx(0.5)  # charged on the way
    assert day_depth(day(1.0, 1.0, 1.0)) == 0.0
    assert day_depth(day(-0.01, 0.5, -0.01)) == 1.0
