"""
What the checks need to know of a rig, as records.

Depends on: scenario.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from energysim.scenario.locker import Locker
    from energysim.scenario.rigging import Breaker, Cord, Mounting, Plug, Vent, Wiring

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadFacts:
    """The leads from bank to motor."""

    given: bool  # False: the scenario has no [cable], and the usual one is looked at
    size: str  # as written; "" where only a resistance is told
    place: int | None  # in the table of conductors, -1 thinner than all; None: not told
    area_m2: float  # metal it has at least
    length_m: float | None  # one way
    resistance_ohm: float | None  # measured, instead of size and length
    contact_resistance_ohm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargerFacts:
    """The charger, and what it hangs on."""

    currents_a: tuple[float, ...]  # of each output at work
    block_voltage_v: float  # while charging
    efficiency: float
    power_factor: float
    circuit_w: float | None
    mains_voltage_v: float | None  # None where it is not told

    @property
    def total_a(self) -> float:
        """What all outputs give together, in A."""
        return sum(self.currents_a)


@dataclass(frozen=True, slots=True, kw_only=True)
class BankFacts:
    """The bank."""

    chemistry: str
    label: str
    is_lithium: bool
    is_sealed: bool
    series: int
    parallel: int
    block_mass_kg: float
    capacity_ah: float  # all strings, by the label
    energy_wh: float
    nominal_voltage_v: float
    charging_voltage_v: float
    cells_in_series: int  # of lead-acid
    block_volume_m3: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Feed:
    """The current in the leads on this day. Arrays (steps,)."""

    step_s: Array
    running_a: Array  # while the motor runs
    running_share: Array  # of the step


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RigFacts:
    """Everything the checks look at."""

    motor_voltage_v: float
    load_a: float
    peak_a: float
    air_degc: float
    bank: BankFacts
    leads: LeadFacts
    wiring: Wiring
    breaker: Breaker | None
    plug: Plug | None
    cord: Cord | None
    vent: Vent
    mounting: Mounting
    charger: ChargerFacts | None
    lockers: tuple[Locker, ...]
    locker_air_m3: float | None  # of all lockers together, the blocks taken off
    shaft_length_m: float | None
    mount_height_m: float
    mount_height_given: bool
    has_chop: bool
    feed: Feed
    energy_drawn_wh: float
