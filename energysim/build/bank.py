"""
The bank seen from its terminals, and the leads to the motor.

All blocks are alike here, so the bank is one block with its voltage times the series count and
its capacity times the strings.

Depends on: scenario, catalogue, physics, simulate, errors.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.catalogue import Chemistry, battery, chemistry
from energysim.errors import Problem, ScenarioError
from energysim.physics.cable import STRANDED, awg_area_m2, feed_resistance_ohm
from energysim.physics.ratings import peukert_exponent_from_reserve
from energysim.physics.temperature import capacity_factor, resistance_factor
from energysim.physics.voltage import block_resistance_ohm, rest_voltage_v
from energysim.simulate import Bank

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.motor import MotorPart
    from energysim.scenario.model import Scenario

SECONDS_PER_MINUTE: Final = 60.0
SECONDS_PER_HOUR: Final = 3600.0
EMF_NODES: Final = 401
VOLTAGE_MISMATCH: Final = 0.15
"""A bank whose nominal voltage is further than this from the motor's is refused (ours)."""

USUAL_CABLE: Final = ("6 AWG", 6, 6.1)  # common practice: console to bow on a small open boat


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """One block, from the catalogue or from the scenario's own label."""

    chemistry: Chemistry
    capacity_ah: float  # by the label
    rated_time_h: float
    voltage_v: float
    mass_kg: float
    exponent: float
    scale: float  # nominal voltage over 12 V
    notes: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BankPart:
    """The bank and what the day needs to know about it."""

    bank: Bank
    block: Block
    series: int
    parallel: int
    ledger_capacity_ah: float
    limit_soc: float
    temperature_degc: float
    notes: tuple[str, ...]
    warnings: tuple[str, ...]


def build_block(scenario: Scenario) -> Block:
    """
    Return one block of the bank.

    Raises
    ------
    ScenarioError
        A name is not listed, or the label contradicts itself.
    """
    table = scenario.bank
    reserve_min: float | None = None
    if table.battery is not None:
        listed = battery(table.battery)
        kind, capacity = chemistry(listed.chemistry), listed.capacity_ah
        rated_time_h, voltage, mass = listed.rated_time_h, listed.voltage_v, listed.mass_kg
        reserve_min = listed.reserve_min
        notes = [
            f"a typical {listed.name} block: {capacity:g} Ah, {mass:g} kg (common practice)"
        ]
    else:
        kind = chemistry(table.chemistry or "")
        capacity = table.capacity_ah or 0.0
        rated_time_h = table.rated_time_s / SECONDS_PER_HOUR
        voltage, mass, notes = table.block_voltage_v, 0.0, []
    if table.reserve_s is not None:
        reserve_min = table.reserve_s / SECONDS_PER_MINUTE
    if table.block_mass_kg is not None:
        mass = table.block_mass_kg
    elif table.battery is None:
        mass = _usual_mass_kg(kind, capacity, voltage)
        notes.append(f"a block weighs {mass:.0f} kg (from its energy; common practice)")
    exponent, told, warnings = _exponent(
        kind, table.peukert_exponent, reserve_min, capacity, rated_time_h
    )
    return Block(
        chemistry=kind,
        capacity_ah=capacity,
        rated_time_h=rated_time_h,
        voltage_v=voltage,
        mass_kg=mass,
        exponent=exponent,
        scale=round(voltage / 2.0) / 6.0
        if kind.family == "lead-acid"
        else round(voltage / 3.2) / 4.0,
        notes=(*notes, *told),
        warnings=warnings,
    )


def _usual_mass_kg(kind: Chemistry, capacity_ah: float, voltage_v: float) -> float:
    """Return a block's mass from its energy, by the chemistry's usual density."""
    wh_per_kg = 105.0 if kind.family == "lithium" else 42.0  # common practice, no source
    return capacity_ah * voltage_v / wh_per_kg


def _exponent(
    kind: Chemistry,
    given: float | None,
    reserve_min: float | None,
    capacity_ah: float,
    rated_time_h: float,
) -> tuple[float, list[str], tuple[str, ...]]:
    """Return Peukert's exponent: the user's, the label's, or the chemistry's."""
    if given is not None:
        return given, [], ()
    if reserve_min is None or kind.family == "lithium":
        told = f"Peukert's exponent {kind.peukert_exponent:g}, usual for {kind.label}"
        return kind.peukert_exponent, [told], ()
    try:
        implied = float(
            peukert_exponent_from_reserve(
                reserve_min, capacity_ah=capacity_ah, rated_time_h=rated_time_h
            )
        )
    except ValueError as error:
        raise ScenarioError(
            Problem(
                path="bank.reserve",
                value=f"{reserve_min:g} min",
                reason=str(error),
                hint="check the label, or give bank.peukert_exponent instead",
            )
        ) from None
    warnings: tuple[str, ...] = ()
    if implied > 1.5:
        warnings = (
            f"the label's {capacity_ah:g} Ah and {reserve_min:g} min of reserve imply a "
            f"Peukert exponent of {implied:.2f}; above 1.5 is not usual: check both numbers",
        )
    told = f"Peukert's exponent {implied:.3f}, from the label's reserve minutes"
    return implied, [told], warnings


def build_bank(scenario: Scenario, block: Block, motor: MotorPart) -> BankPart:
    """
    Return the bank of these blocks, behind its leads.

    Raises
    ------
    ScenarioError
        The bank's voltage does not serve the motor, or it is too cold or hot for the tables.
    """
    table, kind = scenario.bank, block.chemistry
    nominal = kind.block_voltage_nominal_v * block.scale
    series = table.series or max(1, round(motor.rated_voltage_v / nominal))
    notes, warnings = list(block.notes), list(block.warnings)
    _refuse_mismatch(series * nominal, motor.rated_voltage_v, series)
    temperature = table.temperature_degc
    if temperature is None:
        temperature = scenario.day.water_temperature_degc
        notes.append(f"the bank is as warm as the water, {temperature:.0f} degC")
    try:
        warmth = float(
            capacity_factor(
                temperature,
                temperature_nodes_degc=kind.capacity_temperature_degc,
                factor_nodes=kind.capacity_temperature_factor,
                largest_factor=kind.capacity_largest_factor,
            )
        )
    except ValueError as error:
        raise ScenarioError(Problem(path="bank.temperature", reason=str(error))) from None
    stiffness = float(
        resistance_factor(temperature, rise_per_degc=kind.resistance_rise_per_degc)
    )
    if table.resistance_ohm is not None:
        full_ohm = table.resistance_ohm * stiffness
    else:
        full_ohm = block.scale * float(
            block_resistance_ohm(
                1.0,
                capacity_ah=block.capacity_ah,
                resistance_ohm_per_100ah=kind.resistance_ohm_per_100ah,
                rise_when_empty=kind.resistance_rise_when_empty,
                temperature_factor=stiffness,
            )
        )
    rated_ah = block.capacity_ah * table.parallel * table.capacity_fraction
    cutoff = table.cutoff_voltage_v or kind.cutoff_voltage_v * block.scale
    depth = table.depth_of_discharge or kind.depth_of_discharge
    if table.depth_of_discharge is None:
        notes.append(
            f"the plan may use {depth:.0%} of the bank ({kind.label}, common practice)"
        )
    if abs(warmth - 1.0) > 0.005:
        notes.append(f"at {temperature:.0f} degC the bank gives {warmth:.0%} of its label")
    cable_ohm, cable_note = _cable_ohm(scenario)
    if cable_note:
        notes.append(cable_note)
    levels = np.linspace(0.0, 1.0, EMF_NODES)
    emf = rest_voltage_v(levels, soc_nodes=kind.rest_soc, voltage_nodes_v=kind.rest_voltage_v)
    if kind.family == "lithium":
        warnings.append(
            "a lithium bank's resting voltage hardly moves between 20 and 90 %: "
            "it is no fuel gauge; go by ampere-hours"
        )

    def each(value: float) -> NDArray[np.float64]:
        return np.full((1, 1, 1), float(value))

    capacity = block.capacity_ah * table.capacity_fraction
    loss_w_per_k, heat_j_per_k = _heat(kind, block.mass_kg)
    bank = Bank(
        kinetic=np.array([False]),
        string_count=np.array([[float(table.parallel)]]),
        block_count=each(series),
        capacity_ah=each(capacity * warmth),
        charge_ah=each(capacity),
        wells_total_ah=each(capacity * warmth),
        wells_share=each(1.0),
        wells_rate_per_h=each(1.0),
        exponent=each(block.exponent),
        rated_time_h=np.array([block.rated_time_h]),
        memory_s=np.array([table.memory_s]),
        start_soc=each(table.start_soc),
        emf_tables_v=(block.scale * emf)[None, :],
        emf_kind=np.zeros((1, 1, 1), dtype=np.intp),
        resistance_full_ohm=each(full_ohm),
        resistance_rise=each(kind.resistance_rise_when_empty),
        resistance_fall_per_k=each(kind.resistance_rise_per_degc),
        heat_capacity_j_per_k=each(heat_j_per_k),
        heat_loss_w_per_k=each(loss_w_per_k),
        surrounds_degc=np.array([temperature]),
        start_degc=each(temperature),
        block_cutoff_v=each(-np.inf),
        tapped_w=each(0.0),
        acceptance_of_empty_a=each(0.0),
        charge_efficiency=each(1.0),
        cable_ohm=np.array([cable_ohm]),
        cutoff_voltage_v=np.array([series * cutoff]),
        house_load_w=np.array([table.house_load_w]),
        current_limit_a=np.array([motor.current_limit_a]),
        lowest_voltage_v=np.array([motor.lowest_voltage_v]),
    )
    return BankPart(
        bank=bank,
        block=block,
        series=series,
        parallel=table.parallel,
        ledger_capacity_ah=rated_ah,
        limit_soc=1.0 - depth,
        temperature_degc=temperature,
        notes=tuple(notes),
        warnings=tuple(warnings),
    )


def _heat(kind: Chemistry, mass_kg: float) -> tuple[float, float]:
    """Return a block's loss in W/K and heat capacity in J/K (common practice, no source)."""
    heat_j_per_k = mass_kg * (1000.0 if kind.family == "lithium" else 900.0)
    # 25 kg of lead-acid cool with a time constant of 3 h; the loss grows with the surface.
    loss_w_per_k = 25.0 * 900.0 / (3.0 * SECONDS_PER_HOUR) * (mass_kg / 25.0) ** (2.0 / 3.0)
    return loss_w_per_k, heat_j_per_k


def _refuse_mismatch(bank_v: float, motor_v: float, series: int) -> None:
    """Refuse a bank whose voltage does not serve the motor."""
    if abs(bank_v / motor_v - 1.0) <= VOLTAGE_MISMATCH:
        return
    raise ScenarioError(
        Problem(
            path="bank.series",
            value=series,
            reason=f"makes a bank of {bank_v:g} V for a motor of {motor_v:g} V",
            hint="as many blocks in series as the motor's voltage asks for",
        )
    )


def _cable_ohm(scenario: Scenario) -> tuple[float, str]:
    """Return the resistance of leads and contacts, and what was assumed of them."""
    table = scenario.cable
    temperature = scenario.day.air_temperature_degc
    if table is not None and table.resistance_ohm is not None:
        return table.resistance_ohm + table.contact_resistance_ohm, ""
    note = ""
    if table is None or table.length_m is None or table.gauge is None:
        name, awg, length = USUAL_CABLE
        area, contacts = float(awg_area_m2(awg)), 0.002
        note = (
            f"{name} leads over {length:g} m (20 ft), and 2 mohm of contacts (common practice)"
        )
    else:
        gauge, length = table.gauge, table.length_m
        contacts = table.contact_resistance_ohm
        area = (
            gauge.area_m2 if gauge.area_m2 is not None else float(awg_area_m2(gauge.awg or 0))
        )
    ohm = feed_resistance_ohm(
        length,
        area_m2=area,
        temperature_degc=temperature,
        lay_factor=STRANDED,
        contact_resistance_ohm=contacts,
    )
    return float(ohm), note
