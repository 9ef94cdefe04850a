"""
What a comparison of banks came to: frozen records for tables and pages.

A number that is not known is None, and the field beside it says why.

Depends on: results.wear.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date, datetime

    from energysim.results.wear import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldLeft:
    """How much longer the bank would hold what the day's hardest hour asks."""

    seconds: float
    more: bool  # it is at least that: nobody looked further
    ended_by: str  # "your limit", "the motor": what would end it; empty where more


@dataclass(frozen=True, slots=True, kw_only=True)
class Night:
    """The charger's night."""

    full_h: float | None  # from the plug; None: never
    enough: bool  # full by the time it is wanted
    soc_when_ready: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The bank in the lockers."""

    verdict: str  # "fits", "does not fit", "not decided", "not known"
    headline: str
    misses: tuple[str, ...]  # what would have to be larger, in words


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What the bank's weight does."""

    mass_kg: float
    trim_m: float | None  # above 0: bow down
    trim_words: str
    plate: str  # "pass", "look again", "caution", "no plate given"
    plate_left_kg: float | None  # of the total weight
    plate_why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wiring:
    """The look at the rigging with this option."""

    verdict: str
    worst: str  # the line that needs most, by name
    why: str
    cautions: int
    look_again: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Money:
    """What it costs, and how long it lasts if every trip were this day."""

    currency: str  # empty: no prices given at all
    bank_price: float | None
    years: Estimate | None
    ended_by: str
    price_per_trip: Estimate | None
    why_not: str  # what is missing; empty when nothing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OptionDay:
    """One option's day."""

    batteries: str  # how many of what, in short: "2x 31-agm"
    bank: str  # "2 x 31-agm (absorbent glass mat), 24 V 110 Ah"
    outcome: str  # as `DayResult.outcome`
    usable_wh: float
    usable_at_w: float  # the power it was drawn at
    end_soc: float
    limit_soc: float
    hold_left: HoldLeft | None  # None: the motor is never asked for anything
    off_station_s: float
    energy_drawn_wh: float
    peak_current_a: float
    night: Night | None  # None: no charger
    fit: Fit
    load: Load
    wiring: Wiring
    money: Money
    cautions: tuple[str, ...]  # about such a battery
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """An option less the baseline; None where one is not known, or only that it is more."""

    usable_wh: float
    end_soc: float
    hold_left_s: float | None
    off_station_s: float
    mass_kg: float
    price_per_trip: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OptionRow:
    """One option that could be run."""

    name: str
    says: tuple[str, ...]  # what it lays over the file: "bank.battery = 31-lfp"
    place: int  # from 1, by the ranking
    day: OptionDay
    change: Change


@dataclass(frozen=True, slots=True, kw_only=True)
class Impossible:
    """One option that could not be run, and why."""

    name: str
    says: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HardestHour:
    """The hour that asks most of the bank, on the baseline's day."""

    start: datetime
    end: datetime
    leg: str
    power_w: float  # of the motor, mean


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CompareResult:
    """The whole answer."""

    title: str
    on: date
    boat: tuple[tuple[str, str], ...]  # what is said of the boat, in US units
    baseline: str
    rank: str
    rule: str  # the ranking in words
    reason: str  # why the first is first
    hardest: HardestHour | None
    rows: tuple[OptionRow, ...]  # in order
    impossible: tuple[Impossible, ...]
    prices_of: date | None
    trips_a_year: float | None
    assumptions: tuple[str, ...]  # of the baseline's day
    rules: tuple[str, ...]  # of the search for room
    cautions: tuple[str, ...]
