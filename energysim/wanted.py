"""
What the legs ask of the bow motor, and the power that takes in the mean over the gusts.

Depends on: physics.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.physics.motor import electrical_demand, full_throttle, thrust_at_power
from energysim.physics.unsteady import burst_mean_power_w

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.physics.motor import Motor

    Array = NDArray[np.float64]

LEAST_THRUST_N: Final = 1e-9  # keeps a duty defined where the motor has no thrust at all


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wanted:
    """
    What the legs ask of the bow motor. Arrays (steps,) unless said.

    For many members the arrays over steps are (steps, members), or (steps, 1) where all are
    alike.
    """

    step_s: Array
    thrust_n: Array  # at the mean wind
    inflow_mps: Array
    node_thrust_n: Array  # (nodes, steps), at the winds of the gusty step
    node_inflow_mps: Array  # (nodes, steps)
    node_share: Array  # (nodes,), of the time
    node_deviation: Array  # (nodes,), standard deviations from the mean wind
    gust_thrust_n: Array  # in the forecast gust; not read by `mean_demand`
    gust_inflow_mps: Array
    duty: Array  # least share of the time the motor runs; 1 for a steady hold
    in_use: NDArray[np.bool_]  # the bow motor is down and switched on
    thrust_ratio: Array  # what chop leaves of the propeller's thrust
    torque_ratio: Array  # and of its torque


class MeanPower(NamedTuple):
    """What a motor asks for while it holds against a gusty wind."""

    power_w: Array  # in the mean over the gusts
    needed_voltage_v: Array  # at the mean wind


def mean_power(
    wanted: Wanted, wet: Motor, *, current_limit_a: float, power_factor: Array | float = 1.0
) -> MeanPower:
    """
    Return the mean power over the gusts, of one day or of many members.

    The mean is that of the whole power function over the winds of the gusts, not the power of
    the mean. A wind that asks for more than the motor can give at its rated voltage costs what
    it can give. In bursts the motor runs at the thrust over the duty for that share of the
    time; where that is more than it has, it runs for longer.

    Parameters
    ----------
    wanted : Wanted
        What the legs ask for, arrays (steps,) or (steps, members).
    wet : Motor
        The motor, its propeller as deep as the chop leaves it.
    current_limit_a : float
        The motor's own. [A]
    power_factor : ndarray or float, shape (members,)
        By what each member's motor takes more than this one at every thrust, as
        `physics.motor_factor.hungrier_motor` has it; worked out here from this one. [1]

    Returns
    -------
    MeanPower
        Arrays as of `wanted`; no power where the motor is not in use.
    """
    factor = np.asarray(power_factor, dtype=np.float64)
    idle_w = np.asarray(wet.idle_power_w)
    # At the mean wind nothing is capped: the loop must see what the motor cannot give. Nor are
    # there bursts: it holds as long as it can by running all the time.
    at_mean = electrical_demand(wanted.thrust_n, inflow_mps=wanted.inflow_mps, motor=wet)
    power = np.zeros(np.broadcast_shapes(wanted.thrust_n.shape, wanted.inflow_mps.shape))
    # Wind by wind, so that a plane of members stays near the processor.
    bursts = bool((wanted.duty < 1.0).any())
    most_near = partial(
        _most_where_near,
        wet=wet,
        current_limit_a=current_limit_a,
        factor=factor,
        always_there=_always_there_n(wanted, wet, current_limit_a, factor),
    )
    for share, thrust, inflow in zip(
        wanted.node_share.tolist(), wanted.node_thrust_n, wanted.node_inflow_mps, strict=True
    ):
        if bursts:
            most = most_thrust_n(inflow, wet, current_limit_a, factor)
            running = running_share_of(thrust, most, wanted.duty)
            given = np.minimum(thrust / running, most)
            on = electrical_demand(given, inflow_mps=inflow, motor=wet).power_w
            power += share * burst_mean_power_w(on, duty=running, idle_power_w=idle_w)
            continue
        given = np.minimum(thrust, most_near(thrust, inflow))
        if np.array_equal(given, wanted.thrust_n) and np.array_equal(inflow, wanted.inflow_mps):
            power += share * at_mean.power_w
        else:
            power += share * electrical_demand(given, inflow_mps=inflow, motor=wet).power_w
    most = most_near(wanted.thrust_n, wanted.inflow_mps)
    np.copyto(power, at_mean.power_w, where=wanted.thrust_n > most)
    if np.any(factor != 1.0):
        # All but what the electronics draw by themselves grows with the factor.
        power = factor * (power - idle_w) + idle_w
    return MeanPower(np.where(wanted.in_use, power, 0.0), at_mean.motor_voltage_v)


def _always_there_n(wanted: Wanted, wet: Motor, current_limit_a: float, factor: Array) -> Array:
    """
    Return a thrust each member has all day, (members,); none for a day alone.

    That with the fastest water, the least thrust and the most torque of its day all together;
    mostly it is more than the member ever wants, and what it has need not be asked.
    """
    if wanted.thrust_n.ndim < 2:
        return np.zeros(1)
    worst = replace(
        wet,
        thrust_factor=np.min(wet.thrust_factor, axis=0),
        torque_factor=np.max(wet.torque_factor, axis=0),
    )
    inflow = np.maximum(wanted.node_inflow_mps.max(axis=(0, 1)), wanted.inflow_mps.max(axis=0))
    return most_thrust_n(inflow, worst, current_limit_a, factor)


def _most_where_near(
    thrust: Array,
    inflow: Array,
    *,
    wet: Motor,
    current_limit_a: float,
    factor: Array,
    always_there: Array,
) -> Array:
    """Return the most thrust wherever a member wants more than it always has, else infinity."""
    near = thrust > always_there
    most = np.full(thrust.shape, np.inf)
    if near.any():
        shares, torques, factors = (
            np.broadcast_to(each, thrust.shape)[near]
            for each in (wet.thrust_factor, wet.torque_factor, factor)
        )
        own = replace(wet, thrust_factor=shares, torque_factor=torques)
        most[near] = most_thrust_n(inflow[near], own, current_limit_a, factors)
    return most


def running_share_of(thrust_n: Array, most_n: Array, duty: Array) -> Array:
    """Return the share of the time the motor runs: the duty, or more where it must."""
    return np.clip(thrust_n / np.maximum(most_n, LEAST_THRUST_N), duty, 1.0)


def most_thrust_n(
    inflow_mps: Array, motor: Motor, current_limit_a: float, factor: Array | float = 1.0
) -> Array:
    """Return the most thrust at rated voltage, by full throttle and by the current limit."""
    voltage = motor.rated_voltage_v
    thrust, current = full_throttle(voltage, inflow_mps=inflow_mps, motor=motor)
    idle_a = np.asarray(motor.idle_power_w) / voltage
    current = factor * (current - idle_a) + idle_a
    if not np.any(current > current_limit_a):
        return thrust
    # What the limit leaves the plain motor's share of a hungrier one's current.
    left_a = np.maximum(current_limit_a - idle_a, 0.0) / factor + idle_a
    limited = thrust_at_power(
        np.broadcast_to(left_a * voltage, np.shape(current)), inflow_mps=inflow_mps, motor=motor
    )
    return np.where(current > current_limit_a, np.minimum(limited, thrust), thrust)
