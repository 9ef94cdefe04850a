r"""
How long a bank lasts under a current: Peukert's law in its rated-hour form.

The law's state is *availability*, the share of today's capacity that this way of drawing
still lets out. It is not the charge left: 50 A out of a 100 Ah bank may halve the
availability after 32 Ah. Recharge needs the real ampere-hours, kept in a ledger elsewhere.

Depends on: physics.bounds.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

RESERVE_CURRENT_A: Final = 25.0
"""Current of the reserve-capacity rating, drawn to 10.5 V at 27 degC (BCI, from memory). [A]"""

MINUTES_PER_HOUR: Final = 60.0


def peukert_drain_factor(
    current_a: ArrayLike,
    *,
    capacity_ah: ArrayLike,
    rated_time_h: ArrayLike,
    exponent: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return how much faster than a plain ampere-hour count a current empties the bank.

    Multiply the real current by this factor to get the pace at which availability falls.
    Under a varying load take the factor at the *smoothed* current (`smoothed_current_a`)
    and multiply by the current of the moment.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Discharge current, zero or positive. [A]
    capacity_ah : array_like, broadcastable
        Capacity at the rated time. [Ah]
    rated_time_h : array_like, broadcastable
        Discharge time of that rating, 20 on most labels. [h]
    exponent : array_like, broadcastable
        Peukert's exponent, 1 for an ideal bank. [1]

    Returns
    -------
    factor : ndarray, shape (...)
        1 at and below the rated current, more above it. [1]

    Raises
    ------
    ValueError
        If the current is negative, the capacity or rated time not positive, or the exponent
        below 1.

    Notes
    -----
    .. math:: f = \max(1, I H / C)^{k - 1}

    The ``max`` is ours: below the rated current the bare law hands out more than the label.

    References
    ----------
    .. [1] W. Peukert, Elektrotechnische Zeitschrift, 1897 (from memory).

    Examples
    --------
    >>> peukert_drain_factor(25.0, capacity_ah=100.0, rated_time_h=20.0, exponent=1.2).round(4)
    np.float64(1.3797)
    """
    current = bounded(current_a, name="current_a", low=0.0)
    ratio = current * bounded(rated_time_h, name="rated_time_h", low=0.0, above=True)
    ratio = ratio / bounded(capacity_ah, name="capacity_ah", low=0.0, above=True)
    power = bounded(exponent, name="exponent", low=1.0) - 1.0
    return np.asarray(np.maximum(ratio, 1.0) ** power, dtype=np.float64)


def peukert_effective_current_a(
    current_a: ArrayLike,
    *,
    capacity_ah: ArrayLike,
    rated_time_h: ArrayLike,
    exponent: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the steady current that would drain an ideal bank just as fast.

    With it the rated capacity can be treated as a constant: availability falls by this
    current over the capacity.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Discharge current, zero or positive. [A]
    capacity_ah : array_like, broadcastable
        Capacity at the rated time. [Ah]
    rated_time_h : array_like, broadcastable
        Discharge time of that rating. [h]
    exponent : array_like, broadcastable
        Peukert's exponent. [1]

    Returns
    -------
    effective_current_a : ndarray, shape (...)
        Never below `current_a`. [A]

    Raises
    ------
    ValueError
        As `peukert_drain_factor`.

    Notes
    -----
    .. math:: I_\mathrm{eff} = I \max(1, I H / C)^{k - 1}

    Assumptions, in the order they fail:

    * A steady current. After a hard spell the law forgets the charge a rest gives back, and
      under a varying load it ends the day too early [1]_ (abstract read).
    * A steady temperature.
    * Lead-acid; lithium iron phosphate follows it only loosely, with an exponent near 1.

    References
    ----------
    .. [1] D. Doerffel, S. A. Sharkh, J. Power Sources 155 (2006) 395-400 (abstract read).

    Examples
    --------
    >>> label = {"capacity_ah": 100.0, "rated_time_h": 20.0, "exponent": 1.2}
    >>> peukert_effective_current_a([5.0, 25.0], **label).round(2)
    array([ 5.  , 34.49])
    """
    factor = peukert_drain_factor(
        current_a, capacity_ah=capacity_ah, rated_time_h=rated_time_h, exponent=exponent
    )
    return np.asarray(np.asarray(current_a, dtype=np.float64) * factor)


def peukert_runtime_h(
    current_a: ArrayLike,
    *,
    capacity_ah: ArrayLike,
    rated_time_h: ArrayLike,
    exponent: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return how long a full bank carries a steady current.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Discharge current, zero or positive. [A]
    capacity_ah : array_like, broadcastable
        Capacity at the rated time. [Ah]
    rated_time_h : array_like, broadcastable
        Discharge time of that rating. [h]
    exponent : array_like, broadcastable
        Peukert's exponent. [1]

    Returns
    -------
    runtime_h : ndarray, shape (...)
        Infinite at no current. [h]

    Raises
    ------
    ValueError
        As `peukert_drain_factor`.

    Notes
    -----
    .. math:: t = C / I_\mathrm{eff} = H (C / (I H))^k

    the second form at and above the rated current. Self-discharge is left out.

    Examples
    --------
    >>> label = {"capacity_ah": 100.0, "rated_time_h": 20.0, "exponent": 1.2}
    >>> peukert_runtime_h([5.0, 10.0, 25.0], **label).round(3)
    array([20.   ,  8.706,  2.899])
    """
    effective = peukert_effective_current_a(
        current_a, capacity_ah=capacity_ah, rated_time_h=rated_time_h, exponent=exponent
    )
    capacity = np.broadcast_to(np.asarray(capacity_ah, dtype=np.float64), effective.shape)
    hours = np.full(effective.shape, np.inf)
    with np.errstate(over="ignore"):  # beyond the largest number is for ever too
        np.divide(capacity, effective, out=hours, where=effective > 0.0)
    return hours


def capacity_lasting_ah(
    time_h: ArrayLike,
    *,
    capacity_ah: ArrayLike,
    rated_time_h: ArrayLike,
    exponent: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the ampere-hours a full bank gives when they are to last a given time.

    This turns one rating into another: the 20-hour figure into a 5-hour one.

    Parameters
    ----------
    time_h : array_like, shape (...)
        Wanted length of a steady discharge, positive. [h]
    capacity_ah : array_like, broadcastable
        Capacity at the rated time. [Ah]
    rated_time_h : array_like, broadcastable
        Discharge time of that rating. [h]
    exponent : array_like, broadcastable
        Peukert's exponent. [1]

    Returns
    -------
    delivered_ah : ndarray, shape (...)
        Never more than `capacity_ah`. [Ah]

    Raises
    ------
    ValueError
        If a time or the capacity is not positive, or the exponent below 1.

    Notes
    -----
    .. math:: q(T) = C \min(1, T / H)^{1 - 1/k}

    Peukert's law solved for the charge (our algebra); the ``min`` is the guard against
    giving more than the label.

    Examples
    --------
    >>> capacity_lasting_ah(5.0, capacity_ah=100.0, rated_time_h=20.0, exponent=1.2).round(2)
    np.float64(79.37)
    """
    share = bounded(time_h, name="time_h", low=0.0, above=True) / bounded(
        rated_time_h, name="rated_time_h", low=0.0, above=True
    )
    power = 1.0 - 1.0 / bounded(exponent, name="exponent", low=1.0)
    capacity = bounded(capacity_ah, name="capacity_ah", low=0.0, above=True)
    return np.asarray(capacity * np.minimum(share, 1.0) ** power)


def smoothing_shares(
    step_s: ArrayLike, *, memory_s: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""
    Return how much of an old current is still felt after a step, and on average over it.

    Split off from `smoothed_current_a` because they depend on nothing that the bank does: a
    loop over steps works them out once.

    Parameters
    ----------
    step_s : array_like, shape (...)
        Length of the step, zero or positive. [s]
    memory_s : array_like, broadcastable
        Averaging time; zero gives the bare law back. [s]

    Returns
    -------
    end_share, mean_share : ndarray, shape (...)
        Share left at the step's end, and its mean over the step, both 0 to 1. [1]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Notes
    -----
    With :math:`x = \Delta t / \tau`: :math:`e^{-x}` and :math:`(1 - e^{-x}) / x`.

    Examples
    --------
    >>> end, mean = smoothing_shares(900.0, memory_s=900.0)
    >>> float(end.round(4)), float(mean.round(4))
    (0.3679, 0.6321)
    """
    step, memory = np.broadcast_arrays(
        bounded(step_s, name="step_s", low=0.0), bounded(memory_s, name="memory_s", low=0.0)
    )
    # 700 memories back is nothing left, and exp stays in range; no memory is the same thing.
    steps = np.full(step.shape, 700.0)
    np.divide(step, memory, out=steps, where=step < 700.0 * memory)
    lost = -np.expm1(-steps)
    mean_share = np.where(memory > 0.0, 1.0, 0.0)
    np.divide(lost, steps, out=mean_share, where=(memory > 0.0) & (steps > 0.0))
    end_share = np.where(memory > 0.0, 1.0 - lost, 0.0)
    return np.asarray(end_share), np.asarray(mean_share)


def smoothed_current_a(
    previous_a: ArrayLike, current_a: ArrayLike, *, step_s: ArrayLike, memory_s: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""
    Return the current a slow bank still feels, at a step's end and averaged over the step.

    Charge held back in a burst comes out again while the load rests, over minutes. Taking
    Peukert's factor at a smoothed current lets short bursts cost less than the same current
    held for hours, and changes nothing under a steady load.

    Parameters
    ----------
    previous_a : array_like, shape (...)
        Smoothed current at the step's start; seed it with the day's first load, or it
        flatters the first minutes. [A]
    current_a : array_like, broadcastable
        Real current, steady over the step. [A]
    step_s : array_like, broadcastable
        Length of the step, zero or positive. [s]
    memory_s : array_like, broadcastable
        Averaging time; zero gives the bare law back. [s]

    Returns
    -------
    end_a, mean_a : ndarray, shape (...)
        Smoothed current at the step's end, and its mean over the step. [A]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Notes
    -----
    The exact step of :math:`\tau \dot I_x = I - I_x`, with :math:`x = \Delta t / \tau`:

    .. math:: I_x \to I + (I_x - I) e^{-x}, \quad
              \bar I_x = I + (I_x - I) (1 - e^{-x}) / x

    A house addition. With 15 minutes it brings a stepped fishing hour from 17 % below a
    two-well kinetic model to within 2 to 3 % of it (computed).
    """
    previous = bounded(previous_a, name="previous_a", low=0.0)
    current = bounded(current_a, name="current_a", low=0.0)
    end_share, mean_share = smoothing_shares(step_s, memory_s=memory_s)
    jump = previous - current
    return np.asarray(current + jump * end_share), np.asarray(current + jump * mean_share)
