"""
What the boat shows to the wind, and the force the wind puts on it.

Depends on: `physics.blendermann`, `physics.bounds`, `physics.wind`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.blendermann import blendermann_from_cosines
from energysim.physics.bounds import bounded
from energysim.physics.wind import velocity_pressure_pa

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Windage:
    """
    Areas and coefficients of a boat in the wind; each a number or an array (members,).

    Coefficients as in `physics.blendermann`.
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
    along, across = _from_cosines(cosine, sine, windage)
    pressure = velocity_pressure_pa(wind_mps, air_density_kgpm3=air_density_kgpm3)
    pressure = pressure * windage.wind_factor
    surge = pressure * windage.frontal_area_m2 * along
    return np.asarray(surge), np.asarray(-pressure * windage.lateral_area_m2 * across)


def lateral_coefficient(cosine: ArrayLike, *, sine: ArrayLike, windage: Windage) -> Array:
    """
    Return the wind's coefficient across the boat alone, for a search that needs no other.

    Parameters
    ----------
    cosine : array_like, shape (...)
        Of the angle off the bow. [1]
    sine : array_like, broadcastable with `cosine`
        Of the same angle. [1]
    windage : Windage
        What the boat shows to the wind.

    Returns
    -------
    sway_coefficient : ndarray, shape (...)
        As from `blendermann_coefficients`. [1]
    """
    _, across = _from_cosines(cosine, sine, windage)
    return across


def _from_cosines(cosine: ArrayLike, sine: ArrayLike, windage: Windage) -> tuple[Array, Array]:
    """Return the two coefficients of this windage."""
    return blendermann_from_cosines(
        cosine,
        sine=sine,
        area_ratio=windage.frontal_area_m2 / windage.lateral_area_m2,
        side_coefficient=windage.side_coefficient,
        bow_coefficient=windage.bow_coefficient,
        stern_coefficient=windage.stern_coefficient,
        cross_force_parameter=windage.cross_force_parameter,
    )
