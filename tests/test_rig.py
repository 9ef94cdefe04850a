"""
The look at the rigging: what it says of a boat told whole, of one told in part, and of faults.

Facts of the trade (common practice, no source) stand under names that say so.
"""

import re

import numpy as np
import pytest

from energysim.report.rig import rig_document
from energysim.results.rig import CAUTION, LOOK_AGAIN, PASS, VERDICTS, worst
from energysim.rig import check_rig
from energysim.runner import run_day
from energysim.scenario.overlay import overlay

# Invented: a 36 V motor fed from a console over 20 ft, everything told.
RIGGED = {
    "motor": {
        "voltage": "36 V",
        "thrust": "110 lbf",
        "max_current": "52 A",
        "shaft_length": "44 in",
    },
    "boat.bow_height": "22 in",
    "cable": {"gauge": "6 AWG", "length": "20 ft"},
    "wiring": {
        "insulation": "105 degC",
        "bundled": 2,
        "in_engine_space": False,
        "drop_class": "3 %",
        "stranded": True,
        "tinned": True,
    },
    "breaker": {
        "rating": "60 A",
        "voltage": "48 V",
        "distance": "6 in",
        "sheathed": True,
        "interrupting": "5000 A",
    },
    "plug": {"rating": "70 A", "voltage": "60 V"},
    "charger": {"current": "10 A", "circuit": "1440 W"},
    "cord": {"gauge": "14 AWG", "length": "50 ft", "voltage": "120 V"},
    "vent": {"opening": "40 cm2"},
    "mounting": {"pull_tested": "90 lbf"},
    "locker": [
        {
            "name": "aft",
            "length": "40 in",
            "width": "24 in",
            "height": "14 in",
            "holds_fuel": False,
            "charger_above": False,
            "vented": True,
        }
    ],
}
LITHIUM = {"bank": {"chemistry": "lfp", "capacity": "100 Ah", "block_voltage": "12.8 V"}}


@pytest.fixture(scope="module")
def rig(plain_day, load_raw):
    """From keys laid over the day told whole to the checks by key."""

    def look(changes=(), *, bare=False):
        raw = overlay(plain_day(), {"day.step": "600 s"})
        if not bare:
            whole = {key for key, value in RIGGED.items() if isinstance(value, dict)}
            raw = {key: table for key, table in raw.items() if key not in whole}
            raw = overlay(raw, RIGGED)
        changes = dict(changes)
        raw = {
            key: table
            for key, table in raw.items()
            if not (key in changes and isinstance(changes[key], dict | type(None)))
        }
        raw = overlay(raw, {key: value for key, value in changes.items() if value is not None})
        return check_rig(load_raw(raw))

    return look


def by_key(result):
    keys = [check.key for check in result.checks]
    assert len(set(keys)) == len(keys)
    return {check.key: check for check in result.checks}


def test_a_rig_told_whole_and_rigged_well_passes_every_line(rig):
    result = rig()
    assert [check.key for check in result.checks if check.verdict != PASS] == []
    assert [check.key for check in result.checks if check.unknown] == []
    assert result.verdict == PASS
    assert len(result.checks) == 21


def test_a_rig_of_which_nothing_is_told_never_passes_on_a_guess_of_what_is_there(rig):
    found = by_key(rig(bare=True))
    assert found["breaker"].verdict == CAUTION
    assert found["vent_opening"].verdict == CAUTION
    for key in ("cable_ampacity", "cable_size", "drop_at_full_current", "drop_at_day_peak"):
        assert found[key].verdict != PASS
        assert any("no [cable]" in line for line in found[key].unknown)
    for key in ("cable_kind", "plug_rating", "plug_voltage", "fuel", "charger_place"):
        assert found[key].verdict == LOOK_AGAIN
        assert found[key].unknown


UNKNOWN = {
    "wiring.insulation": ("cable_ampacity", "60 degC taken"),
    "wiring.bundled": ("cable_ampacity", "one sheath taken"),
    "wiring.in_engine_space": ("cable_ampacity", "none taken"),
    "wiring.drop_class": ("cable_size", "3 % taken"),
    "wiring.stranded": ("cable_kind", "stranded or solid"),
    "wiring.tinned": ("drop_at_full_current", "tinned taken"),
    "breaker.rating": ("breaker_wire", "rating not told"),
    "breaker.voltage": ("breaker_voltage", "32 V taken"),
    "breaker.distance": ("breaker_place", "distance from the battery"),
    "breaker.interrupting": ("breaker_interrupting", "what it can break"),
    "plug.rating": ("plug_rating", "rating not told"),
    "plug.voltage": ("plug_voltage", "voltage not told"),
    "charger.circuit": ("charger_circuit", "15 A to itself taken"),
    "cord.voltage": ("charger_cord", "120 V taken"),
    "vent.opening": ("vent_opening", "size of the opening"),
    "mounting.pull_tested": ("restraint", "no pull told of"),
    "motor.shaft_length": ("shaft_length", "length of the shaft"),
    "locker.vented": ("vent_opening", "taken as shut"),
    "locker.holds_fuel": ("fuel", "holds_fuel not told of aft"),
    "locker.charger_above": ("charger_place", "charger_above not told of aft"),
}


@pytest.mark.parametrize("key", UNKNOWN)
def test_what_is_not_told_is_said_beside_its_line_and_never_helps(rig, key):
    table, _, name = key.partition(".")
    told = RIGGED[table]
    if isinstance(told, list):
        left = [{other: value for other, value in told[0].items() if other != name}]
    else:
        left = {other: value for other, value in told.items() if other != name}
    line, said = UNKNOWN[key]
    whole, part = by_key(rig())[line], by_key(rig({table: left}))[line]
    assert any(said in text for text in part.unknown)
    assert VERDICTS.index(part.verdict) >= VERDICTS.index(whole.verdict)


@pytest.mark.parametrize(
    ("changes", "line", "verdict"),
    [
        ({"cable.gauge": "8 AWG"}, "cable_size", LOOK_AGAIN),
        ({"cable.gauge": "10 AWG"}, "cable_size", CAUTION),
        ({"cable.gauge": "10 AWG"}, "cable_ampacity", CAUTION),
        ({"cable.gauge": "8 AWG", "wiring.drop_class": "5 %"}, "cable_size", PASS),
        ({"cable.gauge": "20 AWG"}, "cable_ampacity", CAUTION),
        ({"cable.gauge": "16 mm2"}, "cable_size", PASS),
        ({"cable": {"resistance": "20 mohm"}}, "cable_ampacity", LOOK_AGAIN),
        ({"cable": {"resistance": "20 mohm"}}, "drop_at_full_current", PASS),
        ({"cable": {"resistance": "60 mohm"}}, "drop_at_full_current", LOOK_AGAIN),
        ({"cable": {"resistance": "90 mohm"}}, "drop_at_full_current", CAUTION),
        ({"wiring.stranded": False}, "cable_kind", CAUTION),
        ({"wiring.tinned": False}, "cable_kind", LOOK_AGAIN),
        (
            {"wiring.insulation": "60 degC", "wiring.in_engine_space": True},
            "cable_ampacity",
            CAUTION,
        ),
        ({"breaker.rating": "50 A"}, "breaker_load", CAUTION),
        ({"breaker.rating": "100 A"}, "breaker_wire", LOOK_AGAIN),
        ({"breaker.rating": "150 A"}, "breaker_wire", CAUTION),
        ({"breaker.voltage": "42 V"}, "breaker_voltage", CAUTION),
        ({"breaker.distance": "20 in"}, "breaker_place", PASS),
        ({"breaker.distance": "20 in", "breaker.sheathed": False}, "breaker_place", CAUTION),
        ({"breaker.distance": "60 in"}, "breaker_place", LOOK_AGAIN),
        ({"breaker.interrupting": "2000 A"}, "breaker_interrupting", LOOK_AGAIN),
        ({"breaker.interrupting": "1000 A"}, "breaker_interrupting", CAUTION),
        ({"plug.rating": "55 A"}, "plug_rating", CAUTION),
        ({"plug.voltage": "36 V"}, "plug_voltage", CAUTION),
        ({"vent.opening": "20 cm2"}, "vent_opening", CAUTION),
        ({"bank.battery": "31-flooded"}, "vent_opening", CAUTION),
        ({"locker[1].vented": False}, "vent_opening", CAUTION),
        ({"locker[1].holds_fuel": True}, "fuel", CAUTION),
        ({"locker[1].charger_above": True}, "charger_place", CAUTION),
        ({"mounting.pull_tested": "60 lbf"}, "restraint", CAUTION),
        ({"charger.circuit": "500 W"}, "charger_circuit", CAUTION),
        ({"charger.current": "40 A"}, "charger_cord", CAUTION),
        ({"cord.gauge": "18 AWG"}, "charger_cord", CAUTION),
        ({"cord.gauge": "16 AWG", "cord.length": "250 ft"}, "cord_drop", LOOK_AGAIN),
        ({"bank.parallel": 2}, "string_devices", LOOK_AGAIN),
        ({"motor.shaft_length": "42 in"}, "shaft_length", CAUTION),
        ({"chop": {"fetch": "2 km"}}, "shaft_length", LOOK_AGAIN),
        ({"chop": {"fetch": "2 km"}, "motor.shaft_length": "50 in"}, "shaft_length", PASS),
    ],
)
def test_a_fault_is_seen(rig, changes, line, verdict):
    result = rig(changes)
    assert by_key(result)[line].verdict == verdict
    assert result.verdict == worst(tuple(check.verdict for check in result.checks))


def test_several_lockers_count_by_the_worst_of_them(rig):
    other = {"name": "console", "length": "20 in", "width": "20 in", "height": "14 in"}
    two = [*RIGGED["locker"], other]
    found = by_key(rig({"locker": two}))
    assert found["fuel"].verdict == LOOK_AGAIN
    assert "holds_fuel not told of console" in found["fuel"].unknown
    told = [*RIGGED["locker"], {**other, "holds_fuel": True}]
    assert by_key(rig({"locker": told}))["fuel"].verdict == CAUTION


def test_lithium_asks_for_no_vent_and_for_a_fuse_that_breaks_more(rig):
    found = by_key(rig(LITHIUM))
    assert found["vent_opening"].verdict == PASS
    assert found["vent_opening"].number.words == "no gas"
    assert "toxic" in found["vent_opening"].why
    assert "shut_locker" not in found
    assert found["breaker_interrupting"].verdict == LOOK_AGAIN
    assert found["breaker_interrupting"].limit.value == 20000.0


def test_without_a_charger_nothing_is_said_of_circuit_and_cord(rig):
    result = rig({"charger": None, "cord": None})
    groups = {check.group for check in result.checks}
    assert not any("Charger, circuit" in group for group in groups)


def test_the_shut_locker_fills_as_faradays_law_has_it(rig):
    # Three 31 AGM cases of 13.0 x 6.8 x 9.4 in take 41 L of the locker's 220 L; 10 A through
    # 18 cells frees 0.4564 L an ampere-hour and cell at 25 degC.
    check = by_key(rig())["shut_locker"]
    inside = 40 * 24 * 14 * 0.0254**3
    cases = 3 * 0.330 * 0.173 * 0.239
    hours = 0.04 * (inside - cases) / (10 * 18 * 0.4564e-3)
    assert check.number.value == pytest.approx(3600.0 * hours, rel=0.01)


def test_the_energy_lost_on_the_way_is_what_the_bank_gives_and_the_motor_does_not_get(
    plain_day, load_raw
):
    # The day's own two voltages, by the loop that ran it: (bank - motor) x current, summed.
    cable = {"resistance": "30 mohm", "contact_resistance": "2 mohm"}
    blow = {"day.step": "600 s", "wind.speed": "26 kn", "wind.gust": "32 kn", "cable": cable}
    raw = overlay(plain_day(), blow)
    loaded = load_raw(raw)
    day = run_day(loaded, with_changes=False)
    steps = day.series
    amps = steps["motor_power"] / np.maximum(steps["motor_voltage"], 1.0)
    lost_w = (steps["bank_voltage"] - steps["motor_voltage"]) * amps
    lost_wh = float((lost_w * steps["step"]).sum()) / 3600.0
    result = check_rig(loaded, result=day)
    assert lost_wh > 1.0
    assert result.drop_energy_wh == pytest.approx(lost_wh, rel=1e-6)
    assert result.drop_energy_share == pytest.approx(lost_wh / day.energy_drawn_wh, rel=1e-6)
    assert result == check_rig(loaded)


def test_bursts_lose_more_than_the_same_mean_current_held_steady(rig):
    steady = rig({"cable": {"resistance": "30 mohm"}})
    bursts = rig({"cable": {"resistance": "30 mohm"}, "leg[1].style": "burst"})
    assert bursts.drop_energy_wh > 1.2 * steady.drop_energy_wh


def test_the_worst_stands_first_within_each_group(rig):
    for result in (rig(bare=True), rig({"cable.gauge": "10 AWG", "breaker.rating": "100 A"})):
        groups = {}
        for check in result.checks:
            groups.setdefault(check.group, []).append(-VERDICTS.index(check.verdict))
        assert all(order == sorted(order) for order in groups.values())
        order = [check.group for check in result.checks]
        assert order == sorted(order, key=order.index)


@pytest.mark.parametrize("bare", [False, True])
def test_every_line_has_a_source_and_none_says_that_all_is_well(rig, bare):
    result = rig(bare=bare)
    for check in result.checks:
        assert check.verdict in VERDICTS
        assert check.source
        assert check.why.endswith(".")
    everything = str(rig_document(result)).lower()
    assert not re.search(
        r"\b(un)?safe(ly|ty)?\b|\bcompl(y|ies|iant)\b|\bapproved\b", everything
    )
    assert "qualified marine electrician" in everything
    assert "never an approval" in everything or "not an approval" in everything


@pytest.mark.parametrize("changes", [{}, LITHIUM], ids=["lead", "lithium"])
def test_the_cautions_name_a_standard_and_concern_this_bank(rig, changes):
    cautions = rig(changes).cautions
    for caution in cautions:
        assert re.search(r"ABYC|ISO|CFR|IEC|NFPA|electrician|common practice|engine", caution)
    text = " ".join(cautions)
    assert ("hydrogen" in text) == (not changes)
    assert ("freezing" in text) == bool(changes)
    assert len(set(cautions)) == len(cautions)


# Facts of the trade: common practice, no source.


def test_six_gauge_is_what_a_36_volt_feed_from_console_to_bow_takes(rig):
    found = by_key(rig())
    assert found["cable_size"].verdict == PASS
    assert found["cable_size"].limit.words == "6 AWG"
    assert "At 5% or 10% 8 AWG." in found["cable_size"].why
    assert found["cable_ampacity"].limit.value == pytest.approx(84.0)


def test_the_same_six_gauge_is_too_thin_for_24_volts_over_that_run(rig):
    motor = {"voltage": "24 V", "thrust": "80 lbf", "max_current": "56 A"}
    assert by_key(rig({"motor": motor}))["cable_size"].limit.words == "4 AWG"


def test_a_plug_rated_above_the_load_and_the_breaker_passes(rig):
    found = by_key(rig({"plug.rating": "61 A"}))
    assert found["plug_rating"].verdict == PASS
    assert found["plug_rating"].limit.value == 60.0
    assert by_key(rig({"plug.rating": "59 A"}))["plug_rating"].verdict == CAUTION


@pytest.mark.parametrize(("freeboard", "shaft"), [("22 in", 44.0), ("38 in", 60.0)])
def test_a_bow_so_high_asks_for_a_shaft_so_long_before_chop(rig, freeboard, shaft):
    check = by_key(rig({"boat.bow_height": freeboard}))["shaft_length"]
    assert check.limit.value / 0.0254 == pytest.approx(shaft)


def test_a_60_amp_breaker_stands_over_a_52_amp_motor_and_may_trip_warm(rig):
    found = by_key(rig())
    assert found["breaker_load"].verdict == PASS
    assert "may trip" in found["breaker_load"].why
    assert found["breaker_wire"].verdict == PASS


def test_a_breaker_of_42_volts_does_for_24_volts_of_lead_and_not_for_36(rig):
    motor = {"voltage": "24 V", "thrust": "80 lbf", "max_current": "56 A"}
    changes = {"breaker.voltage": "42 V", "motor": motor}
    assert by_key(rig(changes))["breaker_voltage"].verdict == PASS
    assert by_key(rig({"breaker.voltage": "42 V"}))["breaker_voltage"].verdict == CAUTION
