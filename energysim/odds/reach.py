"""
How far each member's bow motor still brings it home at the day's end.

The rule is that of one day (`home`): at each speed over the ground against the member's own
strongest wind and stream, from what its bank holds, down to what can no longer be carried; the
speed is the one that goes furthest from there, unless the scenario names it.

Depends on: simulate, physics, plan, home, build.members.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.build.members.loads import own_boats
from energysim.home import FASTEST_MPS, SECONDS_PER_HOUR, SLOWEST_MPS, SPEEDS
from energysim.physics.discharge import peukert_effective_current_a
from energysim.physics.drive import wet_motor
from energysim.physics.motor import Demand as MotorDemand
from energysim.physics.motor import electrical_demand
from energysim.physics.motor_factor import hungrier_motor
from energysim.physics.station import creep_load
from energysim.physics.wells import Wells, wells_time_left_h
from energysim.simulate import draw_on_bank, ends_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.members import BlockOfMembers
    from energysim.plan import DayPlan
    from energysim.simulate import Bank, Books

    Array = NDArray[np.float64]

LEVELS: Final = 51
"""Of charge at which currents are known; a day has more, and is within 2 % (tested). [count]"""


def in_reach_m(day: DayPlan, block: BlockOfMembers, books: Books) -> Array:
    """
    Return how far the bow motor alone would bring each member of a block on its way home.

    Parameters
    ----------
    day : DayPlan
        For boat, home and its speed.
    block : BlockOfMembers
        For its banks, the strongest wind and stream each has met, and what is otherwise about
        its boat.
    books : Books
        What it holds; the last row is read.

    Returns
    -------
    reach_m : ndarray, shape (members,)
        At the end of its day; no more is looked for than home is away. Infinite where the
        scenario has no [home] to be reached. [m]
    """
    members = block.power_factor.size
    if day.home_distance_m is None:
        return np.full(members, np.inf)
    speed = np.linspace(SLOWEST_MPS, FASTEST_MPS, SPEEDS)
    if day.home_speed_mps is not None:
        speed = np.array([day.home_speed_mps])
    weakest = _weakest(block.bank, books)
    reach = np.zeros(members)
    # The likeliest speeds first: most members are home by them, and are asked no further.
    order = _likeliest_first(day, block, speed)
    for tried in (order[:1], order[1:3], order[3:]):
        some = np.flatnonzero((reach < day.home_distance_m) & (weakest.level > 0.0))
        if not some.size:
            break
        who = np.tile(some, tried.size)
        own = np.repeat(speed[tried], some.size)
        way = own * SECONDS_PER_HOUR * _lasts_h(weakest.of(who), own, who, day, block)
        way = way.reshape(tried.size, some.size).max(axis=0, initial=0.0)
        reach[some] = np.maximum(reach[some], way)
    return np.minimum(reach, day.home_distance_m)


def _likeliest_first(day: DayPlan, block: BlockOfMembers, speed: Array) -> NDArray[np.intp]:
    """Return the places of speeds by the way they make of a joule, as the first member's do."""
    first = np.zeros(speed.size, dtype=np.intp)
    asked = _against_the_worst(day, block, speed, first)
    return np.asarray(np.argsort(-speed / asked.power_w, kind="stable"))


def _against_the_worst(
    day: DayPlan, block: BlockOfMembers, speed: Array, who: NDArray[np.intp]
) -> MotorDemand:
    """Return what members' motors ask at a speed each, dead against their strongest weather."""
    load = creep_load(
        block.strongest_wind_mps[who],
        wind_from_deg=0.0,
        stream_mps=block.strongest_stream_mps[who],
        stream_toward_deg=180.0,
        course_deg=0.0,
        speed_mps=speed,
        over_ground=True,
        boat=own_boats(day.boat, block.draws, who),
    )
    # Chop is met at its worst as well.
    thrust_ratio, torque_ratio = (
        np.broadcast_to(ratio.min(axis=0), block.power_factor.shape)[who]
        for ratio in (block.wanted.thrust_ratio, block.wanted.torque_ratio)
    )
    motor = hungrier_motor(day.motor, power_factor=block.power_factor[who])
    return electrical_demand(
        load.thrust_n * block.draws.factor["thrust_form"][who],
        inflow_mps=load.inflow_mps,
        motor=wet_motor(motor, thrust_ratio=thrust_ratio, torque_ratio=torque_ratio),
    )


class _Weakest(NamedTuple):
    """Banks as one block: the weakest of every string, the strings together. (members,)."""

    level: Array
    left_ah: Array
    capacity_ah: Array
    wells_total_ah: Array
    wells_share: Array
    wells_rate_per_h: Array
    exponent: Array
    rated_time_h: Array
    full_ohm: Array
    empty_ohm: Array
    series: float
    rest_v: Array  # (nodes,), of one block

    def of(self, some: NDArray[np.intp]) -> _Weakest:
        """Return some members' banks."""
        shared = {"series", "rest_v"}
        own = {name: getattr(self, name)[some] for name in self._fields if name not in shared}
        return self._replace(**own)


def _weakest(bank: Bank, books: Books) -> _Weakest:
    real = (bank.block_count > 0.0) & (bank.string_count > 0.0)[:, None]
    weakest = np.argmin(np.where(real, books.block_soc[-1], np.inf), axis=1)[:, None]

    def pick(values: Array) -> Array:
        """Return a number of each string's weakest block, (strings, members)."""
        whole = np.broadcast_to(values, real.shape)
        return np.asarray(np.take_along_axis(whole, weakest, axis=1)[:, 0])

    strings, counted = bank.string_count, bank.block_count
    capacity = strings * pick(bank.capacity_ah)
    part = capacity / capacity.sum(axis=0)
    full = (counted * bank.resistance_full_ohm).sum(axis=1)
    empty = (counted * bank.resistance_full_ohm * bank.resistance_rise).sum(axis=1)
    return _Weakest(
        level=(part * pick(books.block_level[-1])).sum(axis=0),
        left_ah=(strings * pick(books.block_left_ah[-1])).sum(axis=0),
        capacity_ah=capacity.sum(axis=0),
        wells_total_ah=(strings * pick(bank.wells_total_ah)).sum(axis=0),
        wells_share=(part * pick(bank.wells_share)).sum(axis=0),
        wells_rate_per_h=(part * pick(bank.wells_rate_per_h)).sum(axis=0),
        exponent=(part * pick(bank.exponent)).sum(axis=0),
        rated_time_h=bank.rated_time_h,
        full_ohm=_side_by_side(full, strings),
        empty_ohm=_side_by_side(empty, strings),
        # Every member has the same make of blocks, so the first speaks for all.
        series=float(counted[0, :, 0].sum()),
        rest_v=bank.emf_tables_v[bank.emf_kind[0, 0, 0]],
    )


def _lasts_h(
    one: _Weakest, speed: Array, who: NDArray[np.intp], day: DayPlan, block: BlockOfMembers
) -> Array:
    """Return how long members' banks carry them at a speed, down to the level that cannot."""
    asked = _against_the_worst(day, block, speed, who)
    power_w, needed_v = asked.power_w, asked.motor_voltage_v
    kinetic, bank = bool(block.bank.kinetic[0]), ends_of(block.bank, who)
    level = np.linspace(0.0, 1.0, LEVELS)[:, None]
    rest = np.interp(level, np.linspace(0.0, 1.0, len(one.rest_v)), one.rest_v)
    emf = one.series * rest
    ohm = one.empty_ohm - (one.empty_ohm - one.full_ohm) * level
    house = bank.house_load_w
    draw = draw_on_bank(
        power_w, house, emf, ohm + bank.cable_ohm, day.motor, total_w=power_w + house
    )
    carried = (
        draw.possible
        & (draw.bus_voltage_v >= np.maximum(needed_v, bank.lowest_voltage_v))
        & (emf - draw.current_a * ohm >= bank.cutoff_voltage_v)
        & (draw.motor_current_a <= bank.current_limit_a)
    )
    # Nothing below the highest level that fails.
    alive = np.logical_and.accumulate(carried[::-1], axis=0)[::-1]
    lasts = _wells_last_h if kinetic else _peukert_lasts_h
    return lasts(level, draw.current_a, alive, one)


def _side_by_side(ohm: Array, count: Array) -> Array:
    """Return the resistance of strings side by side, (members,)."""
    safe = np.where(count > 0.0, np.maximum(ohm, 1e-12), np.inf)
    return np.asarray(1.0 / (count / safe).sum(axis=0))


def _peukert_lasts_h(level: Array, current: Array, alive: Array, one: _Weakest) -> Array:
    """Return how long each member's current lasts from the level of now, by Peukert's law."""
    effective = peukert_effective_current_a(
        current,
        capacity_ah=one.capacity_ah,
        rated_time_h=one.rated_time_h,
        exponent=one.exponent,
    )
    pace = np.where(alive, one.capacity_ah / effective, 0.0)
    below = np.clip((one.level - level[:-1]) / np.diff(level, axis=0), 0.0, 1.0)
    between = 0.5 * (pace[1:] + pace[:-1]) * np.diff(level, axis=0)
    return np.asarray((below * between).sum(axis=0))


def _wells_last_h(level: Array, current: Array, alive: Array, one: _Weakest) -> Array:
    """
    Return how long each member's current lasts from the level of now, by the two wells.

    It ends at the level from which it can no longer be carried; both wells seen from
    there up are two wells again. The current is that half way.
    """
    floor = np.where(alive.any(axis=0), level[np.argmax(alive, axis=0), 0], 1.0)
    half_way = 0.5 * (floor + np.maximum(one.level, floor))
    place = half_way * (len(level) - 1)
    before = np.clip(place.astype(np.intp), 0, len(level) - 2)
    low, high = (np.take_along_axis(current, before[None] + k, axis=0)[0] for k in (0, 1))
    mean_a = low + (place - before) * (high - low)
    share, total = one.wells_share, one.wells_total_ah
    available = np.maximum((one.level - floor) * share * total, 0.0)
    left = np.maximum(one.left_ah - floor * total, available)
    wells = Wells(total_ah=total, available_share=share, rate_per_h=one.wells_rate_per_h)
    hours = wells_time_left_h(available, left, current_a=mean_a, wells=wells)
    return np.asarray(np.where(available > 0.0, hours, 0.0))
