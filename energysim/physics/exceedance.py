r"""
How much of the time a gusty thrust is more than the motor has.

The few winds of `physics.unsteady` serve a mean; a share of the time must be read between them.

Depends on: `physics.bounds`.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

_FAR: Final = 6.0  # deviations beyond which nothing is left to count

# Abramowitz and Stegun, Handbook of Mathematical Functions, 7.1.26 (from memory; held to a
# general-purpose library in the tests): the error function to 1.5e-7.
_SERIES: Final = (0.254829592, -0.284496736, 1.421413741, -1.453152027, 1.061405429)
_SCALE: Final = 0.3275911


def normal_share_below(deviation: ArrayLike) -> Array:
    r"""
    Return the share of the time a normal variable stays below a number of deviations.

    Parameters
    ----------
    deviation : array_like, shape (...)
        Standard deviations from the mean. [1]

    Returns
    -------
    share : ndarray, shape (...)
        0 to 1. [1]

    Raises
    ------
    ValueError
        If a deviation is not finite.

    Notes
    -----
    :math:`\tfrac12 (1 + \mathrm{erf}(z / \sqrt 2))`, by a rational approximation good to
    1e-7 [1]_.

    References
    ----------
    .. [1] M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 7.1.26 (from
       memory).

    Examples
    --------
    >>> normal_share_below([-1.0, 0.0, 1.0]).round(4)
    array([0.1587, 0.5   , 0.8413])
    """
    argument = bounded(deviation, name="deviation") / np.sqrt(2.0)
    size = np.abs(argument)
    step = 1.0 / (1.0 + _SCALE * size)
    tail = np.zeros_like(size)
    for coefficient in reversed(_SERIES):
        tail = (tail + coefficient) * step
    error = np.copysign(1.0 - tail * np.exp(-size * size), argument)
    return np.asarray(0.5 * (1.0 + error))


def share_of_time_above(
    value_n: ArrayLike, *, deviation: ArrayLike, limit_n: ArrayLike
) -> Array:
    r"""
    Return the share of the time a gusty thrust is above a limit.

    Parameters
    ----------
    value_n : array_like, shape (nodes, ...)
        Thrust at each of the winds of `gust_nodes`. [N]
    deviation : array_like, shape (nodes,)
        Their standard deviations from the mean wind, rising, as from `normal_nodes`. [1]
    limit_n : array_like, broadcastable with one node
        What there is. [N]

    Returns
    -------
    share : ndarray, shape (...)
        0 to 1. [1]

    Raises
    ------
    ValueError
        If a number is not finite or there are fewer than two nodes.

    Notes
    -----
    Thrust is taken as straight lines between the nodes, and beyond the last along the last
    line; the normal distribution is summed over the deviations where it is above the limit.
    A thrust that falls as the wind rises (a stream that is being relieved) counts as well. For
    a thrust that goes as the wind squared five winds say up to 1.4 points of the time too much
    at an intensity of 0.2 where the mean can be held, and never too little (tested).

    Examples
    --------
    >>> thrust_n = [80.0, 100.0, 120.0]
    >>> share = share_of_time_above(thrust_n, deviation=[-1.0, 0.0, 1.0], limit_n=120.0)
    >>> float(share.round(4))
    0.1587
    """
    value = bounded(value_n, name="value_n")
    node = bounded(deviation, name="deviation")
    limit = bounded(limit_n, name="limit_n")
    if node.ndim != 1 or node.size < 2 or value.shape[:1] != node.shape:
        raise ValueError(
            f"deviation has shape {node.shape} and value_n {value.shape}; at least two nodes "
            "are needed, on the leading axis of both"
        )
    over = value - limit
    share = np.zeros(over.shape[1:])
    edges = np.concatenate([[-_FAR], node[1:-1], [_FAR]])
    below = normal_share_below(edges)
    for left in range(node.size - 1):
        right = left + 1
        slope = (over[right] - over[left]) / (node[right] - node[left])
        begin, end = float(edges[left]), float(edges[right])
        first = over[left] + slope * (begin - node[left])
        last = over[left] + slope * (end - node[left])
        flat = slope == 0.0
        crossing = node[left] - over[left] / np.where(flat, 1.0, slope)
        crossing = np.clip(np.where(flat, begin, crossing), begin, end)
        below_begin, below_end = below[left], below[right]
        below_crossing = normal_share_below(crossing)
        share += np.where(
            first > 0.0,
            np.where(last > 0.0, below_end - below_begin, below_crossing - below_begin),
            np.where(last > 0.0, below_end - below_crossing, 0.0),
        )
    return np.asarray(np.clip(share, 0.0, 1.0))
