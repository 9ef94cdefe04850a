r"""
What a battery loses by standing: self-discharge between trips and over a winter.

Depends on: physics.bounds.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

DAYS_PER_MONTH: Final = 365.25 / 12.0
"""Days in a month of the usual figures, "so much a month". [count]"""

STORAGE_DEGC: Final = 20.0
"""Temperature the monthly figures of practice are stated at. [degC]"""

DOUBLING_DEGC: Final = 10.0
"""Warmth that doubles the self-discharge of lead-acid (from memory). [degC]"""


def self_discharge_per_month(
    temperature_degc: ArrayLike,
    *,
    per_month: ArrayLike,
    reference_degc: ArrayLike = STORAGE_DEGC,
    doubling_degc: ArrayLike = DOUBLING_DEGC,
) -> NDArray[np.float64]:
    r"""
    Return how fast a battery runs down by itself at a temperature.

    Parameters
    ----------
    temperature_degc : array_like, shape (...)
        Of the cells while they stand, -40 to 60. [degC]
    per_month : array_like, broadcastable
        Share of what is left that goes in a month at the reference, 0 to below 1. [1/month]
    reference_degc : array_like, broadcastable
        Temperature that figure belongs to. [degC]
    doubling_degc : array_like, broadcastable
        Warmth that doubles the pace. [degC]

    Returns
    -------
    pace : ndarray, shape (...)
        Rate of exponential decay: :math:`-\ln` of the share left after a month. [1/month]

    Raises
    ------
    ValueError
        If the temperature is outside -40 to 60 degC, the monthly share not within 0 and 1,
        or the doubling not positive.

    Notes
    -----
    .. math:: r(T) = -\ln(1 - p) \; 2^{(T - T_0) / D}

    Doubling every 10 degC is the rule of the trade for lead-acid (from memory; a rate process
    over a narrow range). Below freezing the rule has not been checked.

    Examples
    --------
    >>> self_discharge_per_month([20.0, 30.0], per_month=0.08).round(4)
    array([0.0834, 0.1668])
    """
    cells = bounded(temperature_degc, name="temperature_degc", low=-40.0, high=60.0)
    share = bounded(per_month, name="per_month", low=0.0, high=0.99)
    base = bounded(reference_degc, name="reference_degc", low=-40.0, high=60.0)
    step = bounded(doubling_degc, name="doubling_degc", low=0.0, above=True)
    return np.asarray(-np.log1p(-share) * np.exp2((cells - base) / step))


def soc_after_storage(
    soc: ArrayLike,
    *,
    days: ArrayLike,
    per_month: ArrayLike,
    temperature_degc: ArrayLike,
    reference_degc: ArrayLike = STORAGE_DEGC,
    doubling_degc: ArrayLike = DOUBLING_DEGC,
) -> NDArray[np.float64]:
    r"""
    Return the state of charge after standing with nothing connected.

    Parameters
    ----------
    soc : array_like, shape (...)
        State of charge when it was put away, 0 to 1. [1]
    days : array_like, broadcastable
        How long it stands. [count]
    per_month : array_like, broadcastable
        Share of what is left that goes in a month at the reference. [1/month]
    temperature_degc : array_like, broadcastable
        Of the cells while they stand, -40 to 60. [degC]
    reference_degc : array_like, broadcastable
        Temperature the monthly share belongs to. [degC]
    doubling_degc : array_like, broadcastable
        Warmth that doubles the pace. [degC]

    Returns
    -------
    soc : ndarray, shape (...)
        State of charge at the end. [1]

    Raises
    ------
    ValueError
        As `self_discharge_per_month`, or a state of charge outside 0 to 1, or negative time.

    Notes
    -----
    .. math:: s = s_0 \, e^{-r(T) \, t}

    A share of what is *left* goes each month, as the figures are commonly meant; a share of
    the *full* charge would go faster in the second half. Nothing may hang on the battery: a
    clock or an alarm of 20 mA takes 15 Ah a month by itself.

    Examples
    --------
    >>> float(soc_after_storage(1.0, days=30.4375, per_month=0.08, temperature_degc=20.0))
    0.92
    """
    start = bounded(soc, name="soc", low=0.0, high=1.0)
    months = bounded(days, name="days", low=0.0) / DAYS_PER_MONTH
    pace = self_discharge_per_month(
        temperature_degc,
        per_month=per_month,
        reference_degc=reference_degc,
        doubling_degc=doubling_degc,
    )
    return np.asarray(start * np.exp(-pace * months))


def days_until_soc(
    target_soc: ArrayLike,
    *,
    soc: ArrayLike,
    per_month: ArrayLike,
    temperature_degc: ArrayLike,
    reference_degc: ArrayLike = STORAGE_DEGC,
    doubling_degc: ArrayLike = DOUBLING_DEGC,
) -> NDArray[np.float64]:
    r"""
    Return how long a battery may stand before it has fallen to a state of charge.

    Lead-acid left at half or less hardens its plates, and freezes sooner: this is when the
    charger must come out again.

    Parameters
    ----------
    target_soc : array_like, shape (...)
        State of charge it must not fall below, above 0 and at most 1. [1]
    soc : array_like, broadcastable
        State of charge when it was put away, above 0 and at most 1. [1]
    per_month : array_like, broadcastable
        Share of what is left that goes in a month at the reference. [1/month]
    temperature_degc : array_like, broadcastable
        Of the cells while they stand, -40 to 60. [degC]
    reference_degc : array_like, broadcastable
        Temperature the monthly share belongs to. [degC]
    doubling_degc : array_like, broadcastable
        Warmth that doubles the pace. [degC]

    Returns
    -------
    days : ndarray, shape (...)
        0 where it is there already, infinite where it loses nothing. [count]

    Raises
    ------
    ValueError
        As `self_discharge_per_month`, or a state of charge outside its range.

    Examples
    --------
    >>> days = days_until_soc(0.5, soc=1.0, per_month=0.08, temperature_degc=20.0)
    >>> float((days / DAYS_PER_MONTH).round(2))
    8.31
    """
    floor = bounded(target_soc, name="target_soc", low=0.0, high=1.0, above=True)
    start = bounded(soc, name="soc", low=0.0, high=1.0, above=True)
    pace = self_discharge_per_month(
        temperature_degc,
        per_month=per_month,
        reference_degc=reference_degc,
        doubling_degc=doubling_degc,
    )
    fall, pace = np.broadcast_arrays(np.maximum(np.log(start / floor), 0.0), pace)
    never = np.where(fall > 0.0, np.inf, 0.0)
    return np.asarray(np.divide(fall * DAYS_PER_MONTH, pace, out=never, where=pace > 0.0))
