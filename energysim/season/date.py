"""
The plan laid on one date: its odds, its planned day, and the start that would suit it best.

Depends on: scenario, build, answer, odds, physics, plan, simulate, results.season.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np

from energysim.answer import outcome
from energysim.build import DayAsked, build_days
from energysim.build.members import plan_members
from energysim.build.members.climate import in_own_winds
from energysim.errors import ScenarioError
from energysim.odds import Chunk, joined, odds_result, work
from energysim.physics.draws import BLOCK
from energysim.plan import stacked_banks, stacked_demands
from energysim.results.season import DateOdds
from energysim.scenario.whatif import changed
from energysim.simulate import one_member, simulate

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from energysim.answer import Outcome
    from energysim.build.members import MembersPlan
    from energysim.build.members.climate import MonthWinds
    from energysim.errors import Problem
    from energysim.physics.response_table import HoldTable
    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario

SHIFTS_S: Final = (0.0, -7200.0, -3600.0, 3600.0, 7200.0)
"""Starts tried on each date, later than planned (ours); the plan's own wins a draw. [s]"""

WORSE: Final = {"holds": 0, "short": 1, "deep": 2, "empty": 3}


class Boat(NamedTuple):
    """What all dates of one boat's season share; it can be sent to another process."""

    loaded: LoadedScenario
    winds: dict[int, MonthWinds]  # by month; empty without a climate
    members: int
    seed: int
    table: HoldTable | None  # of the boat held in smooth water; None goes by the laws


class Found(NamedTuple):
    """What a date came to, or why the plan cannot be laid on it."""

    odds: DateOdds | None
    limit_soc: float
    problems: tuple[Problem, ...]


def date_odds(boat: Boat, day: date) -> Found:
    """Return what one date comes to; a date that will not do is told, not raised."""
    winds = boat.winds.get(day.month)
    try:
        loaded = laid_on(boat.loaded, day, winds)
        plan = plan_members(loaded, seed=boat.seed, members=boat.members, from_table=False)
        plan = replace(plan, table=boat.table)
        blocks = [
            _of_block(plan, boat, day, block) for block in range(-(-boat.members // BLOCK))
        ]
        read = joined(
            [work(Chunk(own, block, 1)).first(own.width) for block, own in enumerate(blocks)]
        )
        starts = _starts(loaded)
    except ScenarioError as error:
        return Found(None, 0.0, error.problems)
    odds = odds_result(plan, read, planned_end_soc=starts[0][1].end_soc)
    best_day, best = min(starts, key=lambda start: _rank(start[1]))
    _, planned = starts[0]
    found = DateOdds(
        start=odds.start,
        end=odds.end,
        whole_plan=odds.whole_plan,
        above_limit=odds.above_limit,
        home=odds.home,
        end_soc=odds.end_soc,
        wind_mps=_mean_wind_mps(blocks),
        planned_end_soc=planned.end_soc,
        planned_outcome=planned.word,
        planned_off_station_s=planned.off_station_s,
        plan_stream_mps=float(plan.day.surroundings.stream_mps.max()),
        best_start=best_day.start,
        best_end_soc=best.end_soc,
        best_outcome=best.word,
    )
    return Found(found, plan.day.limit_soc, ())


def _of_block(plan: MembersPlan, boat: Boat, day: date, block: int) -> MembersPlan:
    """Return a date's plan for one block of its members, in the winds of the month."""
    own = replace(plan, width=min(BLOCK, boat.members - block * BLOCK))
    winds = boat.winds.get(day.month)
    return own if winds is None else in_own_winds(own, winds, day=day, block=block)


def _mean_wind_mps(blocks: Sequence[MembersPlan]) -> float:
    """Return the wind of all members at 10 m while the plan runs."""
    means = [
        float(np.hypot(one.instants.wind_east_mps, one.instants.wind_north_mps).mean())
        for one in blocks
    ]
    return float(np.average(means, weights=[one.width for one in blocks]))


def laid_on(loaded: LoadedScenario, day: date, winds: MonthWinds | None) -> LoadedScenario:
    """Return the plan laid on a date, in the month's usual wind where there is a climate."""
    if winds is not None:
        own: dict[str, Any] = loaded.raw.get("wind", {})
        speed, from_deg = winds.usual()
        wind: dict[str, Any] = {key: own[key] for key in ("height", "exposure") if key in own}
        wind |= {"speed": f"{speed!r} m/s", "from": f"{from_deg!r} deg"}
        loaded = replace(loaded, raw={**loaded.raw, "wind": wind})
    return changed(loaded, {"day.date": day.isoformat()})


def _starts(loaded: LoadedScenario) -> list[tuple[DayPlan, Outcome]]:
    """Run the planned day from several starts in one sweep, its own start first."""
    built = build_days([DayAsked(loaded, shift_s) for shift_s in SHIFTS_S], in_full=False)
    if isinstance(built[0], ScenarioError):
        raise built[0]
    days = [day for day in built if not isinstance(day, ScenarioError)]
    flows = simulate(
        stacked_demands([day.demand for day in days]),
        stacked_banks([day.bank for day in days]),
        days[0].motor,
    )
    return [
        (
            day,
            outcome(
                day, one_member(flows, number, steps=len(day.demand.step_s), bank=day.bank)
            ),
        )
        for number, day in enumerate(days)
    ]


def _rank(came_to: Outcome) -> tuple[int, float, float]:
    """Order: the better outcome, fewer minutes off station, more left to the whole percent."""
    minutes = round(came_to.off_station_s / 60.0)
    return WORSE[came_to.word], minutes, -round(came_to.end_soc, 2)
