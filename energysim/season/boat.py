"""
One boat made ready for its season: the streams of its dates, and one table for all of them.

Depends on: scenario, build, physics, errors, season.date, season.reach, season.tide.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from energysim.build.members import plan_members
from energysim.build.members.draws import fastest_stream_mps
from energysim.build.members.loads import in_table
from energysim.errors import ScenarioError
from energysim.physics.response_table import hold_table
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

TABLE_PAYS_FROM: Final = 200_000
"""
Loads of smooth holds, over all members and dates, from which the four seconds a table takes to
make are won back (measured). [count]
"""

SLOWEST_MPS: Final = 0.1
"""A table needs some stream to be made for. [m/s]"""

ROOM: Final = 1.01
"""Between the minutes at which a stream is looked at it runs a hair faster. [1]"""


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
        there = sum(place.there.size for place in plan.places if in_table(place.kind))
        if there * boat.members * len(days) < TABLE_PAYS_FROM:
            return None
        scale = max(leg.stream_scale for leg in loaded.scenario.legs)
        fastest = fastest_stream_mps(ROOM * most_mps * scale, plan.spreads)
        return hold_table(plan.day.boat, most_stream_mps=max(fastest, SLOWEST_MPS))
    return None
