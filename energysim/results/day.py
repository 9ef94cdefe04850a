"""
What a day came to: frozen records that charts, reports and the command line read.

Units stand in the names; clock times are zone-aware. `end_soc` and its kin are defined in
DEVELOPERS.md ("State of charge, once").

Depends on: results.bank, results.recharge. pandas is imported only when a table is asked for.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    import numpy as np
    import pandas as pd
    from numpy.typing import NDArray

    from energysim.results.bank import BankResult, HouseResult
    from energysim.results.recharge import Recharge, TripResult
    from energysim.results.wear import Wear


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LegResult:
    """One leg of the plan, and what it cost."""

    name: str
    verb: str
    start: datetime
    end: datetime
    mean_thrust_n: float  # wanted, mean over the leg
    thrust_share: float  # of the motor's rated thrust
    peak_current_a: float  # in the gusts
    charge_ah: float
    energy_wh: float
    soc_after: float
    off_station_s: float
    cause: str  # why off station; empty when it held
    gust_short_s: float  # time when a gust asks for more than there is
    mean_heading_deg: float | None  # where the bow points while held or creeping
    sails_about_s: float  # time with several steady headings, or a swing between them
    running_share: float  # of the time; below 1 in a hold in bursts
    burst_cycle_s: float | None  # from burst to burst; None for anything steady
    mean_wave_height_m: float  # significant


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TightestHour:
    """The hour in which the motor has least to spare."""

    start: datetime
    end: datetime
    leg: str
    thrust_n: float  # wanted, mean over the hour
    available_n: float  # what the motor could give then, mean over the hour
    share: float  # wanted over available, the worst of the hour's mean
    wind_mps: float
    wind_from_deg: float
    stream_mps: float
    stream_toward_deg: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WayHome:
    """How far the bow motor alone brings the boat, straight against the day's worst."""

    wind_mps: float
    stream_mps: float
    speed_mps: float  # over ground, the speed that goes furthest
    current_a: float
    range_start_m: float  # with the bank as the day starts
    range_end_m: float  # with the bank as the day ends
    distance_m: float | None  # what the scenario says home is away
    last_at: datetime | None  # after this the bank no longer brings the boat home
    possible: bool  # False: the motor makes no headway against the day's worst


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bracket:
    """What the day comes to if wind and water push harder, or less hard, than reckoned."""

    spread: float  # relative: harder is 1 + spread times the thrust, easier one over that
    harder_end_soc: float
    harder_off_station_s: float
    harder_outcome: str  # as `DayResult.outcome`
    easier_end_soc: float
    easier_off_station_s: float
    easier_outcome: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Change:
    """One thing to do otherwise, and what the day would come to."""

    name: str
    end_soc: float
    end_soc_change: float
    off_station_s: float
    off_station_change_s: float
    outcome: str  # "holds", "short", "deep" or "empty", as `DayResult.outcome`
    skipped: str  # why it could not be tried; empty when it was


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayResult:
    """The whole answer."""

    title: str
    start: datetime
    end: datetime
    outcome: str  # "holds"; "short" of thrust; "deep": below the limit; "empty" before the end
    verdict: str
    end_soc: float
    lowest_soc: float
    limit_soc: float
    end_charge: float  # by ampere-hours alone
    limit_reached_at: datetime | None
    cutoff_reached_at: datetime | None
    charge_drawn_ah: float
    energy_drawn_wh: float
    peak_current_a: float
    lowest_voltage_v: float
    off_station_s: float
    gust_short_s: float
    legs: tuple[LegResult, ...]
    bracket: Bracket
    tightest: TightestHour | None
    changes: tuple[Change, ...]
    way_home: WayHome
    bank: BankResult
    house: HouseResult | None  # the bank of its own for all that is not the motor
    recharge: Recharge | None
    trip: TripResult | None
    wear: Wear | None  # None without prices
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    series: Mapping[str, NDArray[np.float64]]  # the step table, keyed as data/columns.csv
    leg_of_step: tuple[str, ...]


class DayTold(Protocol):
    """What of a day the looks at its wear and its rigging read."""

    @property
    def end_charge(self) -> float:
        """Of the bank, by ampere-hours."""

    @property
    def energy_drawn_wh(self) -> float:
        """Out of the bank's terminals."""

    @property
    def legs(self) -> tuple[LegResult, ...]:
        """The legs of the plan."""

    @property
    def series(self) -> Mapping[str, NDArray[np.float64]]:
        """The step table."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Column:
    """One column of the step table, as data/columns.csv describes it."""

    key: str
    unit: str
    label: str
    description: str


@cache
def columns() -> Mapping[str, Column]:
    """Return the description of every column a result may hold, in printing order."""
    text = (files("energysim") / "data" / "columns.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return {row["key"]: Column(**row) for row in rows}


def frame(result: DayResult) -> pd.DataFrame:
    """
    Return the step table of a day as a DataFrame.

    Parameters
    ----------
    result : DayResult
        A day that was run.

    Returns
    -------
    DataFrame
        Indexed by the zone-aware clock at each step's start; a column per quantity with its
        unit in the name, and `leg`.
    """
    import pandas as pd  # noqa: PLC0415 - costs more than a whole day's run

    described = columns()
    table = pd.DataFrame(
        {f"{key} [{described[key].unit}]": value for key, value in result.series.items()}
    )
    clock = pd.Timestamp(result.start) + pd.to_timedelta(result.series["elapsed"], unit="s")
    table.index = pd.DatetimeIndex(clock, name="clock")
    table.insert(0, "leg", result.leg_of_step)
    return table
