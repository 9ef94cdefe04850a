"""
What the motor and the house get from a source behind a resistance.

Whatever the bank is made of, it looks from outside like one rest voltage behind one
resistance. Where the wanted thrust cannot be had, the motor gets what the tightest of its four
ends leaves: full throttle, its current limit, its own drop-out, the bank's cut-off.

Depends on: simulate.records, physics.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.drive import wet_motor
from energysim.physics.motor import Motor, thrust_at_power
from energysim.physics.voltage import carried_current_a
from energysim.simulate.records import (
    CARRIED,
    EMPTY,
    FULL_THROTTLE,
    Array,
    Bank,
    Demand,
    Row,
)

_LEAST_OHM = 1e-9
ALL_CARRIED = np.zeros(1, dtype=np.int8)  # broadcasts over the members


class Draw(NamedTuple):
    """What a load draws from a source behind a resistance, arrays of one shape."""

    current_a: Array  # all of it
    motor_current_a: Array
    bus_voltage_v: Array
    possible: NDArray[np.bool_]  # False: no current carries that load


class Given(NamedTuple):
    """What a source gives in a step. Arrays (members,)."""

    wanted_a: Array  # the current that would carry the wanted load
    possible: NDArray[np.bool_]  # whether any current carries it
    current_a: Array
    motor_current_a: Array
    thrust_n: Array
    limit: NDArray[np.int8]


class TightestEnd(NamedTuple):
    """The most a motor gets, arrays of one shape."""

    current_a: Array  # with the house
    motor_current_a: Array
    thrust_n: Array
    limit: NDArray[np.int8]  # which of the four ends it is


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


def tightest_end(
    emf_v: Array,
    bank_ohm: Array,
    *,
    bank: Bank,
    inflow_mps: Array,
    thrust_ratio: Array,
    torque_ratio: Array,
    thrust_quadratic: Array,
    current_quadratic: Array,
    motor: Motor,
) -> TightestEnd:
    """
    Return the most a motor gets from a source: the tightest of its four ends.

    The house is served first, at the bus voltage of each end.

    Parameters
    ----------
    emf_v, bank_ohm : ndarray, shape (...)
        Rest voltage and resistance, without the leads. [V] [ohm]
    bank : Bank
        For its limits and its house; members broadcast against the shape.
    inflow_mps, thrust_ratio, torque_ratio : ndarray, shape (...)
        At the propeller.
    thrust_quadratic, current_quadratic : ndarray, shape (3, ...)
        Full throttle against the bus voltage.
    motor : Motor
        With its propeller well under.
    """
    ohm = bank_ohm + bank.cable_ohm
    house_w = bank.house_load_w
    c0, c1, c2 = current_quadratic
    full_bus = full_throttle_bus_v(
        emf_v - ohm * house_w / np.maximum(emf_v, 1.0), ohm, current_quadratic
    )
    if house_w.any():
        left = emf_v - ohm * house_w / np.maximum(full_bus, 1.0)
        full_bus = full_throttle_bus_v(left, ohm, current_quadratic)
    drop_out, cutoff = bank.lowest_voltage_v, bank.cutoff_voltage_v
    to_drop_out = (emf_v - drop_out) / np.maximum(ohm, _LEAST_OHM)
    to_cutoff = (emf_v - cutoff) / np.maximum(bank_ohm, _LEAST_OHM)
    cutoff_bus = cutoff - bank.cable_ohm * to_cutoff
    ends = np.stack(
        np.broadcast_arrays(
            c0 + c1 * full_bus + c2 * full_bus * full_bus,
            bank.current_limit_a,
            to_drop_out - house_w / np.maximum(drop_out, 1.0),
            to_cutoff - house_w / np.maximum(cutoff_bus, 1.0),
        )
    )
    tightest = np.argmin(ends, axis=0)
    current = np.maximum(np.min(ends, axis=0), 0.0)
    house, _ = carried_current_a(house_w, np.maximum(emf_v - ohm * current, 1e-6), ohm)
    bus = emf_v - ohm * (current + house)
    t0, t1, t2 = thrust_quadratic
    full_thrust = np.maximum(t0 + t1 * bus + t2 * bus * bus, 0.0)
    wet = wet_motor(motor, thrust_ratio=thrust_ratio, torque_ratio=torque_ratio)
    eased = thrust_at_current_n(current, bus, inflow_mps=inflow_mps, motor=wet)
    return TightestEnd(
        current_a=current + house,
        motor_current_a=current,
        thrust_n=np.where(tightest == 0, full_thrust, np.minimum(eased, full_thrust)),
        limit=(tightest + FULL_THROTTLE).astype(np.int8),
    )


def serve(
    emf: Array,
    bank_ohm: Array,
    *,
    row: Row,
    step: int,
    demand: Demand,
    bank: Bank,
    motor: Motor,
    has_house: bool,
) -> Given:
    """
    Return what a source gives motor and house in a step: what they want, or what there is.

    Parameters
    ----------
    emf, bank_ohm : ndarray, shape (members,)
        Rest voltage and resistance at the step's start, without the leads. [V] [ohm]
    row, step, demand : Row, int, Demand
        What is wanted; the step's number for what only a limited motor needs.
    bank, motor : Bank, Motor
        For limits and leads.
    has_house : bool
        Whether any member has a house load.
    """
    ohm = bank_ohm + bank.cable_ohm
    wanted, motor_current, bus, possible = draw_on_bank(
        row.power_w, bank.house_load_w, emf, ohm, motor, total_w=row.total_w
    )
    current, thrust, limit = wanted, row.thrust_n, ALL_CARRIED
    short = bus < row.floor_v
    short |= motor_current > bank.current_limit_a
    short |= emf - wanted * bank_ohm < row.cutoff_v
    short |= row.asked & ~possible
    if short.any():
        end = tightest_end(
            emf,
            bank_ohm,
            bank=bank,
            inflow_mps=demand.inflow_mps[step],
            thrust_ratio=demand.thrust_ratio[step],
            torque_ratio=demand.torque_ratio[step],
            thrust_quadratic=demand.thrust_quadratic[:, step],
            current_quadratic=demand.current_quadratic[:, step],
            motor=motor,
        )
        motor_current = np.where(short, end.motor_current_a, motor_current)
        thrust = np.where(short, np.minimum(end.thrust_n, thrust), thrust)
        limit = np.where(short, end.limit, np.int8(CARRIED))
        current = np.where(short, end.current_a, current)
    if has_house:
        # The house gets what the bank gives at its cut-off, and no more.
        most = np.minimum(
            (emf - bank.cutoff_voltage_v) / np.maximum(bank_ohm, _LEAST_OHM),
            0.5 * emf / np.maximum(ohm, _LEAST_OHM),
        )
        current = np.minimum(current, np.maximum(most, motor_current))
    return Given(wanted, possible, current, motor_current, thrust, limit)


def thrust_at_current_n(
    motor_current_a: Array, bus_voltage_v: Array, *, inflow_mps: Array, motor: Motor
) -> Array:
    """Return the thrust, in N, a limited bus current makes below full throttle."""
    stepped = motor.control == "stepped"
    voltage = motor.rated_voltage_v if stepped else np.maximum(bus_voltage_v, 0.0)
    return thrust_at_power(motor_current_a * voltage, inflow_mps=inflow_mps, motor=motor)


def full_throttle_bus_v(open_v: Array, ohm: Array, current_quadratic: Array) -> Array:
    """
    Return the bus voltage at full throttle: the root of V = E - R I(V), I quadratic in V.

    Parameters
    ----------
    open_v : ndarray, shape (...)
        Voltage at no motor current. [V]
    ohm : ndarray, shape (...)
        Resistance between it and the motor. [ohm]
    current_quadratic : ndarray, shape (3, ...)
        Full-throttle current as c0 + c1 V + c2 V^2. [A]
    """
    c0, c1, c2 = current_quadratic
    a = ohm * c2
    b = 1.0 + ohm * c1
    c = ohm * c0 - open_v
    # The form that survives a -> 0.
    root: Array = -2.0 * c / (b + np.sqrt(np.maximum(b * b - 4.0 * a * c, 0.0)))
    return root


def silenced(given: Given, alive: NDArray[np.bool_], asked: NDArray[np.bool_]) -> Given:
    """Return what is given where nothing is, once a bank is dead."""
    return given._replace(
        current_a=np.where(alive, given.current_a, 0.0),
        motor_current_a=np.where(alive, given.motor_current_a, 0.0),
        thrust_n=np.where(alive, given.thrust_n, 0.0),
        limit=np.where(alive | ~asked, given.limit, np.int8(EMPTY)).astype(np.int8),
    )
