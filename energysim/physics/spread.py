r"""
How far the weakest of several alike blocks may be expected behind the mean.

Depends on: physics.bounds.
"""

import math
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

MOST_BLOCKS: Final = 10_000
"""Blocks up to which the integral below has been looked at. [count]"""


def expected_weakest(
    count: ArrayLike, *, mean: ArrayLike, deviation: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return what the weakest of several alike blocks may be expected to hold.

    Blocks of one make and age differ by a few per cent, and a series string stops when its
    weakest block does: the more blocks, the further behind that one is.

    Parameters
    ----------
    count : array_like, shape (...)
        How many blocks there are; whole numbers from 1. [count]
    mean : array_like, broadcastable
        Mean of the blocks: a capacity, or 1 for a share. [any]
    deviation : array_like, broadcastable
        One standard deviation between blocks, as `mean`. [any]

    Returns
    -------
    weakest : ndarray, shape (...)
        Expectation of the least of them. [as mean]

    Raises
    ------
    ValueError
        If the count is not a whole number from 1 to 10,000, or the deviation negative.

    Notes
    -----
    .. math::

        \mathrm{E}[\min] = \mu - d_n \sigma, \qquad
        d_n = n \int x \, \varphi(x) \, \Phi(x)^{n-1} \, dx

    for independent, normally spread blocks: :math:`d_2 = 1/\sqrt{\pi}`,
    :math:`d_3 = 3/(2\sqrt{\pi})`. The integral is a sum over even steps, which for so smooth
    an integrand is exact to more digits than anyone needs.

    References
    ----------
    .. [1] H. A. David and H. N. Nagaraja, Order Statistics (from memory).

    Examples
    --------
    >>> expected_weakest([1, 2, 3], mean=1.0, deviation=0.05).round(4)
    array([1.    , 0.9718, 0.9577])
    """
    number = bounded(count, name="count", low=1.0, high=MOST_BLOCKS)
    if np.any(number != np.round(number)):
        raise ValueError(f"count = {number.tolist()}; it must be whole numbers")
    spread = bounded(deviation, name="deviation", low=0.0)
    centre = bounded(mean, name="mean")
    sizes, place = np.unique(number, return_inverse=True)
    behind = np.array([_behind(int(size)) for size in sizes])[place].reshape(number.shape)
    return np.asarray(centre - behind * spread)


@cache
def _behind(count: int) -> float:
    """Return the expected greatest of `count` standard normal numbers."""
    step = 0.02
    x = np.arange(-9.0, 9.0 + step, step)
    density = np.exp(-0.5 * x * x) / math.sqrt(2.0 * math.pi)
    below = np.array([0.5 * math.erfc(-value / math.sqrt(2.0)) for value in x.tolist()])
    return float(count * step * np.sum(x * density * below ** (count - 1)))
