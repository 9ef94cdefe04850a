"""
What members came to, read from their flows: when the bank gave out, how long off station.

The rules are those of one day (`assess`), for all members at once and at the instants only.

Depends on: simulate, physics, plan, assess, build.members.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.assess import THRUST_TOLERANCE
from energysim.physics.drive import wet_motor
from energysim.physics.exceedance import share_of_time_above
from energysim.physics.motor import electrical_demand
from energysim.physics.response_spread import spread
from energysim.simulate import draw_on_bank, ends_of, tightest_end

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.members import BlockOfMembers
    from energysim.odds.carry import Carried
    from energysim.physics.motor import Motor
    from energysim.plan import DayPlan

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


def lost_s(
    step_s: float,
    *,
    wanted_n: Array,
    thrust_n: Array,
    carried_share: Array | float,
    held: Flags,
) -> tuple[Array, Flags]:
    """
    Return how long of a step each member is off station by its mean, in s, and who is.

    Parameters
    ----------
    step_s : float
        Its length. [s]
    wanted_n, thrust_n : ndarray, shape (members,)
        Wanted and delivered. [N]
    carried_share : ndarray or float
        Share of the step before the bank ran empty; only the rest of it is lost. [1]
    held : ndarray of bool, shape (members,)
        While there was a bank, it gave what was wanted.
    """
    limited = (wanted_n > 0.0) & (thrust_n < wanted_n * (1.0 - THRUST_TOLERANCE))
    share = np.asarray(carried_share)
    lost = np.where((share < 1.0) & held, step_s * (1.0 - share), step_s)
    return np.asarray(lost * limited), limited


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


def gust_short_s(
    block: BlockOfMembers,
    carried: Carried,
    motor: Motor,
    weights: Array,
) -> Array:
    """
    Return how long gusts keep each member off station on each leg, in s.

    Parameters
    ----------
    block : BlockOfMembers
        What it asks for.
    carried : Carried
        What it came to.
    motor : Motor
        Each member's own.
    weights : ndarray, shape (legs, instants)
        From `leg_weights`. [s]
    """
    share = _short_in_gusts(block, carried, motor)
    share[carried.limited] = 0.0
    return np.asarray(weights @ share)


def _short_in_gusts(block: BlockOfMembers, carried: Carried, motor: Motor) -> Array:
    """Return the share of the time a gust asks for more than there is, at the instants."""
    bank = block.bank
    few, emf, ohm, alive = block.asked, carried.emf_v, carried.ohm, carried.alive
    node_thrust_n, deviation = block.wanted.node_thrust_n, block.wanted.node_deviation
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
    end = tightest_end(
        emf[short],
        ohm[short] - bank.cable_ohm[member],
        bank=ends_of(bank, member),
        **few.ends_at(step, member)._asdict(),
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
