"""
A wind of its own for every member of a date, drawn from the climate of its month.

Draws go by counter, for each block of a date's members, so that a date is the same whatever
season it stands in.

Depends on: scenario, physics, clock, build.gusts, build.members.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import erf, sqrt
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.build.gusts import usual_gust_factor
from energysim.errors import Problem, ScenarioError
from energysim.physics.bearing import components_from_toward, interpolate_bearing
from energysim.physics.draws import block_normals
from energysim.physics.wind import wind_at_height
from energysim.scenario.clock import resolve_clock
from energysim.scenario.wind_files import LONGEST_GAP_S

if TYPE_CHECKING:
    from datetime import date

    from numpy.typing import NDArray

    from energysim.build.members.plan import MembersPlan
    from energysim.scenario.wind_climate import WindClimate

    Array = NDArray[np.float64]

SOURCE: Final = 1000
"""What the winds of a climate are drawn by: clear of the places in `SOURCES`."""

DATES: Final = 2**22
"""Dates a calendar has, with room: so far apart are two blocks of one date. [count]"""


class MonthWinds(NamedTuple):
    """The winds of one month: rows with shares, or hours of all its years."""

    speed_mps: Array
    wind_from_deg: Array
    share: Array  # of the rows; of hours all alike
    gust_mps: Array  # NaN where none is given
    unix_s: Array | None  # of the hours; None for rows

    def usual(self) -> tuple[float, float]:
        """Return the speed half the winds are below, and the sixteenth they come from most."""
        order = np.argsort(self.speed_mps, kind="stable")
        half = np.searchsorted(np.cumsum(self.share[order]), 0.5 * self.share.sum())
        median = float(self.speed_mps[order][min(int(half), len(order) - 1)])
        sector = np.round(self.wind_from_deg / 22.5).astype(np.intp) % 16
        blows = self.share * (self.speed_mps > 0.0)
        counts = np.bincount(sector, weights=blows, minlength=16)
        return median, 22.5 * float(np.argmax(counts))


def month_winds(climate: WindClimate, month: int) -> MonthWinds | None:
    """Return a month's winds; None where the climate has none."""
    if climate.history is None:
        rows = climate.of_month(month)
        if not rows:
            return None
        return MonthWinds(
            speed_mps=np.array([row.speed_mps for row in rows]),
            wind_from_deg=np.array([row.wind_from_deg for row in rows]),
            share=np.array([row.share for row in rows]),
            gust_mps=np.full(len(rows), np.nan),
            unix_s=None,
        )
    record = climate.history
    # A plan may reach over the end of its month.
    about = (timedelta(), timedelta(hours=-50), timedelta(hours=14))
    there = [
        number
        for number, time in enumerate(record.times)
        if any((time + hours).month == month for hours in about)
    ]
    if not any(record.times[number].month == month for number in there):
        return None
    gusts = [record.gust_mps[number] for number in there]
    return MonthWinds(
        speed_mps=np.array([record.speed_mps[number] for number in there]),
        wind_from_deg=np.array([record.wind_from_deg[number] for number in there]),
        share=np.full(len(there), 1.0 / len(there)),
        gust_mps=np.array([np.nan if gust is None else gust for gust in gusts]),
        unix_s=np.array([record.times[number].timestamp() for number in there]),
    )


def in_own_winds(
    plan: MembersPlan, winds: MonthWinds, *, day: date, block: int = 0
) -> MembersPlan:
    """
    Return a plan whose members each have a wind of the month instead of one forecast.

    The error of a forecast is drawn no more: nobody has a forecast for a date months ahead.

    Parameters
    ----------
    plan : MembersPlan
        Its width is how many winds are drawn, a block at most.
    winds : MonthWinds
        What blows in the month.
    day : date
        What the draws are counted by.
    block : int
        And this: which block of the date's members has these winds, from 0.
    """
    instants = plan.instants
    speed, bearing, gust = drawn_winds(plan, winds, day=day, block=block)
    at_10m = wind_at_height(
        speed, reference_height_m=plan.scenario.wind.height_m, height_m=10.0
    )
    east, north = components_from_toward(
        at_10m * instants.open_share[:, None], toward_deg=bearing + 180.0
    )
    usual = usual_gust_factor(plan.scenario)
    ratio = np.divide(gust, speed, out=np.full_like(speed, usual), where=speed > 0.0)
    ratio = np.where(np.isnan(ratio), usual, np.maximum(ratio, 1.0))
    spreads = {**plan.spreads.of, "wind_error": 0.0, "wind_bias": 0.0}
    return replace(
        plan,
        instants=replace(instants, wind_east_mps=east, wind_north_mps=north, gust_ratio=ratio),
        spreads=replace(plan.spreads, of=spreads),
    )


def drawn_winds(
    plan: MembersPlan, winds: MonthWinds, *, day: date, block: int = 0
) -> tuple[Array, Array, Array]:
    """
    Return speed, direction and gust of every member's wind, (instants, members).

    Winds are taken at even steps of the cumulated share from a random first one, so that each
    has its share of the members to within one; who gets which is shuffled.
    """
    at_s = plan.instants.at_s
    if winds.unix_s is None:
        row = evenly(winds.share, plan.width, seed=plan.seed, day=day, block=block)
        shape = (at_s.size, plan.width)
        whole = (winds.speed_mps, winds.wind_from_deg, winds.gust_mps)
        speed, bearing, gust = (np.broadcast_to(one[row], shape) for one in whole)
        return speed, bearing, gust
    begins = _begins(plan, winds.unix_s, day)
    even = np.ones(len(begins))
    chosen = evenly(even, plan.width, seed=plan.seed, day=day, block=block)
    members = [_hours(winds, begins[one] + at_s) for one in chosen]
    speed, bearing, gust = (np.stack(part, axis=-1) for part in zip(*members, strict=True))
    return speed, bearing, gust


def evenly(
    share: Array, members: int, *, seed: int, day: date, block: int = 0
) -> NDArray[np.intp]:
    """Return which row each member gets: every row its share of them, to within one."""
    normals = block_normals(seed, source=SOURCE, block=day.toordinal() + DATES * block, rows=2)
    first = 0.5 * (1.0 + erf(float(normals[0, 0]) / sqrt(2.0)))
    edges = np.cumsum(share) / share.sum()
    row = np.searchsorted(edges, (np.arange(members) + first) / members, side="right")
    shuffled = np.argsort(normals[1, :members], kind="stable")
    return np.asarray(np.minimum(row, share.size - 1)[shuffled])


def _begins(plan: MembersPlan, unix_s: Array, day: date) -> Array:
    """Return the plan's clock on every day of the month the hours reach over, in unix time."""
    start = plan.afloat.timeline.start
    last_s = float(plan.day.edges_s[-1])
    zone = start.tzinfo or UTC
    moments = {datetime.fromtimestamp(one, zone).date() for one in unix_s.tolist()}
    clock = start.timetz().replace(tzinfo=None)
    begins = []
    for one in sorted(moments):
        if one.month != day.month:
            continue
        try:
            begin = resolve_clock(clock, one, zone).timestamp()
        except ValueError:  # the hour the clocks change over
            continue
        near = np.abs(unix_s - begin - 0.5 * last_s) <= 0.5 * last_s + LONGEST_GAP_S
        inside = unix_s[near]
        if inside.size > 1 and inside[0] <= begin and inside[-1] >= begin + last_s:
            begins.append(begin)
    if not begins:
        raise ScenarioError(
            Problem(
                path="--climate",
                reason=f"no day of {day:%B} has wind over all hours of the plan",
                hint="give a history without gaps of more than 4 h",
            )
        )
    return np.array(begins)


def _hours(winds: MonthWinds, when_s: Array) -> tuple[Array, Array, Array]:
    """Read between the hours of a history."""
    unix_s = np.asarray(winds.unix_s)
    first = max(int(np.searchsorted(unix_s, when_s[0])) - 1, 0)
    few = slice(first, int(np.searchsorted(unix_s, when_s[-1])) + 1)
    at_s = unix_s[few]
    return (
        np.interp(when_s, at_s, winds.speed_mps[few]),
        interpolate_bearing(when_s, at_s=at_s, bearing_deg=winds.wind_from_deg[few]),
        np.interp(when_s, at_s, winds.gust_mps[few]),
    )
