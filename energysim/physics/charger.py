r"""
The mains side of recharging: what the charger draws, and what its circuit leaves it.

Depends on: physics.bounds.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

CONTINUOUS_SHARE: Final = 0.8
"""
Share of a circuit's rating a load of three hours and more may take (NEC 210.20(A), read as
quoted). [1]
"""


def mains_power_w(
    charger_current_a: ArrayLike,
    *,
    outputs: ArrayLike,
    charge_voltage_v: ArrayLike,
    charger_efficiency: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the power a charger draws from the wall with all its outputs at full current.

    Parameters
    ----------
    charger_current_a : array_like, shape (...)
        Current of one output. [A]
    outputs : array_like, broadcastable
        Number of outputs at work, one block on each. [1]
    charge_voltage_v : array_like, broadcastable
        Voltage at one block. [V]
    charger_efficiency : array_like, broadcastable
        Direct current out over mains power in. [1]

    Returns
    -------
    power_w : ndarray, shape (...)
        Active power. [W]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    :math:`n V I / \eta`.

    Examples
    --------
    >>> charger = {"outputs": 3, "charge_voltage_v": 14.4, "charger_efficiency": 0.85}
    >>> mains_power_w(10.0, **charger).round(1)
    np.float64(508.2)
    """
    current = bounded(charger_current_a, name="charger_current_a", low=0.0)
    return np.asarray(
        current * _watts_per_ampere(outputs, charge_voltage_v, charger_efficiency)
    )


def apparent_power_va(power_w: ArrayLike, *, power_factor: ArrayLike) -> NDArray[np.float64]:
    """
    Return the volt-amperes behind a mains power, by which a generator must be chosen.

    Parameters
    ----------
    power_w : array_like, shape (...)
        Active power. [W]
    power_factor : array_like, broadcastable
        0.55 to 0.70 without correction, above 0.95 with (from memory). [1]

    Returns
    -------
    power_va : ndarray, shape (...)
        Apparent power. [VA]

    Raises
    ------
    ValueError
        If the power is negative or the factor outside 0 to 1.

    Examples
    --------
    >>> apparent_power_va(169.4, power_factor=0.65).round(1)
    np.float64(260.6)
    """
    power = bounded(power_w, name="power_w", low=0.0)
    return np.asarray(
        power / bounded(power_factor, name="power_factor", low=0.0, high=1.0, above=True)
    )


def continuous_circuit_power_w(
    rated_current_a: ArrayLike, *, mains_voltage_v: ArrayLike
) -> NDArray[np.float64]:
    """
    Return the power a circuit may carry all night.

    Parameters
    ----------
    rated_current_a : array_like, shape (...)
        Rating of its breaker. [A]
    mains_voltage_v : array_like, broadcastable
        Mains voltage. [V]

    Returns
    -------
    circuit_power_w : ndarray, shape (...)
        Four fifths of the rating. [W]

    Raises
    ------
    ValueError
        If the rating is negative or the voltage not positive.

    Examples
    --------
    >>> continuous_circuit_power_w(15.0, mains_voltage_v=120.0)
    array(1440.)
    """
    current = bounded(rated_current_a, name="rated_current_a", low=0.0)
    voltage = bounded(mains_voltage_v, name="mains_voltage_v", low=0.0, above=True)
    return np.asarray(CONTINUOUS_SHARE * current * voltage)


def circuit_limited_current_a(
    charger_current_a: ArrayLike,
    *,
    outputs: ArrayLike,
    charge_voltage_v: ArrayLike,
    charger_efficiency: ArrayLike,
    circuit_power_w: ArrayLike,
) -> NDArray[np.float64]:
    """
    Return the current each output can really give on a circuit shared by all of them.

    Parameters
    ----------
    charger_current_a : array_like, shape (...)
        Current of one output by its label. [A]
    outputs : array_like, broadcastable
        Number of outputs at work. [1]
    charge_voltage_v : array_like, broadcastable
        Voltage at one block. [V]
    charger_efficiency : array_like, broadcastable
        Direct current out over mains power in. [1]
    circuit_power_w : array_like, broadcastable
        Power the circuit leaves the charger. [W]

    Returns
    -------
    current_a : ndarray, shape (...)
        At most `charger_current_a`, shared evenly. [A]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Examples
    --------
    >>> charger = {"outputs": 3, "charge_voltage_v": 14.4, "charger_efficiency": 0.85}
    >>> circuit_limited_current_a(20.0, **charger, circuit_power_w=508.2).round(1)
    np.float64(10.0)
    """
    current = bounded(charger_current_a, name="charger_current_a", low=0.0)
    power = bounded(circuit_power_w, name="circuit_power_w", low=0.0)
    share = power / _watts_per_ampere(outputs, charge_voltage_v, charger_efficiency)
    return np.asarray(np.minimum(current, share))


def wall_energy_wh(
    input_ah: ArrayLike, *, charge_voltage_v: ArrayLike, charger_efficiency: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the energy the meter counts for a charge.

    Parameters
    ----------
    input_ah : array_like, shape (...)
        Charge fed into one block; `charge_input_ah` gives it. [Ah]
    charge_voltage_v : array_like, broadcastable
        Voltage at one block. [V]
    charger_efficiency : array_like, broadcastable
        Direct current out over mains power in. [1]

    Returns
    -------
    energy_wh : ndarray, shape (...)
        Energy at the wall, for one block. [Wh]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    The absorption voltage is taken for the whole charge. In its first part the block stands
    up to a tenth lower, so this is a little too much.

    Examples
    --------
    >>> wall_energy_wh(50.0, charge_voltage_v=14.4, charger_efficiency=0.9)
    array(800.)
    """
    charge = bounded(input_ah, name="input_ah", low=0.0)
    return np.asarray(charge * _watts_per_ampere(1.0, charge_voltage_v, charger_efficiency))


def _watts_per_ampere(
    outputs: ArrayLike, charge_voltage_v: ArrayLike, charger_efficiency: ArrayLike
) -> NDArray[np.float64]:
    """Return the mains power behind one ampere at every output."""
    count = bounded(outputs, name="outputs", low=1.0)
    voltage = bounded(charge_voltage_v, name="charge_voltage_v", low=0.0, above=True)
    efficiency = bounded(
        charger_efficiency, name="charger_efficiency", low=0.0, high=1.0, above=True
    )
    return np.asarray(count * voltage / efficiency)
