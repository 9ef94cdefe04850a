"""What [bank] and [house_bank] may say: rows of blocks, taps, ratings, age and storage."""

import pytest

from energysim.errors import ScenarioError
from energysim.scenario.defaults import defaults_taken
from energysim.scenario.load import validate

LABEL = {"chemistry": "agm", "capacity": "105 Ah"}


def problems(raw):
    """Every problem of a raw scenario, as path and reason with hint."""
    with pytest.raises(ScenarioError) as caught:
        validate(raw)
    return {one.path: f"{one.reason} ({one.hint})" for one in caught.value.problems}


def test_rows_of_the_bank_arrive_in_the_units_their_names_say(raw_day):
    raw_day["bank"] = LABEL | {
        "law": "kinetic",
        "well_rate": "0.02 per min",
        "rating": [{"time": "5 h", "capacity": "84 Ah"}],
        "block": [{"string": 2, "number": 1, "resistance": "9 mohm", "temperature": "50 degF"}],
        "tapped": [{"load": "0.02 kW"}],
        "age": "3 yr",
        "trips_a_year": 30,
        "usual_depth": 0.4,
        "stored": "2 wk",
    }
    bank = validate(raw_day).bank
    assert bank.well_rate_per_h == pytest.approx(1.2)
    assert (bank.ratings[0].time_s, bank.ratings[0].capacity_ah) == (18000.0, 84.0)
    assert bank.blocks[0].string == 2
    assert bank.blocks[0].temperature_degc == pytest.approx(10.0)
    assert bank.blocks[0].resistance_ohm == pytest.approx(0.009)
    assert (bank.tapped[0].load_w, bank.tapped[0].string, bank.tapped[0].number) == (20.0, 1, 1)
    assert bank.age_s == pytest.approx(3 * 365.25 * 86400)
    assert bank.stored_s == pytest.approx(14 * 86400)


@pytest.mark.parametrize(
    ("change", "path", "message"),
    [
        pytest.param({"law": "tank"}, "bank.law", "choose 'kinetic' or 'peukert'", id="law"),
        pytest.param({"well_rate": 0.4}, "bank.well_rate", '"0.36 per h"', id="bare-rate"),
        pytest.param({"well_rate": "90 per h"}, "bank.well_rate", "20 per h", id="fast"),
        pytest.param({"well_rate": "0 per h"}, "bank.well_rate", "0.05 per h", id="still"),
        pytest.param({"well_rate": "3 h"}, "bank.well_rate", "per h", id="a-time"),
        pytest.param(
            {"rating": {"time": "5 h", "capacity": "84 Ah"}},
            "bank.rating",
            "write [[bank.rating]]",
            id="one-bracket",
        ),
        pytest.param(
            {"rating": [{"time": "5 h"}]}, "bank.rating[1].capacity", "missing", id="half"
        ),
        pytest.param(
            {"rating": [{"time": "1 min", "capacity": "4 Ah"}]},
            "bank.rating[1].time",
            "least allowed, 10 min",
            id="crank",
        ),
        pytest.param(
            {"block": [{"number": 2}]}, "bank.block[1]", "how this block differs", id="alike"
        ),
        pytest.param(
            {"block": [{"capacity_fraction": 0.8}]}, "bank.block[1].number", "missing", id="who"
        ),
        pytest.param(
            {"block": [{"number": 0, "start_soc": 0.5}]},
            "bank.block[1].number",
            "at least 1",
            id="from-one",
        ),
        pytest.param(
            {"block": [{"number": 2, "start_soc": 0.5}, {"number": 2, "resistance": "1 mohm"}]},
            "bank.block[2]",
            "stands in an earlier row",
            id="twice",
        ),
        pytest.param(
            {"block": [{"number": 1, "age": "2 yr"}]},
            "bank.block[1].age",
            "belongs in [bank]",
            id="not-of-a-block",
        ),
        pytest.param(
            {"tapped": [{"name": "lights"}]}, "bank.tapped[1].load", "it takes", id="w"
        ),
        pytest.param(
            {"tapped": [{"load": "0 W"}]}, "bank.tapped[1].load", "more than 0 W", id="nothing"
        ),
        pytest.param({"trips_a_year": 30}, "bank.trips_a_year", "without 'age'", id="no-age"),
        pytest.param({"usual_depth": 0.4}, "bank.usual_depth", "without 'age'", id="no-age-2"),
        pytest.param({"age": 3}, "bank.age", "has no unit", id="bare-age"),
        pytest.param({"age": "30 yr"}, "bank.age", "most allowed, 25 yr", id="museum"),
        pytest.param({"stored": "3 yr"}, "bank.stored", "most allowed, 2 yr", id="lost"),
        pytest.param({"insist": "yes"}, "bank.insist", "true or false", id="quoted"),
        pytest.param({"load": "5 W"}, "bank.load", "belongs in [house_bank]", id="moved"),
    ],
)
def test_a_slip_in_the_bank_is_named(raw_day, change, path, message):
    raw_day["bank"] = LABEL | change
    assert message in problems(raw_day).get(path, f"only {problems(raw_day)}")


@pytest.mark.parametrize(
    ("house", "path", "message"),
    [
        pytest.param({"battery": "24-agm"}, "house_bank.load", "What hangs on it", id="idle"),
        pytest.param({"load": "20 W"}, "house_bank", "battery; chemistry", id="no-battery"),
        pytest.param(
            LABEL | {"load": "20 W", "tapped": []}, "house_bank.tapped", "in [bank]", id="tap"
        ),
    ],
)
def test_a_slip_in_the_house_bank_is_named(raw_day, house, path, message):
    raw_day["house_bank"] = house
    found = problems(raw_day)
    assert message in found.get(path, f"only {found}")


def test_the_house_hangs_on_one_bank_only(raw_day):
    raw_day["house_bank"] = {"battery": "24-agm", "load": "20 W"}
    validate(raw_day)
    raw_day["bank"]["house_load"] = "10 W"
    assert "which carries the house" in problems(raw_day)["bank.house_load"]


def test_a_guess_by_age_stands_in_place_of_the_capacity_that_was_not_measured(raw_day):
    def taken(**keys):
        raw_day["bank"] = LABEL | keys
        return {one.path for one in defaults_taken(validate(raw_day))}

    assert "bank.capacity_fraction" in taken()
    assert "bank.capacity_fraction" not in taken(age="3 yr")
    assert "bank.capacity_fraction" not in taken(capacity_fraction=0.9)


def test_what_is_measured_is_told_from_what_is_assumed(raw_day):
    assert not validate(raw_day).bank.capacity_is_measured
    raw_day["bank"]["capacity_fraction"] = 1.0
    assert validate(raw_day).bank.capacity_is_measured
