r"""
A lead-acid block as two wells of charge: the kinetic battery model in closed form.

One well feeds the terminals, the other seeps into it. A hard spell empties the first well and
leaves charge behind in the second; a rest lets it come through. The state is two numbers: the
charge in the available well, and all the charge left in both. The block is empty when the
available well is. Fitting wells to a label is in `physics.wells_fit`.

Depends on: physics.bounds.
"""

from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

# Below this a current counts as none: the wells would outlast anything, and the divisions
# by it below could leave the range of a float.
_NO_CURRENT_A: Final = 1e-100
_CLOSE: Final = 1e-7  # a correction this small, relative, is the last: a round takes its cube
_MOST_ROUNDS: Final = 40  # eight were the most in half a million wells, sane and not
_AT_ONCE: Final = 16_384  # numbers worked on together; more leave the processor's cache


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wells:
    """The two wells of a block; numbers, or arrays that broadcast against each other."""

    total_ah: ArrayLike  # charge of both wells when full, above any rating
    available_share: ArrayLike  # part of it in the well at the terminals, 1 for an ideal block
    rate_per_h: ArrayLike  # pace at which the wells even out, as e^-kt

    def __post_init__(self) -> None:
        bounded(self.total_ah, name="total_ah", low=0.0, above=True)
        bounded(self.available_share, name="available_share", low=0.0, high=1.0, above=True)
        bounded(self.rate_per_h, name="rate_per_h", low=0.0, above=True)


class WellsStep(NamedTuple):
    """What one step of steady current does: y1' = keep y1 + refill y0 - spend_h I."""

    keep: Array  # share of the available charge still there
    refill: Array  # share of all the charge left that comes to the available well
    spend_h: Array  # available charge gone for each ampere drawn


def mean_decay(elapsed: ArrayLike) -> Array:
    """Return the mean of e^-x from 0 to an `elapsed` x: 1 at nought, 1/x far out."""
    x = np.asarray(elapsed, dtype=np.float64)
    mean = np.ones(x.shape)
    np.divide(-np.expm1(-x), x, out=mean, where=x > 0.0)
    return mean


def wells_step(
    step_h: ArrayLike, *, available_share: ArrayLike, rate_per_h: ArrayLike
) -> WellsStep:
    r"""
    Return the three numbers that carry the available well over a step of steady current.

    They hang on the step's length and the wells only, so a loop works them out once.

    Parameters
    ----------
    step_h : array_like, shape (...)
        Length of the step, zero or positive. [h]
    available_share : array_like, broadcastable
        Part of the charge in the available well when even, above 0 to 1. [1]
    rate_per_h : array_like, broadcastable
        Pace at which the wells even out. [1/h]

    Returns
    -------
    step : WellsStep
        Shares kept and refilled [1] and hours spent for each ampere [h], shape (...).

    Raises
    ------
    ValueError
        If the step is negative, the share not in (0, 1] or the rate not positive.

    Notes
    -----
    With :math:`x = k h` and :math:`\varphi = (1 - e^{-x}) / x`:

    .. math:: \text{keep} = e^{-x}, \quad \text{refill} = c (1 - e^{-x}), \quad
              \text{spend} = h (c + (1 - c) \varphi)

    The closed form of the model of [1]_, exact at any length while the current holds still.
    The literature's :math:`c (x - 1 + e^{-x}) / k` loses digits in a short step; written with
    :math:`\varphi` (our algebra) nothing is subtracted. Some papers swap :math:`k` and
    :math:`k' = k c (1 - c)`; here it is the rate in the exponent.

    References
    ----------
    .. [1] J. F. Manwell, J. G. McGowan, Solar Energy 50 (1993) 399-405 (from memory).

    Examples
    --------
    >>> step = wells_step(1.0, available_share=0.5, rate_per_h=0.36)
    >>> [round(float(part), 4) for part in step]
    [0.6977, 0.1512, 0.9199]
    """
    step = bounded(step_h, name="step_h", low=0.0)
    share = bounded(available_share, name="available_share", low=0.0, high=1.0, above=True)
    elapsed = bounded(rate_per_h, name="rate_per_h", low=0.0, above=True) * step
    keep, refill, spend = np.broadcast_arrays(
        np.exp(-elapsed),
        -share * np.expm1(-elapsed),
        step * (share + (1.0 - share) * mean_decay(elapsed)),
    )
    return WellsStep(np.array(keep), np.array(refill), np.array(spend))


def wells_after(
    available_ah: ArrayLike,
    left_ah: ArrayLike,
    *,
    current_a: ArrayLike,
    step_h: ArrayLike,
    wells: Wells,
) -> tuple[Array, Array]:
    r"""
    Return what both wells hold after a steady current, or after a rest.

    Parameters
    ----------
    available_ah, left_ah : array_like, shape (...)
        Charge in the available well, and in both together. [Ah]
    current_a : array_like, broadcastable
        Steady current; zero rests the block, a negative one charges it. [A]
    step_h : array_like, broadcastable
        How long, zero or positive. [h]
    wells : Wells
        The block's wells.

    Returns
    -------
    available_ah, left_ah : ndarray, shape (...)
        The same two afterwards; an available charge below nought says that the current could
        not be carried to the end (`wells_time_left_h` says how far). [Ah]

    Raises
    ------
    ValueError
        If an argument is not finite or the time negative.

    Notes
    -----
    Nothing is held between empty and full: the caller ends the discharge or the charge there.
    Only one pace of evening out is in the model; a real block has one of minutes too.

    Examples
    --------
    >>> bank = Wells(total_ah=114.9, available_share=0.485, rate_per_h=0.356)
    >>> rested, left = wells_after(10.0, 60.0, current_a=0.0, step_h=1.0, wells=bank)
    >>> float(rested.round(2)), float(left)
    (15.72, 60.0)
    """
    current = bounded(current_a, name="current_a")
    step = wells_step(
        step_h, available_share=wells.available_share, rate_per_h=wells.rate_per_h
    )
    left = bounded(left_ah, name="left_ah")
    available = step.keep * bounded(available_ah, name="available_ah")
    available = available + step.refill * left - step.spend_h * current
    return np.asarray(available), np.asarray(left - current * np.asarray(step_h))


def wells_largest_current_a(
    available_ah: ArrayLike, left_ah: ArrayLike, *, step_h: ArrayLike, wells: Wells
) -> Array:
    r"""
    Return the steady current that empties the available well just at a step's end.

    Parameters
    ----------
    available_ah, left_ah : array_like, shape (...)
        Charge in the available well, and in both together. [Ah]
    step_h : array_like, broadcastable
        Length of the step, positive. [h]
    wells : Wells
        The block's wells.

    Returns
    -------
    current_a : ndarray, shape (...)
        Zero where the available well is empty already. [A]

    Raises
    ------
    ValueError
        If a charge is not finite or the step not positive.

    Examples
    --------
    >>> bank = Wells(total_ah=114.9, available_share=0.485, rate_per_h=0.356)
    >>> wells_largest_current_a(0.485 * 114.9, 114.9, step_h=20.0, wells=bank).round(3)
    np.float64(5.0)
    """
    available = bounded(available_ah, name="available_ah")
    step = wells_step(
        bounded(step_h, name="step_h", low=0.0, above=True),
        available_share=wells.available_share,
        rate_per_h=wells.rate_per_h,
    )
    whole = step.keep * available + step.refill * bounded(left_ah, name="left_ah")
    return np.asarray(np.where(available > 0.0, whole, 0.0) / step.spend_h)


def wells_time_left_h(
    available_ah: ArrayLike, left_ah: ArrayLike, *, current_a: ArrayLike, wells: Wells
) -> Array:
    r"""
    Return how long the wells carry a steady current before the available one is empty.

    Parameters
    ----------
    available_ah, left_ah : array_like, shape (...)
        Charge in the available well, and in both together (never less). [Ah]
    current_a : array_like, broadcastable
        Steady discharge current, zero or positive. [A]
    wells : Wells
        The block's wells.

    Returns
    -------
    time_left_h : ndarray, shape (...)
        Zero where the available well is empty, however much is behind it; else infinite at
        no current. [h]

    Raises
    ------
    ValueError
        If a charge is not finite or the current negative.

    Notes
    -----
    With :math:`s = k t`, :math:`b = k y_1 / (c I)` and
    :math:`\delta = (1 - c) / c - (k / I) (y_0 - y_1 / c)` the available well is empty where

    .. math:: s + \delta (1 - e^{-s}) = b

    which is a Lambert function in disguise (our algebra). Replacing :math:`1 - e^{-s}` by
    :math:`s / (1 + s)` gives a quadratic whose root is right at both ends; Halley's rule,
    kept between the bounds the equation itself gives, does the rest in a few rounds.

    Examples
    --------
    >>> bank = Wells(total_ah=114.9, available_share=0.485, rate_per_h=0.356)
    >>> wells_time_left_h(20.0, 60.0, current_a=[0.0, 5.0, 50.0], wells=bank).round(3)
    array([  inf, 8.986, 0.444])
    """
    available, left, current, share, rate = np.broadcast_arrays(
        bounded(available_ah, name="available_ah"),
        bounded(left_ah, name="left_ah"),
        bounded(current_a, name="current_a", low=0.0),
        np.asarray(wells.available_share, dtype=np.float64),
        np.asarray(wells.rate_per_h, dtype=np.float64),
    )
    columns = (available, left, current, share, rate)
    if available.size <= _AT_ONCE:
        return _emptied(*columns)
    hours = np.empty(available.shape)
    rows = max(1, _AT_ONCE * len(available) // available.size)
    for first in range(0, len(available), rows):
        part = slice(first, first + rows)
        hours[part] = _emptied(*(column[part] for column in columns))
    return hours


def wells_runtime_h(current_a: ArrayLike, *, wells: Wells) -> Array:
    """
    Return how long full wells carry a steady current.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Steady discharge current, zero or positive. [A]
    wells : Wells
        The block's wells.

    Returns
    -------
    runtime_h : ndarray, shape (...)
        Infinite at no current. [h]

    Raises
    ------
    ValueError
        If the current is negative or not finite.

    Examples
    --------
    >>> bank = Wells(total_ah=114.894, available_share=0.48514, rate_per_h=0.35602)
    >>> wells_runtime_h([5.0, 10.0, 25.0, 50.0], wells=bank).round(2)
    array([20.  ,  8.65,  2.74,  1.24])
    """
    total = np.asarray(wells.total_ah, dtype=np.float64)
    return wells_time_left_h(
        total * np.asarray(wells.available_share), total, current_a=current_a, wells=wells
    )


def wells_capacity_lasting_ah(time_h: ArrayLike, *, wells: Wells) -> Array:
    r"""
    Return the ampere-hours full wells give when they are to last a given time.

    Parameters
    ----------
    time_h : array_like, shape (...)
        Length of a steady discharge, zero or positive. [h]
    wells : Wells
        The block's wells.

    Returns
    -------
    delivered_ah : ndarray, shape (...)
        From the available well alone at once, to all there is in a very long time. [Ah]

    Raises
    ------
    ValueError
        If the time is negative or not finite.

    Notes
    -----
    .. math:: q(T) = \frac{c\,Q}{c + (1 - c)\,\varphi(k T)}, \quad
              \varphi(x) = (1 - e^{-x}) / x

    Examples
    --------
    >>> bank = Wells(total_ah=114.894, available_share=0.48514, rate_per_h=0.35602)
    >>> wells_capacity_lasting_ah([20.0, 10.0, 1.0], wells=bank).round(1)
    array([100. ,  89.1,  60.7])
    """
    rate = np.asarray(wells.rate_per_h, dtype=np.float64)
    share = np.asarray(wells.available_share, dtype=np.float64)
    held = (1.0 - share) * mean_decay(rate * bounded(time_h, name="time_h", low=0.0))
    return np.asarray(np.asarray(wells.total_ah) * share / (share + held))


def _emptied(available: Array, left: Array, current: Array, share: Array, rate: Array) -> Array:
    """Return the hours until the available well is empty; none or all of time where trivial."""
    draws = (available > 0.0) & (current > _NO_CURRENT_A)
    if draws.all():
        return _drawn_empty(available, left, current, share, rate)
    hours = np.where(available > 0.0, np.inf, 0.0)
    if draws.any():
        columns = (available, left, current, share, rate)
        hours[draws] = _drawn_empty(*(column[draws] for column in columns))
    return hours


def _drawn_empty(
    available: Array, left: Array, current: Array, share: Array, rate: Array
) -> Array:
    """Return the hours to an empty available well, where there is charge and current."""
    pace = rate / current
    level = available / share
    held = (1.0 - share) / share - pace * (left - level)
    return np.asarray(_root(pace * level, held) / rate)


def _root(b: Array, held: Array) -> Array:
    """Return s > 0 of s + held (1 - e^-s) = b, b positive."""
    # b - held and, where the slope at nought is positive, b / (1 + held) lie beyond the root
    # as seen from b: 1 - e^-s is below both 1 and s.
    far = b - held
    slope = 1.0 + held
    tangent = np.divide(b, slope, out=np.array(far), where=slope > 0.0)
    far = np.where(held > 0.0, np.maximum(far, tangent), np.minimum(far, tangent))
    low, high = np.minimum(b, far), np.maximum(b, far)
    middle = b - slope
    radical = np.sqrt(middle * middle + 4.0 * b)
    larger = 0.5 * (np.abs(middle) + radical)  # of the two roots, whose product is -b
    s = np.where(middle > 0.0, larger, b / larger)
    for _ in range(_MOST_ROUNDS):
        fade = np.expm1(-s)
        miss = s - held * fade - b
        bend = held * (1.0 + fade)
        first = 1.0 + bend
        move = miss * first / (first * first + 0.5 * miss * bend)
        s = np.minimum(np.maximum(s - move, low), high)
        if not np.any(np.abs(move) > _CLOSE * s):
            break
    return np.asarray(s)
