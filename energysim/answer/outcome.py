"""
What one member of the sweep came to, in the few numbers others are compared by.

Depends on: assess, plan, verdict, clock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from energysim.assess import read_flows
from energysim.clock import clock_after
from energysim.verdict import outcome_of

if TYPE_CHECKING:
    from datetime import datetime

    from energysim.assess import Reading
    from energysim.plan import DayPlan
    from energysim.simulate import Flows


class Outcome(NamedTuple):
    """One member's day."""

    end_soc: float
    lowest_soc: float
    off_station_s: float
    limit_reached_at: datetime | None
    end_at: datetime | None  # when the bank gives out
    word: str  # as `DayResult.outcome`


def outcome(plan: DayPlan, flows: Flows) -> Outcome:
    """Read one member's flows."""
    return outcome_as_read(plan, read_flows(plan, flows))


def outcome_as_read(plan: DayPlan, reading: Reading) -> Outcome:
    """Return what a reading comes to."""
    limit_at = moment(plan, reading.limit_reached_s)
    end_at = moment(plan, reading.cutoff_reached_s)
    off_s = float(reading.off_s.sum())
    return Outcome(
        end_soc=float(reading.soc[-1]),
        lowest_soc=float(reading.soc.min()),
        off_station_s=off_s,
        limit_reached_at=limit_at,
        end_at=end_at,
        word=outcome_of(
            limit_reached_at=limit_at, cutoff_reached_at=end_at, off_station_s=off_s
        ),
    )


def moment(plan: DayPlan, seconds: float | None) -> datetime | None:
    """Return the clock so long after the day's start."""
    return None if seconds is None else clock_after(plan.start, seconds)
