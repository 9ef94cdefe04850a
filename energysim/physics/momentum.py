"""
The least power a disc of water can be pushed with, the yardstick for every propeller.

Depends on: bounds.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded


def ideal_power_w(
    thrust_n: ArrayLike,
    *,
    inflow_mps: ArrayLike,
    diameter_m: ArrayLike,
    water_density_kgpm3: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the least power that makes a thrust, so that a label can be held against it.

    Parameters
    ----------
    thrust_n : array_like, shape (...)
        Thrust of the disc, zero or more. [N]
    inflow_mps : array_like, broadcastable
        Water speed into the disc, zero or more. [m/s]
    diameter_m : array_like, broadcastable
        Diameter of the disc. [m]
    water_density_kgpm3 : array_like, broadcastable
        Density of the water. [kg/m^3]

    Returns
    -------
    power_w : ndarray, shape (...)
        Power given to the water. [W]

    Raises
    ------
    ValueError
        If thrust or inflow is negative, or diameter or density not positive.

    Notes
    -----
    .. math:: P = T \left( \frac{V}{2} + \sqrt{\frac{V^2}{4} + \frac{T}{2 \rho A}} \right)

    Momentum theory of the actuator disc: no swirl, no blade drag, no hub. Without inflow
    it is :math:`\sqrt{T^3 / (2 \rho A)}`.

    Examples
    --------
    >>> power_w = ideal_power_w(
    ...     100.0, inflow_mps=1.0, diameter_m=0.2794, water_density_kgpm3=998.2
    ... )
    >>> round(float(power_w), 2)
    153.29
    """
    thrust = bounded(thrust_n, name="thrust_n", low=0.0)
    inflow = bounded(inflow_mps, name="inflow_mps", low=0.0)
    disc = _twice_density_area(diameter_m, water_density_kgpm3)
    return np.asarray(thrust * (inflow / 2.0 + np.sqrt(inflow**2 / 4.0 + thrust / disc)))


def ideal_static_thrust_n(
    power_w: ArrayLike, *, diameter_m: ArrayLike, water_density_kgpm3: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the greatest thrust a power can make in still water, the bollard's upper bound.

    Parameters
    ----------
    power_w : array_like, shape (...)
        Power given to the water, zero or more. [W]
    diameter_m : array_like, broadcastable
        Diameter of the disc. [m]
    water_density_kgpm3 : array_like, broadcastable
        Density of the water. [kg/m^3]

    Returns
    -------
    thrust_n : ndarray, shape (...)
        No open propeller of that diameter gives more. [N]

    Raises
    ------
    ValueError
        If power is negative, or diameter or density not positive.

    Notes
    -----
    .. math:: T = (2 \rho A P^2)^{1/3}
    """
    power = bounded(power_w, name="power_w", low=0.0)
    return np.asarray(np.cbrt(_twice_density_area(diameter_m, water_density_kgpm3) * power**2))


def ideal_efficiency(
    thrust_n: ArrayLike,
    *,
    inflow_mps: ArrayLike,
    diameter_m: ArrayLike,
    water_density_kgpm3: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the greatest share of power that can push the boat rather than the water.

    Parameters
    ----------
    thrust_n : array_like, shape (...)
        Thrust of the disc, zero or more. [N]
    inflow_mps : array_like, broadcastable
        Water speed into the disc, above zero. [m/s]
    diameter_m : array_like, broadcastable
        Diameter of the disc. [m]
    water_density_kgpm3 : array_like, broadcastable
        Density of the water. [kg/m^3]

    Returns
    -------
    efficiency : ndarray, shape (...)
        One for a vanishing thrust, falling with the load. [1]

    Raises
    ------
    ValueError
        If thrust is negative, or inflow, diameter or density not positive.

    Notes
    -----
    .. math:: \eta = \frac{2}{1 + \sqrt{1 + C_T}}, \quad C_T = \frac{T}{\rho A V^2 / 2}
    """
    thrust = bounded(thrust_n, name="thrust_n", low=0.0)
    inflow = bounded(inflow_mps, name="inflow_mps", low=0.0, above=True)
    loading = 4.0 * thrust / (_twice_density_area(diameter_m, water_density_kgpm3) * inflow**2)
    return np.asarray(2.0 / (1.0 + np.sqrt(1.0 + loading)))


def _twice_density_area(
    diameter_m: ArrayLike, water_density_kgpm3: ArrayLike
) -> NDArray[np.float64]:
    """Return 2 rho A of a disc. [kg/m]."""
    diameter = bounded(diameter_m, name="diameter_m", low=0.0, above=True)
    density = bounded(water_density_kgpm3, name="water_density_kgpm3", low=0.0, above=True)
    return np.asarray(2.0 * density * math.pi * diameter**2 / 4.0)
