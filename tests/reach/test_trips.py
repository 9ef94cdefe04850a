"""What a trip costs over its depth: against the day's own price, and against a sum by hand."""

import numpy as np
import pytest

import energysim
from energysim.errors import ScenarioError
from energysim.reach import trip_costs
from energysim.runner import run_day


@pytest.fixture(scope="module")
def priced(load_raw, plain_day):
    raw = plain_day()
    raw["charger"] = {"current": "10 A"}
    raw["prices"] = {
        "currency": "USD", "bank": 600.0, "energy_per_kwh": 0.2, "trips_a_year": 200,
    }  # fmt: skip
    return load_raw(raw)


@pytest.fixture(scope="module")
def costs(priced):
    return trip_costs(priced, run_day(priced, with_changes=False))


def test_a_trip_takes_its_share_of_the_bank_and_its_energy(costs):
    # 600 over the trips of a life, and the energy: the rule of the whole of it, by hand.
    assert costs.price == pytest.approx(600.0 / costs.trips + costs.energy_price)
    assert costs.price_low == pytest.approx(600.0 / costs.trips_high + costs.energy_price)
    assert costs.price_high == pytest.approx(600.0 / costs.trips_low + costs.energy_price)


def test_the_line_goes_through_the_day(costs):
    at = np.interp(costs.day_depth, costs.depth, costs.price)
    assert at == pytest.approx(costs.day_price.value, rel=0.01)
    assert 0.0 < costs.day_depth < 1.0


def test_a_deeper_trip_costs_more_and_lasts_fewer(costs):
    assert np.all(np.diff(costs.price) > 0.0)
    assert np.all(np.diff(costs.energy_price) > 0.0)
    assert np.all(np.diff(costs.trips) <= 0.0)
    # Shallow trips end by the calendar: 200 a year for its years; deep ones by use.
    assert costs.trips[0] / 200.0 == pytest.approx(round(costs.trips[0] / 200.0))
    assert costs.trips[-1] < 0.9 * costs.trips[0]
    assert np.all(costs.price_low <= costs.price)
    assert np.all(costs.price <= costs.price_high)


def test_without_a_charger_the_bank_alone_is_priced_and_that_is_said(load_raw, plain_day):
    raw = plain_day()
    raw["prices"] = {"currency": "USD", "block": 300.0, "energy_per_kwh": 0.2}
    loaded = load_raw(raw)
    costs = trip_costs(loaded, run_day(loaded, with_changes=False))
    assert costs.bank_price == 600.0
    assert not costs.energy_price.any()
    assert costs.note == "no charger given: only the bank is priced"


def test_used_blocks_are_named(load_raw, plain_day):
    raw = plain_day()
    raw["bank"]["capacity_fraction"] = 0.8
    raw["prices"] = {"currency": "USD", "block": 300.0}
    loaded = load_raw(raw)
    costs = trip_costs(loaded, run_day(loaded, with_changes=False))
    assert costs.note.endswith("lives are counted from new, also of used blocks")


def test_a_bank_without_a_price_has_no_cost_of_a_trip(load_raw, plain_day):
    loaded = load_raw(plain_day())
    day = run_day(loaded, with_changes=False)
    with pytest.raises(ScenarioError, match="prices: is missing"):
        energysim.trip_costs(loaded, day)


def test_a_day_of_another_scenario_is_refused(priced, load_raw, plain_day):
    day = run_day(load_raw(plain_day()), with_changes=False)
    with pytest.raises(ValueError, match="result was not run from this scenario"):
        trip_costs(priced, day)
