"""Several days in a row: each starts where the night before ended."""

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from energysim import catalogue
from energysim.charge_plan import (
    ChargedBlock,
    ChargePlan,
    ChargerOutput,
    KindCharge,
    TripPlan,
    all_alike,
)
from energysim.report.night import trip_lines
from energysim.runner import run_day
from energysim.scenario.load import load_scenario, validate
from energysim.scenario.overlay import overlay
from energysim.trip import DayRun, run_trip

ZONE = ZoneInfo("America/New_York")
PLUG = datetime(2026, 5, 16, 23, 0, tzinfo=ZONE)
FLOODED = catalogue.chemistry("flooded").charge_law
ESTUARY = Path(__file__).parents[1] / "scenarios" / "estuary" / "estuary.toml"
WORDS = {"holds": "holds", "deep": "below limit", "empty": "gives out", "short": "off station"}


def charger(night_h, *, blocks=1, amps=10.0, law=FLOODED):
    return ChargePlan(
        plugged_in_at=PLUG,
        ready_by=PLUG + timedelta(hours=night_h),
        blocks=tuple(
            ChargedBlock(
                name=f"block {n}", place=(1, n), capacity_ah=100.0, temperature_degc=25.0
            )
            for n in range(1, blocks + 1)
        ),
        outputs=tuple(
            ChargerOutput(current_a=amps, charge_voltage_v=14.6, blocks=(n,))
            for n in range(blocks)
        ),
        law=law,
        charge_voltage_25_v=14.6,
        efficiency=0.85,
        power_factor=0.65,
        circuit_w=None,
        energy_price=None,
        currency="",
        note="",
    )


def trip(days=3, idle_s=0.0, **change):
    values = {
        "days": days,
        "next_start": PLUG + timedelta(hours=8) + timedelta(seconds=idle_s),
        "idle_s": idle_s,
        "idle_charger": False,
        "self_discharge_per_month": 0.08,
        "self_discharge_doubling_degc": 10.0,
        "temperature_degc": 20.0,
    }
    return TripPlan(**(values | change))


def spending(*depths, limit=0.3):
    """A day that takes a share of each block, whatever it starts from."""

    def run(morning):
        places = [(1, number) for number in range(1, len(depths) + 1)]
        first = dict.fromkeys(places, 1.0) if morning is None else dict(morning)
        end = {p: first[p] - depth for p, depth in zip(places, depths, strict=True)}
        worst = min(end.values())
        return DayRun(
            start=tuple(KindCharge(first[p], (p,)) for p in places),
            end=tuple(KindCharge(end[p], (p,)) for p in places),
            end_soc=worst,
            outcome="holds" if worst >= limit else "deep",
        )

    return run


def test_three_days_of_nights_too_short_worked_by_hand():
    # 100 Ah flooded, 60 Ah a day, 5 h at 10 A. Kept of it: 97 % to 80 % full, 90 % to 90 %.
    # Day 1: 1.0 -> 0.4; to 0.8 takes 0.4 / 0.097 h, the rest of 5 h gives 0.09 an hour.
    # Day 2: down by 0.6; five hours at 0.097 all below 0.8. Day 3 the same.
    first = 0.8 + (5.0 - 0.4 / 0.097) * 0.09
    second = first - 0.6 + 5.0 * 0.097
    result = run_trip(trip(), charger(5.0), spending(0.6))
    assert [day.start_charge for day in result.days] == pytest.approx([1.0, first, second])
    assert [day.end_charge for day in result.days] == pytest.approx(
        [0.4, first - 0.6, second - 0.6]
    )
    assert result.days[0].morning_charge == pytest.approx(0.87887, abs=1e-5)
    assert [day.full_by_morning for day in result.days] == [False, False, False]
    assert [day.outcome for day in result.days] == ["holds", "deep", "deep"]
    assert result.fails_on == 2


def test_a_night_long_enough_makes_every_day_alike():
    result = run_trip(trip(days=4), charger(14.0), spending(0.6))
    # The night ends where the next day begins: eight hours after the plug.
    assert not result.days[0].full_by_morning
    longer = trip(days=4, next_start=PLUG + timedelta(hours=14))
    result = run_trip(longer, charger(14.0), spending(0.6))
    assert all(day.full_by_morning for day in result.days)
    assert result.fails_on is None
    # Full is where the charger calls it so, a point below brim.
    assert [day.start_charge for day in result.days] == pytest.approx([1.0, 0.99, 0.99, 0.99])


def test_without_a_charger_the_bank_lasts_as_long_as_it_lasts():
    result = run_trip(trip(), None, spending(0.25))
    assert [day.end_charge for day in result.days] == pytest.approx([0.75, 0.5, 0.25])
    assert result.fails_on == 3


def test_time_ashore_takes_its_share_and_a_charger_left_in_does_not():
    # 8 % of what is left goes in a month at 20 degC (common practice).
    month_s = 30.4375 * 86400.0
    away = run_trip(trip(days=2, idle_s=month_s), None, spending(0.2))
    assert away.days[0].next_start_charge == pytest.approx(0.8 * 0.92)
    assert away.days[1].start_charge == pytest.approx(0.8 * 0.92)
    plugged = run_trip(
        trip(days=2, idle_s=month_s, idle_charger=True), charger(1.0), spending(0.5)
    )
    assert plugged.days[1].start_charge == pytest.approx(0.99)


def test_each_block_goes_its_own_way():
    # A tapped block comes home lower each day; the other is full every morning.
    result = run_trip(trip(), charger(6.0, blocks=2), spending(0.3, 0.7))
    lone = run_trip(trip(), charger(6.0), spending(0.7))
    assert [day.start_charge for day in result.days] == pytest.approx(
        [day.start_charge for day in lone.days]
    )


def test_the_days_read_as_lines():
    lines = trip_lines(run_trip(trip(), charger(5.0), spending(0.6)), words=WORDS)
    assert lines[0] == (
        "Day 1: starts at 100% by ampere-hours, ends at 40% (40% at the rate you draw): "
        "holds; 88% by morning."
    )
    assert "The first day holds; day 2 does not." in lines


def test_a_scenario_of_short_nights_runs_down_day_by_day_as_by_hand():
    """The program's own days, from a shipped scenario with a weak charger and a short night."""
    short_night = {
        "charger.current": "3 A",
        "charger.start": "23:30",
        "charger.ready_by": "04:30",
    }
    loaded = load_scenario(ESTUARY)
    base = overlay(loaded.raw, short_night)

    def day(morning):
        change = {} if morning is None else {"bank.start_soc": min(morning.values())}
        raw = overlay(base, change)
        result = run_day(replace(loaded, scenario=validate(raw), raw=raw), with_changes=False)
        start = change.get("bank.start_soc", 1.0)
        places = tuple((block.string, block.number) for block in result.recharge.blocks)
        results.append(result)
        return DayRun(
            start=(KindCharge(start, places),),
            end=(KindCharge(result.end_charge, places),),
            end_soc=result.end_soc,
            outcome=result.outcome,
        )

    results = []
    day(None)
    night = results.pop().recharge
    law = catalogue.chemistry("agm").charge_law
    capacity = catalogue.battery("31-agm").capacity_ah
    plan = charger(5.0, blocks=len(night.blocks), amps=3.0, law=law)
    plan = replace(
        plan,
        blocks=tuple(
            ChargedBlock(
                name=block.name,
                place=(block.string, block.number),
                capacity_ah=capacity,
                temperature_degc=night.temperature_degc,
            )
            for block in night.blocks
        ),
    )
    made = run_trip(trip(), plan, day)
    # By hand: all of the night below 80 %, where 99 of 100 Ah stay: 3 A x 5 h x 0.99 over the
    # block's ampere-hours come back each night.
    back = 3.0 * 5.0 * 0.99 / capacity
    for before, after, result in zip(made.days, made.days[1:], results, strict=False):
        assert before.end_charge + back < 0.8
        assert after.start_charge == pytest.approx(before.end_charge + back, rel=1e-9)
        assert result.recharge.soc_when_ready == pytest.approx(after.start_charge, rel=1e-9)
    starts = [day.start_charge for day in made.days]
    assert starts == sorted(starts, reverse=True)
    assert not any(day.full_by_morning for day in made.days)


def test_a_uniform_bank_is_told_by_one_row():
    plan = charger(5.0, blocks=3)
    assert all_alike(plan, 0.5) == (KindCharge(0.5, ((1, 1), (1, 2), (1, 3))),)
