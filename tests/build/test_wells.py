"""
From the figures of a label to both laws of discharge.

Worked figures: Peukert's law and the fits of the two wells by hand from their closed forms
(Manwell and McGowan 1993, from memory); the definition of the reserve from BCI (25 A to 1.75 V
a cell, from memory).
"""

import numpy as np
import pytest

from energysim.build.block import build_block
from energysim.build.wells import build_discharge
from energysim.catalogue import batteries, chemistry
from energysim.errors import ScenarioError
from energysim.physics.discharge import capacity_lasting_ah
from energysim.physics.wells import Wells, wells_capacity_lasting_ah, wells_runtime_h
from energysim.scenario.load import validate

LABEL = {"chemistry": "flooded", "capacity": "100 Ah"}


@pytest.fixture
def discharge(plain_day):
    """From keys of [bank] to both laws of its block."""

    def of(keys):
        label = validate(plain_day() | {"bank": keys}).bank
        return build_discharge(label, build_block(label))

    return of


def by_peukert(time_h, exponent, capacity_ah=100.0):
    return capacity_ah * (time_h / 20.0) ** (1.0 - 1.0 / exponent)


def rating(time_h, capacity_ah):
    return {"time": f"{time_h} h", "capacity": f"{capacity_ah} Ah"}


@pytest.mark.parametrize(
    "name", [n for n, b in batteries().items() if b.reserve_min and "lfp" not in n]
)
def test_a_listed_label_comes_back_out_of_both_laws(discharge, name):
    listed = batteries()[name]
    laws = discharge({"battery": name})
    reserve_h, reserve_ah = listed.reserve_min / 60.0, listed.reserve_min / 60.0 * 25.0
    for wells in (laws.wells, laws.slow_wells, laws.fast_wells):
        given = wells_capacity_lasting_ah([20.0, reserve_h], wells=wells)
        assert given == pytest.approx([listed.capacity_ah, reserve_ah], rel=1e-9)
    assert capacity_lasting_ah(
        reserve_h, capacity_ah=listed.capacity_ah, rated_time_h=20.0, exponent=laws.exponent
    ) == pytest.approx(reserve_ah, rel=1e-9)


@pytest.mark.parametrize("name", list(batteries()))
def test_every_listed_battery_has_wells_that_give_its_ampere_hours(discharge, name):
    laws = discharge({"battery": name})
    assert float(
        wells_capacity_lasting_ah(batteries()[name].rated_time_h, wells=laws.wells)
    ) == pytest.approx(batteries()[name].capacity_ah, rel=1e-9)
    assert 0.1 < float(laws.wells.available_share) <= 1.0


def test_the_reserve_of_a_label_gives_the_exponent(discharge):
    # ln(20 * 60 / 185) / ln(25 * 20 / 105): 1.198, by hand.
    laws = discharge(LABEL | {"capacity": "105 Ah", "reserve": "185 min"})
    assert laws.exponent == pytest.approx(1.198, abs=5e-4)
    assert "exponent 1.198, from the label's reserve minutes" in " ".join(laws.notes)


def test_lead_acid_goes_by_two_wells_and_lithium_by_peukert_unless_said(discharge):
    assert discharge(LABEL).kinetic
    assert not discharge(LABEL | {"law": "peukert"}).kinetic
    assert not discharge(LABEL | {"chemistry": "lfp"}).kinetic
    assert discharge(LABEL | {"chemistry": "lfp", "law": "kinetic"}).kinetic
    assert "two wells, usual for" in " ".join(discharge(LABEL).notes)


def test_one_rating_takes_the_second_from_the_chemistrys_exponent(discharge):
    usual = chemistry("flooded").peukert_exponent
    laws = discharge(LABEL)
    hours = 20.0 * (100.0 / (25.0 * 20.0)) ** usual  # Peukert's law at the reserve's 25 A
    assert float(wells_runtime_h(25.0, wells=laws.wells)) == pytest.approx(hours, rel=1e-9)
    assert laws.exponent == usual


def test_the_exponent_a_user_gives_is_met_by_both_laws(discharge):
    laws = discharge(LABEL | {"peukert_exponent": 1.3, "reserve": "175 min"})
    hours = 20.0 * (100.0 / 500.0) ** 1.3
    assert laws.exponent == 1.3
    assert "in place of the label's reserve" in " ".join(laws.notes)
    assert float(wells_runtime_h(25.0, wells=laws.wells)) == pytest.approx(hours, rel=1e-9)


def test_an_ideal_block_is_one_well(discharge):
    laws = discharge(LABEL | {"peukert_exponent": 1.0})
    assert float(laws.wells.available_share) == pytest.approx(1.0)
    assert float(laws.wells.total_ah) == pytest.approx(100.0)


def test_a_large_block_is_judged_at_twice_its_rated_current(discharge):
    # 600 Ah over 20 h are 30 A already: the reserve says nothing, and is told to be left out.
    laws = discharge(LABEL | {"capacity": "600 Ah", "reserve": "1300 min"})
    usual = chemistry("flooded").peukert_exponent
    assert laws.exponent == usual
    assert "reserve is left out" in " ".join(laws.warnings)
    hours = 20.0 * 0.5**usual
    assert float(wells_runtime_h(60.0, wells=laws.wells)) == pytest.approx(hours, rel=1e-9)


def test_the_rate_of_two_ratings_is_a_choice_with_a_range(discharge):
    laws = discharge(LABEL | {"reserve": "174 min"})
    rates = [float(w.rate_per_h) for w in (laws.slow_wells, laws.wells, laws.fast_wells)]
    assert rates == [0.2, 0.36, 2.0]
    assert "0.36 per h" in " ".join(laws.notes)
    # Totals 7 to 22 % above the rated charge for rates of 2 down to 0.2 per h (computed).
    totals = [float(w.total_ah) for w in (laws.slow_wells, laws.fast_wells)]
    assert totals == pytest.approx([122.0, 107.0], abs=1.0)


def test_a_rate_the_user_gives_is_no_choice_of_ours(discharge):
    laws = discharge(LABEL | {"reserve": "174 min", "well_rate": "0.5 per h"})
    assert float(laws.wells.rate_per_h) == 0.5
    assert laws.slow_wells is None
    assert laws.fast_wells is None


def test_a_label_that_falls_off_steeply_takes_the_slowest_wells_that_give_it(discharge):
    # 20 Ah with 1.6: 7 min of 25 A, 2.9 of the 20 Ah; at 0.2 per h no wells keep so much back.
    laws = discharge(LABEL | {"capacity": "20 Ah", "peukert_exponent": 1.6})
    slow, fast = float(laws.slow_wells.rate_per_h), float(laws.fast_wells.rate_per_h)
    assert 0.2 < slow < 0.6
    assert fast == 2.0
    hours = 20.0 * (1.0 / 25.0) ** 1.6
    for wells in (laws.slow_wells, laws.wells, laws.fast_wells):
        assert wells_capacity_lasting_ah([20.0, hours], wells=wells) == pytest.approx(
            [20.0, 25.0 * hours]
        )


def test_a_rate_no_wells_of_the_label_can_have_is_refused(discharge):
    keys = {"capacity": "20 Ah", "peukert_exponent": 1.6, "well_rate": "0.06 per h"}
    with pytest.raises(
        ScenarioError, match="no two wells give the label at this rate"
    ) as caught:
        discharge(LABEL | keys)
    assert caught.value.problems[0].path == "bank.well_rate"


def test_wells_no_battery_has_are_doubted(discharge):
    # Nearly all that is lost by 1 h is lost by 10 h already: the wells hardly level out.
    laws = discharge(LABEL | {"rating": [rating(10, 77.6), rating(1, 60)]})
    assert "wells no such battery has" in " ".join(laws.warnings)


def test_three_ratings_fix_the_rate_and_the_misfit_is_told(discharge):
    # Ratings by Peukert's law, 1.2, at 20, 10 and 1 h; the fit solved apart (computed): total
    # 114.89 Ah, share 0.4851, rate 0.3560 per h.
    ratings = [rating(time, by_peukert(time, 1.2)) for time in (10, 1)]
    laws = discharge(LABEL | {"rating": ratings})
    assert float(laws.wells.total_ah) == pytest.approx(114.89, abs=0.02)
    assert float(laws.wells.available_share) == pytest.approx(0.4851, abs=1e-3)
    assert float(laws.wells.rate_per_h) == pytest.approx(0.3560, abs=1e-3)
    assert laws.slow_wells is None
    assert laws.exponent == pytest.approx(1.2, abs=1e-6)
    assert "Peukert's law is out by up to 0.0%, the two wells by up to 0.0%" in laws.notes[-1]


def test_more_ratings_than_the_laws_have_numbers_leave_a_misfit(discharge):
    ratings = [rating(10, 92), rating(5, 79), rating(1, 60)]
    laws = discharge(LABEL | {"rating": ratings})
    told = laws.notes[-1]
    times = np.array([20.0, 10.0, 5.0, 1.0])
    given = np.array([100.0, 92.0, 79.0, 60.0])
    peukert = np.abs(by_peukert(times, laws.exponent) / given - 1.0).max()
    wells = np.abs(wells_capacity_lasting_ah(times, wells=laws.wells) / given - 1.0).max()
    assert 0.0 < wells < 0.05
    assert f"out by up to {peukert:.1%}, the two wells by up to {wells:.1%}" in told


def test_ratings_no_wells_can_meet_fall_back_on_two_and_say_so(discharge):
    # The middle rating lies so near the short one that all is lost between 20 and 10 h.
    laws = discharge(LABEL | {"rating": [rating(10, 61), rating(1, 60)]})
    assert "ratings of the label: 61 Ah in 10 h contradicts" in " ".join(laws.warnings)
    given = wells_capacity_lasting_ah([20.0, 1.0], wells=laws.wells)
    assert given == pytest.approx([100.0, 60.0])
    assert isinstance(laws.slow_wells, Wells)


def test_lithium_takes_no_exponent_from_a_reserve(discharge):
    laws = discharge(LABEL | {"chemistry": "lfp", "reserve": "200 min"})
    assert laws.exponent == chemistry("lfp").peukert_exponent


def test_an_unusual_exponent_is_doubted(discharge):
    assert not discharge(LABEL | {"reserve": "174 min"}).warnings
    assert "above 1.5 is not usual" in discharge(LABEL | {"reserve": "100 min"}).warnings[0]


@pytest.mark.parametrize(
    ("keys", "path", "reason"),
    [
        pytest.param({"reserve": "250 min"}, "bank.reserve", "below 1", id="reserve"),
        pytest.param(
            {"rating": [rating(5, 104)]}, "bank.rating[1]", "cannot give less", id="harder"
        ),
        pytest.param(
            {"rating": [rating(5, 20)]}, "bank.rating[1]", "a larger current", id="gentler"
        ),
        pytest.param(
            {"rating": [rating(20, 99)]}, "bank.rating[1]", "same 20 h as another", id="twice"
        ),
        pytest.param(
            {"rating": [rating(10, 90), rating(5, 95)]},
            "bank.rating[2]",
            "95 Ah over 5 h: a gentler",
            id="of-two-rows",
        ),
        pytest.param(
            {"rating": [rating(10, 90), rating(5, 80)], "well_rate": "1 per h"},
            "bank.well_rate",
            "follows from the label's 3 ratings",
            id="solved",
        ),
    ],
)
def test_a_label_that_contradicts_itself_is_refused(discharge, keys, path, reason):
    with pytest.raises(ScenarioError, match=reason) as caught:
        discharge(LABEL | keys)
    assert [problem.path for problem in caught.value.problems] == [path]
