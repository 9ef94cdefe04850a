"""
From the thrust the winds of a gusty step ask for to what the bank must give.

Depends on: wanted, simulate, physics.
"""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.physics.drive import wet_motor
from energysim.physics.motor import (
    electrical_demand,
    full_throttle_quadratics,
    idle_current_quadratic,
)
from energysim.physics.unsteady import mean_over_nodes
from energysim.simulate import Demand
from energysim.wanted import Wanted, mean_power, most_thrust_n, running_share_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.physics.motor import Motor

    Array = NDArray[np.float64]

__all__ = [
    "Wanted", "demand_on_the_bank", "demands_on_the_bank", "full_throttle_of", "mean_demand",
    "running_share",
]  # fmt: skip

PER_NODE: Final = {"node_share", "node_deviation"}
"""What of the gusts is the same for every step of every day."""


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
    most = most_thrust_n(wanted.gust_inflow_mps, wet, current_limit_a)
    in_gust = electrical_demand(
        wanted.gust_thrust_n / running_share_of(wanted.gust_thrust_n, most, wanted.duty),
        inflow_mps=wanted.gust_inflow_mps,
        motor=wet,
    )
    return demand, np.where(wanted.in_use, in_gust.power_w, 0.0)


def mean_demand(
    wanted: Wanted, motor: Motor, *, current_limit_a: float, power_factor: Array | float = 1.0
) -> Demand:
    """
    Return what the bank must give in the mean over the gusts.

    Parameters
    ----------
    wanted : Wanted
        What the legs ask for.
    motor : Motor
        The motor, with its propeller well under.
    current_limit_a : float
        The motor's own. [A]
    power_factor : ndarray or float, shape (members,)
        As of `wanted.mean_power`. [1]

    Returns
    -------
    Demand
        Arrays (steps, members), one member for a day.
    """
    wet = wet_motor(motor, thrust_ratio=wanted.thrust_ratio, torque_ratio=wanted.torque_ratio)
    mean = mean_power(wanted, wet, current_limit_a=current_limit_a, power_factor=power_factor)
    thrust_quadratic, current_quadratic = full_throttle_of(
        wanted.inflow_mps, wet, power_factor=power_factor
    )
    return Demand(
        step_s=_by_member(wanted.step_s),
        power_w=_by_member(mean.power_w),
        thrust_n=_by_member(wanted.thrust_n),
        needed_voltage_v=_by_member(mean.needed_voltage_v),
        inflow_mps=_by_member(wanted.inflow_mps),
        thrust_ratio=_by_member(wanted.thrust_ratio),
        torque_ratio=_by_member(wanted.torque_ratio),
        thrust_quadratic=_by_member(thrust_quadratic, 3),
        current_quadratic=_by_member(current_quadratic, 3),
    )


def full_throttle_of(
    inflow_mps: Array, wet: Motor, *, power_factor: Array | float = 1.0
) -> tuple[Array, Array]:
    """
    Return full-throttle thrust and current as quadratics in the bus voltage, of many members.

    Parameters
    ----------
    inflow_mps : ndarray, shape (...)
        Into the propeller. [m/s]
    wet : Motor
        The motor, its propeller as deep as the chop leaves it.
    power_factor : ndarray or float, broadcastable with `inflow_mps`
        As of `wanted.mean_power`. [1]

    Returns
    -------
    thrust_quadratic, current_quadratic : ndarray, shape (3, ...)
        As from `physics.motor.full_throttle_quadratics`.
    """
    factor = np.asarray(power_factor, dtype=np.float64)
    thrust, current = full_throttle_quadratics(inflow_mps, motor=wet)
    if np.any(factor != 1.0):
        idle = idle_current_quadratic(wet).reshape(3, *(1,) * (current.ndim - 1))
        current = factor * (current - idle) + idle
    return thrust, current


def _by_member(values: Array, axes: int = 2) -> Array:
    """Return a day's array with a member axis of one; one that has members as it is."""
    return values[..., None] if values.ndim < axes else values


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
    most = most_thrust_n(wanted.node_inflow_mps, wet, current_limit_a)
    return mean_over_nodes(
        running_share_of(wanted.node_thrust_n, most, wanted.duty), weight=wanted.node_share
    )
