"""
Refuse numbers a law cannot take, and say which argument, which value and which range.

Depends on: nothing.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray


def bounded(
    value: ArrayLike,
    *,
    name: str,
    low: float = -math.inf,
    high: float = math.inf,
    above: bool = False,
) -> NDArray[np.float64]:
    """
    Return the value as an array of float64, so that no law ever sees a NaN or a wild number.

    Parameters
    ----------
    value : array_like, shape (...)
        What the caller passed. [any]
    name : str
        The caller's own name of the argument, for the message. [text]
    low, high : float
        Least and greatest value allowed. [as value]
    above : bool
        True when `low` itself is not allowed. [flag]

    Returns
    -------
    checked : ndarray, shape (...)
        The same numbers. [as value]

    Raises
    ------
    ValueError
        If a number is not finite or lies outside the range.

    Examples
    --------
    >>> bounded([1, 2], name="thrust_n", low=0.0)
    array([1., 2.])
    """
    array = np.asarray(value, dtype=np.float64)
    if array.size == 0:
        return array
    least, most = float(array.min()), float(array.max())  # both are NaN if any number is
    inside = (least > low if above else least >= low) and most <= high
    if inside and math.isfinite(least) and math.isfinite(most):
        return array
    wrong = most if least >= low and not (above and least == low) else least
    floor = f"{'above' if above else 'at least'} {low:g}" if low > -math.inf else ""
    ceiling = f"at most {high:g}" if high < math.inf else ""
    allowed = " and ".join(part for part in ("finite", floor, ceiling) if part)
    msg = f"{name} = {wrong:g}; it must be {allowed}"
    raise ValueError(msg)
