"""
How the gusts of a wind spread over slow and quick.

Frequencies are in cycles a second (1/s, hertz). A density is one-sided, in m2/s2 per hertz, so
that its sum over frequency is the variance.

Depends on: `physics.bounds`.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

_REFERENCE_HEIGHT_M: Final = 10.0
_NPD_EXPONENT: Final = 0.468


def npd_density_m2ps(
    frequency_per_s: ArrayLike, *, wind_1h_mps: ArrayLike, height_m: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the spectrum measured over the open sea in strong wind, slow gusts and all.

    Parameters
    ----------
    frequency_per_s : array_like, shape (...)
        Frequency, above zero. [1/s]
    wind_1h_mps : array_like, broadcastable with `frequency_per_s`
        Mean wind of the hour at 10 m, above zero. [m/s]
    height_m : array_like, broadcastable with `frequency_per_s`
        Height wanted, above zero. [m]

    Returns
    -------
    density_m2ps : ndarray, shape (...)
        Spectral density of the speed along the wind. [m2/s]

    Raises
    ------
    ValueError
        If an argument is not above zero.

    Notes
    -----
    .. math:: S = \frac{320\,(U_0/10)^2\,(z/10)^{0.45}}{(1 + \tilde f^{\,n})^{5/(3n)}}, \quad
              \tilde f = 172 f\,(z/10)^{2/3}\,(U_0/10)^{-3/4}, \quad n = 0.468

    Assumptions: neutral air over open water, strong wind. It gives no least frequency; over an
    hour's mean, gusts slower than the hour are no longer gusts.

    References
    ----------
    .. [1] The Froya spectrum of NORSOK and ISO 19901-1, as read in several public programs.

    Examples
    --------
    >>> round(float(npd_density_m2ps(0.1, wind_1h_mps=10.0, height_m=10.0)), 4)
    1.2119
    """
    frequency = bounded(frequency_per_s, name="frequency_per_s", low=0.0, above=True)
    wind = bounded(wind_1h_mps, name="wind_1h_mps", low=0.0, above=True) / 10.0
    height = bounded(height_m, name="height_m", low=0.0, above=True) / _REFERENCE_HEIGHT_M
    reduced = 172.0 * frequency * (height ** (2.0 / 3.0) * wind**-0.75)
    fall = (1.0 + reduced**_NPD_EXPONENT) ** (-5.0 / (3.0 * _NPD_EXPONENT))
    return np.asarray(320.0 * wind**2 * height**0.45 * fall)


def ochi_shin_density_m2ps(
    frequency_per_s: ArrayLike, *, wind_10m_mps: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return a second spectrum of the wind over the sea, to see how far two of them agree.

    Parameters
    ----------
    frequency_per_s : array_like, shape (...)
        Frequency, above zero. [1/s]
    wind_10m_mps : array_like, broadcastable with `frequency_per_s`
        Mean wind at 10 m, above zero. [m/s]

    Returns
    -------
    density_m2ps : ndarray, shape (...)
        Spectral density of the speed along the wind, at 10 m. [m2/s]

    Raises
    ------
    ValueError
        If an argument is not above zero.

    Notes
    -----
    With :math:`f_* = 10 f / U` and :math:`u_*^2 = (750 + 69 U)\,10^{-6}\,U^2`,

    .. math:: \frac{f S}{u_*^2} = 583 f_*; \quad \frac{420 f_*^{0.7}}{(1 + f_*^{0.35})^{11.5}};
              \quad \frac{838 f_*}{(1 + f_*^{0.35})^{11.5}}

    up to 0.003, up to 0.1 and above; the pieces meet to better than 0.2 %.

    References
    ----------
    .. [1] Ochi and Shin 1988, as read in the documentation of a public coastal library.
    """
    frequency = bounded(frequency_per_s, name="frequency_per_s", low=0.0, above=True)
    wind = bounded(wind_10m_mps, name="wind_10m_mps", low=0.0, above=True)
    reduced = _REFERENCE_HEIGHT_M * frequency / wind
    fall = (1.0 + reduced**0.35) ** -11.5
    scaled = np.where(
        reduced <= 0.003,
        583.0 * reduced,
        np.where(reduced <= 0.1, 420.0 * reduced**0.7 * fall, 838.0 * reduced * fall),
    )
    friction_squared = (750.0 + 69.0 * wind) * 1e-6 * wind**2
    return np.asarray(scaled * friction_squared / frequency)


def kaimal_length_m(height_m: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return how long the gusts along the wind are, for the Kaimal spectrum.

    Parameters
    ----------
    height_m : array_like, shape (...)
        Height above the surface, above zero. [m]

    Returns
    -------
    length_m : ndarray, shape (...)
        Length scale. [m]

    Raises
    ------
    ValueError
        If a height is not above zero.

    Notes
    -----
    .. math:: L = 8.1 \times 0.7 \min(z, 60)

    Made for wind turbines; at the height of a small boat it is a long way out of its range.

    References
    ----------
    .. [1] IEC 61400-1, as read in the documentation of a public coastal library.
    """
    height = bounded(height_m, name="height_m", low=0.0, above=True)
    return np.asarray(8.1 * 0.7 * np.minimum(height, 60.0))


def kaimal_density_m2ps(
    frequency_per_s: ArrayLike,
    *,
    wind_mps: ArrayLike,
    sigma_mps: ArrayLike,
    length_m: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the spectrum of a wind whose standard deviation is known, such as from its gusts.

    Parameters
    ----------
    frequency_per_s : array_like, shape (...)
        Frequency, above zero. [1/s]
    wind_mps : array_like, broadcastable with `frequency_per_s`
        Mean wind at the height wanted, above zero. [m/s]
    sigma_mps : array_like, broadcastable with `frequency_per_s`
        Standard deviation of the wind: intensity times mean. [m/s]
    length_m : array_like, broadcastable with `frequency_per_s`
        Length scale, see `kaimal_length_m`. [m]

    Returns
    -------
    density_m2ps : ndarray, shape (...)
        Spectral density; over all frequencies it sums to sigma squared. [m2/s]

    Raises
    ------
    ValueError
        If sigma is negative or another argument not above zero.

    Notes
    -----
    .. math:: S = \frac{4 \sigma^2 L / U}{(1 + 6 f L / U)^{5/3}}

    References
    ----------
    .. [1] IEC 61400-1, as read in the documentation of a public coastal library.
    """
    frequency = bounded(frequency_per_s, name="frequency_per_s", low=0.0, above=True)
    wind = bounded(wind_mps, name="wind_mps", low=0.0, above=True)
    sigma = bounded(sigma_mps, name="sigma_mps", low=0.0)
    passing_s = bounded(length_m, name="length_m", low=0.0, above=True) / wind
    return np.asarray(
        4.0 * sigma**2 * passing_s * (1.0 + 6.0 * frequency * passing_s) ** (-5.0 / 3.0)
    )


def kaimal_share_below(
    frequency_per_s: ArrayLike, *, wind_mps: ArrayLike, length_m: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the share of the variance in gusts slower than a frequency.

    Parameters
    ----------
    frequency_per_s : array_like, shape (...)
        Frequency, zero or more. [1/s]
    wind_mps : array_like, broadcastable with `frequency_per_s`
        Mean wind, zero or more; in a calm everything is slow. [m/s]
    length_m : array_like, broadcastable with `frequency_per_s`
        Length scale, see `kaimal_length_m`. [m]

    Returns
    -------
    share : ndarray, shape (...)
        From 0 at no frequency to 1. [1]

    Raises
    ------
    ValueError
        If a frequency or wind is negative or a length not above zero.

    Notes
    -----
    .. math:: 1 - (1 + 6 f L / U)^{-2/3}

    the integral of `kaimal_density_m2ps` from zero, by sigma squared.

    Examples
    --------
    >>> round(float(kaimal_share_below(0.1, wind_mps=10.0, length_m=56.7)), 4)
    0.6277
    """
    frequency = bounded(frequency_per_s, name="frequency_per_s", low=0.0)
    wind = bounded(wind_mps, name="wind_mps", low=0.0)
    length = bounded(length_m, name="length_m", low=0.0, above=True)
    moving = 6.0 * frequency * length
    whole = wind + moving
    # In a calm at frequency zero nothing is below it, as at any other wind.
    rest = np.divide(wind, whole, out=np.ones(whole.shape), where=whole > 0.0)
    return np.asarray(1.0 - rest ** (2.0 / 3.0))


def sigma_from_density_mps(
    density_m2ps: ArrayLike, *, frequency_per_s: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the standard deviation that a spectrum holds between its first and last frequency.

    Parameters
    ----------
    density_m2ps : array_like, shape (frequencies, ...)
        Spectral density. [m2/s]
    frequency_per_s : array_like, shape (frequencies,)
        Where it was taken: at least two, above zero, rising, best in equal ratios. [1/s]

    Returns
    -------
    sigma_mps : ndarray, shape (...)
        Standard deviation of the wind in that band. [m/s]

    Raises
    ------
    ValueError
        If a density is negative, or the frequencies are too few, do not rise, or are not as
        many as the densities.

    Notes
    -----
    .. math:: \sigma^2 = \int f S \,\mathrm d \ln f

    by the trapezoid rule, so that a grid over four decades is fine everywhere; 300 points
    from an hour to a second are good to 1e-4.

    Examples
    --------
    >>> f = np.geomspace(1 / 3600, 1.0, 300)
    >>> density = npd_density_m2ps(f, wind_1h_mps=10.0, height_m=10.0)
    >>> round(float(sigma_from_density_mps(density, frequency_per_s=f)), 3)
    0.963
    """
    density = bounded(density_m2ps, name="density_m2ps", low=0.0)
    frequency = bounded(frequency_per_s, name="frequency_per_s", low=0.0, above=True)
    if frequency.ndim != 1 or frequency.size < 2 or density.shape[:1] != frequency.shape:
        raise ValueError(
            f"frequency_per_s has shape {frequency.shape} and density_m2ps {density.shape}; "
            "the first must be a row of at least 2, as long as the leading axis of the second"
        )
    steps = np.diff(np.log(frequency))
    if np.any(steps <= 0.0):
        raise ValueError("frequency_per_s must rise from each value to the next")
    weight = np.zeros_like(frequency)
    weight[:-1] += 0.5 * steps
    weight[1:] += 0.5 * steps
    return np.asarray(np.sqrt(np.tensordot(weight * frequency, density, axes=1)))
