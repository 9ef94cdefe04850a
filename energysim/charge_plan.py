"""
The built night and trip: charger, wiring, circuit and clock, turned into numbers.

Depends on: physics.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from datetime import datetime

    from energysim.physics.charge import ChargeLaw

    Place = tuple[int, int]  # string and number of a block, from 1


class KindCharge(NamedTuple):
    """What the ledger says is left in blocks that fared alike, and which they are."""

    charge: float
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChargedBlock:
    """One block as the charger meets it."""

    name: str  # "block 2", "string 1 block 2"
    place: Place
    capacity_ah: float  # full charge: label x age
    temperature_degc: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChargerOutput:
    """One output, and what it is wired to."""

    current_a: float  # by its label
    charge_voltage_v: float  # of one block, at the temperature it is charged at
    blocks: tuple[int, ...]  # places in `ChargePlan.blocks`; several stand side by side


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChargePlan:
    """The charger and its night."""

    plugged_in_at: datetime
    ready_by: datetime
    blocks: tuple[ChargedBlock, ...]  # every block of the bank, string by string
    outputs: tuple[ChargerOutput, ...]  # those at work
    law: ChargeLaw
    charge_voltage_25_v: float  # of one block, at 25 degC
    efficiency: float
    power_factor: float
    circuit_w: float | None  # the most the circuit leaves it; None: more than enough
    energy_price: float | None  # for a kWh; None: nothing is said of money
    currency: str
    note: str  # why it stays off or starts slowly; empty when nothing is in the way


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TripPlan:
    """The same plan on several days."""

    days: int
    next_start: datetime  # of the second day, after the time ashore
    idle_s: float  # ashore between a night and the next day of the plan
    idle_charger: bool  # whether the charger stays plugged in through it
    self_discharge_per_month: float  # of what is left
    self_discharge_doubling_degc: float  # warmth that doubles its pace
    temperature_degc: float


def all_alike(plan: ChargePlan, charge: float) -> tuple[KindCharge, ...]:
    """Return the charges of a bank whose blocks all fared alike."""
    return (KindCharge(charge, tuple(block.place for block in plan.blocks)),)
