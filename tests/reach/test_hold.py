"""Hours of hold against whole days run the long way round, and against a sum by hand."""

from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from energysim.build import build_day
from energysim.build.steady import Conditions, build_steady_holds
from energysim.reach import hold_hours, hold_map, steady
from energysim.reach.hold import STREAMS, WINDS
from energysim.reach.steady import held_to_the_limit
from energysim.runner import run_day
from energysim.scenario.load import load_scenario

HEADLAND = Path(__file__).parents[2] / "scenarios" / "headland" / "headland.toml"
KNOT = 1852.0 / 3600.0  # exact: the international nautical mile (NIST SP 811)


def steady_day(plain_day, **changes):
    """A long hold in one wind, without gusts, on the plain day's boat."""
    raw = plain_day()
    raw["wind"] = {"speed": "12 kn", "from": "SW", "gust": "12 kn"}
    raw["leg"] = [{"name": "the mark", "do": "hold", "start": "00:30", "for": "23 h"}]
    return {**raw, **changes}


def limit_after_h(result):
    """Hours from the start until the plan's limit, by a day run step by step."""
    return (result.limit_reached_at - result.start) / timedelta(hours=1)


@pytest.mark.parametrize("stream", [None, {"speed": "1 kn", "toward": "070 deg"}])
def test_hours_over_wind_are_those_of_a_day_held_in_that_wind(load_raw, plain_day, stream):
    extra = {} if stream is None else {"stream": stream}
    hours = hold_hours(load_raw(steady_day(plain_day, **extra)), over="wind")
    checked = 0
    for point in (35, 45, 55):
        speed = f"{hours.wind_mps[point]:.6f} m/s"
        wind = {"speed": speed, "from": "SW", "gust": speed}
        day = run_day(load_raw(steady_day(plain_day, wind=wind, **extra)), with_changes=False)
        assert day.off_station_s == 0.0 or day.limit_reached_at is not None
        if day.limit_reached_at is None:
            assert hours.hours[point] > 22.0
            continue
        checked += 1
        # The day's own steps are of a minute, these of a 160th of the run.
        assert hours.hours[point] == pytest.approx(limit_after_h(day), rel=0.01)
        assert hours.thrust_n[point] == pytest.approx(day.legs[0].mean_thrust_n, rel=1e-3)
    assert checked >= 2


def test_hours_at_a_steady_thrust_are_the_charge_over_the_current(load_raw, plain_day):
    # Lithium loses next to nothing to its rate, so hours are usable watt-hours over watts.
    bank = {
        "chemistry": "lfp", "capacity": "100 Ah", "block_voltage": "12.8 V", "series": 2,
        "peukert_exponent": 1.0, "resistance": "1 mohm", "temperature": "25 degC",
    }  # fmt: skip
    loaded = load_raw(steady_day(plain_day, bank=bank))
    hours = hold_hours(loaded)
    tables = build_day(loaded).bank
    rest = np.asarray(tables.emf_tables_v[0])
    level = np.linspace(0.0, 1.0, rest.size)
    used = level >= hours.limit_soc
    mean_v = 2.0 * float(rest[used].mean())
    middle = hours.thrust_n.size // 2
    by_hand = 100.0 * (1.0 - hours.limit_soc) * mean_v / hours.power_w[middle]
    assert hours.ended_by[middle] == "limit"
    # What is left out by hand is the sag over a milliohm a block and the leads.
    assert hours.hours[middle] == pytest.approx(by_hand, rel=0.03)


def test_more_thrust_is_never_held_longer(load_raw, plain_day):
    hours = hold_hours(load_raw(steady_day(plain_day)))
    assert np.all(np.diff(hours.hours) <= 1e-9)
    assert hours.hours[0] > 3.0 * hours.hours[-1]
    assert set(hours.ended_by) <= {"limit", "short", "longest"}


def test_a_larger_bank_holds_longer(load_raw, plain_day):
    one = hold_hours(load_raw(steady_day(plain_day)))
    two = hold_hours(load_raw(steady_day(plain_day, bank={"battery": "31-agm", "parallel": 2})))
    told = (one.hours > 0.0) & (one.hours < one.longest_h) & (two.hours < two.longest_h)
    assert told.sum() > 20
    # By Peukert's law twice the bank at the same current lasts more than twice as long.
    assert np.all(two.hours[told] >= 2.0 * one.hours[told] * 0.99)


def test_the_coarse_steps_are_close_to_fine_ones(load_raw, plain_day, monkeypatch):
    loaded = load_raw(steady_day(plain_day))
    coarse = hold_hours(loaded)
    monkeypatch.setattr(steady, "STEPS", 10 * steady.STEPS)
    fine = hold_hours(loaded)
    limited = np.array(fine.ended_by) == "limit"
    assert limited.sum() > 20
    assert coarse.hours[limited] == pytest.approx(fine.hours[limited], rel=0.015)


@pytest.fixture(scope="module")
def tide_day(load_raw, plain_day):
    return load_raw(steady_day(plain_day, stream={"speed": "1.2 kn", "toward": "045 deg"}))


def test_a_map_says_what_hours_over_wind_say_at_its_own_stream(tide_day):
    chart = hold_map(tide_day)
    assert chart.hours.shape == (STREAMS, WINDS)
    over_wind = hold_hours(tide_day, over="wind")
    assert chart.angle_deg == pytest.approx(0.0)
    assert over_wind.stream_mps == pytest.approx(1.2 * KNOT)
    checked = 0
    for place in (10, 16, 22):
        column = chart.hours[:, place]
        at_stream = np.exp(np.interp(over_wind.stream_mps, chart.stream_mps, np.log(column)))
        expected = np.interp(chart.wind_mps[place], over_wind.wind_mps, over_wind.hours)
        if 0.0 < expected < chart.longest_h:
            checked += 1
            assert at_stream == pytest.approx(expected, rel=0.03)
    assert checked >= 2


def test_pushing_together_more_wind_or_more_stream_is_never_held_longer(tide_day):
    chart = hold_map(tide_day, angle_deg=0.0)
    assert np.all(np.diff(chart.hours, axis=1) <= 1e-6)
    assert np.all(np.diff(chart.hours, axis=0) <= 1e-6)
    assert np.all(np.diff(chart.thrust_n, axis=1) >= -1e-9)


def test_what_cannot_be_held_is_what_wants_more_than_there_is(load_raw, plain_day):
    motor = {"voltage": "24 V", "thrust": "40 lbf", "max_current": "25 A"}
    stream = {"speed": "1.8 kn", "toward": "045 deg"}
    chart = hold_map(load_raw(steady_day(plain_day, motor=motor, stream=stream)))
    wanted, there = chart.thrust_n, chart.available_n
    assert (wanted > there).any()
    assert np.all(chart.hours[wanted > 1.01 * there] == 0.0)
    assert np.all(chart.hours[wanted < 0.99 * chart.available_at_limit_n] > 0.0)
    # A tired bank has less to give.
    assert np.all(chart.available_at_limit_n <= there + 1e-6)
    assert np.all(chart.hours <= chart.lasting_h + 1e-9)


@pytest.fixture(scope="module")
def opposed(tide_day):
    return hold_map(tide_day, angle_deg=180.0)


def test_wind_and_stream_opposed_relieve_each_other(tide_day, opposed):
    together = hold_map(tide_day, angle_deg=0.0)
    there = [
        (int(np.argmin(abs(one.stream_mps - 1.2 * KNOT))),
         int(np.argmin(abs(one.wind_mps - 10.0 * KNOT))))
        for one in (together, opposed)
    ]  # fmt: skip
    assert opposed.thrust_n[there[1]] < 0.9 * together.thrust_n[there[0]]
    assert opposed.hours[there[1]] > 1.1 * together.hours[there[0]]
    # Either alone is the same whichever way it would meet the other.
    alone = np.interp(together.wind_mps, opposed.wind_mps, opposed.hours[0])
    assert alone == pytest.approx(together.hours[0], rel=0.02)


def test_exact_opposition_is_worked_out_ten_degrees_off_it_and_says_so(tide_day, opposed):
    # Straight against each other a boat has two headings alike (UFC 4-159-03, 8-2): which of
    # them is taken turned on the last digits, from one point of the map to the next.
    assert opposed.angle_deg == 170.0
    assert hold_hours(tide_day, over="wind", angle_deg=180.0).angle_deg == 170.0
    assert hold_hours(tide_day, over="wind", angle_deg=160.0).angle_deg == 160.0


@pytest.mark.slow
def test_a_map_of_wind_against_stream_has_no_islands_of_a_single_point():
    # A point far from all four about it, all of them alike, is no valley: it is a fork taken
    # the other way. Straight against each other such points were out by a factor of seven.
    chart = hold_map(load_scenario(str(HEADLAND)), angle_deg=180.0)
    log_n = np.log(np.maximum(chart.thrust_n, 1.0))
    about = np.stack([log_n[:-2, 1:-1], log_n[2:, 1:-1], log_n[1:-1, :-2], log_n[1:-1, 2:]])
    alike = np.ptp(about, axis=0) < 0.2
    assert alike.sum() > 300
    assert np.max(np.abs(log_n[1:-1, 1:-1] - about.mean(axis=0))[alike]) < 0.3


def test_the_days_holds_lie_on_the_map_where_they_were(tide_day):
    (leg,) = hold_map(tide_day).legs
    assert (leg.number, leg.name) == (1, "the mark")
    assert leg.wind_mps == pytest.approx(12.0 * KNOT)
    assert leg.stream_mps == pytest.approx(1.2 * KNOT)
    assert leg.angle_deg == pytest.approx(0.0, abs=1e-9)


def test_a_steady_hold_asks_for_what_the_same_step_of_a_day_asks_for(load_raw, plain_day):
    raw = steady_day(plain_day, stream={"speed": "1.2 kn", "toward": "100 deg"})
    raw["wind"] = {"speed": "12 kn", "from": "SW", "gust": "17 kn"}
    raw["chop"] = {"fetch": "1 nmi", "depth": "10 ft"}
    loaded = load_raw(raw)
    day = build_day(loaded)
    plan = build_steady_holds(
        loaded,
        Conditions(
            wind_mps=np.array([5.0 * KNOT, 12.0 * KNOT]),
            stream_mps=np.array([0.0, 1.2 * KNOT]),
            gust_ratio=17.0 / 12.0,
            wind_from_deg=225.0,
            stream_toward_deg=100.0,
        ),
    )
    assert plan.demand.power_w[1, 0] == pytest.approx(day.demand.power_w[0, 0], rel=1e-9)
    assert plan.demand.thrust_n[1, 0] == pytest.approx(day.demand.thrust_n[0, 0], rel=1e-9)
    assert plan.load.heading_deg[1] == pytest.approx(day.load.heading_deg[0], abs=1e-6)


def test_nothing_to_hold_against_is_held_as_long_as_is_told(load_raw, plain_day):
    loaded = load_raw(steady_day(plain_day))
    calm = Conditions(
        wind_mps=np.zeros(1), stream_mps=np.zeros(1), gust_ratio=1.0, wind_from_deg=0.0,
        stream_toward_deg=0.0,
    )  # fmt: skip
    held = held_to_the_limit(build_steady_holds(loaded, calm))
    assert held.hours == pytest.approx([steady.LONGEST_H])
    assert held.ended_by == ("longest",)
