r"""
What cold and heat do to a battery: capacity, resistance, and the willingness to be charged.

Depends on: physics.bounds.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

REFERENCE_DEGC: Final = 25.0
"""Cell temperature at which capacities and resistances are stated. [degC]"""


def capacity_factor(
    temperature_degc: ArrayLike,
    *,
    temperature_nodes_degc: ArrayLike,
    factor_nodes: ArrayLike,
    largest_factor: float,
) -> NDArray[np.float64]:
    """
    Return today's capacity over that at 25 degC, by straight lines between table nodes.

    Parameters
    ----------
    temperature_degc : array_like, shape (...)
        Temperature of the cells, which follow the air by hours. [degC]
    temperature_nodes_degc : array_like, shape (nodes,)
        Temperatures of the table, rising. [degC]
    factor_nodes : array_like, shape (nodes,)
        Capacity over that at 25 degC at each. [1]
    largest_factor : float
        Cap on the bonus of warmth; a plan should not lean on it. [1]

    Returns
    -------
    factor : ndarray, shape (...)
        Factor on the rated capacity. [1]

    Raises
    ------
    ValueError
        If the temperature lies outside the table, or the nodes are not rising.

    Notes
    -----
    For lead-acid the table is one over the cell-size factor of IEEE Std 485 [1]_, and the
    cap is ours. The factor belongs to discharges of hours; short hard ones suffer more.

    References
    ----------
    .. [1] IEEE Std 485, cell-size correction factor for temperature (from memory).

    Examples
    --------
    >>> table = {"temperature_nodes_degc": [0.0, 25.0], "factor_nodes": [0.7, 1.0]}
    >>> capacity_factor(12.5, **table, largest_factor=1.05)
    array(0.85)
    """
    nodes = np.asarray(temperature_nodes_degc, dtype=np.float64)
    factors = bounded(factor_nodes, name="factor_nodes", low=0.0, above=True)
    if nodes.ndim != 1 or nodes.shape != factors.shape or not np.all(np.diff(nodes) > 0.0):
        raise ValueError(
            f"temperature_nodes_degc is {nodes.tolist()}; it must rise, with one factor to "
            "each node"
        )
    cells = bounded(
        temperature_degc, name="temperature_degc", low=float(nodes[0]), high=float(nodes[-1])
    )
    return np.asarray(np.minimum(np.interp(cells, nodes, factors), largest_factor))


def resistance_factor(
    temperature_degc: ArrayLike, *, rise_per_degc: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the internal resistance over that at 25 degC.

    Parameters
    ----------
    temperature_degc : array_like, shape (...)
        Temperature of the cells, -40 to 60. [degC]
    rise_per_degc : array_like, broadcastable
        Relative rise for each degree colder, near 25 degC. [1/degC]

    Returns
    -------
    factor : ndarray, shape (...)
        Above 1 in the cold. [1]

    Raises
    ------
    ValueError
        If the temperature is outside -40 to 60 degC or the rise negative.

    Notes
    -----
    :math:`\exp(r (25 - T))`; the shape is ours (a rate process over a narrow range), the
    rise from memory.

    Examples
    --------
    >>> resistance_factor([25.0, 0.0], rise_per_degc=0.03).round(2)
    array([1.  , 2.12])
    """
    return _exponential(temperature_degc, slope=-_rise(rise_per_degc))


def acceptance_factor(
    temperature_degc: ArrayLike, *, rise_per_degc: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return how fast a battery accepts charge, over its pace at 25 degC.

    A cold lead-acid block takes its last ampere-hours much more slowly, which decides
    whether a spring night is long enough.

    Parameters
    ----------
    temperature_degc : array_like, shape (...)
        Temperature of the cells, -40 to 60. [degC]
    rise_per_degc : array_like, broadcastable
        Relative rise for each degree warmer, near 25 degC. [1/degC]

    Returns
    -------
    factor : ndarray, shape (...)
        1 at 25 degC and above, less in the cold. [1]

    Raises
    ------
    ValueError
        If the temperature is outside -40 to 60 degC or the rise negative.

    Notes
    -----
    :math:`\min(1, \exp(r (T - 25)))`. Ours: that acceptance falls in the cold is common
    knowledge, the law is a choice, and the cap keeps warmth from promising a shorter night.

    Examples
    --------
    >>> acceptance_factor([40.0, 25.0, 0.0], rise_per_degc=0.028).round(2)
    array([1. , 1. , 0.5])
    """
    return np.asarray(
        np.minimum(_exponential(temperature_degc, slope=_rise(rise_per_degc)), 1.0)
    )


def _rise(rise_per_degc: ArrayLike) -> NDArray[np.float64]:
    """Return a checked relative slope."""
    return bounded(rise_per_degc, name="rise_per_degc", low=0.0, high=0.2)


def _exponential(
    temperature_degc: ArrayLike, *, slope: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return exp(slope (T - 25)) for a checked temperature."""
    cells = bounded(temperature_degc, name="temperature_degc", low=-40.0, high=60.0)
    return np.asarray(np.exp(slope * (cells - REFERENCE_DEGC)))
