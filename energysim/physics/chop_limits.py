"""
Where chop stops growing: a wind that has not blown for long, and a sea fully grown.

Depends on: constants, `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.constants import GRAVITY_MPS2
from energysim.physics.bounds import bounded

Array = NDArray[np.float64]


def growth_time_s(adjusted_mps: ArrayLike, *, fetch_m: ArrayLike) -> Array:
    r"""
    Return how long the wind must blow until the chop is all its fetch allows.

    Parameters
    ----------
    adjusted_mps : array_like, shape (...)
        Wind, as from `physics.chop.adjusted_wind_mps`. [m/s]
    fetch_m : array_like, broadcastable with `adjusted_mps`
        Open water upwind. [m]

    Returns
    -------
    growth_time_s : ndarray, shape (...)
        From flat water, over deep water. [s]

    Raises
    ------
    ValueError
        If a wind is not above zero or a fetch negative.

    Notes
    -----
    .. math:: t = 68.8\,F^{2/3} / (g\,U_a)^{1/3}

    References
    ----------
    .. [1] Leenknecht, Szuwalski and Sherlock, Automated Coastal Engineering System, Technical
       Reference, US Army Corps of Engineers 1992, chapter 1-1; read.

    Examples
    --------
    >>> round(float(growth_time_s(10.0, fetch_m=2000.0)) / 60.0)
    39
    """
    wind = bounded(adjusted_mps, name="adjusted_mps", low=0.0, above=True)
    fetch = bounded(fetch_m, name="fetch_m", low=0.0)
    return np.asarray(68.8 * np.cbrt(fetch * fetch / (GRAVITY_MPS2 * wind)))


def young_height_m(adjusted_mps: ArrayLike, *, duration_s: ArrayLike) -> Array:
    r"""
    Return the significant height of chop that a wind has raised in so long a time.

    Parameters
    ----------
    adjusted_mps : array_like, shape (...)
        Wind, as from `physics.chop.adjusted_wind_mps`. [m/s]
    duration_s : array_like, broadcastable with `adjusted_mps`
        How long it has blown. [s]

    Returns
    -------
    height_m : ndarray, shape (...)
        On deep water of any fetch long enough; the lower of this and
        `physics.chop.significant_height_m` holds (ours). [m]

    Raises
    ------
    ValueError
        If a wind or a time is negative.

    Notes
    -----
    .. math:: H = 0.0000851\,\frac{U_a^2}{g}\left(\frac{g t}{U_a}\right)^{5/7}

    This law and the one along the fetch do not meet exactly at `growth_time_s`; the source
    takes one or the other by the time, which leaves a small step the lower of the two avoids.

    References
    ----------
    .. [1] As in `growth_time_s`; read in public code of it.
    """
    wind, time = _blown(adjusted_mps, duration_s)
    # (U^2/g) (g t/U)^(5/7), written so that no wind divides
    reach = wind ** (9.0 / 7.0) * time ** (5.0 / 7.0) / GRAVITY_MPS2 ** (2.0 / 7.0)
    return np.asarray(0.0000851 * reach)


def young_period_s(adjusted_mps: ArrayLike, *, duration_s: ArrayLike) -> Array:
    r"""
    Return the peak period of chop that a wind has raised in so long a time.

    Parameters
    ----------
    adjusted_mps : array_like, shape (...)
        Wind, as from `physics.chop.adjusted_wind_mps`. [m/s]
    duration_s : array_like, broadcastable with `adjusted_mps`
        How long it has blown. [s]

    Returns
    -------
    period_s : ndarray, shape (...)
        To be used as `young_height_m`. [s]

    Raises
    ------
    ValueError
        If a wind or a time is negative.

    Notes
    -----
    .. math:: T = 0.0702\,\frac{U_a}{g}\left(\frac{g t}{U_a}\right)^{0.411}

    References
    ----------
    .. [1] As in `young_height_m`.
    """
    wind, time = _blown(adjusted_mps, duration_s)
    return np.asarray(0.0702 * wind**0.589 * time**0.411 / GRAVITY_MPS2**0.589)


def fully_grown_height_m(wind_10m_mps: ArrayLike) -> Array:
    r"""
    Return the significant height beyond which a wind raises no sea, however far it blows.

    Parameters
    ----------
    wind_10m_mps : array_like, shape (...)
        Wind past the water at 10 m, not adjusted. [m/s]

    Returns
    -------
    height_m : ndarray, shape (...)
        Over deep water. [m]

    Raises
    ------
    ValueError
        If a wind is negative.

    Notes
    -----
    .. math:: H = 0.2433\,U^2/g

    References
    ----------
    .. [1] As in `growth_time_s`; public code of it takes the wind as measured here and the
       adjusted wind everywhere else.

    Examples
    --------
    >>> round(float(fully_grown_height_m(5.0)), 2)
    0.62
    """
    wind = bounded(wind_10m_mps, name="wind_10m_mps", low=0.0)
    return np.asarray(0.2433 * wind * wind / GRAVITY_MPS2)


def fully_grown_period_s(wind_10m_mps: ArrayLike) -> Array:
    r"""
    Return the peak period beyond which a wind raises no sea, however far it blows.

    Parameters
    ----------
    wind_10m_mps : array_like, shape (...)
        Wind past the water at 10 m, not adjusted. [m/s]

    Returns
    -------
    period_s : ndarray, shape (...)
        Over deep water. [s]

    Raises
    ------
    ValueError
        If a wind is negative.

    Notes
    -----
    .. math:: T = 8.134\,U/g

    References
    ----------
    .. [1] As in `fully_grown_height_m`.
    """
    wind = bounded(wind_10m_mps, name="wind_10m_mps", low=0.0)
    return np.asarray(8.134 * wind / GRAVITY_MPS2)


def _blown(adjusted_mps: ArrayLike, duration_s: ArrayLike) -> tuple[Array, Array]:
    """Return a wind and the time it has blown, once checked."""
    wind = bounded(adjusted_mps, name="adjusted_mps", low=0.0)
    return wind, bounded(duration_s, name="duration_s", low=0.0)
