"""
The boat between wind and stream: every steady force on it at a given heading.

Depends on: `physics.bounds`, `physics.hull`, `physics.windage`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.hull import Hull, water_forces_n
from energysim.physics.windage import Windage, wind_forces_from_cosines_n

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Boat:
    """A boat in its water and its air; each number a number or an array (members,)."""

    hull: Hull
    windage: Windage
    water_density_kgpm3: float | Array
    water_viscosity_m2ps: float | Array
    air_density_kgpm3: float | Array

    def __post_init__(self) -> None:
        for name in ("water_density_kgpm3", "water_viscosity_m2ps", "air_density_kgpm3"):
            bounded(getattr(self, name), name=name, low=0.0, above=True)


def forces_at_heading_n(
    heading_deg: ArrayLike,
    *,
    wind_mps: ArrayLike,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    boat: Boat,
) -> tuple[Array, Array, Array, Array]:
    """
    Return what wind and water do to a boat on the spot, whichever way it faces.

    For a boat that moves, give the wind and the stream as they pass it.

    Parameters
    ----------
    heading_deg : array_like, shape (...)
        Compass heading of the bow. [deg]
    wind_mps : array_like, broadcastable with `heading_deg`
        Wind past the boat at the height of its windage. [m/s]
    wind_from_deg : array_like, broadcastable with `heading_deg`
        Compass bearing it blows from. [deg]
    stream_mps : array_like, broadcastable with `heading_deg`
        Water past the boat. [m/s]
    stream_toward_deg : array_like, broadcastable with `heading_deg`
        Compass bearing it runs toward. [deg]
    boat : Boat
        The boat.

    Returns
    -------
    wind_surge_n, wind_sway_n : ndarray, shape (...)
        Force of the wind, ahead and to starboard. [N]
    water_surge_n, water_sway_n : ndarray, shape (...)
        Force of the water, ahead and to starboard. [N]

    Raises
    ------
    ValueError
        If a speed is negative or a number is not finite.
    """
    heading = np.deg2rad(bounded(heading_deg, name="heading_deg"))
    off_bow = np.deg2rad(bounded(wind_from_deg, name="wind_from_deg")) - heading
    # Where the boat goes through the water is where the water comes from.
    leads = np.deg2rad(bounded(stream_toward_deg, name="stream_toward_deg")) + np.pi - heading
    through = bounded(stream_mps, name="stream_mps", low=0.0)
    wind_surge, wind_sway = wind_forces_from_cosines_n(
        wind_mps,
        cosine=np.cos(off_bow),
        sine=np.sin(off_bow),
        windage=boat.windage,
        air_density_kgpm3=boat.air_density_kgpm3,
    )
    water_surge, water_sway = water_forces_n(
        through * np.cos(leads),
        sway_mps=through * np.sin(leads),
        hull=boat.hull,
        water_density_kgpm3=boat.water_density_kgpm3,
        water_viscosity_m2ps=boat.water_viscosity_m2ps,
    )
    return wind_surge, wind_sway, water_surge, water_sway
