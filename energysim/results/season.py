"""
What a season of one plan came to, date by date: frozen records.

Depends on: results.odds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

    from energysim.results.odds import Chance, Percentiles


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DateOdds:
    """The plan laid on one date."""

    start: datetime
    end: datetime
    whole_plan: Chance  # above the limit, the bank alive, every leg held
    above_limit: Chance
    home: Chance
    end_soc: Percentiles
    wind_mps: float  # at 10 m, the mean of all members while the plan runs
    planned_end_soc: float  # in the planned wind, nothing otherwise
    planned_outcome: str  # as `DayResult.outcome`
    planned_off_station_s: float
    plan_stream_mps: float  # the fastest while the plan runs, on its legs
    best_start: datetime  # of the starts tried, in the planned wind
    best_end_soc: float
    best_outcome: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeasonDate:
    """One date of the season."""

    date: date
    stream_mps: float | None  # the fastest of a lunar day about the plan, at the spot
    stream_at: datetime | None  # when it runs so; None where there is no tide
    fortnight_place: float | None  # 0 the weakest of the days a week either side, 1 the fastest
    tide: str  # "spring", "neap", or "" between them or where there is neither
    odds: DateOdds | None
    skipped: str  # why the plan cannot be laid on the date; empty where it can


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeasonResult:
    """The whole answer."""

    title: str
    first: date
    last: date
    members: int  # days run for each date
    seed: int
    wind: str  # "own", "frequencies" or "history"
    climate: str  # the file's name; empty where there is none
    limit_soc: float
    tried_starts_s: tuple[float, ...]  # later than planned, of `best_start`
    from_table: bool  # loads of smooth holds, rather than by the laws
    dates: tuple[SeasonDate, ...]


def chances_by_tide(dates: Iterable[SeasonDate]) -> dict[str, float]:
    """
    Return the mean chance that the whole plan comes off at springs and at neaps.

    Parameters
    ----------
    dates : iterable of SeasonDate
        A season's, or a month's of it.

    Returns
    -------
    dict of str to float
        By "spring" and "neap"; a tide without a date on which the plan can be laid is left
        out. [1]
    """
    laid = [(one.tide, one.odds.whole_plan.chance) for one in dates if one.odds is not None]
    by_tide = {
        tide: [chance for of, chance in laid if of == tide] for tide in ("spring", "neap")
    }
    return {tide: sum(own) / len(own) for tide, own in by_tide.items() if own}
