"""
What a day did to its bank, by each law, block by block, and to the house's own.

Frozen records that reports and the command line read; units stand in the names.

Depends on: nothing of the package.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LawResult:
    """The day by one law of discharge."""

    law: str  # "kinetic", the two wells, or "peukert"
    end_soc: float
    lowest_soc: float
    limit_reached_at: datetime | None
    end_at: datetime | None  # when the bank gives out
    outcome: str  # as `DayResult.outcome`


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RateSpread:
    """The day with the wells levelling out as slowly, and as fast, as is thought possible."""

    rate_per_h: float  # the stated choice
    slow_per_h: float
    fast_per_h: float
    slow_end_soc: float
    fast_end_soc: float
    slow_outcome: str
    fast_outcome: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockResult:
    """One kind of block: those that are alike and fared alike."""

    name: str  # "string 1 block 2"; "every block" where all are alike
    count: int
    soc: float  # share of today's capacity it would still let out
    charge: float  # share of its full charge, by ampere-hours
    charge_ah: float
    lowest_voltage_v: float
    highest_degc: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Uneven:
    """What it costs that the blocks differ: the day with all of them like the best."""

    weakest: str  # name of the block that ends the day first, or stands lowest at its end
    even_end_soc: float
    even_limit_reached_at: datetime | None
    even_end_at: datetime | None
    earlier_s: float  # how much earlier limit or end come; 0 where neither does
    matters: bool  # more than 2 points, or more than 10 minutes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FirstEnd:
    """What stops the plan first, and when."""

    cause: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BankResult:
    """The bank's day."""

    laws: tuple[LawResult, ...]  # the one the day is told by first
    lower_law: str  # which of them leaves less; empty where they agree to half a point
    rate: RateSpread | None  # None where the label fixes it, or under Peukert's law
    first_end: FirstEnd | None
    blocks: tuple[BlockResult, ...]
    uneven: Uneven | None  # None where all blocks are alike
    highest_degc: float
    heat_wh: float  # set free inside the blocks
    supplied_ah: float  # taken from a panel or an engine


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HouseResult:
    """The house's own bank through the day."""

    end_soc: float
    end_charge: float
    limit_soc: float
    drawn_ah: float
    lowest_voltage_v: float
    limit_reached_at: datetime | None
    end_at: datetime | None
