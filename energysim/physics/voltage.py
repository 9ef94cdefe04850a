r"""
Voltage of a bank at rest and under load.

A held thrust is a load of constant *power*: as the voltage sags the current rises, and past a
certain power there is no answer at all. That case is a result here, never a NaN.

Depends on: physics.bounds.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

_REFERENCE_CAPACITY_AH = 100.0
_DENSITY_TO_VOLTAGE_V = 0.84


def rest_voltage_v(
    availability: ArrayLike, *, soc_nodes: ArrayLike, voltage_nodes_v: ArrayLike
) -> NDArray[np.float64]:
    """
    Return the rest voltage of a block at a state of charge, by straight lines between nodes.

    Parameters
    ----------
    availability : array_like, shape (...)
        Share of the capacity still to be had, 0 to 1. [1]
    soc_nodes : array_like, shape (nodes,)
        States of charge of the table, rising. [1]
    voltage_nodes_v : array_like, shape (nodes,)
        Rest voltage at each. [V]

    Returns
    -------
    emf_v : ndarray, shape (...)
        Rest voltage. [V]

    Raises
    ------
    ValueError
        If the availability is outside 0 to 1 or the nodes are not rising.

    Notes
    -----
    Published tables of lead-acid rest voltage differ by 0.06 V when full and 0.26 V at a
    quarter, so no answer from a table is better than about 0.15 V.

    Examples
    --------
    >>> rest_voltage_v(0.5, soc_nodes=[0.0, 1.0], voltage_nodes_v=[11.5, 12.7])
    array(12.1)
    """
    share = bounded(availability, name="availability", low=0.0, high=1.0)
    nodes = np.asarray(soc_nodes, dtype=np.float64)
    voltages = bounded(voltage_nodes_v, name="voltage_nodes_v", low=0.0, above=True)
    if nodes.ndim != 1 or nodes.shape != voltages.shape or not np.all(np.diff(nodes) > 0.0):
        raise ValueError(
            f"soc_nodes is {nodes.tolist()}; it must rise, with one voltage to each node"
        )
    return np.asarray(np.interp(share, nodes, voltages), dtype=np.float64)


def rest_voltage_from_density_v(
    relative_density: ArrayLike, *, cells: ArrayLike
) -> NDArray[np.float64]:
    """
    Return the rest voltage of a lead-acid block from a hydrometer reading.

    Parameters
    ----------
    relative_density : array_like, shape (...)
        Density of the acid over that of water, 1.0 to 1.4. [1]
    cells : array_like, broadcastable
        Cells in series, 6 in a 12 V block. [1]

    Returns
    -------
    emf_v : ndarray, shape (...)
        Rest voltage. [V]

    Raises
    ------
    ValueError
        If the density is outside 1.0 to 1.4 or there is no cell.

    Notes
    -----
    Density plus 0.84 V a cell, a handbook rule (from memory), near 25 degC.

    Examples
    --------
    >>> rest_voltage_from_density_v(1.265, cells=6).round(2)
    np.float64(12.63)
    """
    density = bounded(relative_density, name="relative_density", low=1.0, high=1.4)
    return np.asarray(bounded(cells, name="cells", low=1.0) * (density + _DENSITY_TO_VOLTAGE_V))


def block_resistance_ohm(
    availability: ArrayLike,
    *,
    capacity_ah: ArrayLike,
    resistance_ohm_per_100ah: ArrayLike,
    rise_when_empty: ArrayLike,
    temperature_factor: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the resistance of a block as a load of minutes feels it.

    Parameters
    ----------
    availability : array_like, shape (...)
        Share of the capacity still to be had, 0 to 1. [1]
    capacity_ah : array_like, broadcastable
        Rated capacity of the block. [Ah]
    resistance_ohm_per_100ah : array_like, broadcastable
        Resistance of such a block of 100 Ah, full, at 25 degC. [ohm]
    rise_when_empty : array_like, broadcastable
        Resistance when empty over that when full, 1 or more. [1]
    temperature_factor : array_like, broadcastable
        Resistance over that at 25 degC; `temperature.resistance_factor` gives it. [1]

    Returns
    -------
    resistance_ohm : ndarray, shape (...)
        Internal resistance. [ohm]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    .. math:: R = R_{100} \frac{100}{C} \, (1 + (r - 1)(1 - s)) \, f_T

    Plates in parallel, hence 1/C; the straight rise is ours. Resistance seen by a meter
    at 1 kHz is about half of it (common practice, no source).
    """
    share = bounded(availability, name="availability", low=0.0, high=1.0)
    rise = bounded(rise_when_empty, name="rise_when_empty", low=1.0)
    full = bounded(resistance_ohm_per_100ah, name="resistance_ohm_per_100ah", low=0.0) * (
        _REFERENCE_CAPACITY_AH / bounded(capacity_ah, name="capacity_ah", low=0.0, above=True)
    )
    warm = bounded(temperature_factor, name="temperature_factor", low=0.0, above=True)
    return np.asarray(full * warm * (1.0 + (rise - 1.0) * (1.0 - share)))


def constant_power_current_a(
    power_w: ArrayLike, *, emf_v: ArrayLike, resistance_ohm: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    r"""
    Return the current that carries a power through a resistance, and whether it can.

    Parameters
    ----------
    power_w : array_like, shape (...)
        Power wanted at the far end, zero or positive. [W]
    emf_v : array_like, broadcastable
        Rest voltage of the source. [V]
    resistance_ohm : array_like, broadcastable
        Everything in between; may be zero. [ohm]

    Returns
    -------
    current_a : ndarray, shape (...)
        The smaller of the two solutions; where the power cannot be carried, the current of
        the largest power that can. [A]
    carried : ndarray of bool, shape (...)
        False where the power is beyond that. [1]

    Raises
    ------
    ValueError
        If the power or resistance is negative or the rest voltage not positive.

    Notes
    -----
    .. math:: I = \frac{2 P}{E + \sqrt{E^2 - 4 R P}}

    the root of :math:`P = I (E - I R)` in the form that keeps its digits as R or P vanish.

    Examples
    --------
    >>> current_a, carried = constant_power_current_a(300.0, emf_v=12.5, resistance_ohm=0.012)
    >>> current_a.round(2), carried
    (np.float64(24.58), array(True))
    """
    return carried_current_a(
        bounded(power_w, name="power_w", low=0.0),
        bounded(emf_v, name="emf_v", low=0.0, above=True),
        bounded(resistance_ohm, name="resistance_ohm", low=0.0),
    )


def carried_current_a(
    power: NDArray[np.float64], emf: NDArray[np.float64], resistance: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Do the sum of `constant_power_current_a` on arrays already checked, for inner loops."""
    inner = emf * emf - 4.0 * resistance * power
    carried = np.asarray(inner >= 0.0)
    if carried.all():
        return np.asarray(2.0 * power / (emf + np.sqrt(inner))), carried
    current = np.asarray(2.0 * power / (emf + np.sqrt(np.maximum(inner, 0.0))))
    np.divide(emf, 2.0 * resistance, out=current, where=~carried)
    return current, carried


def maximum_power_w(emf_v: ArrayLike, *, resistance_ohm: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the largest power a source can push through its resistance.

    Parameters
    ----------
    emf_v : array_like, shape (...)
        Rest voltage. [V]
    resistance_ohm : array_like, broadcastable
        Resistance between it and the load. [ohm]

    Returns
    -------
    power_w : ndarray, shape (...)
        Infinite without resistance. [W]

    Raises
    ------
    ValueError
        If the rest voltage is not positive or the resistance negative.

    Notes
    -----
    :math:`E^2 / (4 R)`, at half the rest voltage; a real load is cut off long before.

    Examples
    --------
    >>> maximum_power_w(12.0, resistance_ohm=0.01)
    array(3600.)
    """
    emf = bounded(emf_v, name="emf_v", low=0.0, above=True)
    resistance = bounded(resistance_ohm, name="resistance_ohm", low=0.0)
    squared, quadrupled = np.broadcast_arrays(emf * emf, 4.0 * resistance)
    power = np.full(squared.shape, np.inf)
    with np.errstate(over="ignore"):  # beyond the largest number is infinite too
        np.divide(squared, quadrupled, out=power, where=quadrupled > 0.0)
    return power


def power_at_voltage_w(
    emf_v: ArrayLike, *, resistance_ohm: ArrayLike, voltage_v: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the power that pulls the voltage down to a given value.

    With a cut-off as the voltage this is what the bank can still give.

    Parameters
    ----------
    emf_v : array_like, shape (...)
        Rest voltage. [V]
    resistance_ohm : array_like, broadcastable
        Resistance between it and the load, positive. [ohm]
    voltage_v : array_like, broadcastable
        Voltage at the load, for instance a cut-off. [V]

    Returns
    -------
    power_w : ndarray, shape (...)
        Zero where the rest voltage is already below `voltage_v`. [W]

    Raises
    ------
    ValueError
        If the rest voltage or resistance is not positive, or the voltage negative.

    Notes
    -----
    :math:`V (E - V) / R`. The largest power that keeps the load above V only as long as V is
    at least half of E; below that see `maximum_power_w`.

    Examples
    --------
    >>> power_at_voltage_w(12.2, resistance_ohm=0.012, voltage_v=10.5).round(1)
    np.float64(1487.5)
    """
    emf = bounded(emf_v, name="emf_v", low=0.0, above=True)
    resistance = bounded(resistance_ohm, name="resistance_ohm", low=0.0, above=True)
    voltage = bounded(voltage_v, name="voltage_v", low=0.0)
    return np.asarray(voltage * np.maximum(emf - voltage, 0.0) / resistance)
