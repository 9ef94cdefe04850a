"""
What members came to, read from their flows: when the bank gave out, how long off station.

The rules are those of one day (`assess`), for all members at once and at the instants only.

Depends on: simulate, physics, plan, assess.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.assess import THRUST_TOLERANCE, below_cutoff
from energysim.physics.drive import wet_motor
from energysim.physics.exceedance import share_of_time_above
from energysim.physics.motor import electrical_demand
from energysim.physics.motor_factor import hungrier_motor
from energysim.physics.response_spread import spread
from energysim.simulate import draw_on_bank, tightest_end

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.physics.motor import Motor
    from energysim.plan import DayPlan
    from energysim.simulate import Bank, Demand, Flows

    Array = NDArray[np.float64]
    Flags = NDArray[np.bool_]

MARKS_EVERY_S: Final = 600.0
"""Between two moments at which the state of charge of every member is kept. [s]"""

RAREST_GUST: Final = 4.0
"""Gusts beyond so many standard deviations are let go: 3 seconds in a day (ours). [1]"""


def marks_of(day: DayPlan) -> NDArray[np.intp]:
    """Return the step edges to be kept: every ten minutes by the clock, and all legs' ends."""
    edges = day.edges_s
    past_the_hour_s = 60.0 * day.start.minute + day.start.second
    marks = np.floor((edges + past_the_hour_s) / MARKS_EVERY_S + 1e-9)
    turns = np.flatnonzero(np.diff(marks)) + 1
    legs = np.flatnonzero(np.diff(day.leg_of_step)) + 1
    return np.unique(np.concatenate([[0], turns, legs, [edges.size - 1]])).astype(np.intp)


def read_end(demand: Demand, flows: Flows, bank: Bank) -> Flags:
    """Return whose bank gave out: empty, or at its cut-off voltage."""
    by_voltage = below_cutoff(demand, flows, bank)
    return np.asarray((flows.carried_share < 1.0).any(axis=0) | by_voltage.any(axis=0))


def leg_weights(day: DayPlan, known: NDArray[np.intp], when_s: Array) -> Array:
    """
    Return what each instant counts for in each leg's time, in s, read along straight lines.

    Returns
    -------
    weights : ndarray, shape (legs, instants)
        Nothing for a leg the bow motor has no part in.
    """
    shares = spread(np.eye(known.size), known=known, when_s=when_s)
    of_leg = day.leg_of_step[None, :] == np.arange(len(day.legs))[:, None]
    seconds = of_leg * day.demand.step_s[:, 0] * day.wanted.in_use
    return np.asarray(seconds @ shares)


def off_station_s(
    day: DayPlan,
    demand: Demand,
    few: Demand,
    flows: Flows,
    motor: Motor,
    node_thrust_n: Array,
    deviation: Array,
    known: NDArray[np.intp],
    weights: Array,
) -> Array:
    """
    Return how long each member is off station on each leg, in s.

    Parameters
    ----------
    day : DayPlan
        For its legs.
    demand, flows : Demand, Flows
        Arrays (steps, members).
    few : Demand
        The demand at the instants.
    motor : Motor
        Each member's own.
    node_thrust_n : ndarray, shape (nodes, instants, members)
        Wanted at the winds of the gusty step. [N]
    deviation : ndarray, shape (nodes,)
        Standard deviations of those from the mean. [1]
    known : ndarray, shape (instants,)
        The steps the instants are.
    weights : ndarray, shape (legs, instants)
        From `leg_weights`. [s]
    """
    step_s = day.demand.step_s
    limited = (demand.thrust_n > 0.0) & (
        flows.thrust_n < demand.thrust_n * (1.0 - THRUST_TOLERANCE)
    )
    held_before = (flows.carried_share < 1.0) & (flows.limit == 0)
    lost_s = np.where(held_before, step_s * (1.0 - flows.carried_share), step_s)
    lost_s *= limited
    off = np.zeros((len(day.legs), limited.shape[1]))
    for leg in range(len(day.legs)):
        off[leg] = lost_s[day.leg_of_step == leg].sum(axis=0)
    share = _short_in_gusts(day, few, flows, motor, node_thrust_n, deviation, known)
    share[limited[known]] = 0.0
    return np.asarray(off + weights @ share)


def _short_in_gusts(
    day: DayPlan,
    few: Demand,
    flows: Flows,
    motor: Motor,
    node_thrust_n: Array,
    deviation: Array,
    known: NDArray[np.intp],
) -> Array:
    """Return the share of the time a gust asks for more than there is, at the instants."""
    bank = day.bank  # its limits, its leads and its house are nobody's own
    emf, ohm = flows.emf_v[known], flows.resistance_ohm[known]
    alive = flows.level[known] > 0.0
    house = bank.house_load_w
    rarest = _rarest_n(node_thrust_n, deviation)
    wet = wet_motor(motor, thrust_ratio=few.thrust_ratio, torque_ratio=few.torque_ratio)
    asked = electrical_demand(rarest, inflow_mps=few.inflow_mps, motor=wet)
    draw = draw_on_bank(asked.power_w, house, emf, ohm, motor, total_w=asked.power_w + house)
    short = draw.bus_voltage_v < np.maximum(asked.motor_voltage_v, bank.lowest_voltage_v)
    short |= draw.motor_current_a > bank.current_limit_a
    short |= emf - draw.current_a * (ohm - bank.cable_ohm) < bank.cutoff_voltage_v
    short |= ~draw.possible
    short &= (rarest > 0.0) & alive
    share = np.zeros(rarest.shape)
    if not short.any():
        return share
    step, member = np.nonzero(short)
    own = hungrier_motor(day.motor, power_factor=_factors(motor, day.motor)[member])

    def of(values: Array) -> Array:
        return np.asarray(
            np.broadcast_to(values, (*values.shape[:-1], short.shape[1]))[..., step, member]
        )

    end = tightest_end(
        emf[short],
        ohm[short] - bank.cable_ohm,
        bank=bank,
        inflow_mps=of(few.inflow_mps),
        thrust_ratio=of(few.thrust_ratio),
        torque_ratio=of(few.torque_ratio),
        thrust_quadratic=of(few.thrust_quadratic),
        current_quadratic=of(few.current_quadratic),
        motor=own,
    )
    share[short] = share_of_time_above(
        node_thrust_n[:, short], deviation=deviation, limit_n=end.thrust_n
    )
    return share


def _rarest_n(node_thrust_n: Array, deviation: Array) -> Array:
    """Return the most thrust asked for within the gusts and lulls that are not let go."""
    ends = []
    for last, before, far in ((-1, -2, RAREST_GUST), (0, 1, -RAREST_GUST)):
        slope = (node_thrust_n[last] - node_thrust_n[before]) / (
            deviation[last] - deviation[before]
        )
        ends.append(node_thrust_n[last] + slope * (far - deviation[last]))
    return np.asarray(np.maximum(np.maximum(*ends), node_thrust_n.max(axis=0)))


def _factors(motor: Motor, planned: Motor) -> Array:
    """Return by what each member's motor takes more than the planned one."""
    return np.asarray(motor.torque_factor / np.asarray(planned.torque_factor))
