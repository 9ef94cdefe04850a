"""A whole run: its parts agree, and "what to change" is the day that was really changed."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from energysim.report.document import day_document, document_text, series_csv
from energysim.results import columns, frame, legs_frame
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
