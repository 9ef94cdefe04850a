"""
Wind over the open sea by the Froya laws: profile, intensity and gusts from an hour's mean.

A second opinion on `physics.wind` and on the gust table, from measurements in storms.

Depends on: `physics.bounds`.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

_REFERENCE_HEIGHT_M: Final = 10.0
_HOUR_S: Final = 3600.0
_LOWEST_M: Final = 0.2
_HIGHEST_M: Final = 100.0
_GREATEST_WIND_MPS: Final = 60.0  # keeps the profile positive down to the lowest height


def froya_mean_wind(wind_1h_mps: ArrayLike, *, height_m: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the hour's mean wind at another height than 10 m.

    Parameters
    ----------
    wind_1h_mps : array_like, shape (...)
        Mean wind of the hour at 10 m, 0 to 60. [m/s]
    height_m : array_like, broadcastable with `wind_1h_mps`
        Height wanted, 0.2 to 100. [m]

    Returns
    -------
    wind_mps : ndarray, shape (...)
        Mean wind of the hour at that height. [m/s]

    Raises
    ------
    ValueError
        If a wind or a height is outside the range above.

    Notes
    -----
    .. math:: U(z) = U_0\,[1 + C \ln(z/10)], \quad C = 0.0573\,\sqrt{1 + 0.15\,U_0}

    Assumptions: strong wind over the open sea, neutral air. Measured well above the waves; at
    the height of a small boat it is carried on. The ranges are ours.

    References
    ----------
    .. [1] ISO 19901-1 and NORSOK, as read in several public programs.

    Examples
    --------
    >>> round(float(froya_mean_wind(10.0, height_m=2.0)), 3)
    8.542
    """
    wind = bounded(wind_1h_mps, name="wind_1h_mps", low=0.0, high=_GREATEST_WIND_MPS)
    log_height = np.log(_height(height_m) / _REFERENCE_HEIGHT_M)
    return np.asarray(wind * (1.0 + 0.0573 * np.sqrt(1.0 + 0.15 * wind) * log_height))


def froya_intensity(wind_1h_mps: ArrayLike, *, height_m: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return how gusty a strong wind over the open sea is, land being gustier.

    Parameters
    ----------
    wind_1h_mps : array_like, shape (...)
        Mean wind of the hour at 10 m, 0 to 60. [m/s]
    height_m : array_like, broadcastable with `wind_1h_mps`
        Height wanted, 0.2 to 100. [m]

    Returns
    -------
    intensity : ndarray, shape (...)
        Standard deviation of the wind by its mean. [1]

    Raises
    ------
    ValueError
        If a wind or a height is outside the range above.

    Notes
    -----
    .. math:: I = 0.06\,(1 + 0.043\,U_0)\,(z/10)^{-0.22}

    Assumptions as for `froya_mean_wind`. A light wind over warm water is two or three times as
    gusty as this (from memory).

    References
    ----------
    .. [1] ISO 19901-1 and NORSOK, as read in several public programs.

    Examples
    --------
    >>> round(float(froya_intensity(10.0, height_m=10.0)), 4)
    0.0858
    """
    wind = bounded(wind_1h_mps, name="wind_1h_mps", low=0.0, high=_GREATEST_WIND_MPS)
    height = _height(height_m) / _REFERENCE_HEIGHT_M
    return np.asarray(0.06 * (1.0 + 0.043 * wind) * height**-0.22)


def froya_gust_ratio(
    wind_1h_mps: ArrayLike, *, height_m: ArrayLike, gust_duration_s: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the strongest gust of an hour by the hour's mean at the same height.

    Parameters
    ----------
    wind_1h_mps : array_like, shape (...)
        Mean wind of the hour at 10 m, 0 to 60. [m/s]
    height_m : array_like, broadcastable with `wind_1h_mps`
        Height wanted, 0.2 to 100. [m]
    gust_duration_s : array_like, broadcastable with `wind_1h_mps`
        Averaging time of the gust, 1 to 3600. [s]

    Returns
    -------
    ratio : ndarray, shape (...)
        At least 1, and 1 over the whole hour. [1]

    Raises
    ------
    ValueError
        If an argument is outside the range above.

    Notes
    -----
    .. math:: u(z, T) / U(z) = 1 - 0.41\,I \ln(T / 3600)

    Assumptions as for `froya_mean_wind`; the floor of 1 s is ours.

    References
    ----------
    .. [1] ISO 19901-1 and NORSOK, as read in several public programs.

    Examples
    --------
    >>> round(float(froya_gust_ratio(10.0, height_m=10.0, gust_duration_s=3.0)), 3)
    1.249
    """
    duration = bounded(gust_duration_s, name="gust_duration_s", low=1.0, high=_HOUR_S)
    intensity = froya_intensity(wind_1h_mps, height_m=height_m)
    return np.asarray(1.0 - 0.41 * intensity * np.log(duration / _HOUR_S))


def _height(height_m: ArrayLike) -> NDArray[np.float64]:
    """Return the height once it is one the laws can be carried to."""
    return bounded(height_m, name="height_m", low=_LOWEST_M, high=_HIGHEST_M)
