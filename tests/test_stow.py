"""
From lockers and blocks to an answer in words, as a customer reads it.

Case sizes are those of the trade's groups as public tables give them; clearances and what a
chemistry allows are common practice, no source.
"""

import re
from dataclasses import replace

import pytest

from energysim.errors import ScenarioError
from energysim.results.stow import StowRemedy
from energysim.scenario.locker import Locker
from energysim.stow import Block, fit_blocks, words

INCH_M = 0.0254
POUND_KG = 0.45359237
GROUP_24 = Block(
    name="24-flooded",
    length_m=10.25 * INCH_M,
    width_m=6.8125 * INCH_M,
    height_m=8.875 * INCH_M,
    count=2,
    chemistry="flooded",
    mass_kg=45 * POUND_KG,
)
GROUP_31 = replace(
    GROUP_24,
    name="31-flooded",
    length_m=13.0 * INCH_M,
    height_m=9.4375 * INCH_M,
    mass_kg=65 * POUND_KG,
)


def locker(**keys):
    plain = {"name": "console", "length": "24 in", "width": "15 in", "height": "11.1 in"}
    return Locker.model_validate(plain | keys)


def numbers_of(result):
    """All that a caller might count on besides the words."""
    return result.fits, result.most, result.blocks


def test_two_24s_fit_the_customers_locker_and_say_where():
    result = fit_blocks([locker()], [GROUP_24])
    assert numbers_of(result) == (True, 2, 2)
    assert (result.headline, result.upright) == ("fits", "fits")
    assert result.arrangement[0] == "console: 2 x 24-flooded upright"
    assert "0.5 in from the end" in result.arrangement[1]
    assert result.missing == ()


def test_two_31s_are_too_tall_for_it():
    # 9.4375 + 2 - 11.1 = 0.3375 in = 0.857 cm; both rounded up.
    result = fit_blocks([locker()], [GROUP_31])
    assert numbers_of(result) == (False, 0, 2)
    assert result.headline == "0.4 in too low"
    assert "All go in if console is 0.4 in (0.9 cm) higher." in result.missing
    assert [remedy.height_m for remedy in result.remedies] == [
        pytest.approx(0.3375 * INCH_M, abs=1e-9)
    ]


def test_a_metric_reader_gets_centimetres():
    result = fit_blocks([locker()], [GROUP_31], system="metric")
    assert result.headline == "0.9 cm too low"
    assert not re.search(r"\d in\b", " ".join((*result.missing, *result.rules)))


@pytest.mark.parametrize(
    ("chemistry", "verdict"),
    [
        ("flooded", "0.4 in too low"),
        ("agm", "fits lying down"),
        ("gel", "fits lying down"),
        ("lfp", "0.4 in too low"),
        ("an unheard-of one", "0.4 in too low"),
    ],
)
def test_only_sealed_lead_lies_down_without_the_makers_word(chemistry, verdict):
    result = fit_blocks([locker()], [replace(GROUP_31, chemistry=chemistry)])
    assert result.headline == verdict
    assert result.upright == "0.4 in too low"
    lying = [line for line in result.cautions if "lies down" in line]
    assert len(lying) == (verdict == "fits lying down")


def test_the_makers_word_goes_before_the_chemistry():
    lithium = replace(GROUP_31, chemistry="lfp", may_lie=True)
    assert fit_blocks([locker()], [lithium]).headline == "fits lying down"
    sealed = replace(GROUP_31, chemistry="agm", may_lie=False)
    assert fit_blocks([locker()], [sealed]).headline == "0.4 in too low"


def test_upright_is_taken_where_it_will_do():
    result = fit_blocks([locker(height="14 in")], [replace(GROUP_31, chemistry="agm")])
    assert result.headline == "fits"
    assert {place.pose for place in result.places} == {"upright"}


def test_one_block_goes_aft_and_two_in_the_console():
    console = locker(length="15.5 in", width="15.5 in", height="12 in")
    aft = locker(name="aft", length="15 in", width="8.5 in", height="12 in")
    result = fit_blocks([console, aft], [replace(GROUP_31, count=3)])
    assert result.fits
    assert [line for line in result.arrangement if not line.startswith(" ")] == [
        "console: 2 x 31-flooded upright",
        "aft: 1 x 31-flooded upright",
    ]


def test_a_block_kept_to_a_locker_is_not_put_elsewhere():
    console, aft = locker(height="13 in"), locker(name="aft", height="13 in")
    result = fit_blocks([console, aft], [replace(GROUP_31, lockers=("aft",))])
    assert {place.locker for place in result.places} == {"aft"}


def test_with_several_lockers_the_headline_names_the_one():
    console, aft = locker(), locker(name="aft", height="11.3 in")
    result = fit_blocks([console, aft], [GROUP_31])
    assert result.headline == "aft: 0.2 in too low"


def test_an_opening_too_small_is_the_headline():
    # Flooded goes in upright: 13 + 0.5 = 13.5 in of 12.
    small = locker(height="13 in", hatch_length="12 in", hatch_width="7.5 in")
    result = fit_blocks([small], [GROUP_31])
    assert result.headline == "opening 1.5 in too small"
    assert result.openings[0].length_m == pytest.approx(1.5 * INCH_M)
    assert result.remedies == ()
    # A sealed one goes in end first, with a caution.
    tilted = fit_blocks([small], [replace(GROUP_31, chemistry="agm")])
    assert tilted.fits
    assert any("only tilted" in line for line in tilted.cautions)


def test_a_fit_to_a_hair_is_said_to_be_one():
    # 2 x 6.8125 + 1.5 = 15.125 in: nothing to spare.
    snug = locker(width="15.125 in")
    four = replace(GROUP_24, count=4)
    assert fit_blocks([snug], [four]).only_just
    assert not fit_blocks([locker(width="16 in")], [four]).only_just
    assert any("Only just" in line for line in fit_blocks([snug], [four]).cautions)


@pytest.mark.parametrize(
    ("mass_lb", "cautioned"), [(49.9, False), (50.1, True), (None, True)], ids=str
)
def test_two_people_lift_above_fifty_pounds_or_when_the_mass_is_not_known(mass_lb, cautioned):
    # NIOSH reference load 51 lb, from memory; 50 lb common practice.
    block = replace(GROUP_24, mass_kg=mass_lb and mass_lb * POUND_KG)
    lines = fit_blocks([locker()], [block]).cautions
    assert any("two people" in line for line in lines) == cautioned


def test_more_than_is_searched_is_not_decided():
    result = fit_blocks([locker()], [replace(GROUP_24, count=49)])
    assert result.fits is None
    assert result.headline == "not decided"
    assert "not searched" in result.missing[0]


@pytest.mark.parametrize("count", [1, 4, 49])
def test_no_answer_claims_more_than_it_may(count):
    lockers = [locker(hatch_length="14 in", hatch_width="9 in")]
    result = fit_blocks(lockers, [replace(GROUP_24, count=count)])
    told = " ".join(
        (
            result.headline,
            *result.arrangement,
            *result.missing,
            *result.cautions,
            *result.rules,
        )
    )
    assert not re.search(r"\bsafe|compl(y|ies)|approved", told, re.IGNORECASE)
    assert "planning estimate" in told or count == 49


@pytest.mark.parametrize(
    ("key", "value", "line"),
    [
        ("wall_gap", "0.75 in", "0.75 in at walls"),
        ("case_gap", "1 in", "1 in between cases"),
        ("terminal_gap", "1.5 in", "1.5 in past terminals"),
        ("box_wall", "1 in", "box 1 in"),
    ],
)
def test_the_rules_tell_the_clearances_kept(key, value, line):
    rules = fit_blocks([locker(**{key: value})], [GROUP_24]).rules
    assert any(line in rule for rule in rules)


TURNS = {
    "name": "aft",
    "length": "11 in",
    "width": "11 in",
    "height": "10 in",
    "hatch_length": "9.5 in",
    "hatch_width": "7 in",
    "hatch_in": "side",
    "wall_gap": "2 in",
    "case_gap": "4 in",
    "terminal_gap": "3 in",
    "box_wall": "2.5 in",
    "hatch_gap": "2.5 in",
}
ELSEWHERE = {"place", "from_bow", "holds_fuel", "charger_above", "vented"}
"""Keys of a locker that other checks read: weight, gas, fuel, and what hangs above."""


@pytest.mark.parametrize("key", TURNS)
def test_every_key_of_a_locker_that_bears_on_room_turns_the_answer(key):
    # Three go in crosswise through a lid of 14 x 9 in. What the rules echo does not count.
    plain = {"hatch_length": "14 in", "hatch_width": "9 in"}

    def answer(**keys):
        found = fit_blocks([locker(**plain | keys)], [replace(GROUP_24, count=3)])
        return replace(found, rules=())

    assert answer().fits
    assert answer(**{key: TURNS[key]}) != answer()


def test_no_key_of_a_locker_is_forgotten():
    keys = {field.alias or name for name, field in Locker.model_fields.items()}
    assert keys == set(TURNS) | ELSEWHERE


@pytest.mark.parametrize(
    ("lockers", "blocks", "message"),
    [
        ([], [GROUP_24], "there is no locker"),
        ([locker(), locker()], [GROUP_24], r"locker\[2\].name = 'console': two lockers"),
        ([locker()], [replace(GROUP_24, lockers=("aft",))], "no such locker .the lockers are"),
    ],
    ids=["no-locker", "one-name-twice", "pinned-nowhere"],
)
def test_lockers_that_cannot_be_told_apart_or_found_are_refused(lockers, blocks, message):
    with pytest.raises(ScenarioError, match=message):
        fit_blocks(lockers, blocks)


def test_what_was_not_proved_the_least_is_told_as_a_bound():
    remedy = StowRemedy(locker="console", length_m=2.0 * INCH_M, width_m=0.0, height_m=0.0)
    told = {
        proved: words.headline(
            "does not fit",
            remedies=(remedy,),
            remedies_proved=proved,
            openings=(),
            several=False,
            system="us",
        )
        for proved in (True, False)
    }
    assert told == {True: "2.0 in too short", False: "up to 2.0 in too short"}
