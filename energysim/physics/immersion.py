"""
What chop costs a propeller that it lifts toward the air, and how deep a shaft avoids that.

Depends on: `physics.bounds`, `physics.ventilation`.
"""

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.ventilation import ventilation_thrust_ratio, ventilation_torque_ratio

Array = NDArray[np.float64]

_FULL_RADII: Final = 1.3004  # from here down nothing is lost; see `ventilation_thrust_ratio`
# Even steps, not Gauss points: the law has corners, on which those do worse.
_NODES: Final = (np.arange(25) - 12.0) * 0.32
_WEIGHTS: Final = np.exp(-0.5 * _NODES * _NODES) / np.exp(-0.5 * _NODES * _NODES).sum()
_PHASES: Final = np.sin((np.arange(64) + 0.5) * (np.pi / 32.0))
_HALVINGS: Final = 40


def mean_thrust_ratio(
    shaft_depth_m: ArrayLike, *, motion_sd_m: ArrayLike, propeller_radius_m: ArrayLike
) -> Array:
    r"""
    Return the share of thrust left, on average, while chop swings the propeller's depth.

    Parameters
    ----------
    shaft_depth_m : array_like, shape (...)
        Depth of the shaft in flat water. [m]
    motion_sd_m : array_like, broadcastable with `shaft_depth_m`
        As from `physics.bow_motion.relative_bow_motion_m`. [m]
    propeller_radius_m : array_like, broadcastable with `shaft_depth_m`
        Propeller radius. [m]

    Returns
    -------
    thrust_ratio : ndarray, shape (...)
        A motor takes it into its `thrust_factor`: to hold a mean thrust it is asked for that
        thrust over this ratio. [1]

    Raises
    ------
    ValueError
        If a motion is negative, a radius not above zero, or a depth not finite.

    Notes
    -----
    .. math:: \bar\beta = \int \beta\!\left(\frac{h + s z}{R}\right) \varphi(z)\, dz

    with :math:`\beta` of `ventilation_thrust_ratio` and :math:`\varphi` the normal law, by
    25 even steps, within 0.003 of the integral up to a motion of one radius and 0.01 up to
    three. Assumptions: the propeller turns at one speed and the law for slow change holds. Real
    air drawing starts late and lasts longer, and a loaded propeller draws air from deeper, so
    one that comes near the surface loses more than this says (from memory).
    """
    return _mean(
        lambda depth, radius: ventilation_thrust_ratio(depth, propeller_radius_m=radius),
        shaft_depth_m,
        motion_sd_m,
        propeller_radius_m,
    )


def mean_torque_ratio(
    shaft_depth_m: ArrayLike,
    *,
    motion_sd_m: ArrayLike,
    propeller_radius_m: ArrayLike,
    exponent: float,
) -> Array:
    r"""
    Return the share of torque left, on average, while chop swings the propeller's depth.

    Parameters
    ----------
    shaft_depth_m : array_like, shape (...)
        Depth of the shaft in flat water. [m]
    motion_sd_m : array_like, broadcastable with `shaft_depth_m`
        As from `physics.bow_motion.relative_bow_motion_m`. [m]
    propeller_radius_m : array_like, broadcastable with `shaft_depth_m`
        Propeller radius. [m]
    exponent : float
        As in `ventilation_torque_ratio`. [1]

    Returns
    -------
    torque_ratio : ndarray, shape (...)
        A motor takes it into its `torque_factor`; never below the thrust's, so chop costs
        power. [1]

    Raises
    ------
    ValueError
        If a motion is negative, a radius not above zero, a depth not finite or the exponent
        not above 0 and at most 1.

    Notes
    -----
    As `mean_thrust_ratio`, of :math:`\beta^m`. On the spot the power for one mean thrust grows
    by :math:`\overline{\beta^m} / \bar\beta^{3/2}`, for the speed has to rise by the root.
    """
    return _mean(
        lambda depth, radius: ventilation_torque_ratio(
            ventilation_thrust_ratio(depth, propeller_radius_m=radius), exponent=exponent
        ),
        shaft_depth_m,
        motion_sd_m,
        propeller_radius_m,
    )


def swinging_thrust_ratio(
    shaft_depth_m: ArrayLike, *, amplitude_m: ArrayLike, propeller_radius_m: ArrayLike
) -> Array:
    """
    Return the share of thrust left, on average, in a steady swing such as a wake's or swell's.

    Parameters
    ----------
    shaft_depth_m : array_like, shape (...)
        Depth of the shaft in flat water. [m]
    amplitude_m : array_like, broadcastable with `shaft_depth_m`
        The depth swings by this much either way, as a sine of time. [m]
    propeller_radius_m : array_like, broadcastable with `shaft_depth_m`
        Propeller radius. [m]

    Returns
    -------
    thrust_ratio : ndarray, shape (...)
        As from `mean_thrust_ratio`. [1]

    Raises
    ------
    ValueError
        If an amplitude is negative, a radius not above zero, or a depth not finite.

    Examples
    --------
    >>> round(float(swinging_thrust_ratio(0.3, amplitude_m=0.3, propeller_radius_m=0.14)), 2)
    0.85
    """
    depth = bounded(shaft_depth_m, name="shaft_depth_m")[..., None]
    swing = bounded(amplitude_m, name="amplitude_m", low=0.0)[..., None]
    radius = np.asarray(propeller_radius_m, dtype=np.float64)[..., None]
    ratio = ventilation_thrust_ratio(depth + swing * _PHASES, propeller_radius_m=radius)
    return np.asarray(ratio.mean(axis=-1))


def shaft_depth_for_m(
    largest_loss: ArrayLike, *, motion_sd_m: ArrayLike, propeller_radius_m: ArrayLike
) -> Array:
    """
    Return the depth of shaft at which chop takes no more than a stated share of the thrust.

    Parameters
    ----------
    largest_loss : array_like, shape (...)
        Share of the thrust that may go on average, 0.001 to 0.9. [1]
    motion_sd_m : array_like, broadcastable with `largest_loss`
        As from `physics.bow_motion.relative_bow_motion_m`. [m]
    propeller_radius_m : array_like, broadcastable with `largest_loss`
        Propeller radius. [m]

    Returns
    -------
    shaft_depth_m : ndarray, shape (...)
        From the flat surface to the middle of the shaft; what of the motor stands above it
        comes on top. [m]

    Raises
    ------
    ValueError
        If the share lies outside its range, a motion is negative or a radius not above zero.

    Notes
    -----
    Forty halvings on `mean_thrust_ratio`, with what is left out there left out here.
    """
    loss = bounded(largest_loss, name="largest_loss", low=0.001, high=0.9)
    motion = bounded(motion_sd_m, name="motion_sd_m", low=0.0)
    radius = bounded(propeller_radius_m, name="propeller_radius_m", low=0.0, above=True)
    loss, motion, radius = np.broadcast_arrays(loss, motion, radius)
    shallow, deep = -radius - 6.0 * motion, _FULL_RADII * radius + 6.0 * motion
    for _ in range(_HALVINGS):
        middle = 0.5 * (shallow + deep)
        left = mean_thrust_ratio(middle, motion_sd_m=motion, propeller_radius_m=radius)
        enough = left >= 1.0 - loss
        shallow = np.where(enough, shallow, middle)
        deep = np.where(enough, middle, deep)
    return np.asarray(deep)


def _mean(
    ratio_at: Callable[[Array, Array], Array],
    shaft_depth_m: ArrayLike,
    motion_sd_m: ArrayLike,
    propeller_radius_m: ArrayLike,
) -> Array:
    """Return the mean of a ratio over a normal swing of the depth."""
    depth, motion, radius = np.broadcast_arrays(
        bounded(shaft_depth_m, name="shaft_depth_m"),
        bounded(motion_sd_m, name="motion_sd_m", low=0.0),
        bounded(propeller_radius_m, name="propeller_radius_m", low=0.0, above=True),
    )
    mean = np.ones(depth.shape)
    # Most boats, most days, never come near the air: only the rest is worked out.
    near = depth - _NODES[-1] * motion < _FULL_RADII * radius
    if not near.any():
        return mean
    depth, motion, radius = depth[near], motion[near], radius[near]
    total = np.zeros(depth.shape)
    for node, weight in zip(_NODES, _WEIGHTS, strict=True):
        total += weight * ratio_at(depth + node * motion, radius)
    mean[near] = np.clip(total, 0.0, 1.0)
    return mean
