"""
One boat made ready for its season: the streams of its dates, and one table for all of them.

Depends on: scenario, build, errors, odds, season.date, season.reach, season.tide.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from energysim.build.members import plan_members
from energysim.errors import ScenarioError
from energysim.odds.table import table_of_days
from energysim.scenario.uncertainty import Uncertainty
from energysim.season.date import Boat, laid_on
from energysim.season.reach import winds_of_months
from energysim.season.tide import streams_of

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from energysim.physics.response_table import HoldTable
    from energysim.scenario.load import LoadedScenario
    from energysim.scenario.wind_climate import WindClimate
    from energysim.season.tide import StreamOfDate


class Question(NamedTuple):
    """What every boat of a fleet is asked; it can be sent to another process."""

    days: tuple[date, ...]
    climate: WindClimate | None
    members: int
    seed: int | None


class Ready(NamedTuple):
    """A boat made ready."""

    boat: Boat
    streams: tuple[StreamOfDate, ...]


def made_ready(question: Question, loaded: LoadedScenario) -> Ready:
    """Return a boat with all that its dates have in common worked out."""
    own = loaded.scenario.uncertainty or Uncertainty.model_validate({})
    streams = streams_of(loaded, question.days)
    boat = Boat(
        loaded=loaded,
        winds=winds_of_months(question.climate, question.days),
        members=question.members,
        seed=own.seed if question.seed is None else question.seed,
        table=None,
    )
    table = _table(boat, question.days, most_mps=streams.most_mps)
    return Ready(boat._replace(table=table), streams.dates)


def _table(boat: Boat, days: Sequence[date], *, most_mps: float) -> HoldTable | None:
    """Return one table of the held boat that is good for all dates; None where none pays."""
    for day in days:
        try:
            loaded = laid_on(boat.loaded, day, boat.winds.get(day.month))
            plan = plan_members(loaded, seed=boat.seed, members=1, from_table=False)
        except ScenarioError:  # this date will not do; the boat is the same on the next
            continue
        scale = max(leg.stream_scale for leg in loaded.scenario.legs)
        return table_of_days(
            plan, days=len(days), members=boat.members, most_stream_mps=scale * most_mps
        )
    return None
