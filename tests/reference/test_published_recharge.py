"""Recharge against worked examples and tests, each with its source in the CSV."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from energysim import catalogue
from energysim.physics.alternator import converter_power_w
from energysim.physics.charge import ChargeLaw, accepted_current_a, charge_input_ah
from energysim.physics.charge_course import charge_course, hours_to, socs_at, wall_w_at_start
from energysim.physics.charger import (
    apparent_power_va,
    continuous_circuit_power_w,
    energy_cost,
    wall_energy_wh,
)
from energysim.physics.outputs import Output, fed_block
from energysim.physics.solar import solar_energy_wh
from energysim.physics.voltage import block_resistance_ohm, rest_voltage_v
from energysim.scenario.charger import EngineCharging

pytestmark = pytest.mark.reference

with (Path(__file__).parent / "published_recharge.csv").open(
    encoding="utf-8", newline=""
) as _f:
    ROWS = {row["id"]: row for row in csv.DictReader(_f)}

FLOODED, AGM, LFP = (catalogue.chemistry(name).charge_law for name in ("flooded", "agm", "lfp"))
PRICE = 0.1688  # USD a kWh, April 2024, EIA


def changed(law: ChargeLaw, **change: object) -> ChargeLaw:
    """Return a law with some of it changed."""
    return ChargeLaw(**({name: getattr(law, name) for name in law.__slots__} | change))  # type: ignore[arg-type]


def night(start: float, amps: float, law: ChargeLaw, count: int = 1, volts: float = 14.4):
    """Return the course of a 100 Ah block, or of several, each on its own output."""
    block = fed_block(start, capacity_ah=100.0, temperature_degc=25.0, law=law)
    output = Output(current_a=amps, charge_voltage_v=volts, blocks=(block,), count=count)
    return charge_course([output], circuit_w=math.inf, charger_efficiency=0.85)


def hours(start: float, target: float, amps: float, law: ChargeLaw = FLOODED) -> float:
    return hours_to(night(start, amps, law), target)[0][0]


def one_efficiency(acceptance_per_h: float) -> ChargeLaw:
    """Return a law of one efficiency throughout."""
    return changed(
        FLOODED,
        acceptance_per_h=acceptance_per_h,
        band_edges=(0.5,),
        band_efficiency=(0.87, 0.87),
    )


def taper_start(amps: float) -> float:
    """Return where the accepted current first falls below the charger's."""
    soc = np.linspace(0.0, 0.98, 98_001)
    current = accepted_current_a(
        soc, charger_current_a=amps, capacity_ah=100.0, temperature_degc=25.0, law=FLOODED
    )
    return float(soc[current >= amps * (1.0 - 1e-12)][-1])


def mains_a(power_factor: float) -> float:
    watts = wall_w_at_start(night(0.3, 10.0, FLOODED, count=3))
    return float(apparent_power_va(watts, power_factor=power_factor)) / 120.0


def cost_by_the_law() -> float:
    """Return the cost of 1.8 kWh taken from two blocks half empty after it, at 12.2 V."""
    block_ah = 1800.0 / 12.2 / 2.0
    capacity = block_ah / 0.5
    fed = 2.0 * charge_input_ah(0.49, target_soc=0.99, capacity_ah=capacity, law=FLOODED)
    wall = wall_energy_wh(
        fed, charge_voltage_v=FLOODED.charge_voltage_v, charger_efficiency=0.85
    )
    return float(energy_cost(wall, price_per_kwh=PRICE))


def idle_share() -> float:
    """Return what of its label the shipped default leaves of an alternator."""
    table = EngineCharging.model_validate({"alternator": "35 A"})
    power = converter_power_w(
        table.alternator_a,
        spare_share=table.spare_share,
        alternator_voltage_v=table.alternator_voltage_v,
        converter_efficiency=1.0,
        bank_voltage_v=12.0,
    )
    return float(power) / table.alternator_voltage_v / table.alternator_a


def lithium_efficiency(charge_rate: float) -> float:
    """Return energy out over energy in by rest voltage and resistance, no charge lost."""
    kind = catalogue.chemistry("lfp")
    soc = np.linspace(0.0, 1.0, 1001)
    rest = rest_voltage_v(soc, soc_nodes=kind.rest_soc, voltage_nodes_v=kind.rest_voltage_v)
    ohm = block_resistance_ohm(
        soc,
        capacity_ah=100.0,
        resistance_ohm_per_100ah=kind.resistance_ohm_per_100ah,
        rise_when_empty=kind.resistance_rise_when_empty,
        temperature_factor=1.0,
    )
    out, into = rest - 5.0 * ohm, rest + 100.0 * charge_rate * ohm
    return float(out.mean() / into.mean())


CALLS = {
    "R70": lambda: accepted_current_a(
        0.9, charger_current_a=50.0, capacity_ah=100.0, temperature_degc=25.0, law=FLOODED
    ),
    "R73": lambda: solar_energy_wh(100.0, sun_hours_h=4.5, derating=0.75),
    "R74": lambda: energy_cost(1800.0 / (0.80 * 0.85), price_per_kwh=PRICE),
    "R74day": cost_by_the_law,
    "S01": lambda: hours(0.5, FLOODED.full_soc, 10.0),
    "S02": lambda: hours(0.2, FLOODED.full_soc, 10.0),
    "S03": lambda: hours(0.2, LFP.full_soc, 10.0, LFP),
    "S04": lambda: mains_a(1.0),
    "S05": lambda: mains_a(0.6),
    "S06": lambda: mains_a(0.65) * 120.0,
    "S07": idle_share,
    "S08": lambda: continuous_circuit_power_w(15.0, mains_voltage_v=120.0),
    "S10": lambda: hours(0.5, 0.8, 10.0),
    "S11": lambda: hours(0.5, 0.9, 10.0),
    "S12": lambda: hours(0.5, 0.95, 10.0),
    "S13": lambda: hours(0.5, 0.98, 10.0),
    "S14": lambda: hours(0.8, 0.98, 10.0),
    "S15": lambda: hours(0.5, 0.9, 20.0),
    "S16": lambda: hours(0.5, 0.95, 20.0),
    "S17": lambda: hours(0.8, 0.98, 20.0),
    "S18": lambda: hours(0.5, 0.8, 30.0),
    "S19": lambda: hours(0.5, 0.9, 30.0),
    "S20": lambda: hours(0.5, 0.95, 30.0),
    "S21": lambda: hours(0.5, 0.98, 30.0),
    "S22": lambda: hours(0.5, 0.99, 10.0) - hours(0.5, 0.98, 10.0),
    "S30": lambda: hours(0.5, 0.98, 10.0, one_efficiency(0.3)),
    "S31": lambda: hours(0.5, 0.98, 10.0, one_efficiency(0.4)),
    "S32": lambda: hours(0.5, 0.98, 10.0, one_efficiency(0.5)),
    "S40": lambda: taper_start(10.0),
    "S41": lambda: taper_start(20.0),
    "S42": lambda: taper_start(30.0),
    "S43": lambda: (socs_at(night(0.5, 40.0, AGM), 1.0)[0][0] - 0.5) / 0.5,
    "S44": lambda: hours(0.495, LFP.full_soc, 20.0, LFP),
    "B095a": lambda: lithium_efficiency(0.2),
    "B095b": lambda: lithium_efficiency(0.5),
}


def test_every_row_is_computed_and_nothing_else_is():
    assert set(ROWS) == set(CALLS)


@pytest.mark.parametrize("row_id", CALLS)
def test_agrees_with(row_id):
    row = ROWS[row_id]
    expected = float(row["expected"])
    tolerance = float(row["tolerance"].removesuffix(" rel"))
    if row["tolerance"].endswith(" rel"):
        tolerance *= abs(expected)
    value = float(CALLS[row_id]())
    assert abs(value - expected) <= tolerance + 1e-12, f"{row['quantity']}: {row['source']}"


def test_a_flooded_block_four_fifths_out_misses_a_night_of_ten_hours_and_lithium_does_not():
    # The worked example of practice says so of 100 Ah on 10 A.
    assert hours(0.2, FLOODED.full_soc, 10.0) > 10.0
    assert hours(0.2, LFP.full_soc, 10.0, LFP) < 10.0


def test_a_kilovolt_ampere_runs_three_outputs_if_the_charger_is_corrected_for_phase():
    # Common practice: a generator of 1 kVA gives about 900 W all night.
    watts = wall_w_at_start(night(0.3, 10.0, FLOODED, count=3))
    assert apparent_power_va(watts, power_factor=0.95) < 900.0
    assert apparent_power_va(watts, power_factor=0.55) > 900.0
