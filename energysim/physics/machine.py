"""
The laws of a permanent-magnet motor seen from its direct-current side, and of its chopper.

Depends on: bounds.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

COPPER_TEMPERATURE_COEFFICIENT: Final = 0.00393
"""Rise of copper's resistance per kelvin above 20 to 25 degC (motor-winding pages, read)."""


def motor_torque_nm(
    current_a: ArrayLike, *, torque_constant_nmpa: ArrayLike, no_load_current_a: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the shaft torque of a current, what is left once friction and iron have had theirs.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Motor current. [A]
    torque_constant_nmpa : array_like, broadcastable
        Torque per ampere, the same number as volts per radian per second. [N m/A]
    no_load_current_a : array_like, broadcastable
        Current that turns the motor with nothing on the shaft. [A]

    Returns
    -------
    torque_nm : ndarray, shape (...)
        Torque on the shaft. [N m]

    Raises
    ------
    ValueError
        If the torque constant is not positive or the no-load current negative.

    Notes
    -----
    .. math:: Q = K_t (I - I_0)

    The first-order motor of Drela's QPROP notes (read).

    Examples
    --------
    >>> float(motor_torque_nm(50.0, torque_constant_nmpa=0.12, no_load_current_a=2.5))
    5.7
    """
    constant = bounded(torque_constant_nmpa, name="torque_constant_nmpa", low=0.0, above=True)
    no_load = bounded(no_load_current_a, name="no_load_current_a", low=0.0)
    return np.asarray(constant * (bounded(current_a, name="current_a") - no_load))


def motor_efficiency(
    current_a: ArrayLike,
    *,
    motor_voltage_v: ArrayLike,
    winding_resistance_ohm: ArrayLike,
    no_load_current_a: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the share of the motor's electrical power that reaches the shaft.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Motor current, above zero. [A]
    motor_voltage_v : array_like, broadcastable
        Voltage at the motor. [V]
    winding_resistance_ohm : array_like, broadcastable
        Winding, brushes, switches and leads together. [ohm]
    no_load_current_a : array_like, broadcastable
        Current that turns the motor with nothing on the shaft. [A]

    Returns
    -------
    efficiency : ndarray, shape (...)
        Negative where the losses exceed the power fed. [1]

    Raises
    ------
    ValueError
        If current or voltage is not positive, or resistance or no-load current negative.

    Notes
    -----
    .. math:: \eta = (1 - I R / V)(1 - I_0 / I)
    """
    current = bounded(current_a, name="current_a", low=0.0, above=True)
    voltage = bounded(motor_voltage_v, name="motor_voltage_v", low=0.0, above=True)
    resistance = bounded(winding_resistance_ohm, name="winding_resistance_ohm", low=0.0)
    no_load = bounded(no_load_current_a, name="no_load_current_a", low=0.0)
    return np.asarray((1.0 - current * resistance / voltage) * (1.0 - no_load / current))


def best_efficiency_current_a(
    motor_voltage_v: ArrayLike,
    *,
    winding_resistance_ohm: ArrayLike,
    no_load_current_a: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the current at which a motor held at one voltage wastes least.

    Parameters
    ----------
    motor_voltage_v : array_like, shape (...)
        Voltage at the motor. [V]
    winding_resistance_ohm : array_like, broadcastable
        Winding, brushes, switches and leads together. [ohm]
    no_load_current_a : array_like, broadcastable
        Current that turns the motor with nothing on the shaft. [A]

    Returns
    -------
    current_a : ndarray, shape (...)
        Where copper loss and no-load loss weigh the same. [A]

    Raises
    ------
    ValueError
        If voltage or resistance is not positive or the no-load current negative.

    Notes
    -----
    .. math:: I = \sqrt{I_0 V / R}

    A textbook result, from memory; it follows from setting the slope of `motor_efficiency`
    to zero.
    """
    voltage = bounded(motor_voltage_v, name="motor_voltage_v", low=0.0, above=True)
    resistance = bounded(
        winding_resistance_ohm, name="winding_resistance_ohm", low=0.0, above=True
    )
    no_load = bounded(no_load_current_a, name="no_load_current_a", low=0.0)
    return np.sqrt(no_load * voltage / resistance)


def chopper_bus_current_a(
    motor_current_a: ArrayLike, *, duty: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the battery current of an ideal chopper, less than the motor's at part throttle.

    Parameters
    ----------
    motor_current_a : array_like, shape (...)
        Average current in the motor. [A]
    duty : array_like, broadcastable
        Share of the time the switch is closed, 0 to 1. [1]

    Returns
    -------
    current_a : ndarray, shape (...)
        Average current from the bus, before switching loss and idle current. [A]

    Raises
    ------
    ValueError
        If the duty lies outside 0 to 1.

    Notes
    -----
    The bridge averaged over a period, :math:`V_m = d V`, and no power lost in it:
    :math:`I = d I_m`.
    """
    share = bounded(duty, name="duty", low=0.0, high=1.0)
    return np.asarray(share * bounded(motor_current_a, name="motor_current_a"))


def warm_resistance_ohm(
    resistance_ohm: ArrayLike, *, temperature_rise_degc: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the resistance of a copper winding after it has warmed up.

    Parameters
    ----------
    resistance_ohm : array_like, shape (...)
        Resistance cold. [ohm]
    temperature_rise_degc : array_like, broadcastable
        Rise above the cold winding, at least -100. [degC]

    Returns
    -------
    warm_ohm : ndarray, shape (...)
        Resistance warm. [ohm]

    Raises
    ------
    ValueError
        If resistance is negative or the rise below -100.

    Notes
    -----
    .. math:: R' = R (1 + 0.00393\, \Delta\theta)

    A motor under water stays within some 20 K of it, worth about one per cent more current
    at full throttle (our arithmetic); the magnets' weakening is not in it.
    """
    cold = bounded(resistance_ohm, name="resistance_ohm", low=0.0)
    rise = bounded(temperature_rise_degc, name="temperature_rise_degc", low=-100.0)
    return np.asarray(cold * (1.0 + COPPER_TEMPERATURE_COEFFICIENT * rise))
