"""
What a night at the charger, and a trip of several days, came to.

Frozen records that reports and the command line read; units stand in the names.

Depends on: nothing of the package.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutputNight:
    """One output through the night. Hours count from the plug; None: never reached."""

    blocks: str  # what it feeds: "block 2", "string 1 block 1 and string 2 block 1"
    current_a: float  # at most, after the circuit's limit
    rated_current_a: float  # by its label
    to_80_h: float | None  # the last of its blocks, where it feeds several
    to_95_h: float | None
    full_h: float | None
    soc_when_ready: float  # the least of its blocks


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockNight:
    """One block through the night, by the ledger of ampere-hours."""

    name: str
    string: int  # from 1
    number: int  # in its string, from 1
    soc_at_plug: float
    soc_when_ready: float
    full_h: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recharge:
    """The night at the charger. Hours count from the moment it is plugged in."""

    plugged_in_at: datetime
    ready_by: datetime
    output_current_a: float  # the weakest output's, after the circuit's limit
    to_80_h: float | None  # the slowest block's; None: never reached (too cold to charge)
    to_95_h: float | None
    full_h: float | None
    full_at: datetime | None
    full_soc: float  # what counts as full
    soc_when_ready: float  # of the block that has least
    slowest: str  # the block that is full last, or never; empty where all are alike
    charge_put_in_ah: float  # to full, all outputs
    wall_energy_wh: float  # to full, all outputs
    wall_energy_by_ready_wh: float
    wall_power_w: float  # at the start, all outputs together
    apparent_power_va: float  # behind it: what a generator has to be chosen by
    cost: float | None  # of the energy by the time it is wanted; None: no price given
    currency: str
    charge_voltage_v: float  # one block's, in absorption, at the temperature of the first
    charge_voltage_25_v: float  # and at 25 degC
    temperature_degc: float  # of the first block
    outputs: tuple[OutputNight, ...]
    blocks: tuple[BlockNight, ...]
    note: str  # why it charges slowly or not at all; empty when nothing is in the way


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TripDay:
    """One day of a trip. Charges are by the ledger, of the block that has least."""

    day: int  # from 1
    start_charge: float
    end_charge: float
    end_soc: float  # what the day's way of drawing still lets out
    outcome: str  # as `DayResult.outcome`
    morning_charge: float  # when the night has ended
    full_by_morning: bool
    next_start_charge: float  # after the time ashore


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TripResult:
    """The same plan on several days, each from where the night before ended."""

    days: tuple[TripDay, ...]
    fails_on: int | None  # the first day that is not held above the limit; None: none
    idle_s: float
    note: str  # what this leaves out
