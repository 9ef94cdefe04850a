r"""
How hard to pull at a battery to see whether its straps hold it.

Depends on: physics.bounds, constants.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.constants import GRAVITY_MPS2
from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

POUND_FORCE_N: Final = 0.45359237 * GRAVITY_MPS2

LARGEST_FEDERAL_PULL_N: Final = 90.0 * POUND_FORCE_N
"""No more is asked of a heavy battery: 33 CFR 183.420(a) (read). [N]"""

FEDERAL_TRAVEL_M: Final = 0.0254
"""How far it may move under that pull: 1 in (33 CFR 183.420(a), read). [m]"""

ISO_TRAVEL_M: Final = 0.010
"""The same in ISO 10133, 5.2 (read as quoted). [m]"""


def federal_pull_n(mass_kg: ArrayLike) -> Array:
    """
    Return the pull of 33 CFR 183.420(a), for a minute up, fore, aft, to port and starboard.

    Parameters
    ----------
    mass_kg : array_like, shape (...)
        Of one battery. [kg]

    Returns
    -------
    pull_n : ndarray, shape (...)
        The lesser of 90 lbf and twice the weight. [N]

    Raises
    ------
    ValueError
        If a mass is negative.

    Examples
    --------
    >>> (federal_pull_n([31.75, 11.79]) / POUND_FORCE_N).round(0)
    array([90., 52.])
    """
    return np.asarray(np.minimum(LARGEST_FEDERAL_PULL_N, iso_pull_n(mass_kg)))


def iso_pull_n(mass_kg: ArrayLike) -> Array:
    """
    Return the pull of ISO 10133, which knows no upper end.

    Parameters
    ----------
    mass_kg : array_like, shape (...)
        Of one battery. [kg]

    Returns
    -------
    pull_n : ndarray, shape (...)
        Twice the weight. [N]

    Raises
    ------
    ValueError
        If a mass is negative.

    Examples
    --------
    >>> iso_pull_n(32.0).round(1)
    np.float64(627.6)
    """
    return np.asarray(2.0 * GRAVITY_MPS2 * bounded(mass_kg, name="mass_kg", low=0.0))
