r"""
How sure a chance is that was counted, and what the spread of an answer comes from.

Depends on: `physics.bounds`.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

NORMAL_95: Final = 1.959963984540054
"""Standard deviations about the mean that hold 95 % of a normal variable. [1]"""


def chance_interval(hits: ArrayLike, *, trials: ArrayLike) -> tuple[Array, Array]:
    r"""
    Return the range in which a chance lies that was counted in so many independent tries.

    Parameters
    ----------
    hits : array_like, shape (...)
        Tries that came off. [count]
    trials : array_like, broadcastable with `hits`
        All tries, at least 1. [count]

    Returns
    -------
    low, high : ndarray, shape (...)
        Ends of the 95 % interval, within 0 to 1. [1]

    Raises
    ------
    ValueError
        If there are no tries, or more hits than tries.

    Notes
    -----
    Wilson's interval [1]_: with :math:`p` the share that came off in :math:`n` and
    :math:`z = 1.96`

    .. math:: \frac{p + z^2/2n \pm z\sqrt{p(1-p)/n + z^2/4n^2}}{1 + z^2/n}

    Unlike the plain :math:`p \pm z\sqrt{p(1-p)/n}` it says something where all tries came off,
    or none. It tells how well the chance was counted, not how good the model is.

    References
    ----------
    .. [1] E. B. Wilson 1927, Probable inference, the law of succession, and statistical
       inference (from memory; held in the tests to a general statistics library).

    Examples
    --------
    >>> [float(end.round(3)) for end in chance_interval(83, trials=100)]
    [0.745, 0.891]
    """
    n = bounded(trials, name="trials", low=1.0)
    count = bounded(hits, name="hits", low=0.0)
    if np.any(count > n):
        raise ValueError(f"hits = {count.max():g}; there cannot be more than trials")
    share = count / n
    square = NORMAL_95 * NORMAL_95 / n
    middle = share + 0.5 * square
    half = np.sqrt(square * (share * (1.0 - share) + 0.25 * square))
    low, high = (middle - half) / (1.0 + square), (middle + half) / (1.0 + square)
    # At the ends rounding alone keeps them from 0 and 1.
    return (
        np.where(count == 0.0, 0.0, np.clip(low, 0.0, 1.0)),
        np.where(count == n, 1.0, np.clip(high, 0.0, 1.0)),
    )


def ranks(values: ArrayLike) -> Array:
    """
    Return the place of each value among all, from 1; equal ones share their mean place.

    Parameters
    ----------
    values : array_like, shape (members,)
        Any numbers. [any]

    Returns
    -------
    ranks : ndarray, shape (members,)
        1 for the least. [count]

    Raises
    ------
    ValueError
        If a number is not finite.

    Examples
    --------
    >>> ranks([10.0, 30.0, 20.0, 20.0])
    array([1. , 4. , 2.5, 2.5])
    """
    _, place, count = np.unique(
        bounded(values, name="values"), return_inverse=True, return_counts=True
    )
    last = np.cumsum(count)
    return np.asarray((last - 0.5 * (count - 1))[place.reshape(-1)])


def spread_shares(answer: ArrayLike, *, inputs: ArrayLike, source: ArrayLike) -> Array:
    r"""
    Return what part of the spread of an answer each source accounts for.

    Parameters
    ----------
    answer : array_like, shape (members,)
        What came out. [any]
    inputs : array_like, shape (columns, members)
        What was drawn, independent of each other; a source may have several columns. [any]
    source : array_like, shape (columns,)
        Which source each column belongs to, from 0. [count]

    Returns
    -------
    shares : ndarray, shape (sources,)
        Together what they explain, at most 1; 0 for a source that was not drawn, and where the
        answer never differs. [1]

    Raises
    ------
    ValueError
        If shapes do not fit or a number is not finite.

    Notes
    -----
    Squared standardised rank regression coefficients [1]_: answer and inputs are replaced by
    their ranks, put on one scale, and the ranks of the answer are fitted by a straight line in
    all of them at once,

    .. math:: \frac{R(y) - \bar R}{s} \approx \sum_j b_j \frac{R(x_j) - \bar R}{s},
              \qquad \text{share}_k = \sum_{j \in k} b_j^2

    For independent inputs the squares add up to the part of the spread explained. Ranks make
    it hold for any answer that rises or falls with each input, straight or not; what two inputs
    do only together, or an answer that turns back, is left unexplained. By chance alone a
    source that does nothing gets about one part in as many as there are members.

    References
    ----------
    .. [1] Rank regression as a measure of importance: Iman and Conover 1979; Saltelli and
       others 2008, Global sensitivity analysis: the primer, ch. 1 (both from memory).

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> x = rng.normal(size=(2, 4000))
    >>> spread_shares(np.exp(2.0 * x[0] + x[1]), inputs=x, source=[0, 1]).round(1)
    array([0.8, 0.2])
    """
    y = bounded(answer, name="answer")
    columns = bounded(inputs, name="inputs")
    of = np.asarray(source, dtype=np.intp)
    if y.ndim != 1 or columns.shape != (of.size, y.size):
        raise ValueError(
            f"inputs has shape {columns.shape} for {of.size} columns and answers of shape "
            f"{y.shape}; it must be (columns, members)"
        )
    shares = np.zeros(int(of.max()) + 1 if of.size else 0)
    drawn = np.ptp(columns, axis=1) > 0.0 if y.size else np.zeros(of.size, dtype=bool)
    if not drawn.any() or np.ptp(y) <= 0.0 or y.size <= int(drawn.sum()) + 1:
        return shares
    left = np.stack([_standardised(ranks(column)) for column in columns[drawn]], axis=1)
    slope = np.linalg.lstsq(left, _standardised(ranks(y)), rcond=None)[0]
    np.add.at(shares, of[drawn], slope * slope)
    total = shares.sum()
    # Inputs that are correlated by chance can overshoot what there is to explain.
    return shares / max(float(total), 1.0)


def _standardised(values: Array) -> Array:
    """Return numbers with mean 0 and standard deviation 1."""
    off = values - values.mean()
    return np.asarray(off / np.sqrt(np.mean(off * off)))
