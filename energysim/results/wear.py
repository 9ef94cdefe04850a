"""
What a day costs its bank: frozen records that reports and the command line read.

Depends on: nothing of the package.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Estimate:
    """A number known no better than within a range."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wear:
    """How long the bank lasts if every trip were this day, and what each costs."""

    depth: float  # share of its full charge the day takes, by ampere-hours
    cycles: Estimate | None  # such days until 80 % of capacity, the years left aside; None: all
    trips_a_year: float
    years: Estimate  # until 80 % of capacity
    trips: Estimate  # in those years
    ended_by: str  # "use" or "years": which end comes first, as expected
    currency: str
    bank_price: float | None  # of the whole bank; None: not given
    energy_price_per_trip: float | None  # of the recharge; None: no price, or no charger
    price_per_trip: Estimate | None  # bank and energy together; None: no price of the bank
    price_per_year: Estimate | None
    note: str  # what this leaves out; empty when nothing
