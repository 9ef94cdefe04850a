"""
What the motor and the house get from a source behind a resistance.

Whatever the bank is made of, it looks from outside like one rest voltage behind one
resistance.

Depends on: simulate.records, simulate.tightest, physics.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.motor import Motor
from energysim.physics.voltage import carried_current_a
from energysim.simulate.records import (
    CARRIED,
    CUT_OFF,
    DROP_OUT,
    EMPTY,
    Array,
    Bank,
    Row,
)
from energysim.simulate.tightest import LEAST_OHM, ends_of, tightest_end

ALL_CARRIED = np.zeros(1, dtype=np.int8)  # broadcasts over the members


class Draw(NamedTuple):
    """What a load draws from a source behind a resistance, arrays of one shape."""

    current_a: Array  # all of it
    motor_current_a: Array
    bus_voltage_v: Array
    possible: NDArray[np.bool_]  # False: no current carries that load


class Ends(NamedTuple):
    """What only a motor at its ends is asked of a step. Arrays (...), or (3, ...)."""

    motor: Motor  # with its propeller well under
    inflow_mps: Array
    thrust_ratio: Array
    torque_ratio: Array
    thrust_quadratic: Array
    current_quadratic: Array


EndsAt = Callable[[int, NDArray[np.intp]], Ends]
"""Returns the ends of some members' motors in the step of a number."""


class Given(NamedTuple):
    """What a source gives in a step. Arrays (members,)."""

    wanted_a: Array  # the current that would carry the wanted load
    possible: NDArray[np.bool_]  # whether any current carries it
    current_a: Array
    motor_current_a: Array
    thrust_n: Array
    limit: NDArray[np.int8]


def draw_on_bank(
    motor_power_w: Array,
    house_load_w: Array,
    emf_v: Array,
    ohm: Array,
    motor: Motor,
    *,
    total_w: Array,
) -> Draw:
    """
    Return what motor and house draw together.

    Parameters
    ----------
    motor_power_w : ndarray, shape (...)
        As `electrical_demand` gives it. [W]
    house_load_w : ndarray, broadcastable
        Everything else, a constant power. [W]
    emf_v : ndarray, broadcastable
        Rest voltage. [V]
    ohm : ndarray, broadcastable
        Between it and the motor. [ohm]
    motor : Motor
        A chopper holds its power whatever the voltage; stepped control holds its current.
    total_w : ndarray, shape (...)
        The two powers together, which a loop works out once. [W]
    """
    if motor.control == "stepped":
        motor_current = motor_power_w / motor.rated_voltage_v
        left = emf_v - motor_current * ohm
        house_current, possible = carried_current_a(house_load_w, np.maximum(left, 1e-6), ohm)
        current = motor_current + house_current
        return Draw(current, motor_current, emf_v - current * ohm, possible & (left > 0.0))
    current, possible = carried_current_a(total_w, emf_v, ohm)
    bus = emf_v - current * ohm
    return Draw(current, motor_power_w / bus, bus, possible)


def serve(
    emf: Array,
    bank_ohm: Array,
    *,
    row: Row,
    step: int,
    bank: Bank,
    motor: Motor,
    has_house: bool,
    ends_at: EndsAt,
) -> Given:
    """
    Return what a source gives motor and house in a step: what they want, or what there is.

    Parameters
    ----------
    emf, bank_ohm : ndarray, shape (members,)
        Rest voltage and resistance at the step's start, without the leads. [V] [ohm]
    row, step : Row, int
        What is wanted, and the step's number.
    bank, motor : Bank, Motor
        For limits and leads.
    has_house : bool
        Whether any member has a house load.
    ends_at : EndsAt
        Asked only where a motor is at its ends.
    """
    ohm = bank_ohm + bank.cable_ohm
    wanted, motor_current, bus, possible = draw_on_bank(
        row.power_w, bank.house_load_w, emf, ohm, motor, total_w=row.total_w
    )
    current, thrust, limit = wanted, row.thrust_n, ALL_CARRIED
    # Where the bus is above both, so are the terminals above the cut-off.
    short = bus < row.least_v
    short |= motor_current > bank.current_limit_a
    if not possible.all():
        short |= row.asked & ~possible
    if short.any():
        short &= (
            (bus < row.floor_v)
            | (motor_current > bank.current_limit_a)
            | (emf - wanted * bank_ohm < row.cutoff_v)
            | (row.asked & ~possible)
        )
    if short.any():
        some = np.flatnonzero(short)
        end = tightest_end(
            emf[some],
            bank_ohm[some],
            bank=ends_of(bank, some),
            **ends_at(step, some)._asdict(),
        )
        limit = np.full(short.shape, CARRIED, dtype=np.int8)
        current, motor_current, thrust = map(np.array, (current, motor_current, thrust))
        current[some], motor_current[some] = end.current_a, end.motor_current_a
        thrust[some], limit[some] = np.minimum(end.thrust_n, thrust[some]), end.limit
    if has_house:
        # The house gets what the bank gives at its cut-off, and no more.
        most = np.minimum(
            (emf - bank.cutoff_voltage_v) / np.maximum(bank_ohm, LEAST_OHM),
            0.5 * emf / np.maximum(ohm, LEAST_OHM),
        )
        current = np.minimum(current, np.maximum(most, motor_current))
    return Given(wanted, possible, current, motor_current, thrust, limit)


def silenced(given: Given, alive: NDArray[np.bool_], asked: NDArray[np.bool_]) -> Given:
    """Return what is given where nothing is, once a bank is dead."""
    return given._replace(
        current_a=np.where(alive, given.current_a, 0.0),
        motor_current_a=np.where(alive, given.motor_current_a, 0.0),
        thrust_n=np.where(alive, given.thrust_n, 0.0),
        limit=np.where(alive | ~asked, given.limit, np.int8(EMPTY)).astype(np.int8),
    )


def kept_by_cutoff(
    *,
    asked: NDArray[np.bool_],
    wanted_voltage_v: Array,
    limit: NDArray[np.int8],
    level: Array,
    bank: Bank,
) -> NDArray[np.bool_]:
    """
    Return where a live bank is kept by its own cut-off, arrays that end in members.

    Parameters
    ----------
    asked : ndarray of bool
        The motor is asked for something.
    wanted_voltage_v : ndarray
        At the terminals, if what is wanted were given. [V]
    limit : ndarray of int8
        What kept the motor from it.
    level : ndarray
        At the step's start.
    bank : Bank
        For its cut-off and its house.
    """
    # Where the motor is at its own end first, it never asks for the current that sags so deep.
    by_house = (bank.house_load_w > 0.0) & (wanted_voltage_v < bank.cutoff_voltage_v)
    by_house &= ~asked | (limit == DROP_OUT)
    return np.asarray((level > 0.0) & ((limit == CUT_OFF) | by_house))
