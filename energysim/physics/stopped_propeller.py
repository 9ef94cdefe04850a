"""
The drag of a propeller that does not turn, hung in the water.

Depends on: `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded


def expanded_over_projected_area(pitch_ratio: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return how much more blade a propeller has than it shows from behind.

    Parameters
    ----------
    pitch_ratio : array_like, shape (...)
        Pitch over diameter, 0 to 2. [1]

    Returns
    -------
    ratio : ndarray, shape (...)
        Expanded over projected area of the blades. [1]

    Raises
    ------
    ValueError
        If a pitch ratio lies outside its range.

    Notes
    -----
    .. math:: A_E / A_P = 1 / (1.067 - 0.229\,P/D)

    References
    ----------
    .. [1] UFC 4-159-03, Design: Moorings, 2005, eq. 22; read.

    Examples
    --------
    >>> round(float(expanded_over_projected_area(1.0)), 4)
    1.1933
    """
    pitch = bounded(pitch_ratio, name="pitch_ratio", low=0.0, high=2.0)
    return np.asarray(1.0 / (1.067 - 0.229 * pitch))


def stopped_propeller_drag_n(
    speed_mps: ArrayLike,
    *,
    expanded_area_m2: ArrayLike,
    water_density_kgpm3: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return the drag of a locked propeller, to see what a motor left down costs.

    Parameters
    ----------
    speed_mps : array_like, shape (...)
        Water past it along its shaft. [m/s]
    expanded_area_m2 : array_like, broadcastable with `speed_mps`
        Of all its blades. [m^2]
    water_density_kgpm3 : array_like, broadcastable with `speed_mps`
        Density of the water. [kg/m^3]

    Returns
    -------
    drag_n : ndarray, shape (...)
        Upper end: one left to spin may drag half of it. [N]

    Raises
    ------
    ValueError
        If a speed is negative, or an area or density not above zero.

    Notes
    -----
    .. math:: R = \tfrac12 \rho A_E V^2

    that is, a drag coefficient of 1 on the expanded area.

    References
    ----------
    .. [1] UFC 4-159-03, as above; read.
    """
    speed = bounded(speed_mps, name="speed_mps", low=0.0)
    area = bounded(expanded_area_m2, name="expanded_area_m2", low=0.0, above=True)
    density = bounded(water_density_kgpm3, name="water_density_kgpm3", low=0.0, above=True)
    return np.asarray(0.5 * density * area * speed * speed)
