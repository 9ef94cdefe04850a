r"""
What a battery's label says about its Peukert exponent.

Depends on: physics.bounds, physics.discharge.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.discharge import (
    MINUTES_PER_HOUR,
    RESERVE_CURRENT_A,
    peukert_runtime_h,
)

# A label whose reserve is just its ampere-hours over 25 A must give exactly 1, not a rounding.
_ROUNDING = 1e-9


def reserve_capacity_ah(reserve_min: ArrayLike) -> NDArray[np.float64]:
    """
    Return the ampere-hours that a reserve-capacity rating stands for.

    Parameters
    ----------
    reserve_min : array_like, shape (...)
        Minutes at 25 A. [min]

    Returns
    -------
    capacity_ah : ndarray, shape (...)
        Charge given in that time. [Ah]

    Raises
    ------
    ValueError
        If the reserve is not positive.

    Examples
    --------
    >>> reserve_capacity_ah(120.0)
    array(50.)
    """
    reserve = bounded(reserve_min, name="reserve_min", low=0.0, above=True)
    return np.asarray(reserve * (RESERVE_CURRENT_A / MINUTES_PER_HOUR))


def reserve_min_from_exponent(
    exponent: ArrayLike, *, capacity_ah: ArrayLike, rated_time_h: ArrayLike
) -> NDArray[np.float64]:
    """
    Return the reserve-capacity minutes that go with an exponent and an ampere-hour rating.

    Parameters
    ----------
    exponent : array_like, shape (...)
        Peukert's exponent. [1]
    capacity_ah : array_like, broadcastable
        Capacity at the rated time. [Ah]
    rated_time_h : array_like, broadcastable
        Discharge time of that rating. [h]

    Returns
    -------
    reserve_min : ndarray, shape (...)
        Minutes a full bank carries 25 A. [min]

    Raises
    ------
    ValueError
        If the exponent is below 1, or the capacity or rated time not positive.

    Examples
    --------
    >>> reserve_min_from_exponent(1.2, capacity_ah=100.0, rated_time_h=20.0).round(2)
    np.float64(173.95)
    """
    hours = peukert_runtime_h(
        RESERVE_CURRENT_A,
        capacity_ah=capacity_ah,
        rated_time_h=rated_time_h,
        exponent=exponent,
    )
    return np.asarray(hours * MINUTES_PER_HOUR)


def peukert_exponent_from_reserve(
    reserve_min: ArrayLike, *, capacity_ah: ArrayLike, rated_time_h: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the Peukert exponent that a label's ampere-hours and reserve minutes imply.

    Both figures stand on most lead-acid cases, so the exponent need not be guessed.

    Parameters
    ----------
    reserve_min : array_like, shape (...)
        Reserve capacity: minutes at 25 A. [min]
    capacity_ah : array_like, broadcastable
        Capacity at the rated time. [Ah]
    rated_time_h : array_like, broadcastable
        Discharge time of that rating. [h]

    Returns
    -------
    exponent : ndarray, shape (...)
        Peukert's exponent, 1 or more. [1]

    Raises
    ------
    ValueError
        If a figure is not positive; if the rated current is 25 A or more, where the reserve
        says nothing; or if the two figures contradict each other (exponent below 1).

    Notes
    -----
    .. math:: k = \ln(60 H / R) / \ln(25 H / C)

    Labels come from different test temperatures (25 and 27 degC) and are rounded, which is
    about 1 % in the exponent; the nearer the rated current is to 25 A the more it is
    magnified. Above about 1.4 the two figures hardly belong to one battery.

    References
    ----------
    .. [1] BCI definition of reserve capacity: 25 A, 80 degF, to 1.75 V a cell (as repeated
       by several public pages; the standard itself from memory).

    Examples
    --------
    >>> peukert_exponent_from_reserve(185.0, capacity_ah=105.0, rated_time_h=20.0).round(3)
    np.float64(1.198)
    """
    minutes = bounded(reserve_min, name="reserve_min", low=0.0, above=True)
    capacity = bounded(capacity_ah, name="capacity_ah", low=0.0, above=True)
    rated_time = bounded(rated_time_h, name="rated_time_h", low=0.0, above=True)
    rated_current = capacity / rated_time
    if not np.all(rated_current < RESERVE_CURRENT_A):
        raise ValueError(
            f"capacity_ah over rated_time_h is {np.max(rated_current):g} A; the reserve is "
            f"measured at 25 A, so it says nothing about the exponent unless the rated "
            f"current is below 25 A"
        )
    exponent = np.log(rated_time * MINUTES_PER_HOUR / minutes) / np.log(
        RESERVE_CURRENT_A / rated_current
    )
    _refuse_ideal_beaten("reserve_min", exponent)
    return np.asarray(np.maximum(exponent, 1.0))


def peukert_exponent_from_ratings(
    time_h: ArrayLike, capacity_ah: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""
    Return the exponent that fits two or more ratings best, and how badly it still misses.

    Parameters
    ----------
    time_h : array_like, shape (ratings, ...)
        Discharge time of each rating; 20, 6, 5 and the reserve's hours are usual. [h]
    capacity_ah : array_like, shape (ratings, ...)
        Capacity at each; `reserve_capacity_ah` gives the reserve's. [Ah]

    Returns
    -------
    exponent : ndarray, shape (...)
        Peukert's exponent, 1 or more. [1]
    misfit : ndarray, shape (...)
        Largest miss of the fitted law, as a share of a rated capacity; 0 with two. [1]

    Raises
    ------
    ValueError
        If there are fewer than two different times, the shapes differ, a figure is not
        positive, or a shorter discharge gives more than a longer one.

    Notes
    -----
    Least squares of :math:`\ln q` on :math:`\ln T`, whose slope is :math:`1 - 1/k`.

    Examples
    --------
    >>> exponent, misfit = peukert_exponent_from_ratings([20.0, 5.0], [100.0, 79.37])
    >>> exponent.round(3)
    np.float64(1.2)
    """
    times = bounded(time_h, name="time_h", low=0.0, above=True)
    capacities = bounded(capacity_ah, name="capacity_ah", low=0.0, above=True)
    if times.shape != capacities.shape or times.ndim == 0:
        raise ValueError(
            f"time_h and capacity_ah have shapes {times.shape} and {capacities.shape}; "
            "give one time to each capacity, at least two of each"
        )
    if times.shape[0] < 2 or not np.all(np.ptp(times, axis=0) > 0.0):
        raise ValueError("time_h holds a single discharge time; two different ones are needed")
    log_time = np.log(times) - np.log(times).mean(axis=0)
    log_charge = np.log(capacities) - np.log(capacities).mean(axis=0)
    slope = (log_time * log_charge).sum(axis=0) / (log_time * log_time).sum(axis=0)
    if not np.all(slope < 1.0):
        raise ValueError(
            "capacity_ah rises faster than time_h: a longer discharge would need a larger "
            "current; check that the ratings are in order"
        )
    exponent = 1.0 / (1.0 - slope)
    _refuse_ideal_beaten("capacity_ah", exponent)
    misfit = np.abs(np.expm1(slope * log_time - log_charge)).max(axis=0)
    return np.asarray(np.maximum(exponent, 1.0)), np.asarray(misfit)


def _refuse_ideal_beaten(name: str, exponent: NDArray[np.float64]) -> None:
    """Raise where ratings say that a harder discharge gives more."""
    if not np.all(exponent >= 1.0 - _ROUNDING):
        raise ValueError(
            f"{name} implies a Peukert exponent of {np.min(exponent):.3f}, below 1: a harder "
            "discharge would give more ampere-hours than a gentle one; check the label"
        )
