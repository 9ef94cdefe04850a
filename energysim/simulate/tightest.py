"""
The most a motor gets from a source: the tightest of its four ends.

Full throttle, its own current limit, its drop-out, the bank's cut-off. The loop asks where the
wanted thrust cannot be had, the reading of a day for what there is to spare.

Depends on: simulate.records, physics.
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.drive import wet_motor
from energysim.physics.motor import Motor, thrust_at_power
from energysim.physics.voltage import carried_current_a
from energysim.simulate.records import FULL_THROTTLE, Array, Bank

LEAST_OHM: Final = 1e-9


class SomeEnds(NamedTuple):
    """What of some members' banks keeps their motors from more."""

    cable_ohm: Array
    house_load_w: Array
    lowest_voltage_v: Array
    cutoff_voltage_v: Array
    current_limit_a: Array


def ends_of(bank: Bank, some: NDArray[np.intp]) -> SomeEnds:
    """Return what keeps the motors of some members from more."""
    return SomeEnds(*(getattr(bank, name)[some] for name in SomeEnds._fields))


class TightestEnd(NamedTuple):
    """The most a motor gets, arrays of one shape."""

    current_a: Array  # with the house
    motor_current_a: Array
    thrust_n: Array
    limit: NDArray[np.int8]  # which of the four ends it is


def tightest_end(
    emf_v: Array,
    bank_ohm: Array,
    *,
    bank: Bank | SomeEnds,
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
    bank : Bank or SomeEnds
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
    has_house = bool(house_w.any())
    if has_house:
        left = emf_v - ohm * house_w / np.maximum(full_bus, 1.0)
        full_bus = full_throttle_bus_v(left, ohm, current_quadratic)
    drop_out, cutoff = bank.lowest_voltage_v, bank.cutoff_voltage_v
    to_drop_out = (emf_v - drop_out) / np.maximum(ohm, LEAST_OHM)
    to_cutoff = (emf_v - cutoff) / np.maximum(bank_ohm, LEAST_OHM)
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
    total = current
    if has_house:
        left = np.maximum(emf_v - ohm * current, 1e-6)
        total = current + carried_current_a(house_w, left, ohm)[0]
    bus = emf_v - ohm * total
    t0, t1, t2 = thrust_quadratic
    full_thrust = np.maximum(t0 + t1 * bus + t2 * bus * bus, 0.0)
    thrust = full_thrust
    if tightest.any():
        wet = wet_motor(motor, thrust_ratio=thrust_ratio, torque_ratio=torque_ratio)
        eased = thrust_at_current_n(current, bus, inflow_mps=inflow_mps, motor=wet)
        thrust = np.where(tightest == 0, full_thrust, np.minimum(eased, full_thrust))
    return TightestEnd(
        current_a=total,
        motor_current_a=current,
        thrust_n=thrust,
        limit=(tightest + FULL_THROTTLE).astype(np.int8),
    )


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
