"""
Blocks as the bank the loop runs: rows of alike blocks, by both laws, behind their leads.

Depends on: scenario, errors, physics, simulate, the other parts of build about the bank.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.arrays import Terminals, bank_arrays, warmth_factor, with_wells
from energysim.build.cable import leads_ohm
from energysim.build.layout import BlockState, lay_out
from energysim.build.wells import build_discharge
from energysim.build.worn import capacity_left, morning_soc
from energysim.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.build.block import Block
    from energysim.build.layout import Layout
    from energysim.build.motor import MotorPart
    from energysim.scenario.bank import BlockRow, Label, Tapped
    from energysim.scenario.model import Scenario
    from energysim.simulate import Bank

VOLTAGE_MISMATCH: Final = 0.15
"""A bank whose nominal voltage is further than this from the motor's is refused (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BankPart:
    """A bank and what the day needs to know about it."""

    bank: Bank
    slow_bank: Bank | None  # the wells at the ends of their rate's range; None where it is
    fast_bank: Bank | None  # no choice
    block: Block
    layout: Layout
    series: int
    parallel: int
    ledger_capacity_ah: float
    limit_soc: float
    temperature_degc: float
    notes: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def mass_kg(self) -> float:
        """Weight of all its blocks."""
        return self.series * self.parallel * self.block.mass_kg


def build_bank(scenario: Scenario, block: Block, motor: MotorPart) -> BankPart:
    """
    Return the bow motor's bank, of these blocks, behind its leads.

    Raises
    ------
    ScenarioError
        The bank's voltage does not serve the motor, the label contradicts itself, a row is
        about a block there is not, or it is too cold or hot for the tables.
    """
    table = scenario.bank
    series = table.series or max(1, round(motor.rated_voltage_v / block.nominal_v))
    _refuse_mismatch(series * block.nominal_v, motor.rated_voltage_v, series)
    cable_ohm, cable_notes = leads_ohm(scenario)
    part = assemble(
        table,
        block,
        series=series,
        water_degc=scenario.day.water_temperature_degc,
        terminals=Terminals(
            cable_ohm=cable_ohm,
            house_load_w=table.house_load_w,
            current_limit_a=motor.current_limit_a,
            lowest_voltage_v=motor.lowest_voltage_v,
        ),
        rows=table.blocks,
        tapped=table.tapped,
    )
    return replace(part, notes=(*part.notes, *cable_notes))


def assemble(
    label: Label,
    block: Block,
    *,
    series: int,
    water_degc: float,
    terminals: Terminals,
    rows: Sequence[BlockRow] = (),
    tapped: Sequence[Tapped] = (),
) -> BankPart:
    """
    Return a bank of blocks, from its label.

    Parameters
    ----------
    label : Label
        The scenario's table.
    block : Block
        One of its blocks, new and at 25 degC.
    series : int
        Blocks in a string. [count]
    water_degc : float
        What the bank is as warm as, unless the table says. [degC]
    terminals : Terminals
        What hangs on the bank as a whole.
    rows, tapped : sequence of BlockRow, Tapped
        What is said of single blocks.

    Raises
    ------
    ScenarioError
        The label contradicts itself, a row is about a block there is not, or it is too cold or
        hot for the tables.
    """
    kind = block.chemistry
    discharge = build_discharge(label, block)
    fraction, worn_notes, worn_warnings = capacity_left(label, block)
    notes = [*block.notes, *discharge.notes, *worn_notes]
    warnings = [*discharge.warnings, *worn_warnings]
    temperature = label.temperature_degc
    if temperature is None:
        temperature = water_degc
        notes.append(f"the bank is as warm as the water, {temperature:.0f} degC")
    warmth = warmth_factor(block, temperature, path="bank.temperature")
    usual = BlockState(
        capacity_fraction=fraction,
        temperature_degc=temperature,
        resistance_ohm=label.resistance_ohm,
        start_soc=label.start_soc,
        tapped_w=0.0,
    )
    layout = lay_out(usual, series=series, parallel=label.parallel, rows=rows, tapped=tapped)
    bank = bank_arrays(label, block, discharge, layout, temperature, terminals, series)
    depth = label.depth_of_discharge or kind.depth_of_discharge
    if label.depth_of_discharge is None:
        notes.append(
            f"the plan may use {depth:.0%} of the bank ({kind.label}, common practice)"
        )
    if abs(warmth - 1.0) > 0.005:
        notes.append(f"at {temperature:.0f} degC the bank gives {warmth:.0%} of its label")
    if label.stored_s > 0.0:
        stored_soc = morning_soc(label.start_soc, label, block, temperature)
        notes.append(
            f"standing has taken the bank from {label.start_soc:.0%} to {stored_soc:.0%} "
            f"({kind.self_discharge_per_month:.1%} a month at 20 degC, common practice)"
        )
    if block.is_lithium:
        warnings.append(
            "a lithium bank's resting voltage hardly moves between 20 and 90 %: "
            "it is no fuel gauge; go by ampere-hours"
        )
    stands = bank.block_count[..., 0] > 0.0
    weakest_ah = np.where(stands, bank.charge_ah[..., 0], np.inf).min(axis=1)
    return BankPart(
        bank=bank,
        slow_bank=with_wells(bank, block, discharge.slow_wells),
        fast_bank=with_wells(bank, block, discharge.fast_wells),
        block=block,
        layout=layout,
        series=series,
        parallel=label.parallel,
        ledger_capacity_ah=float((bank.string_count[:, 0] * weakest_ah).sum()),
        limit_soc=1.0 - depth,
        temperature_degc=temperature,
        notes=tuple(notes),
        warnings=tuple(warnings),
    )


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
