"""A whole run: its parts agree, and "what to change" is the day that was really changed."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from energysim.frames import legs_frame
from energysim.report.document import day_document, document_text, series_csv
from energysim.results.day import columns, frame
from energysim.runner import run_day
from energysim.scenario.load import load_scenario
from energysim.scenario.overlay import overlay

SHIPPED = sorted((Path(__file__).parents[1] / "scenarios").glob("*/*.toml"))
shipped = pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
TIDE = {
    "stream": {
        "flood_toward": "30 deg",
        "ebb_toward": "210 deg",
        "event": [
            {"at": "04:10", "kind": "slack"},
            {"at": "07:20", "kind": "flood", "speed": "2.3 kn"},
            {"at": "10:40", "kind": "slack"},
            {"at": "13:50", "kind": "ebb", "speed": "1.9 kn"},
        ],
    }
}


@pytest.fixture(scope="module")
def ran(plain_day, load_raw):
    def run(changes=None, **options):
        return run_day(load_raw(overlay(plain_day(), changes or {})), **options)

    return run


@shipped
def test_every_shipped_day_runs_and_its_parts_agree(path):
    result = run_day(load_scenario(path))
    series = result.series
    assert set(series) <= set(columns())
    assert {len(values) for values in series.values()} == {len(result.leg_of_step)}
    assert all(np.isfinite(values).all() for values in series.values())
    assert result.end_soc == series["soc"][-1]
    assert result.lowest_soc == pytest.approx(series["soc"].min())
    assert result.charge_drawn_ah == pytest.approx(series["drawn_charge"][-1])
    assert result.off_station_s == pytest.approx(series["off_station"].sum())
    assert (np.diff(series["elapsed"]) > 0.0).all()
    assert series["step"].sum() == pytest.approx((result.end - result.start).total_seconds())
    assert sum(leg.charge_ah for leg in result.legs) == pytest.approx(result.charge_drawn_ah)
    assert 0.0 <= result.end_soc <= result.end_charge + 1e-12 <= 1.0 + 1e-12


@shipped
def test_every_shipped_day_holds(path):
    result = run_day(load_scenario(path), with_changes=False)
    assert result.outcome == "holds", result.verdict


@shipped
def test_what_to_change_does_not_touch_the_day_itself(path):
    loaded = load_scenario(path)
    alone = day_document(run_day(loaded, with_changes=False))
    beside = day_document(run_day(loaded))
    assert alone.pop("changes") == []
    assert len(beside.pop("changes")) >= 4
    assert alone == beside


@shipped
def test_the_document_is_plain_json_without_a_nan(path):
    document = day_document(run_day(load_scenario(path)))
    text = document_text(document)
    assert json.loads(text, parse_constant=pytest.fail) == document

    def numbers(node):
        if isinstance(node, dict):
            return [n for value in node.values() for n in numbers(value)]
        if isinstance(node, list):
            return [n for value in node for n in numbers(value)]
        return [node] if isinstance(node, float) else []

    assert all(math.isfinite(number) for number in numbers(document))


def test_adding_a_string_is_the_day_with_two_strings(ran):
    change = by_name(ran({"wind.speed": "28 kn", "wind.gust": "34 kn"}), "add a string of 2")
    other = ran({"wind.speed": "28 kn", "wind.gust": "34 kn", "bank.parallel": 2})
    assert change.end_soc == pytest.approx(other.end_soc, rel=1e-12)
    assert change.outcome == other.outcome


def test_an_hour_later_is_the_plan_moved_on_the_same_tide(ran):
    base = {"leg[1].for": "3 h"} | TIDE
    result = ran(base)
    later = by_name(result, "start an hour later")
    other = ran(base | {"leg[1].start": "07:00"})
    assert later.end_soc == pytest.approx(other.end_soc, rel=1e-12)
    assert later.end_soc_change == pytest.approx(other.end_soc - result.end_soc, rel=1e-9)
    assert abs(later.end_soc_change) > 0.001
    moved = ran(base, shift_s=3600.0)
    assert (moved.start - result.start).total_seconds() == 3600.0
    assert moved.end_soc == pytest.approx(other.end_soc, rel=1e-12)


def test_a_steady_day_does_not_care_when_it_starts(ran):
    result = ran()
    assert by_name(result, "start an hour later").end_soc_change == pytest.approx(
        0.0, abs=1e-12
    )


def test_the_hardest_hold_is_the_one_that_is_shortened(ran):
    legs = [
        {"name": "easy", "do": "hold", "start": "06:00", "for": "3 h", "wind_shelter": 0.5},
        {"name": "hard", "do": "hold", "for": "90 min"},
    ]
    result = ran({"leg": legs})
    change = by_name(result, "hold 'hard' 30 min less")
    legs[1]["for"] = "60 min"
    shorter = ran({"leg": [*legs, {"do": "rest", "for": "30 min"}]})
    assert change.end_soc == pytest.approx(shorter.end_soc, rel=1e-12)


def test_letting_the_outboard_down_costs_and_tilting_it_saves(ran):
    tilted = ran(TIDE)
    down = ran(TIDE | {"boat.outboard": "down"})
    assert by_name(tilted, "let the outboard down").end_soc == pytest.approx(down.end_soc)
    assert by_name(down, "tilt the outboard up").end_soc == pytest.approx(tilted.end_soc)
    assert down.end_soc < tilted.end_soc


def test_what_cannot_be_tried_says_why(ran):
    result = ran(TIDE | {"leg[1].start": "04:30"})
    earlier = by_name(result, "start an hour earlier")
    assert earlier.skipped.startswith("the stream is given from")
    assert earlier.outcome == ""
    assert result.changes[-1] is earlier


def test_the_most_helpful_change_stands_first(ran):
    changes = ran({"wind.speed": "36 kn", "wind.gust": "40 kn"}).changes
    order = {"holds": 0, "short": 1, "deep": 2, "empty": 3}
    outcomes = [order[change.outcome] for change in changes]
    assert outcomes == sorted(outcomes)
    assert changes[0].end_soc_change > 0.0


def test_the_ampere_hours_are_counted_against_the_label_as_aged_not_as_cold(ran):
    aged = {"bank.capacity_fraction": 0.8, "bank.temperature": "0 degC", "bank.start_soc": 0.9}
    result = ran(aged, with_changes=False)
    # Two 110 Ah blocks in series, of which age leaves 88 Ah; the cold takes none of those away.
    assert result.end_charge == pytest.approx(0.9 - result.charge_drawn_ah / 88.0, rel=1e-9)
    assert result.series["charge"][-1] == pytest.approx(result.end_charge)
    assert result.end_soc < result.end_charge - 0.01


def test_cutting_the_day_elsewhere_does_not_move_it(ran):
    # A step that fits neither the leg nor the hour still ends each leg on its minute.
    coarse = ran({"day.step": "420 s", "leg[1].for": "100 min"})
    fine = ran({"day.step": "60 s", "leg[1].for": "100 min"})
    assert coarse.end == fine.end
    assert coarse.end_soc == pytest.approx(fine.end_soc, abs=1e-4)


def test_a_night_when_clocks_change_has_its_real_length(ran):
    # New York, 8 March 2026: 02:00 becomes 03:00, so from 22:00 to 04:00 is five hours.
    spring = ran(
        {"day.date": "2026-03-07", "leg[1].start": "22:00", "leg[1].for": None}
        | {"leg[1].until": "04:00 next day"}
    )
    assert spring.series["step"].sum() == pytest.approx(5 * 3600.0)
    assert f"{spring.end:%H:%M %Z}" == "04:00 EDT"


def test_the_step_table_reads_as_a_frame_and_as_csv(ran):
    result = ran(with_changes=False)
    table = frame(result)
    assert len(table) == len(result.series["soc"])
    assert str(table.index.tz) == "America/New_York"
    assert table["leg"].iloc[0] == "the mark"
    assert_allclose(table["soc [1]"], result.series["soc"])
    assert len(legs_frame(result)) == len(result.legs)
    lines = series_csv(result).splitlines()
    assert len(lines) == 1 + len(table)
    assert lines[0].startswith("clock,leg,elapsed [s],")
    assert lines[1].startswith("2026-05-16T06:00:00-04:00,the mark,0,60,")


def by_name(result, begin):
    """The change whose name begins so."""
    return next(change for change in result.changes if change.name.startswith(begin))


# The bank's day.


def weak_block(fraction, number=2):
    return {"bank.block": [{"string": 1, "number": number, "capacity_fraction": fraction}]}


def test_the_other_law_is_the_day_run_by_it(ran):
    wells = ran({"bank.law": "kinetic"}, with_changes=False)
    peukert = ran({"bank.law": "peukert"}, with_changes=False)
    assert [law.law for law in wells.bank.laws] == ["kinetic", "peukert"]
    assert [law.law for law in peukert.bank.laws] == ["peukert", "kinetic"]
    for told, other in ((wells, peukert), (peukert, wells)):
        assert told.bank.laws[0].end_soc == told.end_soc
        assert told.bank.laws[1].end_soc == pytest.approx(other.end_soc, rel=1e-12)


def test_the_law_that_leaves_less_is_named_and_agreement_is_not(ran):
    hard_then_rest = {
        "bank.battery": "27-flooded", "wind.speed": "36 kn", "wind.gust": "36 kn",
        "leg": [
            {"name": "hard", "do": "hold", "start": "06:00", "for": "2 h"},
            {"do": "rest", "for": "5 h"},
        ],
    }  # fmt: skip
    bank = ran(hard_then_rest, with_changes=False).bank
    ends = {law.law: law.end_soc for law in bank.laws}
    assert ends["kinetic"] > ends["peukert"] + 0.05
    assert bank.lower_law == "peukert"
    idle = ran({"leg[1].do": "rest"}, with_changes=False).bank
    assert idle.lower_law == ""


def test_an_easy_morning_before_a_hard_afternoon_is_lower_by_the_wells(ran):
    legs = [
        {"name": "easy", "do": "hold", "start": "04:00", "for": "10 h", "wind_shelter": 0.5},
        {"name": "hard", "do": "hold", "for": "100 min"},
    ]
    day = {"bank.battery": "27-flooded", "wind.speed": "38 kn", "wind.gust": "38 kn"}
    bank = ran(day | {"leg": legs}, with_changes=False).bank
    ends = {law.law: law.end_soc for law in bank.laws}
    assert ends["kinetic"] < ends["peukert"] - 0.05
    assert bank.lower_law == "kinetic"


def test_the_pace_of_the_wells_is_told_with_its_range(ran):
    day = {"wind.speed": "28 kn", "wind.gust": "34 kn", "bank.law": "kinetic"}
    rate = ran(day, with_changes=False).bank.rate
    assert (rate.rate_per_h, rate.slow_per_h, rate.fast_per_h) == (0.36, 0.2, 2.0)
    # Each end is the day at that rate.
    for per_h, end in ((0.2, rate.slow_end_soc), (2.0, rate.fast_end_soc)):
        other = ran(day | {"bank.well_rate": f"{per_h} per h"}, with_changes=False)
        assert other.end_soc == pytest.approx(end, rel=1e-12)
        assert other.bank.rate is None
    assert ran({"bank.law": "peukert"}, with_changes=False).bank.rate is None


def test_a_tenth_less_in_one_block_ends_the_day_sooner_and_names_it(ran):
    gale = {"wind.speed": "36 kn", "wind.gust": "36 kn", "leg[1].for": "6 h"}
    even = ran(gale, with_changes=False)
    weak = ran(gale | weak_block(0.9), with_changes=False)
    assert weak.limit_reached_at < even.limit_reached_at
    uneven = weak.bank.uneven
    assert uneven.weakest == "block 2"
    assert uneven.even_end_soc == pytest.approx(even.end_soc, rel=1e-12)
    assert uneven.even_limit_reached_at == even.limit_reached_at
    assert uneven.matters
    assert any(warning.startswith("block 2 is the weakest") for warning in weak.warnings)
    blocks = {block.name: block for block in weak.bank.blocks}
    assert blocks["block 2"].soc < blocks["block 1"].soc
    assert blocks["block 2"].lowest_voltage_v < blocks["block 1"].lowest_voltage_v
    assert even.bank.uneven is None
    assert even.bank.blocks[0].count == 2


def test_a_spread_that_hardly_shows_is_told_but_not_warned_of(ran):
    result = ran(weak_block(0.99), with_changes=False)
    assert result.bank.uneven.weakest == "block 2"
    assert not result.bank.uneven.matters
    assert not any("weakest" in warning for warning in result.warnings)


@pytest.mark.parametrize(
    ("changes", "cause"),
    [
        pytest.param({"wind.speed": "36 kn"}, "the plan's limit", id="limit"),
        pytest.param(
            {"wind.speed": "45 kn", "motor.lowest_voltage": "24 V"},
            "the motor's lowest voltage",
            id="drop-out",
        ),
        pytest.param(
            {"wind.speed": "40 kn", "bank.resistance": "0.12 ohm"},
            "its cut-off voltage",
            id="cut-off",
        ),
        pytest.param(
            {
                "wind.speed": "45 kn",
                "bank.cutoff_voltage": "5 V",
                "motor.lowest_voltage": "5 V",
                "bank.depth_of_discharge": 1.0,
            },
            "an empty bank",
            id="empty",
        ),
        pytest.param(
            {
                "wind.speed": "45 kn",
                "bank.cutoff_voltage": "5 V",
                "motor.lowest_voltage": "5 V",
                "bank.depth_of_discharge": 1.0,
            }
            | weak_block(0.6),
            "an empty block",
            id="empty-block",
        ),
    ],
)
def test_what_stops_the_plan_first_is_the_cause_the_day_was_made_with(ran, changes, cause):
    day = {"wind.gust": "50 kn", "leg[1].for": "9 h"} | changes
    first = ran(day, with_changes=False).bank.first_end
    assert first.cause == cause


def test_a_protection_board_is_named(ran):
    day = {
        "bank.battery": "31-lfp",
        "wind.speed": "38 kn",
        "wind.gust": "38 kn",
        "leg[1].for": "9 h",
        "bank.cutoff_voltage": "11 V",
        "bank.depth_of_discharge": 1.0,
    } | weak_block(0.6)
    first = ran(day, with_changes=False).bank.first_end
    assert first.cause == "a protection board"


def test_a_house_bank_of_its_own_carries_the_house_alone(ran):
    # 24 W on a 12 V block of 95 Ah through a night of 10 h: some 20 Ah.
    house = {"house_bank": {"battery": "27-flooded", "load": "24 W"}}
    day = {"leg[1].for": "10 h"}
    result, bare = ran(day | house, with_changes=False), ran(day, with_changes=False)
    assert result.house.drawn_ah == pytest.approx(240.0 / 12.3, rel=0.03)
    assert result.house.end_charge == pytest.approx(
        1.0 - result.house.drawn_ah / 95.0, rel=1e-6
    )
    assert result.house.end_at is None
    assert bare.house is None
    # Nothing of it is felt by the other bank but its weight in the boat.
    assert result.end_soc == pytest.approx(bare.end_soc, abs=0.01)
    small = {"house_bank": {"battery": "27-flooded", "load": "200 W"}}
    empty = ran(day | small, with_changes=False).house
    assert empty.limit_reached_at < empty.end_at < result.end


def test_heat_is_what_the_resistance_takes(ran):
    result = ran({"wind.speed": "30 kn", "wind.gust": "34 kn"}, with_changes=False)
    series = result.series
    lost = (series["rest_voltage"] - series["bank_voltage"]) * series["current"]
    expected = (lost * series["step"]).sum() / 3600.0
    assert result.bank.heat_wh == pytest.approx(expected, rel=1e-9)
    assert result.bank.highest_degc == pytest.approx(series["bank_temperature"].max())
    assert series["bank_temperature"][-1] > series["bank_temperature"][0]


def test_a_trip_begins_each_day_where_the_night_ended(ran):
    trip = {
        "trip": {"days": 3},
        "wind.speed": "30 kn",
        "wind.gust": "34 kn",
        "charger": {"current": "2 A", "start": "20:00", "ready_by": "02:00"},
    }
    result = ran(trip, with_changes=False)
    days = result.trip.days
    assert len(days) == 3
    assert days[0].end_soc == pytest.approx(result.end_soc, rel=1e-12)
    assert days[1].start_charge < days[0].start_charge
    assert days[1].start_charge == pytest.approx(days[0].morning_charge, rel=1e-3)
    again = ran(
        {key: value for key, value in trip.items() if key != "trip"}
        | {"bank.start_soc": days[1].start_charge},
        with_changes=False,
    )
    assert again.end_soc == pytest.approx(days[1].end_soc, abs=1e-9)
