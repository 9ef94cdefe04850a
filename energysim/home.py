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
from energysim.results import WayHome
from energysim.simulate import draw_on_bank, rest_voltage, rest_voltages

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.plan import DayPlan
    from energysim.simulate import Flows

    Array = NDArray[np.float64]

SLOWEST_MPS = 0.1
FASTEST_MPS = 3.0
SPEEDS = 30
LEVELS = 101


def way_home(plan: DayPlan, flows: Flows) -> WayHome:
    """
    Work out range, speed and the last moment to turn back.

    At each speed over ground the boat meets the day's strongest mean wind and strongest
    stream dead ahead. The bank is drawn at that power from where it stands down to its
    physical end (empty, or the loaded voltage at its cut-off). Unless the scenario names a
    speed, the one that goes furthest from a bank as the day starts is taken.

    Parameters
    ----------
    plan, flows : DayPlan, Flows
        A day of one member, and what happened in it.

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
    level = np.linspace(0.0, 1.0, LEVELS)
    reach_m, current = _reach(speed, demand.power_w, demand.motor_voltage_v, level, plan)
    start_soc = float(plan.bank.start_soc[0])
    best = int(np.argmax([np.interp(start_soc, level, row) for row in reach_m]))
    row = reach_m[best]
    possible = bool(row[-1] > 0.0)
    availability = flows.availability[:, 0]
    in_reach = np.interp(availability, level, row)
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


def _reach(
    speed: Array, power_w: Array, needed_v: Array, level: Array, plan: DayPlan
) -> tuple[Array, Array]:
    """Return the distance from each level of availability to the end, and a usual current."""
    bank = plan.bank
    emf = rest_voltage(level, rest_voltages(bank))[None, :]
    bank_ohm = bank.resistance_full_ohm * (1.0 + (bank.resistance_rise - 1.0) * (1.0 - level))
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
    effective = peukert_effective_current_a(
        current,
        capacity_ah=bank.capacity_ah,
        rated_time_h=bank.rated_time_h,
        exponent=bank.exponent,
    )
    # Metres gained per unit of availability; nothing below the highest level that fails.
    pace = np.where(carried, speed * 3600.0 * bank.capacity_ah / effective, 0.0)
    alive = np.logical_and.accumulate(carried[:, ::-1], axis=1)[:, ::-1]
    pace = np.where(alive, pace, 0.0)
    between = 0.5 * (pace[:, 1:] + pace[:, :-1]) * np.diff(level)
    reach = np.concatenate([np.zeros((len(speed), 1)), np.cumsum(between, axis=1)], axis=1)
    return reach, current[:, LEVELS * 3 // 4]


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
