"""
One block of a bank, from the list or from its own label.

Depends on: scenario, catalogue, errors.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from energysim.catalogue import Chemistry, battery, chemistry

if TYPE_CHECKING:
    from energysim.scenario.bank import Label

SECONDS_PER_MINUTE = 60.0
SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """What the label of one block says, new and at 25 degC."""

    chemistry: Chemistry
    capacity_ah: float  # by the label
    rated_time_h: float
    reserve_min: float | None
    voltage_v: float
    mass_kg: float
    scale: float  # nominal voltage over that of a 12 V block
    notes: tuple[str, ...]

    @property
    def is_lithium(self) -> bool:
        """Whether it is of the lithium family."""
        return self.chemistry.family == "lithium"

    @property
    def nominal_v(self) -> float:
        """Its nominal voltage by its cells: a "12 V" lithium block has 12.8 V."""
        return self.chemistry.block_voltage_nominal_v * self.scale


def build_block(label: Label) -> Block:
    """
    Return one block of a bank.

    Raises
    ------
    ScenarioError
        A name is not listed, or the battery is not made for this work.
    """
    notes: list[str] = []
    reserve_min: float | None = None
    if label.battery is not None:
        listed = battery(label.battery)
        kind = chemistry(listed.chemistry, insist=bool(label.insist))
        capacity = listed.capacity_ah
        rated_time_h, voltage, mass = listed.rated_time_h, listed.voltage_v, listed.mass_kg
        reserve_min = listed.reserve_min
        notes.append(
            f"a typical {listed.name} block: {capacity:g} Ah, {mass:g} kg (common practice)"
        )
    else:
        kind = chemistry(label.chemistry or "", insist=bool(label.insist))
        capacity = label.capacity_ah or 0.0
        rated_time_h = label.rated_time_s / SECONDS_PER_HOUR
        voltage, mass = label.block_voltage_v, 0.0
    if label.reserve_s is not None:
        reserve_min = label.reserve_s / SECONDS_PER_MINUTE
    if label.block_mass_kg is not None:
        mass = label.block_mass_kg
    elif label.battery is None:
        mass = _usual_mass_kg(kind, capacity, voltage)
        notes.append(f"a block weighs {mass:.0f} kg (from its energy; common practice)")
    return Block(
        chemistry=kind,
        capacity_ah=capacity,
        rated_time_h=rated_time_h,
        reserve_min=reserve_min,
        voltage_v=voltage,
        mass_kg=mass,
        scale=round(voltage / 2.0) / 6.0
        if kind.family == "lead-acid"
        else round(voltage / 3.2) / 4.0,
        notes=tuple(notes),
    )


def _usual_mass_kg(kind: Chemistry, capacity_ah: float, voltage_v: float) -> float:
    """Return a block's mass from its energy, by the chemistry's usual density."""
    wh_per_kg = 105.0 if kind.family == "lithium" else 42.0  # common practice, no source
    return capacity_ah * voltage_v / wh_per_kg
