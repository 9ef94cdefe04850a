"""
The air: how heavy it is.

Depends on: constants, `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.constants import DRY_AIR_GAS_CONSTANT_JPKGK, ZERO_CELSIUS_K
from energysim.physics.bounds import bounded


def air_density_kgpm3(
    temperature_degc: ArrayLike, *, pressure_pa: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the density of dry air, to which every wind force is proportional.

    Parameters
    ----------
    temperature_degc : array_like, shape (...)
        Air temperature, -60 to 60. [degC]
    pressure_pa : array_like, broadcastable with `temperature_degc`
        Air pressure where the boat is, 50 000 to 110 000. [Pa]

    Returns
    -------
    density_kgpm3 : ndarray, shape (...)
        Mass of a cubic metre of air. [kg/m^3]

    Raises
    ------
    ValueError
        If a temperature or a pressure is outside the range above.

    Notes
    -----
    .. math:: \rho = \frac{p}{R\,T}

    Assumptions: an ideal gas without moisture. Saturated air at 30 degC is about 1.6 % lighter
    (from memory), well inside the doubt about the windage.

    References
    ----------
    .. [1] The gas law with the constant of the US Standard Atmosphere 1976, from memory.

    Examples
    --------
    >>> round(float(air_density_kgpm3(15.0, pressure_pa=101325.0)), 3)
    1.225
    """
    temperature = bounded(temperature_degc, name="temperature_degc", low=-60.0, high=60.0)
    pressure = bounded(pressure_pa, name="pressure_pa", low=50e3, high=110e3)
    return np.asarray(pressure / (DRY_AIR_GAS_CONSTANT_JPKGK * (temperature + ZERO_CELSIUS_K)))
