"""
The built night: charger, wiring, circuit and clock, turned into numbers.

Depends on: physics.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    from energysim.physics.charge import ChargeLaw


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChargePlan:
    """The charger and its night. One output to a block, all blocks alike."""

    plugged_in_at: datetime
    ready_by: datetime
    outputs: int
    current_a: float  # per output, after the chemistry's and the circuit's limits
    law: ChargeLaw
    block_capacity_ah: float  # full charge of one block: rated x age
    efficiency: float
    charge_voltage_v: float  # per block
    temperature_degc: float
    note: str
