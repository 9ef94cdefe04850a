"""
What the motor does with the throttle wide open, at whatever voltage the bus still has.

Thrust is net, as in `motor`.

Depends on: drive (the motor, its shaft), bounds.
"""

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.drive import (
    LAST_ADVANCE,
    Motor,
    back_emf_vs,
    net_thrust_n,
    polynomial,
    shaft_state,
)

QUADRATIC_SPAN: Final = (0.6, 1.25)
"""Bus voltage over rated voltage within which the full-throttle quadratics hold."""

_NODES: Final = np.array([0.66, 1.0, 1.19])  # rated voltage itself is a node: exact there


_INFLOW_POINTS: Final = 7


def full_throttle(
    bus_voltage_v: ArrayLike, *, inflow_mps: ArrayLike, motor: Motor
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""
    Return the most thrust a bus voltage can make, and the current it then draws.

    Parameters
    ----------
    bus_voltage_v : array_like, shape (...)
        Voltage at the motor's terminals, above zero. [V]
    inflow_mps : array_like, broadcastable
        Water speed into the propeller along the thrust; negative counts as zero. [m/s]
    motor : Motor
        The calibrated motor. [mixed]

    Returns
    -------
    thrust_n : ndarray, shape (...)
        Net thrust at full duty, before any current limit; zero in water too fast. [N]
    current_a : ndarray, shape (...)
        Bus current, idle current with it. [A]

    Raises
    ------
    ValueError
        If a voltage is not positive or a number is not finite.

    Notes
    -----
    At full duty the switches stay closed, so there is no switching loss and the bus feeds
    the motor directly: :math:`V = 2 \pi K_t n + R I_m(n)` is solved for the shaft speed.
    A clean motor, calibrated from its label, gives the label's current at rated voltage and
    no inflow, and the label's thrust less the thrust deduction.
    """
    voltage = bounded(bus_voltage_v, name="bus_voltage_v", low=0.0, above=True)
    inflow = np.maximum(bounded(inflow_mps, name="inflow_mps"), 0.0)
    thrust, current = _full_duty(voltage, inflow, motor)
    idle = motor.idle_power_w / voltage
    return np.maximum(thrust, 0.0), np.maximum(current, 0.0) + idle


def full_throttle_quadratics(
    inflow_mps: ArrayLike, *, motor: Motor
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""
    Return full-throttle thrust and current as quadratics in the bus voltage.

    A loop over time can then find the bus voltage under full throttle in closed form.

    Parameters
    ----------
    inflow_mps : array_like, shape (...)
        Water speed into the propeller along the thrust; negative counts as zero. [m/s]
    motor : Motor
        The calibrated motor. [mixed]

    Returns
    -------
    thrust_coefficients : ndarray, shape (3, ...)
        Of 1, V and V squared; a negative sum means no thrust. [N, N/V, N/V^2]
    current_coefficients : ndarray, shape (3, ...)
        Of 1, V and V squared, idle current included; negative only where there is no
        thrust, and then to be taken as zero. [A, A/V, A/V^2]

    Raises
    ------
    ValueError
        If an inflow is not finite.

    Notes
    -----
    Through `full_throttle` at 0.66, 1 and 1.19 times rated voltage, exact there. Between 0.6
    and 1.25 times rated voltage the error stays below 0.4 % of rated thrust, and of rated
    current wherever there is thrust; the tests hold it there. For many inflows the three
    points are themselves read off polynomials in the inflow, good to 0.001 %.
    """
    inflow = np.maximum(bounded(inflow_mps, name="inflow_mps"), 0.0)
    members = _parameter_shape(motor)
    if inflow.size < 50 * math.prod(members):
        return _node_quadratics(inflow, motor)
    # Faster than this no bus voltage of the span gives thrust, so nothing more happens.
    no_load = QUADRATIC_SPAN[1] * motor.rated_voltage_v / back_emf_vs(motor)
    top = np.max(no_load * motor.diameter_m * motor.zero_thrust_advance)
    ratio = np.minimum(inflow / top, 1.0)
    grid = 0.5 - 0.5 * np.cos(math.pi * np.arange(_INFLOW_POINTS) / (_INFLOW_POINTS - 1))
    samples = _node_quadratics(top * grid.reshape(-1, *([1] * len(members))), motor)
    inverse = np.linalg.inv(np.vander(grid, increasing=True))
    shape = (3, *np.broadcast_shapes(inflow.shape, members))
    thrust, current = np.empty(shape), np.empty(shape)
    for quadratic, sample in zip((thrust, current), samples, strict=True):
        for power in range(3):
            quadratic[power] = polynomial(ratio, np.tensordot(inverse, sample[power], axes=1))
    return thrust, current


def idle_current_quadratic(motor: Motor) -> NDArray[np.float64]:
    r"""
    Return the idle current's part of the current of `full_throttle_quadratics`.

    What is taken with it grows with everything a motor draws more than reckoned; this does not.

    Parameters
    ----------
    motor : Motor
        The motor, its idle power one number. [mixed]

    Returns
    -------
    coefficients : ndarray, shape (3,)
        Of 1, V and V squared. [A, A/V, A/V^2]
    """
    inverse = np.linalg.inv(np.vander(_NODES, increasing=True))
    idle = motor.idle_power_w / (motor.rated_voltage_v * _NODES)
    return np.asarray((inverse @ idle) / motor.rated_voltage_v ** np.arange(3.0))


def _node_quadratics(
    inflow: NDArray[np.float64], motor: Motor
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the quadratics through full throttle at the three voltages."""
    shape = np.broadcast_shapes(inflow.shape, _parameter_shape(motor))
    voltage = motor.rated_voltage_v * _NODES.reshape(-1, *([1] * len(shape)))
    thrust, current = _full_duty(voltage, inflow, motor)
    current = current + motor.idle_power_w / voltage
    inverse = np.linalg.inv(np.vander(_NODES, increasing=True))
    inverse /= (motor.rated_voltage_v ** np.arange(3.0))[:, np.newaxis]
    return (
        np.tensordot(inverse, np.broadcast_to(thrust, (3, *shape)), axes=1),
        np.tensordot(inverse, np.broadcast_to(current, (3, *shape)), axes=1),
    )


def _parameter_shape(motor: Motor) -> tuple[int, ...]:
    """Return the shape the motor's own numbers broadcast to."""
    floats = (
        motor.diameter_m,
        motor.water_density_kgpm3,
        motor.zero_thrust_advance,
        motor.torque_constant_nmpa,
        motor.winding_resistance_ohm,
        motor.no_load_current_a,
        motor.rated_speed_rps,
        motor.idle_power_w,
        motor.thrust_deduction,
        motor.thrust_factor,
        motor.torque_factor,
    )
    cubics = (motor.thrust_cubic.shape[1:], motor.torque_cubic.shape[1:])
    return np.broadcast_shapes(*(np.shape(number) for number in floats), *cubics)


def _full_duty(
    voltage: NDArray[np.float64], inflow: NDArray[np.float64], motor: Motor
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return net thrust and motor current with the motor straight on the bus, unclamped."""
    flow = inflow / motor.diameter_m
    back_emf = back_emf_vs(motor)
    speed = voltage / back_emf + 0.0 * flow  # no load: above the root of a convex function
    for _ in range(6):
        shaft = shaft_state(speed, np.minimum(flow / speed, LAST_ADVANCE), motor=motor)
        slope = back_emf + motor.winding_resistance_ohm * shaft.current_slope_as
        speed = speed - (shaft.voltage_v - voltage) / slope
    advance = np.minimum(flow / speed, LAST_ADVANCE)
    current = shaft_state(speed, advance, motor=motor).current_a
    return net_thrust_n(speed, advance, motor=motor), current
