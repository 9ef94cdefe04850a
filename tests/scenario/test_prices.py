"""The table of prices: plain numbers and one currency."""

import pytest
from pydantic import ValidationError

from energysim.scenario.prices import Prices

USD = {"currency": "USD"}


def said(given):
    """Everything that is wrong with a table, as one text."""
    with pytest.raises(ValidationError) as caught:
        Prices.model_validate(given)
    return str(caught.value)


def test_a_bank_its_energy_and_how_often():
    prices = Prices.model_validate(
        {**USD, "bank": 640, "energy_per_kwh": 0.17, "trips_a_year": 25}
    )
    assert (prices.bank, prices.block, prices.energy_per_kwh) == (640.0, None, 0.17)
    assert (prices.trips_a_year, prices.currency) == (25.0, "USD")


def test_how_often_is_an_assumption_and_energy_may_be_left_out():
    prices = Prices.model_validate({**USD, "block": 160.0})
    assert (prices.trips_a_year, prices.energy_per_kwh) == (40.0, None)


def test_energy_alone_is_enough_for_the_night():
    assert Prices.model_validate({**USD, "energy_per_kwh": 0.17}).bank is None


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({**USD, "bank": 640, "block": 160}, "cannot stand beside 'bank'"),
        (USD, "has no price in it"),
        ({**USD, "trips_a_year": 30}, "has no price in it"),
        ({"bank": 640}, "currency\n  Field required"),
        ({"bank": 640, "currency": ""}, "at least 1 character"),
        ({"bank": 640, "currency": " "}, "is blank"),
        ({"bank": 640, "currency": "pieces of eight"}, "at most 12 characters"),
        ({**USD, "bank": "640 USD"}, "valid number"),
        ({**USD, "bank": True}, "valid number"),
        ({**USD, "bank": 0}, "greater than 0"),
        ({**USD, "bank": float("inf")}, "finite number"),
        ({**USD, "bank": 640, "energy_per_kwh": -0.1}, "greater than or equal to 0"),
        ({**USD, "bank": 640, "trips_a_year": 0}, "greater than 0"),
        ({**USD, "bank": 640, "trips_a_year": 400}, "less than or equal to 366"),
        ({**USD, "battery": 640}, "Extra inputs are not permitted"),
    ],
    ids=[
        "both",
        "none",
        "only-trips",
        "no-currency",
        "empty-currency",
        "blank-currency",
        "long-currency",
        "text",
        "switch",
        "free",
        "infinite",
        "paid-to-charge",
        "never",
        "too-often",
        "unknown-key",
    ],
)
def test_what_cannot_be_read_is_said(given, message):
    assert message in said(given)


def test_several_faults_are_told_at_once():
    text = said({"bank": -1, "block": 2})
    assert "greater than 0" in text
    assert "Field required" in text
    assert "cannot stand beside 'bank'" in text
