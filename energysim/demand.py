"""
From the thrust the winds of a gusty step ask for to the power the bank must give.

Depends on: simulate, physics.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.physics.drive import wet_motor
from energysim.physics.motor import (
    electrical_demand,
    full_throttle,
    full_throttle_quadratics,
    idle_current_quadratic,
    thrust_at_power,
)
from energysim.physics.unsteady import burst_mean_power_w, mean_over_nodes
from energysim.simulate import Demand

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.physics.motor import Motor

    Array = NDArray[np.float64]

LEAST_THRUST_N: Final = 1e-9  # keeps a duty defined where the motor has no thrust at all


PER_NODE: Final = {"node_share", "node_deviation"}
"""What of the gusts is the same for every step of every day."""


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


def demand_on_the_bank(
    wanted: Wanted, motor: Motor, *, current_limit_a: float
) -> tuple[Demand, Array]:
    """
    Return the day's demand on the bank, and the power in the gust.

    Parameters
    ----------
    wanted : Wanted
        What the legs ask for.
    motor : Motor
        The motor, with its propeller well under.
    current_limit_a : float
        The motor's own. [A]

    Returns
    -------
    demand : Demand
        As from `mean_demand`.
    gust_power_w : ndarray, shape (steps,)
        While the motor runs in the gust.
    """
    demand = mean_demand(wanted, motor, current_limit_a=current_limit_a)
    wet = wet_motor(motor, thrust_ratio=wanted.thrust_ratio, torque_ratio=wanted.torque_ratio)
    most = _most_thrust_n(wanted.gust_inflow_mps, wet, current_limit_a)
    in_gust = electrical_demand(
        wanted.gust_thrust_n / _running_share(wanted.gust_thrust_n, most, wanted.duty),
        inflow_mps=wanted.gust_inflow_mps,
        motor=wet,
    )
    return demand, np.where(wanted.in_use, in_gust.power_w, 0.0)


def mean_demand(
    wanted: Wanted, motor: Motor, *, current_limit_a: float, power_factor: Array | float = 1.0
) -> Demand:
    """
    Return what the bank must give in the mean over the gusts, for one day or many members.

    The mean power is that of the whole power function over the gusts, not the power of the
    mean. A wind that asks for more than the motor can give at its rated voltage costs what it
    can give. In bursts the motor runs at the thrust over the duty for that share of the time;
    where that is more than it has, it runs for longer.

    Parameters
    ----------
    wanted : Wanted
        What the legs ask for, arrays (steps,) or (steps, members).
    motor : Motor
        The motor, with its propeller well under.
    current_limit_a : float
        The motor's own. [A]
    power_factor : ndarray or float, shape (members,)
        By what each member's motor takes more than this one at every thrust, as
        `physics.motor_factor.hungrier_motor` has it; worked out here from this one. [1]

    Returns
    -------
    Demand
        Arrays (steps, members), one member for a day.
    """
    wet = wet_motor(motor, thrust_ratio=wanted.thrust_ratio, torque_ratio=wanted.torque_ratio)
    factor = np.asarray(power_factor, dtype=np.float64)
    idle_w = np.asarray(motor.idle_power_w)
    given, running = _given_in_gusts(wanted, wet, current_limit_a, factor)
    on_power = electrical_demand(given, inflow_mps=wanted.node_inflow_mps, motor=wet).power_w
    if running is not None:
        on_power = burst_mean_power_w(on_power, duty=running, idle_power_w=idle_w)
    in_gusts = mean_over_nodes(on_power, weight=wanted.node_share)
    # At the mean wind nothing is capped: the loop must see what the motor cannot give. Nor are
    # there bursts: it holds as long as it can by running all the time.
    at_mean = electrical_demand(wanted.thrust_n, inflow_mps=wanted.inflow_mps, motor=wet)
    thrust_quadratic, current_quadratic = full_throttle_quadratics(wanted.inflow_mps, motor=wet)
    beyond = (
        wanted.thrust_n
        > _most_where_near(
            wanted.thrust_n[None], wanted.inflow_mps[None], wet, current_limit_a, factor
        )[0]
    )
    mean_power = np.where(beyond, at_mean.power_w, in_gusts)
    if np.any(factor != 1.0):
        # All but what the electronics draw by themselves grows with the factor.
        mean_power = factor * (mean_power - idle_w) + idle_w
        idle = idle_current_quadratic(motor).reshape(3, *(1,) * (current_quadratic.ndim - 1))
        current_quadratic = factor * (current_quadratic - idle) + idle
    return Demand(
        step_s=_by_member(wanted.step_s),
        power_w=_by_member(np.where(wanted.in_use, mean_power, 0.0)),
        thrust_n=_by_member(wanted.thrust_n),
        needed_voltage_v=_by_member(at_mean.motor_voltage_v),
        inflow_mps=_by_member(wanted.inflow_mps),
        thrust_ratio=_by_member(wanted.thrust_ratio),
        torque_ratio=_by_member(wanted.torque_ratio),
        thrust_quadratic=_by_member(thrust_quadratic, 3),
        current_quadratic=_by_member(current_quadratic, 3),
    )


def _by_member(values: Array, axes: int = 2) -> Array:
    """Return a day's array with a member axis of one; one that has members as it is."""
    return values[..., None] if values.ndim < axes else values


def _given_in_gusts(
    wanted: Wanted, wet: Motor, current_limit_a: float, factor: Array
) -> tuple[Array, Array | None]:
    """Return the thrust while the motor runs in each wind, and the share; None for always."""
    thrust, inflow = wanted.node_thrust_n, wanted.node_inflow_mps
    if (wanted.duty < 1.0).any():
        most = _most_thrust_n(inflow, wet, current_limit_a, factor)
        running = _running_share(thrust, most, wanted.duty)
        return np.minimum(thrust / running, most), running
    most = _most_where_near(thrust, inflow, wet, current_limit_a, factor)
    return np.minimum(thrust, most), None


def _most_where_near(
    thrust: Array, inflow: Array, wet: Motor, current_limit_a: float, factor: Array
) -> Array:
    """
    Return the most thrust in each wind and step in which some member comes near it.

    Elsewhere it stays infinite: what a motor has in the fastest water of all, less than
    anywhere else, is more than anybody wants there. For sweeps, of which most is elsewhere.
    """
    most = np.full(thrust.shape, np.inf)
    shares = np.broadcast_to(wet.thrust_factor, thrust.shape[1:])
    torques = np.broadcast_to(wet.torque_factor, thrust.shape[1:])
    if thrust.ndim < 3 or np.ptp(shares).any() or np.ptp(torques).any():
        return np.broadcast_to(
            _most_thrust_n(inflow, wet, current_limit_a, factor), thrust.shape
        )
    alike = replace(
        wet, thrust_factor=shares.reshape(-1)[0], torque_factor=torques.reshape(-1)[0]
    )
    least = _most_thrust_n(inflow.max(axis=(0, 1)), alike, current_limit_a, factor)
    near = (thrust > least).any(axis=-1)
    if near.any():
        most[near] = _most_thrust_n(inflow[near], alike, current_limit_a, factor)
    return most


def demands_on_the_bank(
    wanted: Sequence[Wanted], motor: Motor, *, current_limit_a: float
) -> list[tuple[Demand, Array]]:
    """
    Return what `demand_on_the_bank` does for several days of one motor, all steps at once.

    Parameters
    ----------
    wanted : sequence of Wanted
        The days, their gusts taken at the same deviations.
    motor : Motor
        The motor that serves them all.
    current_limit_a : float
        The motor's own. [A]

    Returns
    -------
    list of (Demand, ndarray)
        A pair a day.
    """
    if not wanted:
        return []
    rows = {
        field.name: np.concatenate([getattr(day, field.name) for day in wanted], axis=-1)
        for field in fields(Wanted)
        if field.name not in PER_NODE
    }
    nodes = {name: getattr(wanted[0], name) for name in PER_NODE}
    whole, gust_power = demand_on_the_bank(
        Wanted(**rows, **nodes), motor, current_limit_a=current_limit_a
    )
    ends = np.cumsum([day.step_s.size for day in wanted])
    cuts = [slice(end - day.step_s.size, end) for day, end in zip(wanted, ends, strict=True)]
    return [
        (
            Demand(
                **{
                    f.name: getattr(whole, f.name)[..., own, :]
                    for f in fields(Demand)
                    if f.name != "supply_w"
                }
            ),
            gust_power[own],
        )
        for own in cuts
    ]


def running_share(wanted: Wanted, motor: Motor, *, current_limit_a: float) -> Array:
    """
    Return the share of the time the motor runs, averaged over the gusts.

    Parameters
    ----------
    wanted : Wanted
        What the legs ask for.
    motor : Motor
        The motor, with its propeller well under.
    current_limit_a : float
        The motor's own. [A]

    Returns
    -------
    share : ndarray, shape (steps,)
        The duty asked for, or more where the motor must run for longer. [1]
    """
    wet = wet_motor(motor, thrust_ratio=wanted.thrust_ratio, torque_ratio=wanted.torque_ratio)
    most = _most_thrust_n(wanted.node_inflow_mps, wet, current_limit_a)
    return mean_over_nodes(
        _running_share(wanted.node_thrust_n, most, wanted.duty), weight=wanted.node_share
    )


def _running_share(thrust_n: Array, most_n: Array, duty: Array) -> Array:
    """Return the share of the time the motor runs: the duty, or more where it must."""
    return np.clip(thrust_n / np.maximum(most_n, LEAST_THRUST_N), duty, 1.0)


def _most_thrust_n(
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
