"""
From what every member came to, to chances, percentiles and what they hang on.

Depends on: physics, plan, simulate, results.odds, clock, verdict, build.members, odds.chunk,
odds.read.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.members import SOURCES
from energysim.clock import clock_after
from energysim.odds.read import marks_of
from energysim.physics.interval import chance_interval, spread_shares
from energysim.results.odds import Chance, LegOdds, Mark, OddsResult, Percentiles, SourceOdds
from energysim.simulate import read_books, simulate
from energysim.verdict import OFF_STATION_MATTERS_S

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.members import MembersPlan
    from energysim.odds.chunk import MembersRead
    from energysim.plan import DayPlan

    Array = NDArray[np.float64]
    Flags = NDArray[np.bool_]

OFF_STATION_SHARE: Final = 0.01
"""Of a leg's length: off station for less is held, as is less than a minute (ours). [1]"""


def odds_result(
    plan: MembersPlan, read: MembersRead, *, planned_end_soc: float | None = None
) -> OddsResult:
    """
    Return the odds of a day, given what its members came to.

    A day is above the limit if its bank is alive and above it at the end. A leg is held if the
    boat is off station for less than a minute, or for less than a hundredth of the leg where
    that is more. Home is under power if the bank has not given out by the end and, where the
    scenario has a [home], if what is left brings the boat there against the day's strongest
    wind and stream. The whole plan comes off if the day is above the limit and every leg held.

    Parameters
    ----------
    plan : MembersPlan
        The day.
    read : MembersRead
        Its members.
    planned_end_soc : float or None
        What the day as planned leaves in the bank; None runs it.
    """
    day = plan.day
    if planned_end_soc is None:
        planned_end_soc = _planned_end_soc(day)
    members = read.end_soc.size
    alive = ~read.gave_out
    above = alive & (read.end_soc >= day.limit_soc)
    home = alive & (read.reach_m >= (day.home_distance_m or 0.0))
    allowed = [_allowed_off_s(day, leg) for leg in range(len(day.legs))]
    held = read.off_s < np.array(allowed)[:, None]
    fine = above & held.all(axis=0)
    marks = marks_of(day)
    sources = _sources(plan, read)
    soc = np.quantile(read.soc, (0.1, 0.5, 0.9), axis=1).astype(np.float64)
    return OddsResult(
        title=day.title,
        start=day.start,
        end=clock_after(day.start, float(day.edges_s[-1])),
        members=members,
        seed=plan.seed,
        lead_s=plan.spreads.lead_s,
        limit_soc=day.limit_soc,
        planned_end_soc=planned_end_soc,
        whole_plan=_chance(fine),
        above_limit=_chance(above),
        home=_chance(home),
        home_distance_m=day.home_distance_m,
        end_soc=_percentiles(read.end_soc),
        lowest_soc=_percentiles(read.lowest_soc),
        off_station_s=_percentiles(read.off_s.sum(axis=0)),
        legs=tuple(
            _leg(day, leg, read, held[leg], allowed[leg], soc, marks)
            for leg in range(len(day.legs))
        ),
        marks=tuple(
            Mark(
                at=clock_after(day.start, float(day.edges_s[edge])),
                soc=Percentiles(p10=low, p50=middle, p90=high),
            )
            for edge, (low, middle, high) in zip(marks, soc.T.tolist(), strict=True)
        ),
        sources=sources,
        explained=sum(row.share for row in sources),
        from_table=plan.table is not None,
        member_end_soc=read.end_soc,
        member_off_s=read.off_s.sum(axis=0),
        member_fine=fine,
    )


def _planned_end_soc(day: DayPlan) -> float:
    """Return what the day as planned leaves in its bank."""
    flows = simulate(day.demand, day.bank, day.motor)
    last = np.array([day.edges_s.size - 1])
    return float(read_books(flows, day.bank, day.demand.step_s, edges=last).soc[0, 0])


def _sources(plan: MembersPlan, read: MembersRead) -> tuple[SourceOdds, ...]:
    """Return what the spread of the charge at the end goes with, the most telling first."""
    shares = np.zeros(len(SOURCES))
    found = spread_shares(read.end_soc, inputs=read.inputs, source=read.source)
    shares[: found.size] = found
    rows = [
        SourceOdds(
            key=key,
            spread=plan.spreads.of[key],
            unit=plan.spreads.unit[key],
            share=float(share),
        )
        for key, share in zip(SOURCES, shares, strict=True)
    ]
    return tuple(sorted(rows, key=lambda row: -row.share))


def _leg(
    day: DayPlan,
    number: int,
    read: MembersRead,
    held: Flags,
    allowed_s: float,
    soc: Array,
    marks: NDArray[np.intp],
) -> LegOdds:
    leg = day.legs[number]
    steps = np.flatnonzero(day.leg_of_step == number)
    powered = bool(day.wanted.in_use[steps].any())
    after = int(np.searchsorted(marks, steps[-1] + 1))
    low, middle, high = soc[:, after].tolist()
    return LegOdds(
        name=leg.name,
        verb=leg.verb,
        start=leg.start,
        end=leg.end,
        held=_chance(held) if powered else None,
        allowed_off_s=allowed_s,
        off_station_s=_percentiles(read.off_s[number]) if powered else None,
        soc_after=Percentiles(p10=low, p50=middle, p90=high),
    )


def _allowed_off_s(day: DayPlan, leg: int) -> float:
    """Return for how long a leg may be off station and still count as held."""
    length_s = float(day.demand.step_s[day.leg_of_step == leg].sum())
    return max(OFF_STATION_MATTERS_S, OFF_STATION_SHARE * length_s)


def _chance(came_off: Flags) -> Chance:
    low, high = chance_interval(float(came_off.sum()), trials=came_off.size)
    return Chance(chance=float(came_off.mean()), low=float(low), high=float(high))


def _percentiles(values: Array) -> Percentiles:
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9)).tolist()
    return Percentiles(p10=low, p50=middle, p90=high)
