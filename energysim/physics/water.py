"""
The water: how heavy and how sticky it is.

Depends on: `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded


def water_density_kgpm3(
    salinity_psu: ArrayLike, *, temperature_degc: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the density of fresh or salt water at the surface.

    Drag and the bow motor's thrust both go with it, and so does the draft.

    Parameters
    ----------
    salinity_psu : array_like, shape (...)
        Practical salinity, 0 for a lake, about 35 at sea; 0 to 42. [psu]
    temperature_degc : array_like, broadcastable with `salinity_psu`
        Water temperature on the 1968 practical scale, -2 to 40. [degC]

    Returns
    -------
    density_kgpm3 : ndarray, shape (...)
        Mass of a cubic metre of water at one atmosphere. [kg/m^3]

    Raises
    ------
    ValueError
        If a salinity or a temperature is outside the range above.

    Notes
    -----
    The 1980 international equation of state at one atmosphere,

    .. math:: \rho = \rho_0(t) + A(t)\,S + B(t)\,S^{3/2} + C\,S^2

    with polynomials for :math:`\rho_0, A, B` in :math:`t`. A modern thermometer reads
    0.02 % lower than the 1968 scale, which moves the answer by no more than 0.003 kg/m^3.

    References
    ----------
    .. [1] UNESCO, Algorithms for computation of fundamental properties of seawater, Technical
       papers in marine science 44, 1983. The coefficients were read in several independent
       public transcriptions of it, which agree; not in the paper itself.

    Examples
    --------
    >>> round(float(water_density_kgpm3(35.0, temperature_degc=5.0)), 5)
    1027.67547
    """
    salinity = bounded(salinity_psu, name="salinity_psu", low=0.0, high=42.0)
    t = bounded(temperature_degc, name="temperature_degc", low=-2.0, high=40.0)
    fresh = 999.842594 + t * (
        6.793952e-2
        + t * (-9.095290e-3 + t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9)))
    )
    first = 8.24493e-1 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    middle = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6)
    root = np.sqrt(salinity)
    return np.asarray(fresh + salinity * (first + root * middle + salinity * 4.8314e-4))


def water_viscosity_m2ps(
    salinity_psu: ArrayLike, *, temperature_degc: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the kinematic viscosity of fresh or salt water, which sets the friction of the skin.

    Parameters
    ----------
    salinity_psu : array_like, shape (...)
        Practical salinity, 0 to 42, taken as grams of salt in a kilogram of water. [psu]
    temperature_degc : array_like, broadcastable with `salinity_psu`
        Water temperature, -2 to 40. [degC]

    Returns
    -------
    viscosity_m2ps : ndarray, shape (...)
        Kinematic viscosity. [m^2/s]

    Raises
    ------
    ValueError
        If a salinity or a temperature is outside the range above.

    Notes
    -----
    .. math:: \nu = \frac{\mu_0(t)\,(1 + A(t)\,s + B(t)\,s^2)}{\rho}

    with :math:`s` in kg/kg. Its authors give 1.5 % as the accuracy. It was fitted from 0 degC;
    the two degrees below are our extension. Practical salinity is 0.5 % short of the grams in
    a kilogram, which moves the answer by 0.04 % at most.

    References
    ----------
    .. [1] Sharqawy, Lienhard and Zubair 2010, Desalination and Water Treatment 16, 354-380,
       eq. 22-23. Read in public transcriptions, not in the paper itself.

    Examples
    --------
    >>> round(float(water_viscosity_m2ps(0.0, temperature_degc=20.0)) * 1e6, 3)
    1.004
    """
    density = water_density_kgpm3(salinity_psu, temperature_degc=temperature_degc)
    s = np.asarray(salinity_psu, dtype=np.float64) / 1000.0
    t = np.asarray(temperature_degc, dtype=np.float64)
    fresh_pas = 4.2844e-5 + 1.0 / (0.157 * (t + 64.993) ** 2 - 91.296)
    first = 1.541 + t * (1.998e-2 - t * 9.52e-5)
    second = 7.974 + t * (-7.561e-2 + t * 4.724e-4)
    return np.asarray(fresh_pas * (1.0 + s * (first + s * second)) / density)
