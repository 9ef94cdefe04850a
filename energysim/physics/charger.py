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


def even_share_w(
    wanted_w: ArrayLike, *, counts: ArrayLike, circuit_power_w: float
) -> NDArray[np.float64]:
    r"""
    Return what each output gets of a circuit that may not have enough for all of them.

    Parameters
    ----------
    wanted_w : array_like, shape (outputs,)
        Mains power each would draw by itself. [W]
    counts : array_like, shape (outputs,)
        How many such outputs there are. [count]
    circuit_power_w : float
        Power the circuit leaves them. [W]

    Returns
    -------
    given_w : ndarray, shape (outputs,)
        For one of each. [W]

    Raises
    ------
    ValueError
        If a power is negative or a count below one.

    Notes
    -----
    Everyone the same, and what one does not want goes to the others: the level L with
    :math:`\sum n \min(w, L) = P`. Ours; how a charger shares is seldom told.

    Examples
    --------
    >>> even_share_w([200.0, 200.0, 50.0], counts=[1, 1, 1], circuit_power_w=300.0)
    array([125., 125.,  50.])
    """
    wanted = bounded(wanted_w, name="wanted_w", low=0.0)
    many = bounded(counts, name="counts", low=1.0)
    left = float(bounded(circuit_power_w, name="circuit_power_w", low=0.0))
    sharing = float(many.sum())
    given = np.array(wanted)
    for place in np.argsort(wanted):
        level = left / sharing
        if wanted[place] > level:
            return np.minimum(wanted, level)
        left -= wanted[place] * many[place]
        sharing -= many[place]
    return given


def energy_cost(energy_wh: ArrayLike, *, price_per_kwh: ArrayLike) -> NDArray[np.float64]:
    """
    Return what the meter's energy costs.

    Parameters
    ----------
    energy_wh : array_like, shape (...)
        Energy at the wall. [Wh]
    price_per_kwh : array_like, broadcastable
        Price of a thousand of them, in any currency. [1/kWh]

    Returns
    -------
    cost : ndarray, shape (...)
        In the same currency. [1]

    Raises
    ------
    ValueError
        If the energy or the price is negative.

    Examples
    --------
    >>> energy_cost(2500.0, price_per_kwh=0.2)
    array(0.5)
    """
    energy = bounded(energy_wh, name="energy_wh", low=0.0)
    price = bounded(price_per_kwh, name="price_per_kwh", low=0.0)
    return np.asarray(energy / 1000.0 * price)


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
