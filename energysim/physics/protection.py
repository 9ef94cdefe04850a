r"""
What a breaker or fuse, where it sits, and a plug must measure up to.

Verdicts come as codes, worst highest: `PASS`, `LOOK_AGAIN`, `CAUTION`.

Depends on: physics.bounds, physics.cable (the inch).
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.cable import INCH_M

Array = NDArray[np.float64]
Codes = NDArray[np.int8]

PASS: Final = 0
LOOK_AGAIN: Final = 1
CAUTION: Final = 2

CEILING_SHARE: Final = 1.5
"""Rating of a device over its wire's ampacity, at the most (33 CFR 183.455(c), read). [1]"""

OPEN_REACH_M: Final = 7.0 * INCH_M
"""Along the wire from the source to the device, the wire lying bare (183.455(b), read). [m]"""

SHEATHED_REACH_M: Final = 40.0 * INCH_M
"""The same where the wire is sheathed or enclosed all the way (183.455(b), read). [m]"""

BATTERY_REACH_M: Final = 72.0 * INCH_M
"""
Sheathed, and straight from a battery's own terminal: ABYC E-11, by three second-hand sources;
the federal text does not have it. [m]
"""

_ROUNDING: Final = 1.0 + 1e-9  # 7 in typed in millimetres is still 7 in


def overcurrent_ceiling_a(ampacity_a: ArrayLike) -> Array:
    """
    Return the largest rating a breaker or fuse may have on a wire: a ceiling, not an aim.

    Parameters
    ----------
    ampacity_a : array_like, shape (...)
        What the wire may carry. [A]

    Returns
    -------
    ceiling_a : ndarray, shape (...)
        Half as much again. [A]

    Raises
    ------
    ValueError
        If an ampacity is negative.

    Notes
    -----
    33 CFR 183.455(c): below 50 V at most 150 % of the wire's amperage; from 50 V up, the next
    standard size above 100 %, and that too within 150 %.

    Examples
    --------
    >>> overcurrent_ceiling_a(120.0)
    array(180.)
    """
    return np.asarray(CEILING_SHARE * bounded(ampacity_a, name="ampacity_a", low=0.0))


def overcurrent_verdict(
    rating_a: ArrayLike, *, load_a: ArrayLike, ampacity_a: ArrayLike
) -> Codes:
    """
    Return whether a device carries its load and still guards its wire.

    Parameters
    ----------
    rating_a : array_like, shape (...)
        Rating of the breaker or fuse. [A]
    load_a : array_like, broadcastable
        The most the load draws for long. [A]
    ampacity_a : array_like, broadcastable
        What the wire may carry as it is laid. [A]

    Returns
    -------
    verdict : ndarray of int8, shape (...)
        `PASS` from the load to the ampacity, `LOOK_AGAIN` up to `overcurrent_ceiling_a`,
        `CAUTION` below the load and above the ceiling. [1]

    Raises
    ------
    ValueError
        If a rating is not above zero, or a load or ampacity negative.

    Notes
    -----
    The ceiling is the rule's; to pass only within the ampacity is our choice.

    Examples
    --------
    >>> overcurrent_verdict([40, 60, 100, 150], load_a=52, ampacity_a=84)
    array([2, 0, 1, 2], dtype=int8)
    """
    rating = bounded(rating_a, name="rating_a", low=0.0, above=True)
    load = bounded(load_a, name="load_a", low=0.0)
    wire = bounded(ampacity_a, name="ampacity_a", low=0.0)
    above = np.where(rating <= wire * _ROUNDING, PASS, LOOK_AGAIN)
    wrong = (rating * _ROUNDING < load) | (rating > CEILING_SHARE * wire * _ROUNDING)
    return np.asarray(np.where(wrong, CAUTION, above), dtype=np.int8)


def place_verdict(distance_m: ArrayLike, *, sheathed: ArrayLike) -> Codes:
    """
    Return whether a device sits near enough to the battery it guards the wire against.

    Parameters
    ----------
    distance_m : array_like, shape (...)
        From the battery's terminal to the device, along the wire. [m]
    sheathed : array_like of bool, broadcastable
        Whether that stretch is sheathed or enclosed all the way. [flag]

    Returns
    -------
    verdict : ndarray of int8, shape (...)
        `PASS` within 7 in, or within 40 in sheathed; `LOOK_AGAIN` within 72 in sheathed, which
        one standard lets pass and the federal text does not; else `CAUTION`. [1]

    Raises
    ------
    ValueError
        If a distance is negative.

    Examples
    --------
    >>> place_verdict([0.1, 0.5, 0.5, 1.5], sheathed=[False, False, True, True])
    array([0, 2, 0, 1], dtype=int8)
    """
    distance = bounded(distance_m, name="distance_m", low=0.0)
    closed = np.asarray(sheathed, dtype=bool)
    near = distance <= np.where(closed, SHEATHED_REACH_M, OPEN_REACH_M) * _ROUNDING
    perhaps = closed & (distance <= BATTERY_REACH_M * _ROUNDING)
    away = np.where(perhaps, LOOK_AGAIN, CAUTION)
    return np.asarray(np.where(near, PASS, away), dtype=np.int8)


def plug_needs_a(load_a: ArrayLike, *, breaker_a: ArrayLike) -> Array:
    """
    Return what a plug and its socket must be rated for, so that they are never the weak link.

    Parameters
    ----------
    load_a : array_like, shape (...)
        The most the load draws for long. [A]
    breaker_a : array_like, broadcastable
        Rating of the device before it. [A]

    Returns
    -------
    rating_a : ndarray, shape (...)
        The larger of the two (common practice, no source). [A]

    Raises
    ------
    ValueError
        If either is negative.

    Examples
    --------
    >>> plug_needs_a(52.0, breaker_a=60.0)
    array(60.)
    """
    load = bounded(load_a, name="load_a", low=0.0)
    return np.asarray(np.maximum(load, bounded(breaker_a, name="breaker_a", low=0.0)))
