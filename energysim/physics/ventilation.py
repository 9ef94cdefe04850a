"""
How much thrust a shallow propeller loses to the air it draws down.

Depends on: bounds.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded


def ventilation_thrust_ratio(
    shaft_depth_m: ArrayLike, *, propeller_radius_m: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the share of thrust left at a shaft depth, one when the propeller is deep enough.

    Parameters
    ----------
    shaft_depth_m : array_like, shape (...)
        Depth of the shaft below the surface, negative above it. [m]
    propeller_radius_m : array_like, broadcastable
        Propeller radius. [m]

    Returns
    -------
    thrust_ratio : ndarray, shape (...)
        Factor on KT, 0 to 1; a motor takes it into its `thrust_factor`. [1]

    Raises
    ------
    ValueError
        If the radius is not positive or a depth not finite.

    Notes
    -----
    .. math:: \beta = 1 - 0.675 \left(1 - 0.769\, h/R\right)^{1.258}, \quad -0.48 < h/R < 1.3

    Assumptions, in the order they fail:

    * Slow change. Real air drawing starts late and stops late, and a heavily loaded
      propeller can draw a vortex still at h/R of 1.5 to 2.5 (from memory).
    * The law was fitted for ships [1]_ and is quoted from memory; only its end points, zero
      at -0.48 and one at 1.3, could be checked against itself.

    References
    ----------
    .. [1] K. Minsaas, O. Faltinsen and B. Persson, "On the importance of added resistance,
       propeller immersion and propeller ventilation for large ships in a seaway", PRADS 1983
       (from memory).

    Examples
    --------
    >>> ventilation_thrust_ratio([0.0, 0.28], propeller_radius_m=0.14).round(3)
    array([0.325, 1.   ])
    """
    radius = bounded(propeller_radius_m, name="propeller_radius_m", low=0.0, above=True)
    submergence = bounded(shaft_depth_m, name="shaft_depth_m") / radius
    shallow = np.maximum(1.0 - 0.769 * submergence, 0.0)  # zero at h/R = 1.3
    ratio = np.clip(1.0 - 0.675 * shallow**1.258, 0.0, 1.0)
    return np.where(submergence <= -0.48, 0.0, ratio)


def ventilation_torque_ratio(
    thrust_ratio: ArrayLike, *, exponent: float
) -> NDArray[np.float64]:
    r"""
    Return the share of torque left when air takes part of the thrust.

    Parameters
    ----------
    thrust_ratio : array_like, shape (...)
        Share of thrust left, 0 to 1. [1]
    exponent : float
        About 0.8 to 0.85 (from memory). [1]

    Returns
    -------
    torque_ratio : ndarray, shape (...)
        Factor on KQ, never below `thrust_ratio`: the torque eases less than the thrust. [1]

    Raises
    ------
    ValueError
        If a ratio lies outside 0 to 1 or the exponent is not above 0 and at most 1.

    Notes
    -----
    .. math:: \beta_Q = \beta^m
    """
    ratio = bounded(thrust_ratio, name="thrust_ratio", low=0.0, high=1.0)
    power = bounded(exponent, name="exponent", low=0.0, high=1.0, above=True)
    return np.asarray(ratio**power)
