"""
What the odds of a day came to: frozen records the report and the command line read.

Depends on: nothing of the package.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from datetime import datetime

    import numpy as np
    from numpy.typing import NDArray

GOOD: Final = 0.9
FAIR: Final = 0.6
"""Chances from which a plan is called good, and fair (ours). [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chance:
    """A chance as it was counted, with the 95 % interval of the counting."""

    chance: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Percentiles:
    """What a tenth of the days stay below, half of them, and nine tenths."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LegOdds:
    """One leg of the plan."""

    name: str
    verb: str
    start: datetime
    end: datetime
    held: Chance | None  # None where the bow motor has no part in it
    allowed_off_s: float  # off station for less counts as held
    off_station_s: Percentiles | None
    soc_after: Percentiles


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mark:
    """The state of charge at a moment of the day."""

    at: datetime
    soc: Percentiles


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SourceOdds:
    """One thing that is not known."""

    key: str  # of the [uncertainty] table
    spread: float  # one standard deviation, in the unit; 0 where it was not drawn
    unit: str  # "1" for a relative one
    share: float  # of the spread of the charge left at the end that goes with it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OddsResult:
    """The whole answer."""

    title: str
    start: datetime
    end: datetime
    members: int  # days that were run
    seed: int
    lead_s: float  # from the forecast to the day's start
    limit_soc: float
    planned_end_soc: float  # of the day as planned, nothing otherwise
    whole_plan: Chance  # above the limit, the bank alive, every leg held
    above_limit: Chance  # at the end, the bank alive
    home: Chance  # under power at the end: the bank alive, and home in its reach where one is
    home_distance_m: float | None
    end_soc: Percentiles
    lowest_soc: Percentiles
    off_station_s: Percentiles
    legs: tuple[LegOdds, ...]
    marks: tuple[Mark, ...]
    sources: tuple[SourceOdds, ...]  # the most telling first
    explained: float  # all shares together
    from_table: bool  # some loads were read from a table instead of worked out one by one
    # What each member came to, arrays (members,); not part of a report.
    member_end_soc: NDArray[np.float64]
    member_off_s: NDArray[np.float64]
    member_fine: NDArray[np.bool_]  # the whole plan came off
