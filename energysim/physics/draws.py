r"""
Draws by counter: the same member gets the same numbers, whoever asks and in whatever order.

A generator keyed by seed, source and block makes the numbers of `BLOCK` members at once. No
number depends on how many members there are, how they are shared out, or what else is drawn.

Depends on: `physics.bounds`.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

BLOCK: Final = 256
"""Members drawn together: a multiple of every width a processor works at. [count]"""

FARTHEST: Final = 4.0
"""Single errors are drawn within so many standard deviations: 6 in 100,000 lie beyond. [1]"""

_TRIES: Final = (
    8  # of a truncated draw; that all fail is rarer than one in 1e10 at 2 deviations
)
_MOST: Final = 2**63


def block_normals(seed: int, *, source: int, block: int, rows: int) -> Array:
    r"""
    Return the standard normal numbers of one source for one block of members.

    Parameters
    ----------
    seed : int
        Chosen by the user, 0 or more, below 2^63. [count]
    source : int
        Which source of spread, 0 or more, below 2^31. [count]
    block : int
        Which block of members, 0 or more, below 2^32. [count]
    rows : int
        How many numbers a member gets. [count]

    Returns
    -------
    normals : ndarray, shape (rows, BLOCK)
        Independent; asking for more rows leaves the first as they are. [1]

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Philox, a generator that is a function of key and counter [1]_; the key is the seed beside
    source and block. Normal numbers are made from it by the ziggurat of numpy, which may differ
    between versions of numpy, but not between machines with one version.

    References
    ----------
    .. [1] Salmon, Moraes, Dror and Shaw 2011, Parallel random numbers: as easy as 1, 2, 3 (from
       memory).

    Examples
    --------
    >>> few = block_normals(1, source=0, block=3, rows=2)
    >>> more = block_normals(1, source=0, block=3, rows=5)
    >>> few.shape, bool((few == more[:2]).all())
    ((2, 256), True)
    """
    for name, value, most in (
        ("seed", seed, _MOST),
        ("source", source, 2**31),
        ("block", block, 2**32),
        ("rows", rows, 2**31),
    ):
        if not 0 <= value < most:
            raise ValueError(f"{name} = {value}; it must be at least 0 and below {most}")
    key = np.array([seed, (source << 32) | block], dtype=np.uint64)
    generator = np.random.Generator(np.random.Philox(key=key))
    return generator.standard_normal((rows, BLOCK))


def block_errors(
    seed: int, *, source: int, block: int, rows: int, farthest: float = FARTHEST
) -> Array:
    r"""
    Return standard normal numbers, none of them farther out than said.

    Parameters
    ----------
    seed, source, block, rows : int
        As in `block_normals`. [count]
    farthest : float
        Standard deviations, 2 to 8. [1]

    Returns
    -------
    errors : ndarray, shape (rows, BLOCK)
        Normal numbers given that they lie within. [1]

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Each is the first of eight independent tries that lies within, so the distribution is the
    truncated normal itself; should all eight fail (below 1e-10 even at two deviations) the last
    is brought to the edge. A bound lets tables be made before anything is drawn.
    """
    bounded(farthest, name="farthest", low=2.0, high=8.0)
    if rows == 1:
        once = block_normals(seed, source=source, block=block, rows=1)
        if np.abs(once).max() <= farthest:
            return once  # nobody needs another try
    tries = block_normals(seed, source=source, block=block, rows=rows * _TRIES)
    tries = tries.reshape(rows, _TRIES, BLOCK)
    first = np.argmax(np.abs(tries) <= farthest, axis=1)
    chosen = np.take_along_axis(tries, first[:, None, :], axis=1)[:, 0]
    return np.clip(chosen, -farthest, farthest)


def lognormal_factor(error: ArrayLike, *, spread: ArrayLike) -> Array:
    r"""
    Return a factor about 1 that is never negative, as likely to halve as to double.

    Parameters
    ----------
    error : array_like, shape (...)
        Standard normal numbers. [1]
    spread : array_like, broadcastable with `error`
        Standard deviation of the factor's logarithm, about that of the factor, 0 to 2. [1]

    Returns
    -------
    factor : ndarray, shape (...)
        Its median is 1; its mean is exp(spread^2 / 2). [1]

    Raises
    ------
    ValueError
        If a number is not finite or the spread outside its range.

    Notes
    -----
    .. math:: f = e^{s z}

    Examples
    --------
    >>> lognormal_factor([-1.0, 0.0, 1.0], spread=0.2).round(3)
    array([0.819, 1.   , 1.221])
    """
    width = bounded(spread, name="spread", low=0.0, high=2.0)
    return np.asarray(np.exp(width * bounded(error, name="error")))


def remembered_series(normals: ArrayLike, *, at_s: ArrayLike, memory_s: float) -> Array:
    r"""
    Return errors that come and go slowly, as a forecast's do, from independent numbers.

    Parameters
    ----------
    normals : array_like, shape (instants, ...)
        Independent standard normal numbers. [1]
    at_s : array_like, shape (instants,)
        When, not falling. [s]
    memory_s : float
        Time in which an error loses all but 1/e of its say, above 0. [s]

    Returns
    -------
    series : ndarray, shape (instants, ...)
        At every instant standard normal; the correlation of two is exp(-lag / memory). [1]

    Raises
    ------
    ValueError
        If times fall, there is not one row for each, or a number is not finite.

    Notes
    -----
    The process of Ornstein and Uhlenbeck, from one instant to the next without approximation:

    .. math:: x_{k+1} = r x_k + \sqrt{1 - r^2}\,\varepsilon_k, \qquad r = e^{-\Delta t / \tau}

    It starts as it goes on, so that its spread does not depend on when the day begins. The
    exact step was taken from memory and is held to its correlation in the tests.

    Examples
    --------
    >>> remembered_series([[1.0], [0.0]], at_s=[0.0, 60.0], memory_s=60.0).round(3).ravel()
    array([1.   , 0.368])
    """
    fresh = bounded(normals, name="normals")
    when = bounded(at_s, name="at_s")
    memory = float(bounded(memory_s, name="memory_s", low=0.0, above=True))
    if when.ndim != 1 or fresh.shape[:1] != when.shape:
        raise ValueError(
            f"at_s has shape {when.shape} for normals of shape {fresh.shape}; there must be "
            "one time for each row"
        )
    gaps = np.diff(when)
    if np.any(gaps < 0.0):
        raise ValueError("at_s falls; no instant may be before the last")
    kept = np.exp(-gaps / memory)
    added = np.sqrt(-np.expm1(-2.0 * gaps / memory))
    series = np.array(fresh)
    for step, (keep, add) in enumerate(zip(kept, added, strict=True)):
        series[step + 1] *= add
        series[step + 1] += keep * series[step]
    return series
