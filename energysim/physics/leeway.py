"""
How a boat left alone slides downwind, and where it drifts.

Depends on: `physics.bearing`, `physics.boat`, `physics.bounds`, `physics.drift_angle`,
`physics.windage`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bearing import components_from_toward, toward_from_components
from energysim.physics.boat import Boat
from energysim.physics.bounds import bounded
from energysim.physics.drift_angle import side_grip
from energysim.physics.windage import wind_forces_n

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FreeDrift:
    """How a boat left alone moves; arrays of one shape."""

    speed_over_ground_mps: Array
    course_deg: Array
    downwind_deg: Array  # where the wind over the water blows toward
    wind_over_boat_mps: Array


def leeway_mps(wind_mps: ArrayLike, *, boat: Boat, depth_m: ArrayLike | None = None) -> Array:
    r"""
    Return how fast a boat left alone slides downwind through the water, beam to the wind.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind over the water at the height of the windage. [m/s]
    boat : Boat
        The boat.
    depth_m : array_like or None
        Depth of the water, no less than the draft; None for deep water. [m]

    Returns
    -------
    leeway_mps : ndarray, shape (...)
        Speed through the water, downwind. [m/s]

    Raises
    ------
    ValueError
        If a wind is negative or the water shallower than the draft.

    Notes
    -----
    Wind force equals cross-flow drag:

    .. math:: v = W\,\frac{r}{1 + r}, \qquad
              r = \sqrt{\frac{\rho_a A_L C_t}{\rho_w L_w T C_D}}

    Too fast for skiffs, and known to be. In 10 to 20 kn of wind the published drift of skiffs
    is 3.2 to 5.1 % of the 10 m wind and of an open boat with a centre console 5.6 %; without
    waves this law gives our skiff 5.0 to 5.1 % and our centre console 5.5 to 5.6 %. Chop
    would add to that. The size and load of the boats tried are not known, nor whether they
    lay beam to the wind, and the sideways coefficient was chosen after a look at these very
    figures: agreement proves nothing. The owner's drag factor is there to mend it.

    References
    ----------
    .. [1] US Coast Guard leeway classes (Allen and others), read in the data file of a public
       drift model.
    """
    wind = bounded(wind_mps, name="wind_mps", low=0.0)
    _, force = wind_forces_n(
        1.0,
        angle_off_bow_deg=-90.0,
        windage=boat.windage,
        air_density_kgpm3=boat.air_density_kgpm3,
    )
    grip = side_grip(boat.hull, water_density_kgpm3=boat.water_density_kgpm3, depth_m=depth_m)
    root = np.sqrt(force / grip.cross_n_per_mps2)
    return np.asarray(wind * (root / (1.0 + root)))


def free_drift(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    boat: Boat,
    depth_m: ArrayLike | None = None,
) -> FreeDrift:
    """
    Return where and how fast a boat left alone goes: with the stream plus its leeway.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind over the ground at the height of the windage. [m/s]
    wind_from_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it blows from. [deg]
    stream_mps : array_like, broadcastable with `wind_mps`
        Speed of the stream. [m/s]
    stream_toward_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it runs toward. [deg]
    boat : Boat
        The boat.
    depth_m : array_like or None
        Depth of the water, no less than the draft; None for deep water. [m]

    Returns
    -------
    drift : FreeDrift
        Speed and course over the ground, and the wind that is left.

    Raises
    ------
    ValueError
        If a speed is negative, a number is not finite or the water shallower than the draft.

    Notes
    -----
    As `leeway_mps`, in the wind over the water.
    """
    wind_east, wind_north = components_from_toward(
        bounded(wind_mps, name="wind_mps", low=0.0),
        toward_deg=bounded(wind_from_deg, name="wind_from_deg") + 180.0,
    )
    stream_east, stream_north = components_from_toward(
        bounded(stream_mps, name="stream_mps", low=0.0),
        toward_deg=bounded(stream_toward_deg, name="stream_toward_deg"),
    )
    over_water_mps, downwind = toward_from_components(
        wind_east - stream_east, north_mps=wind_north - stream_north
    )
    leeway = leeway_mps(over_water_mps, boat=boat, depth_m=depth_m)
    slide_east, slide_north = components_from_toward(leeway, toward_deg=downwind)
    speed, course = toward_from_components(
        stream_east + slide_east, north_mps=stream_north + slide_north
    )
    return FreeDrift(
        speed_over_ground_mps=speed,
        course_deg=course,
        downwind_deg=downwind,
        wind_over_boat_mps=np.asarray(over_water_mps - leeway),
    )
