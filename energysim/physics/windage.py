"""
What the boat shows to the wind, and the force the wind puts on it.

Depends on: `physics.blendermann`, `physics.bounds`, `physics.wind`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.blendermann import (
    SideSwell,
    blendermann_from_cosines,
    lateral_lever,
    side_swell,
)
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
    length_m: float | Array  # overall; the wind's lever is a share of it [m]
    centroid_m: float | Array  # of the lateral area, forward of half the length [m]
    height_m: float | Array  # centroid of the frontal area above the water [m]
    side_coefficient: float | Array  # wind abeam, on the lateral area [1]
    bow_coefficient: float | Array  # wind ahead, on the frontal area [1]
    stern_coefficient: float | Array  # wind astern, on the frontal area [1]
    cross_force_parameter: float | Array  # how much the forces swell between the two [1]
    wind_factor: float | Array  # the owner's calibration of every wind force, 1 without [1]

    def __post_init__(self) -> None:
        for name in (
            "frontal_area_m2", "lateral_area_m2", "length_m", "height_m", "side_coefficient",
        ):  # fmt: skip
            bounded(getattr(self, name), name=name, low=0.0, above=True)
        offset = np.asarray(self.centroid_m, dtype=np.float64) / self.length_m
        bounded(offset, name="centroid_m / length_m", low=-0.5, high=0.5)
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


def wind_moment_nm(
    sway_force_n: ArrayLike, *, cosine: ArrayLike, sine: ArrayLike, windage: Windage
) -> Array:
    r"""
    Return how the wind turns the boat about the middle of its length.

    Parameters
    ----------
    sway_force_n : array_like, shape (...)
        What the wind does across the boat, from `wind_forces_n`. [N]
    cosine, sine : array_like, broadcastable with `sway_force_n`
        Of the angle off the bow from which it blows. [1]
    windage : Windage
        What the boat shows to it.

    Returns
    -------
    moment_nm : ndarray, shape (...)
        Clockwise from above. [N m]

    Notes
    -----
    .. math:: N = Y\left[s_L - 0.18\,L\left(|\gamma| - \tfrac{\pi}{2}\right)\right]

    A wind from ahead takes hold of the fore part, a wind from astern of the after part.

    References
    ----------
    .. [1] As for `physics.blendermann.blendermann_coefficients`.
    """
    angle = np.arctan2(np.abs(np.asarray(sine, dtype=np.float64)), cosine)
    return np.asarray(np.asarray(sway_force_n) * wind_arm_m(angle, windage=windage))


def wind_arm_m(angle: Array, *, windage: Windage) -> Array:
    """Return how far forward of the middle the wind's side force acts; radians, 0 to pi."""
    offset = windage.centroid_m / windage.length_m
    return np.asarray(windage.length_m * lateral_lever(angle, centroid_offset=offset))


def windage_swell(windage: Windage) -> SideSwell:
    """Return the wind's coefficient across the boat, worked out but for the angle."""
    return side_swell(**_shape(windage))


def _from_cosines(cosine: ArrayLike, sine: ArrayLike, windage: Windage) -> tuple[Array, Array]:
    """Return the two coefficients of this windage."""
    return blendermann_from_cosines(cosine, sine=sine, **_shape(windage))


def _shape(windage: Windage) -> dict[str, float | Array]:
    """Return what the coefficients depend on besides the angle."""
    return {
        "area_ratio": windage.frontal_area_m2 / windage.lateral_area_m2,
        "side_coefficient": windage.side_coefficient,
        "bow_coefficient": windage.bow_coefficient,
        "stern_coefficient": windage.stern_coefficient,
        "cross_force_parameter": windage.cross_force_parameter,
    }
