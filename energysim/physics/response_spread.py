"""
From the few instants at which loads and powers are worked out to every step of a day.

Depends on: `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

Array = NDArray[np.float64]


def spread(
    values: ArrayLike, *, known: ArrayLike, when_s: ArrayLike, out: Array | None = None
) -> Array:
    r"""
    Return what is known at a few steps at all of them, along straight lines in time.

    Wind and stream change over hours, and what follows from them is dear; so a sweep works it
    out every few minutes and reads it in between.

    Parameters
    ----------
    values : array_like, shape (few, ...)
        What is known. [any]
    known : array_like, shape (few,)
        The steps it is known at, rising, the first and the last step among them. [count]
    when_s : array_like, shape (steps,)
        Times of the steps, rising. [s]
    out : ndarray or None, shape (steps, ...)
        Where to write, so that a sweep may use its memory again. [any]

    Returns
    -------
    values : ndarray, shape (steps, ...)
        `out`, if it was given. [any]

    Raises
    ------
    ValueError
        If the known steps do not rise from the first to the last, there is not one value for
        each, or times do not rise.

    Examples
    --------
    >>> spread([10.0, 40.0], known=[0, 3], when_s=[0.0, 60.0, 120.0, 180.0])
    array([10., 20., 30., 40.])
    """
    table = np.asarray(values)
    when = bounded(when_s, name="when_s")
    steps = np.asarray(known, dtype=np.intp)
    if np.any(np.diff(when) <= 0.0):
        raise ValueError("when_s does not rise; every step must be later than the last")
    if (
        steps.shape != table.shape[:1]
        or not steps.size
        or steps[0] != 0
        or steps[-1] != when.size - 1
        or np.any(np.diff(steps) <= 0)
    ):
        raise ValueError(
            f"known has shape {steps.shape} for values of shape {table.shape}; it must rise "
            f"from step 0 to step {when.size - 1}, one step for each value"
        )
    full = np.empty((when.size, *table.shape[1:])) if out is None else out
    full[steps] = table
    wide = np.flatnonzero(np.diff(steps) > 1)
    column = (-1, *(1,) * (table.ndim - 1))
    for place in wide:
        first, last = int(steps[place]), int(steps[place + 1])
        share = (when[first + 1 : last] - when[first]) / (when[last] - when[first])
        between = full[first + 1 : last]
        np.multiply(share.reshape(column), full[last] - full[first], out=between)
        between += full[first]
    return full
