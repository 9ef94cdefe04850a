"""From the tables of charger, panel, engine and trip to a plan that can be run."""

import numpy as np
import pytest

from energysim import catalogue
from energysim.build import build_day
from energysim.errors import ScenarioError
from energysim.physics.supply import supplied_current_a
from energysim.runner import run_day
from energysim.scenario.overlay import overlay
from energysim.simulate import simulate

TEN = {"charger": {"current": "10 A"}}
LITHIUM = {
    "bank": {
        "battery": None, "chemistry": "lfp", "capacity": "100 Ah", "block_voltage": "12.8 V",
    }
}  # fmt: skip
SUN = {"solar": {"peak": "100 W", "sun_hours": "4.5 h"}}
ENGINE = {"engine_charging": {"alternator": "35 A"}}
RUN_FIRST = {
    "leg": [
        {"name": "out", "do": "run", "start": "06:00", "for": "30 min"},
        {"name": "the mark", "do": "hold", "for": "3 h"},
        {"name": "on", "do": "run", "for": "45 min"},
        {"name": "the reef", "do": "hold", "for": "2 h"},
    ]
}


@pytest.fixture
def built(plain_day, load_raw):
    """Build an invented day with changes laid over it."""

    def build(*changes, **kwargs):
        raw = plain_day()
        for change in changes:
            raw = overlay(raw, change)
        return build_day(load_raw(raw), **kwargs)

    return build


@pytest.fixture
def ran(plain_day, load_raw):
    """Run it."""

    def run(*changes):
        raw = plain_day()
        for change in changes:
            raw = overlay(raw, change)
        return run_day(load_raw(raw), with_changes=False)

    return run


def test_every_block_has_its_output_and_its_own_ampere_hours(built):
    plan = built(TEN).charge
    assert [output.blocks for output in plan.outputs] == [(0,), (1,)]
    assert [block.name for block in plan.blocks] == ["block 1", "block 2"]
    assert plan.circuit_w is None
    worn = built(
        TEN, {"bank.block": [{"number": 2, "capacity_fraction": 0.5, "temperature": "5 degC"}]}
    ).charge
    assert worn.blocks[1].capacity_ah == pytest.approx(0.5 * plan.blocks[0].capacity_ah)
    assert worn.blocks[1].temperature_degc == 5.0
    # Colder, so a higher voltage: -4 mV a cell and degree (from memory).
    gap_v = worn.outputs[1].charge_voltage_v - worn.outputs[0].charge_voltage_v
    warmth = worn.blocks[0].temperature_degc - 5.0
    assert gap_v == pytest.approx(6 * 0.004 * warmth)


def test_a_breaker_leaves_four_fifths_times_the_power_factor(built):
    # 15 A x 120 V x 0.8 = 1440 VA (NEC 210.20(A), as quoted), 936 W at 0.65.
    plan = built(TEN, {"charger.breaker": "15 A"})
    assert plan.charge.circuit_w == pytest.approx(936.0)
    assert any("four fifths of a 15 A breaker" in note for note in plan.assumptions)
    plan = built(TEN, {"charger.breaker": "10 A", "charger.mains_voltage": "230 V"})
    assert plan.charge.circuit_w == pytest.approx(0.8 * 2300.0 * 0.65)


def test_a_generator_gives_nine_tenths_of_its_plate_and_a_warning(built):
    # Common practice, no source.
    plan = built(TEN, {"charger.circuit": "1 kVA", "charger.source": "generator"})
    assert plan.charge.circuit_w == pytest.approx(900.0 * 0.65)
    assert any("carbon monoxide" in warning for warning in plan.warnings)
    plan = built(TEN, {"charger.circuit": "1 kVA", "charger.power_factor": 0.95})
    assert plan.charge.circuit_w == pytest.approx(950.0)
    assert not any("carbon monoxide" in warning for warning in plan.warnings)


def test_a_circuit_too_small_is_told_and_one_just_large_enough_is_not(built):
    assert "its outputs share them" in built(TEN, {"charger.circuit": "100 W"}).charge.note
    assert built(TEN, {"charger.circuit": "1440 W"}).charge.note == ""


def test_a_shared_output_and_a_harsh_one_are_doubted(built):
    twelve = {"motor.voltage": "12 V", "bank.parallel": 2}
    plan = built(twelve, {"charger": {"current": "10 A", "feeds": ["1 + 2"]}})
    assert any("string 1 and string 2: it ties them" in warning for warning in plan.warnings)
    plan = built({"charger": {"current": "60 A"}})
    assert sum("60 A is more than" in warning for warning in plan.warnings) == 1


def test_lithium_below_freezing_stays_off_charger_panel_and_engine(built, ran):
    cold = {"bank.temperature": "-3 degC"}
    plan = built(LITHIUM, TEN, SUN, ENGINE, RUN_FIRST, cold)
    assert "the bank at -3 degC" in plan.charge.note
    assert not np.any(plan.demand.supply_w)
    assert any("panel and engine stay off" in warning for warning in plan.warnings)
    result = ran(LITHIUM, TEN, SUN, cold)
    assert result.recharge.full_at is None
    assert result.recharge.soc_when_ready == pytest.approx(result.end_charge)
    assert "too cold" in result.recharge.note


def test_a_price_of_energy_prices_the_night(ran):
    assert ran(TEN).recharge.cost is None
    priced = ran(TEN, {"prices": {"currency": "USD", "energy_per_kwh": 0.2}}).recharge
    assert priced.cost == pytest.approx(0.2 * priced.wall_energy_by_ready_wh / 1000.0)


# Sources aboard


def test_the_panel_adds_up_to_its_hours_of_sun_over_a_whole_day(built):
    long_day = {"leg[1].start": "05:00", "leg[1].for": "15 h"}
    plan = built(SUN, long_day)
    energy = float(np.sum(plan.demand.supply_w * plan.demand.step_s)) / 3600.0
    assert energy == pytest.approx(337.5, rel=1e-9)


def test_the_engine_charges_on_the_legs_run_on_it_alone(built):
    plan = built(ENGINE, RUN_FIRST)
    running = np.isin(plan.leg_of_step, [0, 2])
    power = plan.demand.supply_w[:, 0]
    np.testing.assert_allclose(power[running], 35.0 * 0.34 * 13.8 * 0.9)
    assert not np.any(power[~running])
    limited = built(ENGINE, RUN_FIRST, {"engine_charging.converter": "5 A"})
    np.testing.assert_allclose(limited.demand.supply_w[running, 0], 5.0 * 24.0)


def test_an_engine_that_never_runs_is_told(built):
    plan = built(ENGINE)
    assert any("no leg of the plan is run on it" in warning for warning in plan.warnings)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"sun_hours": "10 h"}, "is more sun than fits between 06:00 and 18:00"),
        ({"sunset": "06:00"}, "is more sun than fits"),
    ],
)
def test_more_sun_than_the_day_holds_is_refused(built, change, message):
    with pytest.raises(ScenarioError, match=message):
        built({"solar": SUN["solar"] | change})


@pytest.mark.parametrize("source", [SUN, ENGINE], ids=["panel", "engine"])
def test_a_source_aboard_never_leaves_less_and_never_more_than_it_gave(ran, source):
    without = ran(RUN_FIRST)
    with_it = ran(RUN_FIRST, source)
    assert with_it.end_soc > without.end_soc
    assert with_it.end_charge > without.end_charge


# Trips


def test_a_trip_is_run_day_after_day_and_reads_its_idle_time(ran):
    short_night = {
        "bank.house_load": "200 W",
        "charger": {"current": "3 A", "start": "20:00", "ready_by": "01:00"},
    }
    trip = ran(short_night, {"trip": {"days": 3}}).trip
    assert [day.day for day in trip.days] == [1, 2, 3]
    starts = [day.start_charge for day in trip.days]
    assert starts[0] == 1.0
    assert starts[1] == pytest.approx(trip.days[0].morning_charge, rel=1e-9)
    assert starts[2] == pytest.approx(trip.days[1].morning_charge, rel=1e-9)
    rested = ran(short_night, {"trip": {"days": 2, "idle": "5 d", "idle_charger": True}}).trip
    assert rested.days[1].start_charge > starts[1]


def test_a_trip_of_days_that_overlap_is_refused(built):
    legs = [
        {"name": "the mark", "do": "hold", "start": "06:00", "for": "20 h"},
        {"name": "home", "do": "run", "for": "6 h"},
    ]
    with pytest.raises(ScenarioError, match="the next day begins at 17 May 06:00, before this"):
        built({"leg": legs, "trip": {"days": 2}})
    assert built({"leg": legs, "trip": {"days": 2, "idle": "1 d"}}).trip.days == 2


@pytest.mark.parametrize("law", ["peukert", "kinetic"])
def test_the_loop_takes_from_a_panel_what_the_law_of_supply_says(built, law):
    # A big panel over a bank nearly full, so that the bank's acceptance is the limit at times.
    bright = {"solar": {"peak": "800 W", "sun_hours": "6 h"}, "bank.start_soc": 0.97}
    # At 25 degC, where the label's ampere-hours are today's.
    plan = built(
        TEN, bright, {"leg[1].for": "6 h", "bank.law": law, "bank.temperature": "25 degC"}
    )
    flows = simulate(plan.demand, plan.bank, plan.motor)
    kind = catalogue.chemistry("agm")
    level = np.clip(1.0 - 0.03 - flows.drawn_ah[:-1] / plan.ledger_capacity_ah, 0.0, 1.0)
    load = flows.current_a + flows.supply_a  # what motor and house draw
    by_law = supplied_current_a(
        level,
        supply_w=plan.demand.supply_w,
        voltage_v=flows.emf_v,
        capacity_ah=plan.ledger_capacity_ah,
        temperature_degc=plan.charge.blocks[0].temperature_degc,
        law=kind.charge_law,
        load_current_a=load,
    )
    # Where the bank itself is the limit, the charge lost on the way in makes a few per cent.
    np.testing.assert_allclose(flows.supply_a, by_law, rtol=0.06, atol=0.05)
    assert np.any(flows.current_a < 0.0)
    assert np.any(flows.supply_a < 0.9 * plan.demand.supply_w / flows.emf_v)
