"""The shipped lists as the rest of the program asks for them."""

import tomllib
from importlib.resources import files

import numpy as np
import pytest

from energysim import catalogue
from energysim.errors import ScenarioError
from energysim.listed import names

LEAD_ACID = ("flooded", "agm", "gel")


def lives(kind):
    """The laws of a chemistry's life by the columns of its table."""
    return {"value": kind.life_law, "low": kind.life_law_low, "high": kind.life_law_high}


def test_the_chemistries_read_one_by_one_are_those_of_the_whole_file():
    text = (files("energysim") / "data" / "chemistries.toml").read_text(encoding="utf-8")
    whole = tomllib.loads(text)
    assert list(catalogue.chemistry_tables()) == list(whole)
    assert catalogue.chemistry_tables() == whole


@pytest.mark.parametrize("name", sorted(catalogue.chemistry_tables()))
def test_a_chemistry_is_its_table(name):
    found, table = catalogue.chemistry(name), catalogue.chemistry_tables()[name]
    assert (found.key, found.label, found.law) == (name, table["label"], table["law"]["value"])
    assert found.heat_capacity_j_per_kg_k == table["heat_capacity_j_per_kg_k"]["value"]
    for column, life in lives(found).items():
        np.testing.assert_array_equal(life.cycles, table["cycles_to_80_percent"][column])
        np.testing.assert_array_equal(life.depth, table["cycle_depth"]["value"])
        assert life.calendar_years == table["calendar_life_years"][column]
    rate = table["well_rate_per_h"]
    assert found.well_rate_per_h == (rate["value"], rate["low"], rate["high"])


def test_a_number_without_a_spread_is_its_own_spread():
    entry = catalogue.chemistry_tables()["flooded"]["calendar_power"]
    assert "low" not in entry
    for life in lives(catalogue.chemistry("flooded")).values():
        assert life.calendar_power == entry["value"]


def test_lead_acid_is_followed_as_wells_and_lithium_by_peukert():
    laws = {name: catalogue.chemistry(name).law for name in catalogue.chemistry_tables()}
    assert laws == dict.fromkeys(LEAD_ACID, "kinetic") | {"lfp": "peukert"}


@pytest.mark.parametrize("name", ["starting", "Cranking", " starter "])
def test_a_starting_battery_is_refused_with_the_reason_and_what_to_take(name):
    with pytest.raises(ScenarioError) as caught:
        catalogue.chemistry(name, path="house_bank.chemistry")
    (problem,) = caught.value.problems
    assert problem.path == "house_bank.chemistry"
    assert problem.value == name
    assert "crank" in problem.reason
    assert "thin plates" in problem.reason
    assert "deep-cycle" in problem.hint
    assert "house_bank.insist = true" in problem.hint


def test_who_insists_gets_a_flooded_block_that_hardly_bears_discharging():
    taken = catalogue.chemistry("starting", insist=True)
    flooded = catalogue.chemistry("flooded")
    assert (taken.key, taken.family) == ("starting", "lead-acid")
    assert taken.label != flooded.label
    assert taken.depth_of_discharge < flooded.depth_of_discharge
    np.testing.assert_array_equal(taken.rest_voltage_v, flooded.rest_voltage_v)
    for column, short in lives(taken).items():
        assert np.all(short.cycles < 0.5 * lives(flooded)[column].cycles)


def test_insisting_changes_nothing_for_a_deep_cycle_battery():
    assert catalogue.chemistry("agm", insist=True).label == catalogue.chemistry("agm").label
    assert catalogue.not_for_propulsion("agm") is None


def test_a_name_that_is_not_listed_is_told_the_nearest():
    with pytest.raises(ScenarioError, match=r"no such chemistry .*did you mean 'flooded'"):
        catalogue.chemistry("floded", insist=True)
    with pytest.raises(ScenarioError, match=r"no such battery .*energysim list batteries"):
        catalogue.battery("nonesuch")
    with pytest.raises(ScenarioError, match="no such hull"):
        catalogue.hull_type("nonesuch")


@pytest.mark.parametrize(
    ("what", "listed"),
    [
        ("battery", catalogue.batteries),
        ("chemistry", catalogue.chemistry_tables),
        ("hull", lambda: catalogue.hull_tables()["types"]),
    ],
)
def test_the_names_a_file_is_checked_by_are_those_of_the_lists(what, listed):
    assert names(what) == tuple(listed())
