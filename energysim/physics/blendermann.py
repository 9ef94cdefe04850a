"""
Wind coefficients of a vessel from any side.

Depends on: `physics.bounds`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SideSwell:
    """The side coefficient of one vessel, worked out but for the angle."""

    side_coefficient: Array  # wind abeam [1]
    ahead: Array  # how much it swells at oblique angles, wind before the beam [1]
    astern: Array  # and behind it [1]


def blendermann_coefficients(
    angle_off_bow_deg: ArrayLike,
    *,
    area_ratio: ArrayLike,
    side_coefficient: ArrayLike,
    bow_coefficient: ArrayLike,
    stern_coefficient: ArrayLike,
    cross_force_parameter: ArrayLike,
) -> tuple[Array, Array]:
    r"""
    Return the wind coefficients along and across a vessel, wind from any side.

    Parameters
    ----------
    angle_off_bow_deg : array_like, shape (...)
        Where the wind comes from, 0 ahead, positive to starboard. [deg]
    area_ratio : array_like, broadcastable with `angle_off_bow_deg`
        Frontal area over lateral area. [1]
    side_coefficient, bow_coefficient, stern_coefficient : array_like
        Resistance abeam (on the lateral area), ahead and astern (on the frontal area). [1]
    cross_force_parameter : array_like
        How much the forces swell at oblique angles, 0 to 1. [1]

    Returns
    -------
    surge_coefficient : ndarray, shape (...)
        On the frontal area; negative pushes the boat astern. [1]
    sway_coefficient : ndarray, shape (...)
        On the lateral area, away from the wind; positive for a wind from starboard, as the
        source prints it (a wind from starboard pushes to port). [1]

    Raises
    ------
    ValueError
        If an angle is not finite.

    Notes
    -----
    .. math::

        C_X = -\frac{C_{l} \cos\gamma}{d}, \quad C_Y = \frac{C_t \sin\gamma}{d}, \quad
        d = 1 - \frac{\delta}{2}\left(1 - \frac{C_l A_F}{C_t A_L}\right)\sin^2 2\gamma

    with :math:`C_l` the bow value up to the beam and the stern value behind it.

    Assumptions: measured on models of ships with superstructures, not on open boats. For
    boats with people and a console take the row of the fishing vessel; 0.55 to 0.90 is our
    range for the bow value.

    References
    ----------
    .. [1] Blendermann 1994, J. Wind Eng. Ind. Aerodyn. 51, 339-351, as given in Fossen 2021,
       ch. 10.1.2; read in a public marine-systems code library, not in the papers.
    """
    angle = np.deg2rad(bounded(angle_off_bow_deg, name="angle_off_bow_deg"))
    return blendermann_from_cosines(
        np.cos(angle),
        sine=np.sin(angle),
        area_ratio=area_ratio,
        side_coefficient=side_coefficient,
        bow_coefficient=bow_coefficient,
        stern_coefficient=stern_coefficient,
        cross_force_parameter=cross_force_parameter,
    )


def blendermann_from_cosines(
    cosine: ArrayLike,
    *,
    sine: ArrayLike,
    area_ratio: ArrayLike,
    side_coefficient: ArrayLike,
    bow_coefficient: ArrayLike,
    stern_coefficient: ArrayLike,
    cross_force_parameter: ArrayLike,
) -> tuple[Array, Array]:
    """
    Return what `blendermann_coefficients` returns, for a caller who has cosine and sine.

    Parameters
    ----------
    cosine : array_like, shape (...)
        Of the angle off the bow. [1]
    sine : array_like, broadcastable with `cosine`
        Of the same angle. [1]
    area_ratio : array_like, broadcastable with `cosine`
        Frontal area over lateral area. [1]
    side_coefficient, bow_coefficient, stern_coefficient : array_like
        Resistance abeam (on the lateral area), ahead and astern (on the frontal area). [1]
    cross_force_parameter : array_like
        How much the forces swell at oblique angles, 0 to 1. [1]

    Returns
    -------
    surge_coefficient : ndarray, shape (...)
        As from `blendermann_coefficients`. [1]
    sway_coefficient : ndarray, shape (...)
        As from `blendermann_coefficients`. [1]
    """
    along, across = np.asarray(cosine, dtype=np.float64), np.asarray(sine, dtype=np.float64)
    lengthwise = np.where(along >= 0.0, bow_coefficient, stern_coefficient)
    swell = side_swell(
        area_ratio=area_ratio,
        side_coefficient=side_coefficient,
        bow_coefficient=bow_coefficient,
        stern_coefficient=stern_coefficient,
        cross_force_parameter=cross_force_parameter,
    )
    divisor = _divisor(along, across, swell)
    surge = -lengthwise * along / divisor
    return np.asarray(surge), np.asarray(swell.side_coefficient * across / divisor)


def side_swell(
    *,
    area_ratio: ArrayLike,
    side_coefficient: ArrayLike,
    bow_coefficient: ArrayLike,
    stern_coefficient: ArrayLike,
    cross_force_parameter: ArrayLike,
) -> SideSwell:
    """Return the side coefficient worked out but for the angle, for a search."""
    side = np.asarray(side_coefficient, dtype=np.float64)
    share = np.asarray(area_ratio, dtype=np.float64) / side
    reach = 2.0 * np.asarray(cross_force_parameter, dtype=np.float64)
    return SideSwell(
        side_coefficient=side,
        ahead=np.asarray(reach * (1.0 - np.asarray(bow_coefficient) * share)),
        astern=np.asarray(reach * (1.0 - np.asarray(stern_coefficient) * share)),
    )


def sway_from_cosines(cosine: Array, *, sine: Array, swell: SideSwell) -> Array:
    """Return the second of `blendermann_from_cosines` alone, for a search that asks often."""
    return np.asarray(swell.side_coefficient * sine / _divisor(cosine, sine, swell))


def _divisor(along: Array, across: Array, swell: SideSwell) -> Array:
    """Return what the forces swell by at oblique angles, to divide by."""
    product = across * along  # half the sine of the double angle
    return np.asarray(
        1.0 - np.where(along >= 0.0, swell.ahead, swell.astern) * (product * product)
    )


def lateral_lever(angle: Array, *, centroid_offset: float | Array) -> Array:
    """Return where the side force acts forward of midships, over length; radians, 0 to pi."""
    return np.asarray((centroid_offset + 0.09 * np.pi) - 0.18 * angle)


def blendermann_yaw_coefficient(
    angle_off_bow_deg: ArrayLike, *, sway_coefficient: ArrayLike, centroid_offset: ArrayLike
) -> Array:
    r"""
    Return the coefficient of the wind's turning moment, for the balance of yaw.

    Parameters
    ----------
    angle_off_bow_deg : array_like, shape (...)
        Where the wind comes from, 0 to 180 off the bow on either side. [deg]
    sway_coefficient : array_like, broadcastable with `angle_off_bow_deg`
        From `blendermann_coefficients`. [1]
    centroid_offset : array_like, broadcastable with `angle_off_bow_deg`
        Centroid of the lateral area forward of midships, over the length overall. [1]

    Returns
    -------
    yaw_coefficient : ndarray, shape (...)
        On lateral area times length overall, same sign rule as the sway coefficient. [1]

    Raises
    ------
    ValueError
        If an angle is outside -180 to 180.

    Notes
    -----
    .. math:: C_N = \left[\frac{s_L}{L} - 0.18\left(\gamma - \frac{\pi}{2}\right)\right] C_Y

    References
    ----------
    .. [1] As for `blendermann_coefficients`.
    """
    angle = bounded(angle_off_bow_deg, name="angle_off_bow_deg", low=-180.0, high=180.0)
    offset = np.asarray(centroid_offset, dtype=np.float64)
    lever = lateral_lever(np.deg2rad(np.abs(angle)), centroid_offset=offset)
    return np.asarray(lever * np.asarray(sway_coefficient, dtype=np.float64))
