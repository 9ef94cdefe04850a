"""What age, use and storage leave of a battery: by hand, from the figures of the list."""

import math

import pytest

from energysim.build.block import build_block
from energysim.build.worn import capacity_left, morning_soc, worn_resistance_factor
from energysim.catalogue import chemistry
from energysim.errors import ScenarioError
from energysim.scenario.load import validate

LABEL = {"chemistry": "flooded", "capacity": "100 Ah"}


@pytest.fixture
def left(plain_day):
    """From keys of [bank] to what is left, its notes and its warnings."""

    def of(**keys):
        label = validate(plain_day() | {"bank": LABEL | keys}).bank
        return capacity_left(label, build_block(label))

    return of


def test_a_new_bank_has_what_its_label_says(left):
    assert left() == (1.0, (), ())


def test_years_alone_wear_a_bank_by_the_calendar(left):
    # Three of the list's five years: three fifths of the 20 % that make the end of life.
    fraction, notes, warnings = left(age="3 yr")
    assert fraction == pytest.approx(1.0 - 0.2 * 3.0 / 5.0)
    assert "88% of the label is left, guessed from 3 years" in notes[0]
    assert not warnings


def test_many_deep_trips_wear_it_faster_than_the_calendar(left):
    # 600 trips 40 % deep; on a log-log line from 1100 at 30 % to 600 at 50 %: 782 in a life.
    slope = math.log(600 / 1100) / math.log(0.5 / 0.3)
    cycles = 1100 * (0.4 / 0.3) ** slope
    fraction, notes, _ = left(age="3 yr", trips_a_year=200, usual_depth=0.4)
    assert fraction == pytest.approx(1.0 - 0.2 * 600 / cycles)
    assert "3 years of 200 trips 40% deep" in notes[0]


def test_a_usual_trip_goes_as_deep_as_the_plan_may_unless_said(left):
    said = left(age="3 yr", trips_a_year=150, usual_depth=0.3, depth_of_discharge=0.3)
    assert left(age="3 yr", trips_a_year=150, depth_of_discharge=0.3)[0] == said[0]
    half = left(age="3 yr", trips_a_year=150, usual_depth=0.5)
    assert left(age="3 yr", trips_a_year=150)[0] == half[0]


def test_what_was_measured_wins_over_any_guess_and_says_so(left):
    fraction, notes, warnings = left(age="3 yr", capacity_fraction=0.7)
    assert fraction == 0.7
    assert "the measured 70% of the label stands; 3 years would have made it 88%" in notes[0]
    assert not warnings


def test_a_measured_one_is_taken_even_when_it_says_new(left):
    assert left(age="3 yr", capacity_fraction=1.0)[0] == 1.0


def test_a_bank_past_its_life_is_doubted(left):
    fraction, _, warnings = left(age="7 yr")
    assert fraction == pytest.approx(0.72)
    assert "past its life (72%" in warnings[0]


def test_several_lives_are_no_guess_at_all(left):
    with pytest.raises(ScenarioError, match="measure it and give capacity_fraction") as caught:
        left(age="24 yr", trips_a_year=300, usual_depth=0.8)
    assert caught.value.problems[0].path == "bank.age"


def test_the_worse_a_bank_the_stiffer_it_is():
    # 1.5 to 2 times at the end of life, 80 % of capacity (from memory): the middle.
    assert worn_resistance_factor(1.0) == 1.0
    assert worn_resistance_factor(0.8) == pytest.approx(1.75)
    assert worn_resistance_factor(0.6) == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("stored", "degc", "expected"),
    [("0 s", 20.0, 0.9), ("1 month", 20.0, 0.9 * 0.92), ("1 month", 30.0, 0.9 * 0.92**2)],
    ids=["no-time", "a-month", "a-warm-month"],
)
def test_a_battery_runs_down_by_itself(plain_day, stored, degc, expected):
    # 8 % of what is left a month at 20 degC (common practice), twice that at 30 degC.
    label = validate(plain_day() | {"bank": LABEL | {"stored": stored}}).bank
    assert chemistry("flooded").self_discharge_per_month == 0.08
    assert morning_soc(0.9, label, build_block(label), degc) == pytest.approx(expected)
