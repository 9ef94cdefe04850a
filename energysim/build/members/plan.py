"""
What all members of a day share, made ready once: instants, kinds of legs, tables, spreads.

Depends on: scenario, physics, plan, build.day, build.timeline, build.worn, build.members.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.block import build_block
from energysim.build.day import build_day
from energysim.build.loads import motor_in_use
from energysim.build.members.draws import fastest_stream_mps
from energysim.build.members.instants import instants_of
from energysim.build.members.loads import in_table, places_of
from energysim.build.members.spreads import spreads_of
from energysim.build.questions import Afloat
from energysim.build.timeline import build_timeline
from energysim.build.worn import capacity_left
from energysim.errors import ScenarioError
from energysim.physics.draws import BLOCK
from energysim.physics.response_table import hold_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.members.instants import Instants
    from energysim.build.members.loads import Places
    from energysim.build.members.spreads import Spreads
    from energysim.physics.response_table import HoldTable
    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario
    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]

TABLE_PAYS_FROM: Final = 2049
"""Members from which the four seconds a table takes to make are won back (measured). [count]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MembersPlan:
    """A day of which many members are wanted. It can be sent to another process."""

    scenario: Scenario
    day: DayPlan  # as planned
    afloat: Afloat  # the instants alone, in the forecast's own weather
    instants: Instants
    places: tuple[Places, ...]
    in_use: NDArray[np.bool_]  # (instants,), the bow motor is down
    duty: Array  # (instants,)
    spreads: Spreads
    table: HoldTable | None
    aged_fraction: float  # what age is guessed to have left of the bank; 1 where it is not
    seed: int
    width: int = BLOCK  # members worked out of a block: a season asks for few


def plan_members(
    loaded: LoadedScenario,
    *,
    seed: int,
    members: int,
    shift_s: float = 0.0,
    from_table: bool | None = None,
) -> MembersPlan:
    """
    Make ready what all members of a day share.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario.
    seed : int
        What the draws begin from: plans of the same seed share them member by member, so that
        two scenarios are compared on the same weather.
    members : int
        How many will be asked for, which decides whether a table is worth its making.
    shift_s : float
        Move the whole plan this much later; tide and wind stay where they are. [s]
    from_table : bool or None
        Whether holding is read from a table of the boat; None where it pays.

    Raises
    ------
    ScenarioError, FileError
        As `build_day`.
    """
    scenario = loaded.scenario
    day = build_day(loaded, shift_s=shift_s, in_full=False)
    timeline = build_timeline(scenario, shift_s=shift_s, shorten=None)
    spreads = spreads_of(scenario, day)
    try:
        instants = instants_of(
            scenario,
            timeline,
            day,
            folder=loaded.folder,
            timing_spread_s=spreads.of["stream_timing"],
        )
    except ScenarioError as error:
        raise ScenarioError([loaded.locate(problem) for problem in error.problems]) from None
    afloat = Afloat(scenario, instants.timeline, day.surroundings, day.boat)
    places = places_of(afloat)
    table = None
    wanted = members >= TABLE_PAYS_FROM if from_table is None else from_table
    if wanted and any(in_table(place.kind) for place in places):
        fastest = _fastest_mps(instants, day)
        table = hold_table(
            day.boat,
            most_stream_mps=max(fastest_stream_mps(fastest, spreads), 0.1),
            depth_m=None if scenario.chop is None else scenario.chop.depth_m,
        )
    duties = [leg.duty if leg.style == "burst" else 1.0 for leg in scenario.legs]
    return MembersPlan(
        scenario=scenario,
        day=day,
        afloat=afloat,
        instants=instants,
        places=places,
        in_use=motor_in_use(timeline)[instants.known],
        duty=np.array([*duties, 1.0])[instants.timeline.leg_of_step],
        spreads=spreads,
        table=table,
        aged_fraction=_aged_fraction(scenario),
        seed=seed,
    )


def _fastest_mps(instants: Instants, day: DayPlan) -> float:
    """Return the fastest stream any leg sees however early or late the tide is."""
    fastest = float(day.surroundings.stream_mps.max())
    if instants.course is None:
        return fastest
    at_station = np.hypot(instants.course.east_mps, instants.course.north_mps).max()
    return max(fastest, float(at_station * instants.stream_scale.max()))


def _aged_fraction(scenario: Scenario) -> float:
    """Return what age is guessed to have left of the bank's label."""
    bank = scenario.bank
    if bank.age_s is None or bank.capacity_is_measured:
        return 1.0
    fraction, _, _ = capacity_left(bank, build_block(bank))
    return fraction
