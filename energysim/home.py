"""
The way home on the bow motor alone, straight against the day's worst wind and stream.

An emergency is not a plan: this says how far the bank would carry the boat if the main engine
failed, so that nobody counts on more.

Depends on: simulate, plan, results, clock, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from energysim.clock import clock_after
from energysim.physics.discharge import peukert_effective_current_a
from energysim.physics.drive import wet_motor
from energysim.physics.motor import electrical_demand
from energysim.physics.station import creep_load
from energysim.physics.wells import Wells, wells_time_left_h
from energysim.results.day import WayHome
from energysim.simulate import OneBlock, as_one_block, draw_on_bank

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.plan import DayPlan
    from energysim.simulate import Books

    Array = NDArray[np.float64]

SLOWEST_MPS = 0.1
FASTEST_MPS = 3.0
SPEEDS = 30
LEVELS = 101
SECONDS_PER_HOUR = 3600.0


def way_home(plan: DayPlan, books: Books) -> WayHome:
    """
    Work out range, speed and the last moment to turn back.

    At each speed over ground the boat meets the day's strongest mean wind and strongest
    stream dead ahead. The bank is drawn at that power from where it stands down to its
    physical end (empty, or the loaded voltage at its cut-off); a bank of unlike blocks is told
    by the weakest of each string. Unless the scenario names a
    speed, the one that goes furthest from a bank as the day starts is taken.

    Parameters
    ----------
    plan, books : DayPlan, Books
        A day of one member, and what its bank held in it.

    Returns
    -------
    WayHome
        Range at the day's start and end, and the clock time after which home is out of reach.
    """
    wind = float(np.max(plan.surroundings.wind_mps))
    stream = float(np.max(plan.surroundings.stream_mps))
    speed = np.linspace(SLOWEST_MPS, FASTEST_MPS, SPEEDS)[:, None]
    if plan.home_speed_mps is not None:
        speed = np.array([[plan.home_speed_mps]])
    load = creep_load(
        np.full_like(speed, wind),
        wind_from_deg=0.0,
        stream_mps=stream,
        stream_toward_deg=180.0,
        course_deg=0.0,
        speed_mps=speed,
        over_ground=True,
        boat=plan.boat,
    )
    # Chop is met at its worst, like wind and stream.
    wet = wet_motor(
        plan.motor,
        thrust_ratio=plan.wanted.thrust_ratio.min(),
        torque_ratio=plan.wanted.torque_ratio.min(),
    )
    demand = electrical_demand(load.thrust_n, inflow_mps=load.inflow_mps, motor=wet)
    one = as_one_block(plan.bank, books)
    reach_m, current = _reaches(speed, demand.power_w, demand.motor_voltage_v, one, plan)
    best = int(np.argmax(reach_m[:, 0]))
    in_reach = reach_m[best]
    possible = bool(current[best] > 0.0)
    last_at = None
    if plan.home_distance_m is not None and possible:
        seconds = _last_time_s(in_reach, plan.edges_s, plan.home_distance_m)
        last_at = None if seconds is None else clock_after(plan.start, seconds)
    return WayHome(
        wind_mps=wind,
        stream_mps=stream,
        speed_mps=float(speed[best, 0]),
        current_a=float(current[best]),
        range_start_m=float(in_reach[0]),
        range_end_m=float(in_reach[-1]),
        distance_m=plan.home_distance_m,
        last_at=last_at,
        possible=possible,
    )


def _reaches(
    speed: Array, power_w: Array, needed_v: Array, one: OneBlock, plan: DayPlan
) -> tuple[Array, Array]:
    """Return the distance in m at each speed and step edge, and the current of each speed."""
    bank = plan.bank
    level = np.linspace(0.0, 1.0, LEVELS)
    emf = np.interp(level, np.linspace(0.0, 1.0, len(one.emf_v)), one.emf_v)[None, :]
    bank_ohm = one.empty_ohm - (one.empty_ohm - one.full_ohm) * level
    ohm = bank_ohm + bank.cable_ohm
    draw = draw_on_bank(
        power_w, bank.house_load_w, emf, ohm, plan.motor, total_w=power_w + bank.house_load_w
    )
    current, bus = draw.current_a, draw.bus_voltage_v
    carried = (
        draw.possible
        & (bus >= needed_v)
        & (bus >= bank.lowest_voltage_v)
        & (emf - current * bank_ohm >= bank.cutoff_voltage_v)
        & (draw.motor_current_a <= bank.current_limit_a)
    )
    # Nothing below the highest level that fails.
    alive = np.logical_and.accumulate(carried[:, ::-1], axis=1)[:, ::-1]
    seconds = _wells_last_s if bank.kinetic[0] else _peukert_lasts_s
    reach_m = speed * seconds(level, current, alive, one)
    usual = np.where(alive[:, -1], current[:, LEVELS * 3 // 4], 0.0)
    return reach_m, usual


def _peukert_lasts_s(level: Array, current: Array, alive: Array, one: OneBlock) -> Array:
    """Return how long each speed's current lasts from each step edge, by Peukert's law."""
    effective = peukert_effective_current_a(
        current,
        capacity_ah=one.capacity_ah,
        rated_time_h=one.rated_time_h,
        exponent=one.exponent,
    )
    pace = np.where(alive, SECONDS_PER_HOUR * one.capacity_ah / effective, 0.0)
    between = 0.5 * (pace[:, 1:] + pace[:, :-1]) * np.diff(level)
    lasts = np.concatenate([np.zeros((len(pace), 1)), np.cumsum(between, axis=1)], axis=1)
    return np.array([np.interp(one.level, level, row) for row in lasts])


def _wells_last_s(level: Array, current: Array, alive: Array, one: OneBlock) -> Array:
    """
    Return how long each speed's current lasts from each step edge, by the two wells.

    The speed ends at the level from which it can no longer be carried. Both wells seen from
    that level up are two wells again, for the law is linear. The current is that half way.
    """
    floor = np.where(alive.any(axis=1), level[np.argmax(alive, axis=1)], 1.0)[:, None]
    half_way = 0.5 * (floor + np.maximum(one.level, floor))
    mean_a = np.array(
        [np.interp(at, level, row) for at, row in zip(half_way, current, strict=True)]
    )
    share, total = one.wells_share, one.wells_total_ah
    available_ah = np.maximum((one.level - floor) * share * total, 0.0)
    left_ah = np.maximum(one.left_ah - floor * total, available_ah)
    wells = Wells(total_ah=total, available_share=share, rate_per_h=one.wells_rate_per_h)
    hours = wells_time_left_h(available_ah, left_ah, current_a=mean_a, wells=wells)
    return np.where(available_ah > 0.0, hours, 0.0) * SECONDS_PER_HOUR


def _last_time_s(in_reach_m: Array, edges_s: Array, distance_m: float) -> float | None:
    """Return when the reach falls below the distance for good; None if it never does."""
    if in_reach_m[-1] >= distance_m:
        return None
    if in_reach_m[0] < distance_m:
        return float(edges_s[0])
    after = int(np.argmax(in_reach_m < distance_m))
    high, low = in_reach_m[after - 1], in_reach_m[after]
    share = (high - distance_m) / (high - low)
    return float(edges_s[after - 1] + share * (edges_s[after] - edges_s[after - 1]))
