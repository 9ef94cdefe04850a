"""
What the weight of a bank does to a boat, and what her capacity plate leaves.

Expected figures are worked by hand here from length, beam and the ratios of data/hulls.toml.
"""

import math

import pytest
from pydantic import ValidationError

from energysim.errors import ScenarioError
from energysim.scenario.load import validate
from energysim.scenario.locker import Locker
from energysim.scenario.overlay import overlay
from energysim.scenario.plate import Plate
from energysim.weigh import PlacedWeight, locker_from_bow_m, weigh

BANK_KG = 84.0
SKIFF = {
    "boat.hull": "skiff",
    "boat.length": "5.2 m",
    "boat.beam": "1.9 m",
    "boat.mass": "500 kg",
    "boat.people": 2,
    "boat.person_mass": "80 kg",
    "motor.mass": "20 kg",
    "day.water": "fresh",
    "day.water_temperature": "4 degC",
}


@pytest.fixture
def scenario(plain_day):
    """From changes to the skiff to a scenario."""
    return lambda **changes: validate(overlay(overlay(plain_day(), SKIFF), changes))


@pytest.fixture
def weighed(scenario):
    """What a bank of 84 kg does, standing so far abaft the stem."""

    def of(from_bow_m=None, *, plate=None, off_centre_m=None, mass_kg=BANK_KG):
        part = PlacedWeight(mass_kg=mass_kg, from_bow_m=from_bow_m, off_centre_m=off_centre_m)
        return weigh(scenario(), parts=[part], plate=plate)

    return of


def plate(**keys):
    return Plate.model_validate(keys)


def verdicts(result):
    return {check.name: check.verdict for check in result.plate}


def test_the_skiff_by_hand(weighed):
    # Waterline 0.91 x 5.2 by 0.87 x 1.9 m, 0.8 of it wet: 6.258 m2, in water of 1000 kg/m3.
    # Its middle is 0.42 of 4.732 m before the transom: 3.2126 m from the stem. The bank 0.7 m
    # from the stem trims her by 84 x 2.5126 over 1000 x 0.64 x 1.653 x 4.732^2 / 12 m.
    result = weighed(0.7)
    assert result.immersion_kg_per_m == pytest.approx(6257.6, rel=1e-4)
    assert result.sinkage_m == pytest.approx(0.013424, rel=1e-3)
    assert result.trim_m == pytest.approx(84 * 2.51256 / 1974.1, rel=1e-3)
    assert result.trim_deg == pytest.approx(1.294, abs=2e-3)
    assert result.trim_words == "bow down"
    # The stem is 0.58 of the waterline ahead of that middle.
    assert result.bow_sinkage_m == pytest.approx(0.013424 + 0.58 * 0.10691, rel=1e-3)
    assert result.stern_sinkage_m == pytest.approx(0.013424 - 0.42 * 0.10691, rel=1e-3)
    assert result.persons_equivalent == pytest.approx(1.313, abs=5e-4)


def test_the_trim_changes_sign_at_the_middle_of_the_waterplane(weighed):
    assert weighed(0.5).trim_words == "bow down"
    assert weighed(3.2126).trim_words == "hardly any trim"
    assert weighed(5.0).trim_words == "stern down"
    assert weighed(5.0).trim_m < 0.0 < weighed(0.5).trim_m


def test_a_bank_split_fore_and_aft_trims_like_its_middle(scenario, weighed):
    parts = [PlacedWeight(mass_kg=42.0, from_bow_m=place) for place in (0.7, 4.7)]
    split = weigh(scenario(), parts=parts)
    assert split.trim_m == pytest.approx(weighed(2.7).trim_m)
    assert split.bank_kg == BANK_KG


def test_without_a_place_the_trim_is_not_guessed(weighed):
    result = weighed()
    assert (result.trim_m, result.trim_deg, result.bow_sinkage_m) == (None, None, None)
    assert result.trim_words == "not known"
    assert "where the bank stands" in result.unknown[0]
    assert result.sinkage_m > 0.0


def test_a_bank_off_the_centreline_heels_her_to_that_side(weighed):
    # 500 + 160 + 20 + 84 kg afloat, a metacentric height of 1 m: common practice, no source.
    expected = math.degrees(math.atan(84 * 0.3 / 764))
    assert weighed(off_centre_m=0.3).heel_deg == pytest.approx(expected)
    assert weighed(off_centre_m=-0.3).heel_deg == pytest.approx(-expected)
    assert weighed().heel_deg is None


def test_salt_water_carries_her_higher_and_a_jon_boat_floats_stiffer(scenario, weighed):
    part = [PlacedWeight(mass_kg=BANK_KG, from_bow_m=0.7)]
    salt = weigh(scenario(**{"day.water": "salt"}), parts=part)
    assert salt.sinkage_m == pytest.approx(weighed(0.7).sinkage_m / 1.028, rel=1e-3)
    jon = weigh(scenario(**{"boat.hull": "jon-boat"}), parts=part)
    assert jon.trim_m < weighed(0.7).trim_m


def test_no_bank_moves_nothing(scenario):
    result = weigh(scenario(), parts=[])
    assert (result.bank_kg, result.sinkage_m, result.trim_m) == (0.0, 0.0, 0.0)


def test_the_plates_total_holds_people_motors_bank_and_gear(weighed):
    # 160 + 20 + 84 + 100 + 50 kg.
    full = {"engine_weight": "100 kg", "gear_weight": "50 kg"}
    (check,) = weighed(plate=plate(total_weight="500 kg", **full)).plate
    assert (check.number, check.limit) == (pytest.approx(414.0), 500.0)
    assert check.margin == pytest.approx(86.0)
    assert check.verdict == "pass"
    (tight,) = weighed(plate=plate(total_weight="420 kg", **full)).plate
    assert (tight.verdict, tight.why) == ("look again", "nearly all the plate allows")
    (over,) = weighed(plate=plate(total_weight="400 kg", **full)).plate
    assert (over.verdict, over.why) == ("caution", "more than the plate allows")


def test_what_is_not_weighed_is_never_a_pass(weighed):
    (check,) = weighed(plate=plate(total_weight="2 t")).plate
    assert check.verdict == "look again"
    assert "the main engine with fuel and gear" in check.why
    (check,) = weighed(plate=plate(total_weight="2 t", gear_weight="30 kg")).plate
    assert check.why.endswith("must also carry the main engine with fuel: weigh them")
    (check,) = weighed(plate=plate(total_weight="200 kg")).plate
    assert (check.verdict, check.why[:30]) == ("caution", "more than the plate allows, be")


def test_persons_are_counted_and_weighed(weighed):
    # Two of 80 kg.
    rows = {"persons": 2, "persons_weight": "200 kg"}
    assert verdicts(weighed(plate=plate(**rows))) == {
        "persons": "pass", "persons_weight": "pass"
    }  # fmt: skip
    rows = {"persons": 1, "persons_weight": "150 kg"}
    assert verdicts(weighed(plate=plate(**rows))) == {
        "persons": "caution", "persons_weight": "caution"
    }  # fmt: skip
    exactly = {"persons": 2, "persons_weight": "160 kg"}
    assert verdicts(weighed(plate=plate(**exactly)))["persons_weight"] == "look again"


def test_no_plate_no_verdict(weighed):
    assert weighed(0.7).plate == ()


def test_a_heavier_bank_never_gets_a_better_verdict(weighed):
    order = ["pass", "look again", "caution"]
    keys = {"total_weight": "450 kg", "engine_weight": "100 kg", "gear_weight": "50 kg"}
    found = [
        order.index(weighed(plate=plate(**keys), mass_kg=mass).plate[0].verdict)
        for mass in (10.0, 60.0, 100.0, 119.0, 121.0, 200.0)
    ]
    assert found == sorted(found)
    assert set(found) == {0, 1, 2}


def test_the_words_warn_and_never_approve(weighed):
    result = weighed(0.7, plate=plate(persons=4))
    text = " ".join((*result.cautions, *result.unknown, *(one.why for one in result.plate)))
    assert "33 CFR 183" in text
    assert "25 %" in text
    assert "freeboard at the bow" in text
    assert "freeboard at the bow" not in " ".join(weighed(5.0).cautions)
    assert " safe" not in text
    assert "compl" not in text


def test_a_bank_outside_the_boat_is_refused(weighed):
    with pytest.raises(ScenarioError, match=r"outside a boat 5\.20 m long"):
        weighed(6.0)


def test_engine_and_gear_heavier_than_the_boat_are_refused(weighed):
    with pytest.raises(ScenarioError, match="more than the whole boat, 500 kg"):
        weighed(plate=plate(total_weight="1 t", engine_weight="400 kg", gear_weight="200 kg"))


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        ({"place": "bow"}, 0.75),
        ({"place": "console"}, 2.75),
        ({"place": "stern"}, 4.5),
        ({"from_bow": "2 m"}, 2.0),
        ({}, None),
    ],
)
def test_a_locker_says_where_it_is(keys, expected):
    size = {"name": "aft", "length": "24 in", "width": "15 in", "height": "11 in"}
    locker = Locker.model_validate(size | keys)
    found = locker_from_bow_m(locker, boat_length_m=5.0)
    assert found == (None if expected is None else pytest.approx(expected))


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ({}, "says nothing of what the plate allows"),
        ({"gear_weight": "20 kg"}, "says nothing of what the plate allows"),
        ({"persons": 4, "gear_weight": "20 kg"}, "means nothing without 'total_weight'"),
        ({"persons": 0}, "greater than or equal to 1"),
        ({"total_weight": "900"}, "kg"),
        ({"total_weight": "500 kg", "persons_weight": "600 kg"}, "is more than 'total_weight'"),
    ],
)
def test_a_plate_that_makes_no_sense_is_refused(keys, message):
    with pytest.raises(ValidationError, match=message):
        Plate.model_validate(keys)


def test_a_plate_reads_pounds():
    # 1 lb is 0.45359237 kg by definition.
    read = plate(persons=5, persons_weight="750 lb", total_weight="1100 lb")
    assert read.persons_weight_kg == pytest.approx(340.194, abs=1e-3)
    assert read.total_weight_kg == pytest.approx(498.952, abs=1e-3)
