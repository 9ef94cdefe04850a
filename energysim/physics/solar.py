r"""
What a small panel gives through a clear-enough day.

Depends on: physics.bounds.
"""

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

FULLEST_SUN: Final = 1.1
"""Light at noon, over the full sun panels are labelled for, beyond which hours of sun and
length of the day do not belong together (ours). [1]"""


def solar_energy_wh(peak_w: ArrayLike, *, sun_hours_h: ArrayLike, derating: ArrayLike) -> Array:
    r"""
    Return the energy a panel puts into the bank in a day.

    Parameters
    ----------
    peak_w : array_like, shape (...)
        Power by the panel's label, in full sun. [W]
    sun_hours_h : array_like, broadcastable
        Hours of full sun with the same light as the whole day. [h]
    derating : array_like, broadcastable
        What heat, a flat mount, dirt, wiring and controller leave of it. [1]

    Returns
    -------
    energy_wh : ndarray, shape (...)
        Energy at the bank. [Wh]

    Raises
    ------
    ValueError
        If a number is negative or the derating above 1.

    Notes
    -----
    The peak-sun-hour method: :math:`E = P \, h \, d`. A derating of 0.65 to 0.8 is common
    practice for a panel lying flat on a boat. A national laboratory's calculator counts 14 %
    of losses before heat and controller, and holds its own answer good to 10 % over a year and
    30 % over a month (as read); a single cloudy day is outside all of that.

    Examples
    --------
    >>> solar_energy_wh(100.0, sun_hours_h=4.5, derating=0.75)
    array(337.5)
    """
    peak = bounded(peak_w, name="peak_w", low=0.0)
    hours = bounded(sun_hours_h, name="sun_hours_h", low=0.0)
    return np.asarray(peak * hours * bounded(derating, name="derating", low=0.0, high=1.0))


def noon_sun(sun_hours_h: ArrayLike, *, daylight_h: ArrayLike) -> Array:
    r"""
    Return the light at noon, over full sun, that hours of sun and length of day imply.

    Parameters
    ----------
    sun_hours_h : array_like, shape (...)
        Hours of full sun with the same light as the whole day. [h]
    daylight_h : array_like, broadcastable
        From sunrise to sunset. [h]

    Returns
    -------
    noon : ndarray, shape (...)
        Above `FULLEST_SUN` the two do not belong together. [1]

    Raises
    ------
    ValueError
        If a time is negative, or there is no daylight.

    Notes
    -----
    :math:`\pi h / (2 T)`, of half a sine.
    """
    hours = bounded(sun_hours_h, name="sun_hours_h", low=0.0)
    light = bounded(daylight_h, name="daylight_h", low=0.0, above=True)
    return np.asarray(0.5 * math.pi * hours / light)


def solar_power_w(
    begin_s: ArrayLike,
    *,
    end_s: ArrayLike,
    sunrise_s: float,
    sunset_s: float,
    energy_wh: ArrayLike,
) -> Array:
    r"""
    Return the mean power between two times of a day whose light follows half a sine.

    Parameters
    ----------
    begin_s : array_like, shape (...)
        When each stretch begins, on any clock. [s]
    end_s : array_like, broadcastable
        When it ends, after its begin. [s]
    sunrise_s : float
        When the panel begins to give, on the same clock. [s]
    sunset_s : float
        When it has ceased to give. [s]
    energy_wh : array_like, broadcastable
        Energy of the whole day. [Wh]

    Returns
    -------
    power_w : ndarray, shape (...)
        Zero by night. [W]

    Raises
    ------
    ValueError
        If a stretch has no length, or the sun sets before it rises.

    Notes
    -----
    .. math:: E(t) = \tfrac{1}{2} E_\mathrm{day} \bigl(1 - \cos \pi x\bigr), \qquad
              x = (t - t_r) / (t_s - t_r)

    and the mean is its difference over the time, so that the day adds up whatever the steps.
    Half a sine is the plainest curve of a clear day (ours); a panel lying flat has a narrower
    one, more at noon and less at both ends.
    """
    begin = bounded(begin_s, name="begin_s")
    end = bounded(end_s, name="end_s")
    if not np.all(end > begin):
        raise ValueError("end_s must be after begin_s in every stretch")
    if not sunset_s > sunrise_s:
        raise ValueError(f"sunset_s = {sunset_s:g}; it must be after sunrise_s = {sunrise_s:g}")
    day = bounded(energy_wh, name="energy_wh", low=0.0)

    def given_share(time: Array) -> Array:
        passed = np.clip((time - sunrise_s) / (sunset_s - sunrise_s), 0.0, 1.0)
        return np.asarray(0.5 * (1.0 - np.cos(np.pi * passed)))

    gained = np.maximum(given_share(end) - given_share(begin), 0.0)
    return np.asarray(day * gained * 3600.0 / (end - begin))
