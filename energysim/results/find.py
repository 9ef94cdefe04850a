"""
What turning a question round came to: for which values a plan comes off often enough.

Depends on: results.odds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    from energysim.results.odds import Chance


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tried:
    """One value that was tried."""

    value: float  # in the unit of the question
    chance: Chance  # that the whole plan comes off


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Interval:
    """A stretch of values that work; both ends do."""

    low: Tried
    high: Tried
    low_is_range_end: bool  # nothing below was tried, or can be
    high_is_range_end: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FindResult:
    """The whole answer."""

    what: str  # the question, as `energysim find` calls it
    title: str
    leg: str | None  # the leg that is drawn out; None for other questions
    unit: str  # of every value: "s", or "1" for a factor of the planned
    reference: float | None  # what a factor of 1 stands for, in SI; None where values are times
    start: datetime  # of the plan as it stands
    wanted: float  # the chance asked for
    planned: Tried
    answer: Tried | None  # None: no answer in the range
    outcome: str  # "none", "throughout" or "found"
    intervals: tuple[Interval, ...]
    best: Tried  # the highest chance of all that were tried
    range_low: float  # the values that were scanned
    range_high: float
    grid_step: float  # a stretch narrower than this may have been missed
    tolerance: float  # ends that are crossings are known to this
    refused: int  # values of the grid for which there is no such day
    refused_why: str | None  # of one of them
    members: int
    seed: int
    tried: tuple[Tried, ...]  # in order of value
