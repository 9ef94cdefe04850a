"""
Fit a motor to the owner's pulls against a scale.

Depends on: anchor (the motor through the strongest pull), motor (its current at the others),
drive, bounds.
"""

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.anchor import (
    BLADE_DRAG,
    MOTOR_EFFICIENCY,
    MOTOR_EFFICIENCY_CAP,
    NO_LOAD,
    Anchor,
    anchored_motor,
    blade_drag,
)
from energysim.physics.bounds import bounded
from energysim.physics.drive import Motor
from energysim.physics.motor import electrical_demand

POINT_SPREAD: Final = 0.05
"""Relative spread of one bench point: 3 % on the pull makes 4.5 % on power, 2 % on power."""

POINT_DOUBT: Final = 0.15
"""A bench point this far off every curve of the model is worth measuring again (ours)."""

LEAST_COPPER: Final = 0.03
"""Least share of the power lost in copper at full throttle (ours)."""


def bench_points(
    thrust_n: ArrayLike, current_a: ArrayLike, voltage_v: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """
    Return the points of a pull test brought to one length, once they are found sound.

    Parameters
    ----------
    thrust_n : array_like, shape (points,)
        Pulls. [N]
    current_a : array_like, shape (points,)
        Bus currents. [A]
    voltage_v : array_like, shape (points,) or ()
        Bus voltages. [V]

    Returns
    -------
    thrust_n, current_a, voltage_v : ndarray, shape (points,)
        The same. [N, A, V]

    Raises
    ------
    ValueError
        If a number is not above zero or the lengths differ.
    """
    pulls = np.atleast_1d(bounded(thrust_n, name="thrust_n", low=0.0, above=True))
    currents = np.atleast_1d(bounded(current_a, name="current_a", low=0.0, above=True))
    voltages = np.atleast_1d(bounded(voltage_v, name="voltage_v", low=0.0, above=True))
    if pulls.ndim != 1 or pulls.size == 0 or currents.shape != pulls.shape:
        msg = (
            f"thrust_n has shape {pulls.shape} and current_a {currents.shape};"
            " they must be lists of one length, at least one point long"
        )
        raise ValueError(msg)
    if voltages.shape not in {(1,), pulls.shape}:
        msg = (
            f"voltage_v has shape {voltages.shape}; it must be one number"
            f" or one for each of the {pulls.size} points"
        )
        raise ValueError(msg)
    return pulls, currents, np.broadcast_to(voltages, pulls.shape)


def fitted_motor(
    anchor: Anchor,
    thrust_n: NDArray[np.float64],
    current_a: NDArray[np.float64],
    voltage_v: NDArray[np.float64],
) -> Motor:
    r"""
    Return the motor through the anchor that comes nearest to the other points of a test.

    Parameters
    ----------
    anchor : Anchor
        The strongest pull. [mixed]
    thrust_n, current_a, voltage_v : ndarray, shape (points,)
        The other pulls; there may be none. [N, A, V]

    Returns
    -------
    motor : Motor
        Clean, with the likeliest motor efficiency and no-load current. [mixed]

    Notes
    -----
    Least squares of :math:`\ln(I / I_i) / 0.05` and of the deviations from the priors over
    their spreads. A grid over both unknowns, narrowed three times, finds the least; all
    motors of a grid are worked out at once as members.
    """
    efficiency = np.linspace(0.60, MOTOR_EFFICIENCY_CAP, 29)
    no_load = np.linspace(0.002, 0.20, 23)
    for _ in range(4):
        pairs = np.meshgrid(efficiency, no_load, indexing="ij")
        # copper must keep a share of the power, or the resistance would be negative
        possible = pairs[0] < (1.0 - LEAST_COPPER) * (1.0 - pairs[1])
        trial_efficiency, trial_no_load = (pair[possible] for pair in pairs)
        motors = anchored_motor(
            anchor, motor_efficiency=trial_efficiency, no_load_share=trial_no_load
        )
        misfit = np.log(_bus_current_a(motors, thrust_n, voltage_v) / current_a[:, np.newaxis])
        drag = blade_drag(anchor, motor_efficiency=trial_efficiency)
        cost = (
            np.sum((misfit / POINT_SPREAD) ** 2, axis=0)
            + ((trial_efficiency - MOTOR_EFFICIENCY[0]) / MOTOR_EFFICIENCY[1]) ** 2
            + ((drag - BLADE_DRAG[0]) / BLADE_DRAG[1]) ** 2
            + ((trial_no_load - NO_LOAD[0]) / NO_LOAD[1]) ** 2
        )
        best = int(np.argmin(cost))
        efficiency = _around(float(trial_efficiency[best]), efficiency)
        no_load = _around(float(trial_no_load[best]), no_load)
    return anchored_motor(
        anchor,
        motor_efficiency=float(trial_efficiency[best]),
        no_load_share=float(trial_no_load[best]),
    )


def doubtful_points(
    motor: Motor,
    thrust_n: NDArray[np.float64],
    current_a: NDArray[np.float64],
    voltage_v: NDArray[np.float64],
) -> tuple[tuple[float, float, float], ...]:
    """
    Return the points no motor of this kind would give, to be measured again.

    Parameters
    ----------
    motor : Motor
        The fitted motor, clean. [mixed]
    thrust_n, current_a, voltage_v : ndarray, shape (points,)
        The points it was fitted to. [N, A, V]

    Returns
    -------
    doubtful : tuple of (thrust_n, measured_a, modelled_a)
        Those further than 15 % from the curve. [N, A, A]
    """
    modelled = _bus_current_a(motor, thrust_n, voltage_v)[:, 0]
    return tuple(
        (float(pull), float(measured), float(model))
        for pull, measured, model in zip(thrust_n, current_a, modelled, strict=True)
        if abs(math.log(model / measured)) > POINT_DOUBT
    )


def _around(centre: float, grid: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return as many points again over the two cells around the best one."""
    step = grid[1] - grid[0]
    low, high = max(centre - step, grid[0]), min(centre + step, grid[-1])
    return np.linspace(low, high, len(grid))


def _bus_current_a(
    motor: Motor, thrust_n: NDArray[np.float64], voltage_v: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the model's current at the points, shape (points, members)."""
    demand = electrical_demand(thrust_n[:, np.newaxis], inflow_mps=0.0, motor=motor)
    if motor.control == "stepped":
        return demand.current_a
    return np.asarray(demand.power_w / voltage_v[:, np.newaxis])
