"""
How far each member's bow motor still brings it home at the day's end.

The rule is that of one day (`home`): at each speed over the ground against the member's own
strongest wind and stream, from what its bank holds, down to what can no longer be carried; the
speed is the one that goes furthest from there, unless the scenario names it.

Depends on: simulate, physics, plan, home, build.members.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.members.loads import own_boats
from energysim.home import FASTEST_MPS, SECONDS_PER_HOUR, SLOWEST_MPS, SPEEDS
from energysim.physics.discharge import peukert_effective_current_a
from energysim.physics.drive import wet_motor
from energysim.physics.motor import electrical_demand
from energysim.physics.station import creep_load
from energysim.physics.wells import Wells, wells_time_left_h
from energysim.simulate import draw_on_bank

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.build.members import BlockOfMembers
    from energysim.physics.motor import Motor
    from energysim.plan import DayPlan
    from energysim.simulate import Bank, Books

    Array = NDArray[np.float64]

LEVELS: Final = 51
"""Of charge at which currents are known; a day has more, and is within 2 % (tested). [count]"""


def in_reach_m(
    day: DayPlan, bank: Bank, books: Books, motor: Motor, blocks: Sequence[BlockOfMembers]
) -> Array:
    """
    Return the distance the bow motor alone would bring each member at the end of its day.

    Parameters
    ----------
    day : DayPlan
        For boat, home and its speed.
    bank : Bank
        Each member's.
    books : Books
        What it holds; the last row is read.
    motor : Motor
        Each member's.
    blocks : sequence of BlockOfMembers
        For the strongest wind and stream each has met, and what is otherwise about its boat.

    Returns
    -------
    reach_m : ndarray, shape (members,)
        Infinite where the scenario has no [home] to be reached. [m]
    """
    members = bank.string_count.shape[-1]
    if day.home_distance_m is None:
        return np.full(members, np.inf)
    speed = np.linspace(SLOWEST_MPS, FASTEST_MPS, SPEEDS)[:, None]
    if day.home_speed_mps is not None:
        speed = np.array([[day.home_speed_mps]])
    thrust, inflow = (
        np.concatenate(part, axis=-1)
        for part in zip(
            *(_against_the_worst(day, block, speed) for block in blocks), strict=True
        )
    )
    wet = wet_motor(
        motor,
        thrust_ratio=_least([block.wanted.thrust_ratio for block in blocks], members),
        torque_ratio=_least([block.wanted.torque_ratio for block in blocks], members),
    )
    asked = electrical_demand(thrust, inflow_mps=inflow, motor=wet)
    one = _Weakest(bank, books)
    level = np.linspace(0.0, 1.0, LEVELS)[:, None]
    emf = np.stack([np.interp(level[:, 0], one.nodes, one.emf_v)]).T
    ohm = one.empty_ohm - (one.empty_ohm - one.full_ohm) * level
    house = bank.house_load_w
    draw = draw_on_bank(
        asked.power_w[:, None],
        house,
        emf,
        ohm + bank.cable_ohm,
        motor,
        total_w=asked.power_w[:, None] + house,
    )
    carried = (
        draw.possible
        & (draw.bus_voltage_v >= asked.motor_voltage_v[:, None])
        & (draw.bus_voltage_v >= bank.lowest_voltage_v)
        & (emf - draw.current_a * ohm >= bank.cutoff_voltage_v)
        & (draw.motor_current_a <= bank.current_limit_a)
    )
    # Nothing below the highest level that fails.
    alive = np.logical_and.accumulate(carried[:, ::-1], axis=1)[:, ::-1]
    lasts = _wells_last_h if bank.kinetic[0] else _peukert_lasts_h
    hours = lasts(level, draw.current_a, alive, one)
    return np.asarray((speed * SECONDS_PER_HOUR * hours).max(axis=0))


def _least(ratios: Sequence[Array], members: int) -> Array:
    """Return each member's least share of the day: chop is met at its worst as well."""
    rows = [ratio.min(axis=0) for ratio in ratios]
    return np.concatenate([np.broadcast_to(row, members // len(rows)) for row in rows])


def _against_the_worst(
    day: DayPlan, block: BlockOfMembers, speed: Array
) -> tuple[Array, Array]:
    """Return thrust and inflow at each speed dead against a block's strongest weather."""
    load = creep_load(
        np.broadcast_to(block.strongest_wind_mps, (len(speed), block.power_factor.size)),
        wind_from_deg=0.0,
        stream_mps=block.strongest_stream_mps,
        stream_toward_deg=180.0,
        course_deg=0.0,
        speed_mps=speed,
        over_ground=True,
        boat=own_boats(day.boat, block.draws, slice(None)),
    )
    return load.thrust_n * block.draws.factor["thrust_form"], load.inflow_mps


class _Weakest:
    """Each member's bank as one block: the weakest of every string, the strings together."""

    def __init__(self, bank: Bank, books: Books) -> None:
        real = (bank.block_count > 0.0) & (bank.string_count > 0.0)[:, None]
        weakest = np.argmin(np.where(real, books.block_soc[-1], np.inf), axis=1)[:, None]

        def pick(values: Array) -> Array:
            """Return a number of each string's weakest block, (strings, members)."""
            whole = np.broadcast_to(values, real.shape)
            return np.asarray(np.take_along_axis(whole, weakest, axis=1)[:, 0])

        strings = bank.string_count
        capacity = strings * pick(bank.capacity_ah)
        part = capacity / capacity.sum(axis=0)
        self.level = (part * pick(books.block_level[-1])).sum(axis=0)
        self.left_ah = (strings * pick(books.block_left_ah[-1])).sum(axis=0)
        self.capacity_ah = capacity.sum(axis=0)
        self.wells_total_ah = (strings * pick(bank.wells_total_ah)).sum(axis=0)
        self.wells_share = (part * pick(bank.wells_share)).sum(axis=0)
        self.wells_rate_per_h = (part * pick(bank.wells_rate_per_h)).sum(axis=0)
        self.exponent = (part * pick(bank.exponent)).sum(axis=0)
        self.rated_time_h = bank.rated_time_h
        counted = bank.block_count
        full = (counted * bank.resistance_full_ohm).sum(axis=1)
        empty = (counted * bank.resistance_full_ohm * bank.resistance_rise).sum(axis=1)
        self.full_ohm = _side_by_side(full, strings)
        self.empty_ohm = _side_by_side(empty, strings)
        # Every member has the same make of blocks, so the first speaks for all.
        table = bank.emf_tables_v[bank.emf_kind[0, 0, 0]]
        self.emf_v = counted[0, :, 0].sum() * table
        self.nodes = np.linspace(0.0, 1.0, len(table))


def _side_by_side(ohm: Array, count: Array) -> Array:
    """Return the resistance of strings side by side, (members,)."""
    safe = np.where(count > 0.0, np.maximum(ohm, 1e-12), np.inf)
    return np.asarray(1.0 / (count / safe).sum(axis=0))


def _peukert_lasts_h(level: Array, current: Array, alive: Array, one: _Weakest) -> Array:
    """Return how long each speed's current lasts from the level of now, by Peukert's law."""
    effective = peukert_effective_current_a(
        current,
        capacity_ah=one.capacity_ah,
        rated_time_h=one.rated_time_h,
        exponent=one.exponent,
    )
    pace = np.where(alive, one.capacity_ah / effective, 0.0)
    below = np.clip((one.level - level[:-1]) / np.diff(level, axis=0), 0.0, 1.0)
    between = 0.5 * (pace[:, 1:] + pace[:, :-1]) * np.diff(level, axis=0)
    return np.asarray((below * between).sum(axis=1))


def _wells_last_h(level: Array, current: Array, alive: Array, one: _Weakest) -> Array:
    """
    Return how long each speed's current lasts from the level of now, by the two wells.

    The speed ends at the level from which it can no longer be carried; both wells seen from
    there up are two wells again. The current is that half way.
    """
    lowest = np.take_along_axis(
        np.broadcast_to(level, alive.shape[1:])[None],
        np.argmax(alive, axis=1)[:, None, :],
        axis=1,
    )[:, 0]
    floor = np.where(alive.any(axis=1), lowest, 1.0)
    half_way = 0.5 * (floor + np.maximum(one.level, floor))
    place = half_way * (len(level) - 1)
    before = np.clip(place.astype(np.intp), 0, len(level) - 2)[:, None]
    low, high = (np.take_along_axis(current, before + k, axis=1)[:, 0] for k in (0, 1))
    mean_a = low + (place - before[:, 0]) * (high - low)
    share, total = one.wells_share, one.wells_total_ah
    available = np.maximum((one.level - floor) * share * total, 0.0)
    left = np.maximum(one.left_ah - floor * total, available)
    wells = Wells(total_ah=total, available_share=share, rate_per_h=one.wells_rate_per_h)
    hours = wells_time_left_h(available, left, current_a=mean_a, wells=wells)
    return np.asarray(np.where(available > 0.0, hours, 0.0))
