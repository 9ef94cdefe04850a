"""
What the boat shows to the wind, and the force the wind puts on it.

Depends on: `physics.bounds`, `physics.wind`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.wind import velocity_pressure_pa

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Windage:
    """
    Areas and coefficients of a boat in the wind; each a number or an array (members,).

    Coefficients as in `blendermann_coefficients`.
    """

    frontal_area_m2: float | Array  # seen from ahead, people included [m^2]
    lateral_area_m2: float | Array  # seen from the side [m^2]
    height_m: float | Array  # centroid of the frontal area above the water [m]
    side_coefficient: float | Array  # wind abeam, on the lateral area [1]
    bow_coefficient: float | Array  # wind ahead, on the frontal area [1]
    stern_coefficient: float | Array  # wind astern, on the frontal area [1]
    cross_force_parameter: float | Array  # how much the forces swell between the two [1]
    wind_factor: float | Array  # the owner's calibration of every wind force, 1 without [1]

    def __post_init__(self) -> None:
        for name in ("frontal_area_m2", "lateral_area_m2", "height_m", "side_coefficient"):
            bounded(getattr(self, name), name=name, low=0.0, above=True)
        for name in ("bow_coefficient", "stern_coefficient", "wind_factor"):
            bounded(getattr(self, name), name=name, low=0.0)
        bounded(self.cross_force_parameter, name="cross_force_parameter", low=0.0, high=1.0)


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
    return _coefficients(
        np.cos(angle),
        np.sin(angle),
        area_ratio=np.asarray(area_ratio, dtype=np.float64),
        side=np.asarray(side_coefficient, dtype=np.float64),
        bow=np.asarray(bow_coefficient, dtype=np.float64),
        stern=np.asarray(stern_coefficient, dtype=np.float64),
        swell=np.asarray(cross_force_parameter, dtype=np.float64),
    )


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
    lever = np.asarray(centroid_offset) - 0.18 * (np.deg2rad(np.abs(angle)) - 0.5 * np.pi)
    return np.asarray(lever * np.asarray(sway_coefficient, dtype=np.float64))


def wind_forces_n(
    wind_mps: ArrayLike,
    *,
    angle_off_bow_deg: ArrayLike,
    windage: Windage,
    air_density_kgpm3: ArrayLike,
) -> tuple[Array, Array]:
    r"""
    Return the force of the wind along and across the boat.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind past the boat at the height of its windage. [m/s]
    angle_off_bow_deg : array_like, broadcastable with `wind_mps`
        Where it comes from, 0 ahead, positive to starboard. [deg]
    windage : Windage
        What the boat shows to it.
    air_density_kgpm3 : array_like, broadcastable with `wind_mps`
        Density of the air. [kg/m^3]

    Returns
    -------
    surge_force_n : ndarray, shape (...)
        Positive pushes the boat ahead. [N]
    sway_force_n : ndarray, shape (...)
        Positive pushes it to starboard. [N]

    Raises
    ------
    ValueError
        If a wind is negative or a density not above zero.

    Notes
    -----
    .. math:: X = q A_F C_X, \qquad Y = -q A_L C_Y, \qquad q = \tfrac12\rho V^2

    times the owner's wind factor (ours). Coefficients from `blendermann_coefficients`.
    """
    wind = bounded(wind_mps, name="wind_mps", low=0.0)
    angle = np.deg2rad(bounded(angle_off_bow_deg, name="angle_off_bow_deg"))
    return wind_forces_from_cosines_n(
        wind,
        cosine=np.cos(angle),
        sine=np.sin(angle),
        windage=windage,
        air_density_kgpm3=air_density_kgpm3,
    )


def wind_forces_from_cosines_n(
    wind_mps: ArrayLike,
    *,
    cosine: ArrayLike,
    sine: ArrayLike,
    windage: Windage,
    air_density_kgpm3: ArrayLike,
) -> tuple[Array, Array]:
    """
    Return what `wind_forces_n` returns, for a caller who has the angle's cosine and sine.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind past the boat at the height of its windage. [m/s]
    cosine, sine : array_like, broadcastable with `wind_mps`
        Of the angle off the bow; any pair in a calm. [1]
    windage : Windage
        What the boat shows to it.
    air_density_kgpm3 : array_like, broadcastable with `wind_mps`
        Density of the air. [kg/m^3]

    Returns
    -------
    surge_force_n : ndarray, shape (...)
        Positive pushes the boat ahead. [N]
    sway_force_n : ndarray, shape (...)
        Positive pushes it to starboard. [N]

    Raises
    ------
    ValueError
        If a wind is negative or a density not above zero.
    """
    along, across = _coefficients(
        np.asarray(cosine, dtype=np.float64),
        np.asarray(sine, dtype=np.float64),
        area_ratio=windage.frontal_area_m2 / windage.lateral_area_m2,
        side=windage.side_coefficient,
        bow=windage.bow_coefficient,
        stern=windage.stern_coefficient,
        swell=windage.cross_force_parameter,
    )
    pressure = velocity_pressure_pa(wind_mps, air_density_kgpm3=air_density_kgpm3)
    pressure = pressure * windage.wind_factor
    surge = pressure * windage.frontal_area_m2 * along
    return np.asarray(surge), np.asarray(-pressure * windage.lateral_area_m2 * across)


def _coefficients(
    cosine: Array,
    sine: Array,
    *,
    area_ratio: float | Array,
    side: float | Array,
    bow: float | Array,
    stern: float | Array,
    swell: float | Array,
) -> tuple[Array, Array]:
    """Return Blendermann's pair from the angle's cosine and sine."""
    lengthwise = np.where(cosine >= 0.0, bow, stern)
    square = (2.0 * sine * cosine) ** 2
    divisor = 1.0 - 0.5 * swell * (1.0 - lengthwise * area_ratio / side) * square
    return np.asarray(-lengthwise * cosine / divisor), np.asarray(side * sine / divisor)
