r"""
How long a hold in bursts may wait before the boat has wandered too far.

Depends on: `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded


def burst_cycle_s(
    mean_thrust_n: ArrayLike, *, duty: ArrayLike, mass_kg: ArrayLike, wander_m: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the time from one burst to the next that keeps the boat within its watch circle.

    Parameters
    ----------
    mean_thrust_n : array_like, shape (...)
        What wind and stream push with, zero or more. [N]
    duty : array_like, broadcastable with `mean_thrust_n`
        Share of the time the motor runs, above 0 and below 1. [1]
    mass_kg : array_like, broadcastable with `mean_thrust_n`
        Of the boat and all aboard, above 0. [kg]
    wander_m : array_like, broadcastable with `mean_thrust_n`
        From end to end of its wandering: the circle's diameter. [m]

    Returns
    -------
    cycle_s : ndarray, shape (...)
        Infinite where nothing pushes. [s]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    Between bursts the boat falls away at :math:`T/m`; in a burst the motor's :math:`T/D` turns
    it about. With both halves parabolas of time the way from end to end is

    .. math:: s = \frac{T (1 - D)}{8 m} \tau^2
              \quad\Rightarrow\quad
              \tau = \sqrt{\frac{8 m s}{T (1 - D)}}

    Assumptions: the push stays the same wherever the boat is, no drag of its slow swaying, no
    water carried along with the hull (which would make the cycle a little longer). Ours.

    Examples
    --------
    >>> hold = {"duty": 0.5, "mass_kg": 1500.0, "wander_m": 18.0}
    >>> float(burst_cycle_s(70.0, **hold).round(0))
    79.0
    """
    thrust = bounded(mean_thrust_n, name="mean_thrust_n", low=0.0)
    share = bounded(duty, name="duty", low=0.0, high=1.0, above=True)
    if np.any(share >= 1.0):
        raise ValueError(f"duty = {share.max():g}; a motor that always runs has no cycle")
    mass = bounded(mass_kg, name="mass_kg", low=0.0, above=True)
    way = bounded(wander_m, name="wander_m", low=0.0, above=True)
    fall = np.asarray(thrust * (1.0 - share))
    with np.errstate(divide="ignore"):
        return np.asarray(np.sqrt(8.0 * mass * way / fall))
