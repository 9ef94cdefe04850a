"""
Read what the checks need to know off the scenario, its built plan and its day.

The only part of the rig that knows how a scenario says it.

Depends on: rig.facts, scenario, build, catalogue, conductors, physics, plan, results.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.block import build_block
from energysim.build.cable import USUAL_CABLE
from energysim.build.propeller import USUAL_BOW_RISE
from energysim.catalogue import battery, chemistry_tables
from energysim.conductors import conductors
from energysim.physics.cable import awg_area_m2
from energysim.physics.charge import charge_voltage_v
from energysim.rig.facts import BankFacts, ChargerFacts, Feed, LeadFacts, RigFacts
from energysim.scenario.rigging import Mounting, Vent, Wiring

if TYPE_CHECKING:
    from energysim.plan import DayPlan
    from energysim.results.day import DayTold
    from energysim.scenario.fields import Gauge
    from energysim.scenario.model import Scenario

WARMEST_LABEL_DEGC: Final = 25.0  # charging voltages are told for it; colder cells want more
LEAD_CELLS_PER_12V: Final = 6
USUAL_CONTACTS_OHM: Final = 0.002
AIR_IN_A_LOCKER: Final = 0.5
"""Share of a locker taken as air where the size of the blocks is not known (ours). [1]"""


def read_facts(scenario: Scenario, plan: DayPlan, result: DayTold) -> RigFacts:
    """
    Return what the checks need to know.

    Parameters
    ----------
    scenario : Scenario
        What the user wrote.
    plan : DayPlan
        The same, built.
    result : DayTold
        Its day, run.

    Raises
    ------
    ScenarioError
        A name is not listed.
    """
    bank = _bank(scenario, plan)
    height = scenario.boat.bow_height_m
    peak = _peak_a(scenario, result)
    return RigFacts(
        motor_voltage_v=plan.rated_voltage_v,
        load_a=max(_motor_a(scenario), peak),
        peak_a=peak,
        air_degc=scenario.day.air_temperature_degc,
        bank=bank,
        leads=_leads(scenario),
        wiring=scenario.wiring or Wiring(),
        breaker=scenario.breaker,
        plug=scenario.plug,
        cord=scenario.cord,
        vent=scenario.vent or Vent(),
        mounting=scenario.mounting or Mounting(),
        charger=_charger(scenario, plan, bank),
        lockers=scenario.lockers,
        locker_air_m3=_locker_air_m3(scenario, bank),
        shaft_length_m=scenario.motor.shaft_length_m,
        mount_height_m=USUAL_BOW_RISE * scenario.boat.freeboard_m if height is None else height,
        mount_height_given=height is not None,
        has_chop=scenario.chop is not None,
        feed=_feed(plan, result),
        energy_drawn_wh=result.energy_drawn_wh,
    )


def size_name(gauge: Gauge) -> str:
    """Return a cable's size as it is printed on the jacket."""
    if gauge.awg is None:
        return f"{1e6 * (gauge.area_m2 or 0.0):g} mm2"
    return f"{1 - gauge.awg}/0 AWG" if gauge.awg < 1 else f"{gauge.awg} AWG"


def _motor_a(scenario: Scenario) -> float:
    """Return the most the motor draws, by its label or its owner's test."""
    readings = [point.current_a for point in scenario.motor.bench]
    return max([*readings, scenario.motor.max_current_a or 0.0])


def _peak_a(scenario: Scenario, result: DayTold) -> float:
    """Return the day's largest current in the feed: the bank's, less what the house takes."""
    house = scenario.bank.house_load_w / np.maximum(result.series["bank_voltage"], 1.0)
    return max(0.0, float((result.series["peak_current"] - house).max()))


def _feed(plan: DayPlan, result: DayTold) -> Feed:
    """Return the feed's current step by step, as it is while the motor runs."""
    share = np.array([leg.running_share for leg in result.legs] + [1.0])[plan.leg_of_step]
    share = np.where(share > 0.0, share, 1.0)
    mean = result.series["motor_power"] / np.maximum(result.series["motor_voltage"], 1.0)
    return Feed(step_s=result.series["step"], running_a=mean / share, running_share=share)


def _bank(scenario: Scenario, plan: DayPlan) -> BankFacts:
    block = build_block(scenario.bank)
    kind = block.chemistry
    warmth = scenario.bank.temperature_degc
    if warmth is None:
        warmth = scenario.day.water_temperature_degc
    # How the charger is set is not told: the high end of what the chemistry is charged at.
    row = chemistry_tables()[kind.key]["charge_voltage_v"]
    charging = float(charge_voltage_v(min(warmth, WARMEST_LABEL_DEGC), law=kind.charge_law)) + (
        float(row["high"]) - float(row["value"])
    )
    listed = None if scenario.bank.battery is None else battery(scenario.bank.battery)
    nominal = kind.block_voltage_nominal_v * block.scale
    return BankFacts(
        chemistry=kind.key,
        label=kind.label,
        is_lithium=kind.family == "lithium",
        is_sealed=kind.key != "flooded",
        series=plan.series,
        parallel=plan.parallel,
        block_mass_kg=block.mass_kg,
        capacity_ah=block.capacity_ah * plan.parallel,
        energy_wh=block.capacity_ah * plan.parallel * nominal * plan.series,
        nominal_voltage_v=nominal * plan.series,
        charging_voltage_v=charging * block.scale * plan.series,
        cells_in_series=round(LEAD_CELLS_PER_12V * block.scale) * plan.series,
        block_volume_m3=None
        if listed is None
        else listed.length_m * listed.width_m * listed.height_m,
    )


def _leads(scenario: Scenario) -> LeadFacts:
    table = scenario.cable
    if table is None:
        name, awg, length = USUAL_CABLE
        place = _place(float(awg_area_m2(awg)))
        return LeadFacts(
            given=False,
            size=name,
            place=place,
            area_m2=float(conductors().least_area_m2[place]),
            length_m=length,
            resistance_ohm=None,
            contact_resistance_ohm=USUAL_CONTACTS_OHM,
        )
    if table.gauge is None:
        return LeadFacts(
            given=True,
            size="",
            place=None,
            area_m2=0.0,
            length_m=None,
            resistance_ohm=table.resistance_ohm,
            contact_resistance_ohm=table.contact_resistance_ohm,
        )
    gauge = table.gauge
    metal = gauge.area_m2 if gauge.awg is None else float(awg_area_m2(gauge.awg))
    place = _place(metal or 0.0)
    listed = conductors().least_area_m2
    # A metric size has the metal it says; of an American one the least it may have is taken.
    least = metal if gauge.awg is None or place < 0 else float(listed[place])
    return LeadFacts(
        given=True,
        size=size_name(gauge),
        place=place,
        area_m2=least or 0.0,
        length_m=table.length_m,
        resistance_ohm=None,
        contact_resistance_ohm=table.contact_resistance_ohm,
    )


def _place(metal_m2: float) -> int:
    """Return the thickest listed size that has no more metal, -1 where none is so thin."""
    areas = awg_area_m2(conductors().awg)
    return int(np.searchsorted(areas, metal_m2 * (1.0 + 1e-9), side="right")) - 1


def _charger(scenario: Scenario, plan: DayPlan, bank: BankFacts) -> ChargerFacts | None:
    table, night = scenario.charger, plan.charge
    if table is None or night is None:
        return None
    told = {"mains_voltage_v", "mains_voltage"} & table.model_fields_set
    return ChargerFacts(
        currents_a=tuple(output.current_a for output in night.outputs),
        block_voltage_v=bank.charging_voltage_v / bank.series,
        efficiency=night.efficiency,
        power_factor=night.power_factor,
        circuit_w=night.circuit_w,
        mains_voltage_v=table.mains_voltage_v if told else None,
    )


def _locker_air_m3(scenario: Scenario, bank: BankFacts) -> float | None:
    """Return the air left in the lockers, None where there are none."""
    if not scenario.lockers:
        return None
    inside = sum(box.length_m * box.width_m * box.height_m for box in scenario.lockers)
    if bank.block_volume_m3 is None:
        return AIR_IN_A_LOCKER * inside
    blocks = bank.series * bank.parallel * bank.block_volume_m3
    return max(0.0, inside - blocks)
