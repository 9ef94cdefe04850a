"""
Blocks as the arrays the loop runs on.

Depends on: scenario, errors, physics, simulate, the other parts of build about the bank.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.worn import morning_soc, worn_resistance_factor
from energysim.errors import Problem, ScenarioError
from energysim.physics.charge import charge_input_ah
from energysim.physics.supply import acceptance_of_empty_a
from energysim.physics.temperature import capacity_factor, resistance_factor
from energysim.physics.voltage import block_resistance_ohm, rest_voltage_v
from energysim.simulate import Bank

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from energysim.build.block import Block
    from energysim.build.layout import BlockState, Layout
    from energysim.build.wells import Discharge
    from energysim.physics.wells import Wells
    from energysim.scenario.bank import Label

    Array = NDArray[np.float64]

EMF_NODES: Final = 401
COOLING_W_PER_K: Final = 25.0 * 900.0 / (3.0 * 3600.0)
"""Of a block of 25 kg: it follows its surroundings in about three hours (from memory)."""
COOLING_MASS_KG: Final = 25.0
LIGHTEST_KG: Final = 0.5  # so that a block of no weight still has a temperature
SUPPLY_FROM_SOC: Final = 0.5
"""What a panel or engine puts in is judged by a charge from half to full (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terminals:
    """What hangs on a bank as a whole."""

    cable_ohm: float
    house_load_w: float
    current_limit_a: float
    lowest_voltage_v: float


def bank_arrays(
    label: Label,
    block: Block,
    discharge: Discharge,
    layout: Layout,
    surrounds_degc: float,
    terminals: Terminals,
    series: int,
) -> Bank:
    """Return the arrays of the loop, one member."""
    kind = block.chemistry
    states = [state for string in layout.states for state in string]
    shape = (len(layout.states), len(layout.states[0]), 1)

    def each(value: Callable[[BlockState], float]) -> Array:
        return np.array([value(state) for state in states]).reshape(shape)

    def all_alike(value: float) -> Array:
        return np.full(shape, value)

    def one(value: float) -> Array:
        return np.array([value])

    def warmth(state: BlockState) -> float:
        return warmth_factor(block, state.temperature_degc, path="bank.block")

    levels = np.linspace(0.0, 1.0, EMF_NODES)
    emf = rest_voltage_v(levels, soc_nodes=kind.rest_soc, voltage_nodes_v=kind.rest_voltage_v)
    cutoff = label.cutoff_voltage_v or kind.cutoff_voltage_v * block.scale
    mass = max(block.mass_kg, LIGHTEST_KG)
    cooling = COOLING_W_PER_K * (mass / COOLING_MASS_KG) ** (2.0 / 3.0)  # by its surface
    wells = discharge.wells
    today = each(lambda state: state.capacity_fraction * warmth(state))
    return Bank(
        kinetic=np.array([discharge.kinetic]),
        string_count=np.array(layout.string_count, dtype=np.float64)[:, None],
        block_count=np.array(layout.block_count, dtype=np.float64)[:, :, None],
        capacity_ah=block.capacity_ah * today,
        charge_ah=each(lambda state: block.capacity_ah * state.capacity_fraction),
        wells_total_ah=np.asarray(wells.total_ah) * today,
        wells_share=all_alike(float(np.asarray(wells.available_share))),
        wells_rate_per_h=all_alike(float(np.asarray(wells.rate_per_h))),
        exponent=all_alike(discharge.exponent),
        rated_time_h=one(block.rated_time_h),
        memory_s=one(label.memory_s),
        start_soc=each(lambda s: morning_soc(s.start_soc, label, block, s.temperature_degc)),
        emf_tables_v=(block.scale * emf)[None, :],
        emf_kind=np.zeros(shape, dtype=np.intp),
        resistance_full_ohm=each(lambda state: _full_ohm(block, state)),
        resistance_rise=all_alike(kind.resistance_rise_when_empty),
        resistance_fall_per_k=all_alike(kind.resistance_rise_per_degc),
        heat_capacity_j_per_k=all_alike(mass * kind.heat_capacity_j_per_kg_k),
        heat_loss_w_per_k=all_alike(cooling),
        surrounds_degc=one(surrounds_degc),
        start_degc=each(lambda state: state.temperature_degc),
        block_cutoff_v=all_alike(cutoff if block.is_lithium else -np.inf),
        tapped_w=each(lambda state: state.tapped_w),
        acceptance_of_empty_a=each(lambda state: _acceptance_of_empty_a(block, state)),
        charge_efficiency=all_alike(_supply_efficiency(block)),
        cable_ohm=one(terminals.cable_ohm),
        cutoff_voltage_v=one(series * cutoff),
        house_load_w=one(terminals.house_load_w),
        current_limit_a=one(terminals.current_limit_a),
        lowest_voltage_v=one(terminals.lowest_voltage_v),
    )


def with_wells(bank: Bank, block: Block, wells: Wells | None) -> Bank | None:
    """Return the same bank of other wells, fitted to the same label."""
    if wells is None:
        return None
    today = bank.capacity_ah / block.capacity_ah
    return replace(
        bank,
        wells_total_ah=np.asarray(wells.total_ah) * today,
        wells_share=np.full_like(today, float(np.asarray(wells.available_share))),
        wells_rate_per_h=np.full_like(today, float(np.asarray(wells.rate_per_h))),
    )


def warmth_factor(block: Block, temperature_degc: float, *, path: str) -> float:
    """Return today's capacity over that at 25 degC; a temperature off the table is refused."""
    kind = block.chemistry
    try:
        return float(
            capacity_factor(
                temperature_degc,
                temperature_nodes_degc=kind.capacity_temperature_degc,
                factor_nodes=kind.capacity_temperature_factor,
                largest_factor=kind.capacity_largest_factor,
            )
        )
    except ValueError:
        nodes = kind.capacity_temperature_degc
        raise ScenarioError(
            Problem(
                path=path,
                value=f"{temperature_degc:g} degC",
                reason=f"is outside what is known of {kind.label}",
                hint=f"from {nodes[0]:.0f} to {nodes[-1]:.0f} degC",
            )
        ) from None


def _full_ohm(block: Block, state: BlockState) -> float:
    """Return the resistance of one full block, as warm and as worn as it is."""
    kind = block.chemistry
    stiffness = float(
        resistance_factor(state.temperature_degc, rise_per_degc=kind.resistance_rise_per_degc)
    )
    if state.resistance_ohm is not None:
        return state.resistance_ohm * stiffness
    worn = worn_resistance_factor(state.capacity_fraction)
    return block.scale * float(
        block_resistance_ohm(
            1.0,
            capacity_ah=block.capacity_ah,
            resistance_ohm_per_100ah=kind.resistance_ohm_per_100ah,
            rise_when_empty=kind.resistance_rise_when_empty,
            temperature_factor=stiffness * worn,
        )
    )


def _acceptance_of_empty_a(block: Block, state: BlockState) -> float:
    """Return the current an empty block would take from a charger; 0 where it is too cold."""
    return float(
        acceptance_of_empty_a(
            block.capacity_ah * state.capacity_fraction,
            temperature_degc=state.temperature_degc,
            law=block.chemistry.charge_law,
        )
    )


def _supply_efficiency(block: Block) -> float:
    """Return what stays of each ampere-hour put in by day."""
    law = block.chemistry.charge_law
    put_in = charge_input_ah(SUPPLY_FROM_SOC, target_soc=law.full_soc, capacity_ah=1.0, law=law)
    return (law.full_soc - SUPPLY_FROM_SOC) / float(put_in)
