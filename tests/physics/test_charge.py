"""Recharge: the taper, its closed form, the cold, and the mains side."""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import energysim
from energysim.physics.charge import (
    ChargeLaw,
    accepted_current_a,
    charge_input_ah,
    charge_soc_after,
    charge_time_h,
    charge_voltage_v,
    largest_charger_current_a,
)
from energysim.physics.charger import (
    apparent_power_va,
    continuous_circuit_power_w,
    even_share_w,
    mains_power_w,
    wall_energy_wh,
)

DATA = Path(energysim.__file__).parent / "data"
CHEMISTRIES = tomllib.loads((DATA / "chemistries.toml").read_text(encoding="utf-8"))


def shipped(chemistry: str, **change) -> ChargeLaw:
    """Return a shipped chemistry's law, with some of it changed."""
    row = CHEMISTRIES[chemistry]
    fields = {
        "acceptance_per_h": row["charge_acceptance_per_h"]["value"],
        "acceptance_rise_per_degc": row["acceptance_rise_per_degc"]["value"],
        "band_edges": tuple(row["charge_band_edges"]["value"]),
        "band_efficiency": tuple(row["charge_band_efficiency"]["value"]),
        "full_soc": row["full_soc"]["value"],
        "charge_voltage_v": row["charge_voltage_v"]["value"],
        "voltage_rise_per_degc": row["charge_voltage_rise_per_degc"]["value"],
        "lowest_charge_degc": row.get("lowest_charge_degc", {}).get("value"),
        "largest_charge_rate": row["largest_charge_rate"]["value"],
    }
    return ChargeLaw(**(fields | change))


FLOODED = shipped("flooded")
LFP = shipped("lfp")
PLAIN = shipped("flooded", band_edges=(0.5,), band_efficiency=(1.0, 1.0), full_soc=0.999)
BLOCK = {"capacity_ah": 100.0, "temperature_degc": 25.0}


def hours(law, start, target, amps, **block):
    return charge_time_h(
        start, target_soc=target, charger_current_a=amps, law=law, **(BLOCK | block)
    )


def test_bulk_and_taper_worked_by_hand():
    # No losses, acceptance 1 an hour, 20 A into 100 Ah: to 80 % in 1.5 h from half, then the
    # missing charge falls as e^-t, so 80 to 90 % takes ln 2.
    assert hours(PLAIN, 0.5, 0.8, 20.0) == pytest.approx(1.5, rel=1e-12)
    assert hours(PLAIN, 0.5, 0.9, 20.0) == pytest.approx(1.5 + np.log(2.0), rel=1e-12)


def test_a_full_block_takes_no_time_and_no_current():
    assert hours(FLOODED, 0.99, 0.99, 10.0) == 0.0
    assert hours(FLOODED, 1.0, 0.99, 10.0) == 0.0
    full = accepted_current_a(1.0, charger_current_a=10.0, law=FLOODED, **BLOCK)
    assert full == 0.0


@pytest.mark.parametrize("law", [FLOODED, LFP, shipped("agm")], ids=["flooded", "lfp", "agm"])
@pytest.mark.parametrize("amps", [3.0, 10.0, 25.0, 200.0])
def test_the_closed_form_equals_a_fine_step_loop(law, amps):
    step_h = 2.0e-4
    soc, elapsed = 0.3, 0.0
    edges = np.array(law.band_edges)
    while soc < law.full_soc:
        pace = law.band_efficiency[int(np.searchsorted(edges, soc, side="right"))]
        current = min(amps, law.acceptance_per_h * 100.0 * (1.0 - soc))
        soc += pace * current / 100.0 * step_h
        elapsed += step_h
    closed = float(hours(law, 0.3, law.full_soc, amps))
    # The loop stops up to one step late and lags the taper by a step or so.
    assert elapsed == pytest.approx(closed, abs=5.0 * step_h + 5e-4 * closed)


def test_the_loop_of_accepted_currents_agrees_too():
    soc = 0.5
    for _ in range(6000):
        current = accepted_current_a(soc, charger_current_a=10.0, law=PLAIN, **BLOCK)
        soc += float(current) / 100.0 * 1e-3
    after = charge_soc_after(6.0, start_soc=0.5, charger_current_a=10.0, law=PLAIN, **BLOCK)
    assert soc == pytest.approx(float(after), abs=1e-4)


@given(
    start=st.floats(0.0, 0.98),
    gain=st.floats(0.0, 1.0),
    amps=st.floats(0.5, 300.0),
    celsius=st.floats(1.0, 40.0),
    chemistry=st.sampled_from(sorted(CHEMISTRIES)),
)
@settings(max_examples=150, deadline=None)
def test_state_after_a_time_is_the_inverse_of_the_time(start, gain, amps, celsius, chemistry):
    law = shipped(chemistry)
    target = min(start + gain * (law.full_soc - start), law.full_soc)  # rounding may pass it
    took = hours(law, start, target, amps, temperature_degc=celsius)
    reached = charge_soc_after(
        took,
        start_soc=start,
        charger_current_a=amps,
        law=law,
        **(BLOCK | {"temperature_degc": celsius}),
    )
    assert reached == pytest.approx(target, abs=1e-9)


def test_time_adds_up_over_any_waypoint():
    whole = hours(FLOODED, 0.2, 0.99, 10.0)
    parts = hours(FLOODED, 0.2, 0.87, 10.0) + hours(FLOODED, 0.87, 0.99, 10.0)
    assert whole == pytest.approx(float(parts), rel=1e-12)


def test_a_long_night_stops_at_full_and_never_takes_charge_away():
    states = charge_soc_after(
        100.0, start_soc=[0.1, 0.99, 1.0], charger_current_a=10.0, law=FLOODED, **BLOCK
    )
    np.testing.assert_allclose(states, [0.99, 0.99, 1.0], rtol=1e-12)


@given(amps=st.floats(0.5, 100.0), more=st.floats(0.1, 100.0), start=st.floats(0.0, 0.9))
@settings(max_examples=60, deadline=None)
def test_a_larger_charger_is_never_slower(amps, more, start):
    slow, fast = hours(FLOODED, start, 0.95, [amps, amps + more])
    assert fast <= slow * (1.0 + 1e-12)


def test_the_last_fifth_takes_hours_whatever_the_charger():
    # Common practice, no source: about 4 h from 80 to 98 %, at 10 A as at 30 A.
    np.testing.assert_allclose(hours(FLOODED, 0.8, 0.98, [10.0, 20.0, 30.0]), 4.0, atol=0.5)


def test_flooded_from_half_meets_the_rule_of_practice():
    # Common practice, no source: missing Ah / A x 1.1 to 1.2 and 2 to 4 h of taper, hence 8 to
    # 10 h for 50 Ah at 10 A.
    assert 8.0 <= hours(FLOODED, 0.5, FLOODED.full_soc, 10.0) <= 10.0


def test_lithium_is_faster_than_the_rule_of_practice_by_its_balancing_time():
    # Common practice, no source: missing Ah / A x 1.01 plus 0.5 to 1 h, 8.6 h for 80 Ah at
    # 10 A. The law leaves the balancing at the end out, and says so.
    took = float(hours(LFP, 0.2, LFP.full_soc, 10.0))
    assert 8.0 <= took <= 8.6


@pytest.mark.parametrize(
    ("chemistry", "low", "high"),
    [("flooded", 1.10, 1.20), ("agm", 1.05, 1.10), ("gel", 1.05, 1.10), ("lfp", 1.0, 1.02)],
)
def test_charge_in_over_charge_out_is_within_practice(chemistry, low, high):
    # Common practice, no source, for a charge from half to nearly full.
    fed = charge_input_ah(0.5, target_soc=0.98, capacity_ah=100.0, law=shipped(chemistry))
    assert low <= float(fed) / 48.0 <= high


def test_charge_fed_is_the_current_over_the_time():
    soc, fed = 0.5, 0.0
    step_h = 1e-3
    while soc < 0.97:
        current = float(accepted_current_a(soc, charger_current_a=15.0, law=FLOODED, **BLOCK))
        fed += current * step_h
        soc = float(
            charge_soc_after(
                step_h, start_soc=soc, charger_current_a=15.0, law=FLOODED, **BLOCK
            )
        )
    whole = float(charge_input_ah(0.5, target_soc=soc, capacity_ah=100.0, law=FLOODED))
    assert fed == pytest.approx(whole, rel=2e-3)


def test_cold_lengthens_the_taper_of_lead_acid_but_not_its_bulk():
    warm, cold = hours(FLOODED, 0.5, 0.99, 10.0, temperature_degc=np.array([25.0, 0.0]))
    assert cold > 1.3 * warm
    bulk = hours(FLOODED, 0.3, 0.6, 10.0, temperature_degc=np.array([25.0, 0.0]))
    assert bulk[0] == bulk[1]


def test_lithium_takes_no_charge_below_freezing():
    # Common practice, from memory: lithium plates out on the electrode.
    frozen = BLOCK | {"temperature_degc": -0.1}
    assert accepted_current_a(0.5, charger_current_a=20.0, law=LFP, **frozen) == 0.0
    assert hours(LFP, 0.5, 0.9, 20.0, temperature_degc=-0.1) == np.inf
    assert hours(LFP, 0.95, 0.9, 20.0, temperature_degc=-0.1) == 0.0
    stays = charge_soc_after(10.0, start_soc=0.5, charger_current_a=20.0, law=LFP, **frozen)
    assert stays == 0.5
    assert hours(LFP, 0.5, 0.9, 20.0, temperature_degc=0.0) < 3.0


def test_no_charger_never_finishes():
    assert hours(FLOODED, 0.5, 0.9, 0.0) == np.inf
    after = charge_soc_after(8.0, start_soc=0.5, charger_current_a=0.0, law=FLOODED, **BLOCK)
    assert after == 0.5


def test_arrays_and_members_equal_one_by_one():
    starts = np.array([[0.0], [0.4], [0.85], [0.97], [0.995]])
    law = shipped("flooded", acceptance_per_h=np.array([0.4, 0.7, 1.0]))
    together = hours(law, starts, 0.98, 12.0)
    nights = charge_soc_after(7.0, start_soc=starts, charger_current_a=12.0, law=law, **BLOCK)
    assert together.shape == nights.shape == (5, 3)
    for column, acceptance in enumerate((0.4, 0.7, 1.0)):
        single = shipped("flooded", acceptance_per_h=acceptance)
        for row, start in enumerate(starts[:, 0]):
            assert together[row, column] == float(hours(single, start, 0.98, 12.0))
            alone = charge_soc_after(
                7.0, start_soc=start, charger_current_a=12.0, law=single, **BLOCK
            )
            assert nights[row, column] == float(alone)


@pytest.mark.parametrize(
    ("start", "target", "amps", "message"),
    [
        (-0.1, 0.9, 10.0, r"start_soc = -0\.1"),
        (0.5, 0.995, 10.0, r"target_soc = 0\.995; .*at most 0\.99"),
        (0.5, 0.9, -1.0, "charger_current_a = -1"),
        (np.nan, 0.9, 10.0, "start_soc = nan"),
    ],
    ids=["below-empty", "beyond-full", "negative-current", "nan"],
)
def test_a_charge_that_makes_no_sense_is_refused(start, target, amps, message):
    with pytest.raises(ValueError, match=message):
        hours(FLOODED, start, target, amps)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"full_soc": 1.0}, "full_soc = 1"),
        ({"band_edges": (0.9, 0.8, 0.95)}, "band_edges is"),
        ({"band_efficiency": (0.9,)}, "band_edges is"),
        ({"band_efficiency": (0.9, 0.0, 0.9, 0.9)}, "band_efficiency = 0"),
        ({"acceptance_per_h": 0.0}, "acceptance_per_h = 0"),
    ],
    ids=["never-full", "falling-edges", "lengths", "no-efficiency", "no-acceptance"],
)
def test_a_law_that_makes_no_sense_is_refused(change, message):
    with pytest.raises(ValueError, match=message):
        shipped("flooded", **change)


def test_charge_voltage_rises_in_the_cold_for_lead_acid_only():
    # -4 mV a cell and degree (middle of -3 to -5, from memory): 6 x 15 x 4 mV = 0.36 V.
    lift = charge_voltage_v(10.0, law=FLOODED) - charge_voltage_v(25.0, law=FLOODED)
    assert lift == pytest.approx(0.36)
    assert charge_voltage_v(10.0, law=LFP) == charge_voltage_v(25.0, law=LFP)


def test_largest_charger_follows_the_capacity():
    assert largest_charger_current_a(100.0, law=FLOODED) == pytest.approx(20.0)


# The mains side

CHARGER = {"outputs": 3, "charge_voltage_v": 14.4, "charger_efficiency": 0.85}


def test_mains_power_worked_by_hand():
    # 3 x 10 A x 14.4 V / 0.85
    assert mains_power_w(10.0, **CHARGER) == pytest.approx(432.0 / 0.85)


def test_a_circuit_large_enough_leaves_every_output_what_it_wants():
    given = even_share_w([170.0, 60.0], counts=[3, 1], circuit_power_w=1440.0)
    np.testing.assert_array_equal(given, [170.0, 60.0])


def test_what_a_small_output_leaves_goes_to_the_others():
    # 400 W for wants of 250, 60 and 170: the small one has its 60, the others half the rest.
    given = even_share_w([250.0, 60.0, 170.0], counts=[1, 1, 1], circuit_power_w=400.0)
    np.testing.assert_allclose(given, [170.0, 60.0, 170.0])


@given(
    wanted=st.lists(st.floats(0.0, 500.0), min_size=1, max_size=5),
    circuit=st.floats(0.0, 1500.0),
    data=st.data(),
)
@settings(max_examples=60, deadline=None)
def test_a_circuit_is_used_up_but_never_overloaded(wanted, circuit, data):
    counts = [data.draw(st.integers(1, 4)) for _ in wanted]
    given = even_share_w(wanted, counts=counts, circuit_power_w=circuit)
    assert np.all(given <= np.asarray(wanted))
    asked = float(np.dot(wanted, counts))
    assert float(np.dot(given, counts)) == pytest.approx(
        min(asked, circuit), rel=1e-9, abs=1e-9
    )


def test_wall_energy_of_a_day_worked_by_hand():
    # 50 Ah in at 14.4 V through a charger of 0.85: 847 Wh.
    energy = wall_energy_wh([0.0, 50.0], charge_voltage_v=14.4, charger_efficiency=0.85)
    np.testing.assert_allclose(energy, [0.0, 720.0 / 0.85])


def test_a_circuit_carries_four_fifths_of_its_rating_all_night():
    # NEC 210.20(A), as quoted: 15 A at 120 V carries 1,440 W.
    assert continuous_circuit_power_w(15.0, mains_voltage_v=120.0) == pytest.approx(1440.0)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"charger_efficiency": 85.0}, "charger_efficiency = 85"),
        ({"outputs": 0}, "outputs = 0"),
        ({"charge_voltage_v": 0.0}, "charge_voltage_v = 0"),
    ],
    ids=["per-cent", "no-output", "no-voltage"],
)
def test_a_charger_that_makes_no_sense_is_refused(change, message):
    with pytest.raises(ValueError, match=message):
        mains_power_w(10.0, **(CHARGER | change))


def test_a_power_factor_above_one_is_refused():
    with pytest.raises(ValueError, match=r"power_factor = 1\.2"):
        apparent_power_va(100.0, power_factor=1.2)
