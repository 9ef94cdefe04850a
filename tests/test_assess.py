"""
What is read out of a run: causes, the tightest hour, the way home, the night, the verdict.

The days are invented so that the answer is known before, by hand or one cause at a time.
"""

import re
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.build import build_day
from energysim.home import way_home
from energysim.physics.boat import forces_at_heading_n
from energysim.physics.motor import electrical_demand
from energysim.physics.station import creep_load
from energysim.runner import run_day
from energysim.scenario.overlay import overlay
from energysim.simulate import read_books, simulate
from energysim.verdict import minutes, outcome_of, verdict_line

ZONE = ZoneInfo("America/New_York")
KNOT = 1852.0 / 3600.0
CALM = {"wind.speed": "2 kn", "wind.gust": "2 kn"}
STRONG_BANK = {"bank.parallel": 8}


def wind(knots, gust=None):
    return {"wind.speed": f"{knots} kn", "wind.gust": f"{gust or knots} kn"}


def stream(knots, toward=45):
    return {"stream.speed": f"{knots} kn", "stream.toward": f"{toward} deg"}


@pytest.fixture(scope="module")
def built(plain_day, load_raw):
    """From keys laid over the plain day to a day that can be run."""
    return lambda *changes: build_day(load_raw(overlay(plain_day(), merge(changes))))


@pytest.fixture(scope="module")
def ran(plain_day, load_raw):
    """From keys laid over the plain day to its result."""

    def run(*changes):
        return run_day(load_raw(overlay(plain_day(), merge(changes))), with_changes=False)

    return run


def merge(changes):
    return {key: value for change in changes for key, value in change.items()}


# Why the boat is off station.


@pytest.mark.parametrize(
    ("changes", "cause", "outcome"),
    [
        pytest.param((wind(62), STRONG_BANK), "wind", "short", id="wind"),
        pytest.param((CALM, stream(5.5), STRONG_BANK), "stream", "short", id="stream"),
        pytest.param(
            (
                wind(50),
                STRONG_BANK,
                {
                    "cable.resistance": "0.2 ohm",
                    "motor.lowest_voltage": "10 V",
                    "bank.cutoff_voltage": "8 V",
                },
            ),
            "voltage",
            "short",
            id="voltage",
        ),
        pytest.param(
            (wind(40), STRONG_BANK, {"motor.current_limit": "15 A"}),
            "current limit",
            "short",
            id="current-limit",
        ),
        pytest.param(
            (
                wind(50),
                STRONG_BANK,
                {"cable.resistance": "0.12 ohm", "motor.lowest_voltage": "22 V"},
            ),
            "motor's lowest voltage",
            "short",
            id="lowest-voltage",
        ),
        pytest.param(
            (wind(40), {"bank.resistance": "0.12 ohm"}),
            "bank at its cut-off voltage",
            "empty",
            id="cut-off",
        ),
        pytest.param(
            (wind(45), {"bank.cutoff_voltage": "5 V", "motor.lowest_voltage": "5 V"}),
            "bank empty",
            "empty",
            id="empty",
        ),
        pytest.param((), "", "holds", id="nothing"),
    ],
)
def test_the_cause_is_the_one_the_day_was_made_with(ran, changes, cause, outcome):
    result = ran(*changes)
    assert result.legs[0].cause == cause
    assert result.outcome == outcome
    assert (result.off_station_s > 0.0) == bool(cause)
    if outcome == "short":
        assert f"(the mark: {cause})" in result.verdict


def test_a_motor_at_its_own_end_does_not_make_a_good_bank_give_out(ran):
    # The thrust wanted would drag any bank below its cut-off; the motor never asks for it.
    result = ran(wind(110), STRONG_BANK, {"leg[1].for": "1 h"})
    assert result.outcome == "short"
    assert result.cutoff_reached_at is None
    assert result.off_station_s == pytest.approx(3600.0)


def test_a_house_the_bank_cannot_carry_is_the_bank_giving_out(ran):
    result = ran({"bank.house_load": "15 kW", "leg[1].do": "rest"})
    assert result.outcome == "empty"
    assert result.cutoff_reached_at == result.start
    assert result.lowest_voltage_v == pytest.approx(21.0)


def test_off_station_stops_where_the_leg_stops(ran):
    legs = {
        "leg": [
            {
                "name": "quiet",
                "do": "hold",
                "start": "06:00",
                "for": "1 h",
                "wind_shelter": 0.9,
            },
            {"name": "open", "do": "hold", "for": "30 min"},
            {"name": "done", "do": "rest", "for": "1 h"},
        ]
    }
    result = ran(wind(62), STRONG_BANK, legs)
    assert [leg.off_station_s for leg in result.legs] == [0.0, pytest.approx(1800.0), 0.0]
    assert [leg.cause for leg in result.legs] == ["", "wind", ""]
    assert sum(leg.charge_ah for leg in result.legs) == pytest.approx(result.charge_drawn_ah)
    assert sum(leg.energy_wh for leg in result.legs) == pytest.approx(result.energy_drawn_wh)
    assert result.legs[-1].soc_after == result.end_soc


def test_off_station_begins_inside_the_step_in_which_the_bank_runs_empty(ran):
    floorless = {
        "bank.cutoff_voltage": "5 V",
        "motor.lowest_voltage": "5 V",
        "day.step": "600 s",
    }
    result = ran(wind(45), floorless)
    lost = (result.end - result.cutoff_reached_at).total_seconds()
    assert 0.0 < lost % 600.0 < 600.0
    # Before it, now and then, a gust asked for more than there was.
    assert result.gust_short_s < 1.0
    assert result.off_station_s - result.gust_short_s == pytest.approx(lost, abs=1e-3)


def test_a_gust_beyond_the_motor_is_counted_though_the_mean_holds(ran):
    result = ran(wind(30, 75), {"leg[1].for": "1 h"})
    assert 0.0 < result.gust_short_s < 0.1 * 3600.0
    assert result.off_station_s == result.gust_short_s
    assert result.legs[0].cause == "gusts"
    assert result.peak_current_a == pytest.approx(56.0, rel=0.01)
    steady = ran(wind(30), {"leg[1].for": "1 h"})
    assert steady.gust_short_s == pytest.approx(0.0, abs=1e-6)
    assert steady.outcome == "holds"


# What wind and stream cost.


@settings(max_examples=60, deadline=None)
@given(
    weaker=st.floats(0.0, 15.0),
    more=st.floats(0.0, 10.0),
    stream_mps=st.floats(0.0, 1.5),
    off_bow_deg=st.floats(-90.0, 90.0),
)
def test_at_a_fixed_heading_more_wind_before_the_beam_never_costs_less(
    built, weaker, more, stream_mps, off_bow_deg
):
    plan = built()
    # Bow to the stream, which sets south; the wind comes from within 90 deg of the bow.
    forces = forces_at_heading_n(
        0.0,
        wind_mps=np.array([weaker, weaker + more]),
        wind_from_deg=off_bow_deg,
        stream_mps=stream_mps,
        stream_toward_deg=180.0,
        boat=plan.boat,
    )
    thrust = np.hypot(forces.surge_n, forces.sway_n)
    power = electrical_demand(thrust, inflow_mps=stream_mps, motor=plan.motor).power_w
    assert power[1] >= power[0] * (1.0 - 1e-9)


def test_a_windier_day_with_the_stream_ends_lower_and_against_it_may_end_higher(ran):
    with_it = [ran(wind(knots), stream(2.0)).end_soc for knots in (5, 10, 15, 20)]
    assert with_it == sorted(with_it, reverse=True)
    # The wind from the south-west holds the boat up against a stream that sets there.
    against = [ran(wind(knots), stream(2.0, toward=225)).end_soc for knots in (2, 10)]
    assert against[1] > against[0] + 0.02


# The tightest hour.


def test_the_tightest_hour_is_the_hour_around_the_strongest_wind(ran):
    speeds = {"05:00": 5, "09:00": 25, "13:00": 5}
    hours = [{"at": at, "speed": f"{kn} kn", "from": "SW"} for at, kn in speeds.items()]
    result = ran({"wind": {"hour": hours}}, {"wind.speed": None, "wind.from": None},
                 {"wind.gust": None, "leg[1].for": "5 h"})  # fmt: skip
    tightest = result.tightest
    # As the bank sags there is ever less to spare, so that it may come a little late.
    late = tightest.start - datetime(2026, 5, 16, 8, 30, tzinfo=ZONE)
    assert timedelta(0) <= late <= timedelta(minutes=2)
    assert tightest.end - tightest.start == timedelta(hours=1)
    assert tightest.leg == "the mark"
    assert tightest.share == pytest.approx(tightest.thrust_n / tightest.available_n, rel=0.02)
    assert tightest.wind_from_deg == pytest.approx(225.0)


def test_a_day_without_the_bow_motor_has_no_tightest_hour(ran):
    assert ran({"leg[1].do": "rest"}).tightest is None


# The way home.


def flat_bank(plan, **changes):
    """A bank whose voltage never moves, so that a range can be worked by hand."""
    one, each = np.ones(1), np.ones((1, 1, 1))
    return replace(
        plan.bank,
        kinetic=np.zeros(1, dtype=bool),
        emf_tables_v=np.full((1, 2), 12.0),
        capacity_ah=100.0 * each,
        charge_ah=100.0 * each,
        exponent=each,
        resistance_full_ohm=0.0 * each,
        cable_ohm=0.0 * one,
        lowest_voltage_v=0.0 * one,
        cutoff_voltage_v=0.0 * one,
        **changes,
    )


def homeward(plan):
    flows = simulate(plan.demand, plan.bank, plan.motor)
    return way_home(plan, read_books(flows, plan.bank, plan.demand.step_s))


def power_home_w(plan, speed_mps):
    """The power to go straight against the day's worst, at a speed over the ground."""
    load = creep_load(
        float(plan.surroundings.wind_mps.max()),
        wind_from_deg=0.0,
        stream_mps=float(plan.surroundings.stream_mps.max()),
        stream_toward_deg=180.0,
        course_deg=0.0,
        speed_mps=speed_mps,
        over_ground=True,
        boat=plan.boat,
    )
    return electrical_demand(
        load.thrust_n, inflow_mps=load.inflow_mps, motor=plan.motor
    ).power_w


def test_the_range_is_speed_times_the_hours_the_bank_lasts(built):
    plan = built(wind(15), stream(1.0))
    plan = replace(plan, bank=flat_bank(plan))
    home = homeward(plan)
    current = float(power_home_w(plan, home.speed_mps)) / 24.0
    assert home.current_a == pytest.approx(current, rel=1e-6)
    assert home.range_start_m == pytest.approx(
        home.speed_mps * 3600.0 * 100.0 / current, rel=1e-6
    )
    # And no other speed goes further.
    speeds = np.linspace(0.1, 3.0, 400)
    reach = speeds * 3600.0 * 100.0 * 24.0 / power_home_w(plan, speeds)
    assert home.range_start_m == pytest.approx(reach.max(), rel=0.01)


def test_by_the_wells_the_range_is_speed_times_the_hours_they_last(built):
    plan = built(wind(15), stream(1.0))
    each = np.ones((1, 1, 1))
    wells = {"wells_total_ah": 115.0 * each, "wells_share": 0.485 * each}
    held = replace(
        flat_bank(plan, **wells, wells_rate_per_h=0.356 * each), kinetic=np.ones(1, dtype=bool)
    )
    home = homeward(replace(plan, bank=held))
    current = float(power_home_w(plan, home.speed_mps)) / 24.0
    # The wells' equations, second by second: heights level out with k' = k c (1 - c).
    near, far, seconds = 0.485 * 115.0, 0.515 * 115.0, 0
    while near > 0.0:
        flow = 0.356 * 0.485 * 0.515 * (far / 0.515 - near / 0.485)
        near, far, seconds = near + (flow - current) / 3600.0, far - flow / 3600.0, seconds + 1
    assert home.range_start_m == pytest.approx(home.speed_mps * seconds, rel=1e-3)


def test_a_weak_block_shortens_the_way_home(ran):
    even = ran(wind(15)).way_home
    row = {"string": 1, "number": 2, "capacity_fraction": 0.7}
    weak = ran(wind(15), {"bank.block": [row]}).way_home
    assert 0.5 * even.range_start_m < weak.range_start_m < 0.75 * even.range_start_m


def test_half_a_bank_goes_half_as_far(built):
    plan = built(wind(15), stream(1.0))
    plan = replace(plan, bank=flat_bank(plan))
    half = replace(plan, bank=replace(plan.bank, start_soc=np.full((1, 1, 1), 0.5)))
    assert homeward(half).range_start_m == pytest.approx(0.5 * homeward(plan).range_start_m)


def test_a_stronger_stream_leaves_a_shorter_way_home(ran):
    ranges = [ran(wind(15), stream(knots)).way_home.range_start_m for knots in (0, 1, 2, 3)]
    assert ranges == sorted(ranges, reverse=True)
    assert ranges[0] > 4.0 * ranges[3] > 0.0


def test_against_too_much_there_is_no_way_home(ran):
    home = ran(CALM, stream(7.0), {"home.distance": "1 nmi"}).way_home
    assert not home.possible
    assert home.range_start_m == 0.0


def test_home_out_of_reach_from_the_start(ran):
    result = ran(wind(15), {"home.distance": "100 nmi"})
    assert result.way_home.last_at == result.start
    assert result.way_home.range_start_m < 100.0 * 1852.0


def test_home_in_reach_all_day(ran):
    assert ran({"home.distance": "0.2 nmi"}).way_home.last_at is None


def test_the_last_moment_to_turn_back_lies_inside_the_step(built):
    moments = []
    for step in ("600 s", "10 s"):
        plan = built(wind(30), {"home.distance": "4 nmi", "day.step": step})
        home = homeward(plan)
        assert home.range_end_m < 4.0 * 1852.0 < home.range_start_m
        moments.append((home.last_at - plan.start).total_seconds())
    assert moments[0] % 600.0 != 0.0
    assert moments[0] == pytest.approx(moments[1], abs=60.0)


# The night.

CHARGER = {"charger.current": "10 A", "charger.start": "20:00", "charger.ready_by": "05:00"}


def test_a_night_is_long_enough_or_it_is_not(ran):
    quick = ran(wind(20), CHARGER)
    assert quick.recharge.full_at < quick.recharge.ready_by
    assert f"Full again by {quick.recharge.full_at:%H:%M}." in quick.verdict
    slow = ran(wind(35), CHARGER | {"charger.current": "2 A"})
    assert slow.recharge.full_at > slow.recharge.ready_by
    assert "Not full by 05:00" in slow.verdict
    assert slow.recharge.soc_when_ready < slow.recharge.full_soc


def test_the_night_adds_up(ran):
    result = ran(wind(35), CHARGER)
    night = result.recharge
    assert 0.0 < night.to_80_h < night.to_95_h < night.full_h
    assert night.full_at == night.plugged_in_at + timedelta(hours=night.full_h)
    missing_ah = (night.full_soc - result.end_charge) * 220.0  # two blocks of 110 Ah
    assert missing_ah < night.charge_put_in_ah < 1.6 * missing_ah
    assert night.wall_power_w == pytest.approx(
        night.wall_energy_wh * 20.0 / night.charge_put_in_ah
    )


def test_lithium_below_freezing_is_not_charged(ran):
    result = ran(CHARGER, {"bank.battery": "31-lfp", "bank.temperature": "-2 degC"})
    night = result.recharge
    assert night.full_h is None
    assert night.full_at is None
    assert night.charge_put_in_ah == 0.0
    assert "must not be charged below freezing" in result.verdict
    assert night.soc_when_ready == pytest.approx(result.end_charge)


def test_a_weak_circuit_makes_a_longer_night(ran):
    full = ran(wind(30), CHARGER).recharge
    weak = ran(wind(30), CHARGER | {"charger.circuit": "150 W"}).recharge
    assert weak.output_current_a < full.output_current_a
    assert weak.full_h > full.full_h
    assert "150 W" in weak.note
    assert weak.wall_power_w == pytest.approx(150.0)


def test_a_bank_full_at_the_end_needs_no_night(ran):
    night = ran({"leg[1].do": "rest"}, CHARGER).recharge
    assert (night.to_80_h, night.to_95_h, night.full_h) == (0.0, 0.0, 0.0)
    assert night.wall_energy_wh == 0.0


def test_without_a_charger_nothing_is_said_of_the_night(ran):
    result = ran()
    assert result.recharge is None
    assert "ull again" not in result.verdict


# The verdict.

NOON = datetime(2026, 5, 16, 12, 0, tzinfo=ZONE)


@pytest.mark.parametrize(
    ("limit_at", "cutoff_at", "off_s", "word"),
    [
        pytest.param(None, None, 0.0, "holds", id="holds"),
        pytest.param(None, None, 59.0, "holds", id="a-moment-is-nothing"),
        pytest.param(None, None, 60.0, "short", id="short"),
        pytest.param(NOON, None, 600.0, "deep", id="deep-before-short"),
        pytest.param(NOON, NOON, 600.0, "empty", id="empty-before-all"),
    ],
)
def test_the_outcome_is_the_worst_of_what_happened(limit_at, cutoff_at, off_s, word):
    given_ = {"limit_reached_at": limit_at, "cutoff_reached_at": cutoff_at}
    assert outcome_of(**given_, off_station_s=off_s) == word


def test_each_outcome_says_its_own_line(ran):
    assert ran().verdict.startswith("Holds the whole plan. Ends at 9")
    deep = ran(wind(35))
    assert f"from {deep.limit_reached_at:%H:%M} on 'the mark'" in deep.verdict
    assert deep.verdict.startswith("Too deep: below your 50% limit")
    assert "points below it." in deep.verdict
    assert "off station" not in deep.verdict
    empty = ran(wind(60))
    assert f"gives out at {empty.cutoff_reached_at:%H:%M} on 'the mark'" in empty.verdict
    assert "Charge at 10:00: 0%." in empty.verdict
    assert re.search(r"'the mark', \d h \d\d min off station in all\. Charge", empty.verdict)
    short = ran(wind(62), STRONG_BANK)
    assert "cannot hold for 4 h 00 min (the mark: wind)" in short.verdict


def test_a_day_too_deep_also_says_how_long_the_boat_is_off_station():
    line = verdict_line(
        outcome="deep", end=NOON, end_soc=0.41, limit_soc=0.5, limit_reached_at=NOON,
        cutoff_reached_at=None, off_station_s=2100.0, legs=(), recharge=None,
    )  # fmt: skip
    assert line == (
        "Too deep: below your 50% limit from 12:00, 35 min off station in all. "
        "Ends at 41% at 12:00, 9 points below it."
    )


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0.0, "0 min"), (40.0, "40 s"), (2100.0, "35 min"), (7500.0, "2 h 05 min")],
)
def test_lengths_of_time_are_said_as_people_say_them(seconds, text):
    assert minutes(seconds) == text


# Bursts: how long the motor runs, and how deep they pull the bank.

BURSTS = {"leg[1].style": "burst", "leg[1].duty": 0.1}


def test_the_share_told_is_how_long_the_motor_runs_not_what_was_asked_for(ran):
    gentle = ran(wind(4), BURSTS).legs[0]
    hard = ran(wind(28), BURSTS).legs[0]
    assert gentle.running_share == pytest.approx(0.1, rel=1e-12)
    assert hard.running_share > 0.15
    assert ran(wind(28)).legs[0].running_share == 1.0


def test_a_burst_that_pulls_the_bank_below_its_cut_off_is_warned_of_with_its_voltage(
    ran, built
):
    weak = {"bank.resistance": "100 mohm"}
    calm_of_it, warned = ran(wind(24), weak), ran(wind(24), weak, BURSTS)
    assert not [text for text in calm_of_it.warnings if "cut-off" in text]
    (text,) = [text for text in warned.warnings if "cut-off" in text]
    # By hand: two blocks rest at 25.4 V full and near 23 V empty; 0.2 ohm full and up to half
    # as much again empty and cool.
    told_v = float(text.split(" V, below")[0].split()[-1])
    plan = built(wind(24), weak, BURSTS)
    cutoff = float(plan.bank.cutoff_voltage_v[0])
    assert f"cut-off of {cutoff:.1f} V" in text
    assert told_v < cutoff
    sag = 0.2 * warned.peak_current_a
    assert 23.0 - 1.6 * sag < told_v < 25.5 - sag
