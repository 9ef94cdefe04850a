"""
The wind itself: how strong it is at the height of the boat, and how hard it presses.

Between two hours of a forecast, take the speed along a straight line and the direction the
short way round with `physics.bearing.interpolate_bearing`. Averaging the two winds as vectors
instead would invent a lull wherever the direction turns.

Depends on: constants, `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.constants import VON_KARMAN
from energysim.physics.bounds import bounded

FIT_MPS = (1.0, 25.0)
"""Range of 10 m wind over which the drag law below was fitted. [m/s]"""

_STANDARD_HEIGHT_M = 10.0
_ITERATIONS = 12


def neutral_drag_coefficient(wind_10m_mps: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the sea's drag on the wind, which says how fast the wind falls toward the water.

    Parameters
    ----------
    wind_10m_mps : array_like, shape (...)
        Wind 10 m above the water. [m/s]

    Returns
    -------
    coefficient : ndarray, shape (...)
        Drag coefficient on the 10 m wind. [1]

    Raises
    ------
    ValueError
        If a wind is negative.

    Notes
    -----
    .. math:: 1000\,C_{10} = 2.717 / U + 0.142 + 0.0764\,U

    Fitted from 1 to 25 m/s over the open sea. Outside, the value at the nearer end is used
    (ours): the first term grows without bound in a dying wind.

    References
    ----------
    .. [1] Vera 1983, as eq. 8 of Large, Morzel and Crawford 1995, J. Phys. Oceanogr. 25; read
       in the documentation of a public air-sea toolbox of the US Geological Survey.

    Examples
    --------
    >>> round(float(neutral_drag_coefficient(10.0)), 7)
    0.0011777
    """
    wind = np.clip(bounded(wind_10m_mps, name="wind_10m_mps", low=0.0), *FIT_MPS)
    return np.asarray(2.717e-3 / wind + 0.142e-3 + 0.0764e-3 * wind)


def wind_at_height(
    wind_mps: ArrayLike, *, reference_height_m: ArrayLike, height_m: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the wind at the boat's own height from a wind stated at another.

    A forecast is for 10 m; a boat's windage sits below one. A wind read at the boat's own
    height comes back as it is.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind at `reference_height_m`. [m/s]
    reference_height_m : array_like, broadcastable with `wind_mps`
        Height the wind is stated for: 10 in a forecast, about 2 when held in the hand; 0.2 to
        100. [m]
    height_m : array_like, broadcastable with `wind_mps`
        Height wanted, 0.2 to 100. [m]

    Returns
    -------
    wind_mps : ndarray, shape (...)
        Wind at `height_m`, zero in a calm. [m/s]

    Raises
    ------
    ValueError
        If a wind is negative or a height is outside the range above.

    Notes
    -----
    .. math:: \frac{U(z)}{U_{10}} = 1 + \frac{\sqrt{C_{10}}}{\kappa}\,\ln\frac{z}{10}

    For another reference than 10 m the 10 m wind is found first, by repeated substitution.

    Assumptions: air neither warmer nor colder than the water, open water upwind. Close to the
    waves the law is a stretch; the floor of 0.2 m keeps it positive (ours).

    References
    ----------
    .. [1] The log law with the drag law of `neutral_drag_coefficient`.

    Examples
    --------
    >>> round(float(wind_at_height(10.0, reference_height_m=10.0, height_m=1.0)), 3)
    8.025
    >>> float(wind_at_height(6.0, reference_height_m=2.0, height_m=2.0))
    6.0
    """
    wind = bounded(wind_mps, name="wind_mps", low=0.0)
    reference = bounded(reference_height_m, name="reference_height_m", low=0.2, high=100.0)
    height = bounded(height_m, name="height_m", low=0.2, high=100.0)
    log_reference = np.log(reference / _STANDARD_HEIGHT_M)
    wind_10m = wind
    if np.any(log_reference != 0.0):
        for _ in range(_ITERATIONS):
            wind_10m = wind / (1.0 + _slope(wind_10m) * log_reference)
    slope = _slope(wind_10m)
    wanted = 1.0 + slope * np.log(height / _STANDARD_HEIGHT_M)
    return np.asarray(wind * (wanted / (1.0 + slope * log_reference)))


def wind_at_height_power_law(
    wind_mps: ArrayLike,
    *,
    reference_height_m: ArrayLike,
    height_m: ArrayLike,
    exponent: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the wind at another height by a power law, for comparison with the log law.

    The days are worked with `wind_at_height`; this rule is what coastal manuals print.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind at `reference_height_m`. [m/s]
    reference_height_m, height_m : array_like, broadcastable with `wind_mps`
        Height of the given wind and of the wanted one, above zero. [m]
    exponent : array_like, broadcastable with `wind_mps`
        1/7 in the coastal manuals, about 0.11 over open sea (from memory). [1]

    Returns
    -------
    wind_mps : ndarray, shape (...)
        Wind at `height_m`. [m/s]

    Raises
    ------
    ValueError
        If a wind or an exponent is negative or a height is not above zero.

    Notes
    -----
    .. math:: U(z) = U_r\,(z / z_r)^{p}

    The manual states 1/7 for about 8 to 12 m only; at 1 m it gives a tenth less wind, and a
    fifth less force, than the log law.

    References
    ----------
    .. [1] US Army Corps of Engineers, Coastal Engineering Manual EM 1110-2-1100, eq. II-2-9.

    Examples
    --------
    >>> ten = wind_at_height_power_law(
    ...     10.0, reference_height_m=10.0, height_m=1.0, exponent=1 / 7
    ... )
    >>> round(float(ten), 3)
    7.197
    """
    wind = bounded(wind_mps, name="wind_mps", low=0.0)
    reference = bounded(reference_height_m, name="reference_height_m", low=0.0, above=True)
    height = bounded(height_m, name="height_m", low=0.0, above=True)
    power = bounded(exponent, name="exponent", low=0.0)
    return np.asarray(wind * (height / reference) ** power)


def velocity_pressure_pa(
    wind_mps: ArrayLike, *, air_density_kgpm3: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the pressure of a wind brought to rest, the yardstick of every wind force.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind. [m/s]
    air_density_kgpm3 : array_like, broadcastable with `wind_mps`
        Density of the air. [kg/m^3]

    Returns
    -------
    pressure_pa : ndarray, shape (...)
        Velocity pressure. [Pa]

    Raises
    ------
    ValueError
        If a wind is negative or a density not above zero.

    Notes
    -----
    .. math:: q = \tfrac12\,\rho\,V^2

    Examples
    --------
    >>> round(float(velocity_pressure_pa(10.0, air_density_kgpm3=1.225)), 2)
    61.25
    """
    wind = bounded(wind_mps, name="wind_mps", low=0.0)
    density = bounded(air_density_kgpm3, name="air_density_kgpm3", low=0.0, above=True)
    return np.asarray(0.5 * density * wind * wind)


def _slope(wind_10m: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the friction velocity over the 10 m wind and von Karman's constant."""
    return np.asarray(np.sqrt(neutral_drag_coefficient(wind_10m)) / VON_KARMAN)
