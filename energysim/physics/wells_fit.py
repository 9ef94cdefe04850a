r"""
What a battery's label says about its two wells.

A rating is a time and the ampere-hours given in it. The wells of `physics.wells` give

.. math:: 1 / q(T) = \alpha + \beta\,\varphi(k T), \quad \varphi(x) = (1 - e^{-x}) / x

with the total :math:`1 / \alpha` and the available share :math:`\alpha / (\alpha + \beta)` (our
algebra): for a known rate :math:`k` two ratings give the wells by hand, and a third leaves one
equation for the rate, of one root or none.

Depends on: physics.bounds, physics.wells, physics.wells_least_squares.
"""

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.wells import Wells, mean_decay, wells_capacity_lasting_ah
from energysim.physics.wells_least_squares import closest_wells

Array = NDArray[np.float64]

IDEAL_RATE_PER_H: Final = 1.0
"""Rate told for ratings that are all alike: nothing seeps, so it stands for nothing. [1/h]"""

# Past 40 time constants of the shortest rating the wells have long reached their limit of an
# endless rate; before a billionth of one of the longest, that of no rate at all.
_SLOWEST: Final = 1e-9
_FASTEST: Final = 40.0
_HALVINGS: Final = 60
_ALIKE: Final = 1e-9


def wells_from_two_ratings(
    time_h: ArrayLike, capacity_ah: ArrayLike, *, rate_per_h: ArrayLike
) -> Wells:
    r"""
    Return the wells that meet two ratings, for a rate that the label does not tell.

    The 20-hour ampere-hours and the reserve minutes leave the rate open. State it, and run
    the day with a low and a high one too: they differ in how much a rest gives back.

    Parameters
    ----------
    time_h : array_like, shape (2, ...)
        Discharge time of each rating, in any order. [h]
    capacity_ah : array_like, shape (2, ...)
        Ampere-hours given in it. [Ah]
    rate_per_h : array_like, shape (...)
        Pace at which the wells even out. [1/h]

    Returns
    -------
    wells : Wells
        Arrays of shape (...).

    Raises
    ------
    ValueError
        If the shapes differ, a figure is not positive, the ratings contradict each other, or
        no wells of this rate give so much less in the short time.

    Notes
    -----
    With :math:`r = q_2 / q_1` of the short over the long rating:

    .. math:: \frac{1 - c}{c} = \frac{1 - r}{r \varphi_2 - \varphi_1}, \quad
              Q = q_1 \left(1 + \frac{1 - c}{c} \varphi_1\right)

    which needs :math:`r > \varphi_1 / \varphi_2`. For the label of the example the total is 7
    to 22 % above the 20-hour figure for rates of 2 down to 0.2 per hour, and 50 A last 0.96 to
    1.36 h (computed).

    Examples
    --------
    >>> bank = wells_from_two_ratings([20.0, 2.8991], [100.0, 72.478], rate_per_h=0.36)
    >>> float(bank.total_ah.round(2)), float(bank.available_share.round(4))
    (112.28, 0.5306)
    """
    times, charges, shape = _ratings(time_h, capacity_ah, fewest=2, most=2)
    rate = np.broadcast_to(
        bounded(rate_per_h, name="rate_per_h", low=0.0, above=True),
        np.broadcast_shapes(shape, np.shape(rate_per_h)),
    )
    times, charges = times.reshape(2, *shape), charges.reshape(2, *shape)
    return _through_two(times, charges, np.array(rate))


def wells_from_ratings(time_h: ArrayLike, capacity_ah: ArrayLike) -> Wells:
    r"""
    Return the wells that meet three ratings, or come closest to more of them.

    Parameters
    ----------
    time_h : array_like, shape (ratings, ...)
        Discharge time of each rating, in any order; one column does for many members. [h]
    capacity_ah : array_like, shape (ratings, ...)
        Ampere-hours given in it. [Ah]

    Returns
    -------
    wells : Wells
        Arrays of shape (...); `wells_misfit` tells how well they do.

    Raises
    ------
    ValueError
        If there are fewer than three ratings, a figure is not positive, or no wells fit: the
        message names the rating that contradicts the others and what it would have to be.

    Notes
    -----
    Three ratings, long to short, leave

    .. math:: \frac{\varphi(k T_2) - \varphi(k T_1)}{\varphi(k T_3) - \varphi(k T_1)}
              = \frac{1 / q_2 - 1 / q_1}{1 / q_3 - 1 / q_1}

    whose left side falls steadily with the rate (tried over four orders of magnitude, not
    proved), so it is halved down to the root. There is none where the middle rating lies too
    near either of its neighbours. With more ratings the squares of the misses are made least,
    taken in the logarithm of the charge.

    A sensible lead-acid block has a share of 0.15 to 0.9 and a rate of 0.05 to 3 per hour
    (house experience with fits, no source); far outside, suspect a rating. Ratings all alike
    give a single well.

    Examples
    --------
    >>> bank = wells_from_ratings([20.0, 10.0, 1.0], [100.0, 89.090, 60.696])
    >>> [float(part.round(3)) for part in (bank.total_ah, bank.available_share)]
    [114.894, 0.485]
    >>> bank.rate_per_h.round(3)
    np.float64(0.356)
    """
    times, charges, shape = _ratings(time_h, capacity_ah, fewest=3)
    count = times.shape[1]
    total, share, rate = charges[0].copy(), np.ones(count), np.full(count, IDEAL_RATE_PER_H)
    unlike = charges[-1] < charges[0] * (1.0 - _ALIKE)
    if unlike.any():
        times, charges = times[:, unlike], charges[:, unlike]
        if len(times) == 3:
            found = _through_two(times[::2], charges[::2], _rate_of_three(times, charges))
        else:
            found = closest_wells(times, charges)
        total[unlike], share[unlike], rate[unlike] = (
            found.total_ah,
            found.available_share,
            found.rate_per_h,
        )
    return Wells(
        total_ah=total.reshape(shape),
        available_share=share.reshape(shape),
        rate_per_h=rate.reshape(shape),
    )


def wells_misfit(time_h: ArrayLike, capacity_ah: ArrayLike, *, wells: Wells) -> Array:
    """
    Return by how much the wells miss each rating.

    Parameters
    ----------
    time_h : array_like, shape (ratings, ...)
        Discharge time of each rating. [h]
    capacity_ah : array_like, shape (ratings, ...)
        Ampere-hours given in it. [Ah]
    wells : Wells
        The wells, fitted to these ratings or to others.

    Returns
    -------
    misfit : ndarray, shape (ratings, ...)
        Ampere-hours of the wells over the rating's, less one; above nought they flatter. [1]

    Raises
    ------
    ValueError
        If the shapes differ or a figure is not positive.

    Examples
    --------
    >>> bank = Wells(total_ah=112.28, available_share=0.5306, rate_per_h=0.36)
    >>> wells_misfit([20.0, 10.0], [100.0, 89.1], wells=bank).round(3)
    array([0.   , 0.017])
    """
    times, charges = _alike(time_h, capacity_ah)
    return np.asarray(wells_capacity_lasting_ah(times, wells=wells) / charges - 1.0)


def _alike(time_h: ArrayLike, capacity_ah: ArrayLike) -> tuple[Array, Array]:
    """Return times and charges of one shape, ratings first; a column of times serves many."""
    times = bounded(time_h, name="time_h", low=0.0, above=True)
    charges = bounded(capacity_ah, name="capacity_ah", low=0.0, above=True)
    if times.ndim == 1 and charges.ndim > 1 and len(times) == len(charges):
        times = np.broadcast_to(
            times.reshape(-1, *(1 for _ in charges.shape[1:])), charges.shape
        )
    if times.shape != charges.shape or times.ndim == 0:
        raise ValueError(
            f"time_h and capacity_ah have shapes {times.shape} and {charges.shape}; give one "
            "time to each capacity"
        )
    return times, charges


def _ratings(
    time_h: ArrayLike, capacity_ah: ArrayLike, *, fewest: int, most: int | None = None
) -> tuple[Array, Array, tuple[int, ...]]:
    """Return ratings from long to short, one column a member, and the members' shape."""
    times, charges = _alike(time_h, capacity_ah)
    count = len(times)
    if count < fewest or (most is not None and count > most):
        wanted = f"{fewest} ratings" if most == fewest else f"{fewest} ratings or more"
        raise ValueError(
            f"time_h holds {count}; {wanted} are needed here. Two ratings and a stated rate "
            "give wells, three give the rate too"
        )
    shape = times.shape[1:]
    order = np.argsort(-times, axis=0)
    times = np.take_along_axis(times, order, axis=0).reshape(count, -1)
    charges = np.take_along_axis(charges, order, axis=0).reshape(count, -1)
    for longer in range(count - 1):
        _refuse_contradiction(times[longer : longer + 2], charges[longer : longer + 2])
    return times, charges, shape


def _refuse_contradiction(times: Array, charges: Array) -> None:
    """Raise where two neighbouring ratings, the longer first, cannot be of one block."""
    if np.any(times[0] == times[1]):
        twice = times[0][times[0] == times[1]][0]
        raise ValueError(f"time_h holds {twice:g} h twice; each rating needs its own time")
    for wrong, why in (
        (
            charges[1] > charges[0] * (1.0 + _ALIKE),
            "a harder discharge cannot give more than a gentle one",
        ),
        (
            charges[1] / times[1] <= charges[0] / times[0],
            "the shorter discharge would be at the smaller current",
        ),
    ):
        if wrong.any():
            at = int(np.argmax(wrong))
            raise ValueError(
                f"capacity_ah = {charges[1, at]:g} Ah in {times[1, at]:g} h does not go with "
                f"{charges[0, at]:g} Ah in {times[0, at]:g} h: {why}; check the label"
            )


def _through_two(times: Array, charges: Array, rate: Array) -> Wells:
    """Return the wells through two ratings, the longer first, for a known rate."""
    slow, fast = mean_decay(rate * times[0]), mean_decay(rate * times[1])
    kept = np.minimum(charges[1] / charges[0], 1.0)
    room = kept * fast - slow
    wrong = ~(room > 0.0)
    if wrong.any():
        at = np.unravel_index(int(np.argmax(wrong)), wrong.shape)
        long_h, short_h, long_ah, short_ah, k, least = (
            np.broadcast_to(part, wrong.shape)[at]
            for part in (*times, *charges, rate, charges[0] * slow / fast)
        )
        raise ValueError(
            f"capacity_ah = {short_ah:g} Ah in {short_h:g} h is too little beside {long_ah:g} "
            f"Ah in {long_h:g} h for wells with rate_per_h = {k:g}: they need more than "
            f"{least:g} Ah there, or a higher rate"
        )
    held = (1.0 - kept) / room
    return Wells(
        total_ah=np.asarray(charges[0] * (1.0 + held * slow)),
        available_share=np.asarray(1.0 / (1.0 + held)),
        rate_per_h=rate,
    )


def _rate_of_three(times: Array, charges: Array) -> Array:
    """Return the rate at which wells meet three ratings, long to short."""
    highest = _FASTEST / times[2]
    kept = charges[2] / charges[0]

    def total_is_endless(rate: Array) -> Array:
        return np.asarray(mean_decay(rate * times[0]) - kept * mean_decay(rate * times[2]))

    def bend(rate: Array) -> Array:
        slow, middle, fast = mean_decay(rate * times)
        return np.asarray((middle - slow) / (fast - slow))

    # Below this rate even an endless second well could not hold back so much. The middle
    # rating has to lie between what the slowest and the fastest wells make of it.
    lowest = _halved(total_is_endless, _SLOWEST / times[0], highest)
    wanted = (1.0 / charges[1] - 1.0 / charges[0]) / (1.0 / charges[2] - 1.0 / charges[0])
    wrong = ~((bend(highest) < wanted) & (wanted < bend(lowest)))
    if wrong.any():
        at = int(np.argmax(wrong))
        least, most = (
            1.0 / (1.0 / charges[0] + edge * (1.0 / charges[2] - 1.0 / charges[0]))
            for edge in (bend(lowest), bend(highest))
        )
        raise ValueError(
            f"capacity_ah = {charges[1, at]:g} Ah in {times[1, at]:g} h contradicts the other "
            f"two ratings: beside {charges[0, at]:g} Ah in {times[0, at]:g} h and "
            f"{charges[2, at]:g} Ah in {times[2, at]:g} h two wells give between "
            f"{least[at]:.4g} and {most[at]:.4g} Ah there"
        )
    return _halved(lambda rate: bend(rate) - wanted, lowest, highest)


def _halved(falling: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Return the root of a falling function between two positive numbers, by halving."""
    below, above = np.log(low), np.log(high)
    for _ in range(_HALVINGS):
        middle = 0.5 * (below + above)
        before = falling(np.exp(middle)) > 0.0
        below, above = np.where(before, middle, below), np.where(before, above, middle)
    return np.asarray(np.exp(0.5 * (below + above)))
