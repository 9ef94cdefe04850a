"""
What the bow motor must do for a boat at a heading: the thrust, where to, in what water.

Depends on: `physics.boat`, `physics.bounds`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.boat import Boat, Chop, forces_at_heading_n
from energysim.physics.bounds import bounded

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """What the bow motor must do; arrays of one common shape."""

    thrust_n: Array  # never negative
    thrust_off_bow_deg: Array  # where the motor pulls, 0 ahead, positive to starboard
    heading_deg: Array  # of the boat, compass
    inflow_mps: Array  # water into the propeller along the thrust, never negative
    wind_force_n: Array  # magnitude
    stream_force_n: Array  # magnitude
    chop_force_n: Array  # magnitude
    turning_moment_nm: Array  # about the bow motor, which cannot hold it; clockwise
    speed_over_ground_mps: Array
    course_deg: Array  # over the ground; the heading where nothing moves
    steady_headings: Array  # how many there were to choose from; 0 where the heading was given
    swung: NDArray[np.bool_]  # True where the boat turned far since the step before
    astern: NDArray[np.bool_]  # True where wind, water and chop push the boat ahead


def load_at_heading(
    heading_deg: ArrayLike,
    *,
    wind_mps: ArrayLike,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    boat: Boat,
    depth_m: ArrayLike | None = None,
    chop: Chop | None = None,
) -> Load:
    r"""
    Return what keeps a boat where it is, or going as it goes, with its bow at a heading.

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
    depth_m : array_like or None
        Depth of the water, no less than the draft; None for deep water. [m]
    chop : Chop or None
        Chop, broadcastable with `heading_deg`; None for smooth water.

    Returns
    -------
    load : Load
        Said to be standing still; a caller who moves it says so.

    Raises
    ------
    ValueError
        If a speed is negative, a number is not finite or the water shallower than the draft.

    Notes
    -----
    The motor turns about its shaft and pulls against the sum of all forces:

    .. math:: \vec T = -(X, Y), \qquad V_T = \max(0,\ \vec u \cdot \vec T / T)

    with :math:`\vec u` the boat's way through the water. A bow motor has no lever about
    itself: a `turning_moment_nm` other than zero means the boat will not stay at this heading
    for that thrust alone. Something else would have to hold it (a rudder, a second motor, a
    drogue), and what that costs is beyond this model.
    """
    forces = forces_at_heading_n(
        heading_deg,
        wind_mps=wind_mps,
        wind_from_deg=wind_from_deg,
        stream_mps=stream_mps,
        stream_toward_deg=stream_toward_deg,
        boat=boat,
        depth_m=depth_m,
        chop=chop,
    )
    surge, sway = forces.surge_n, forces.sway_n
    thrust = np.hypot(surge, sway)
    shape = thrust.shape
    heading = np.broadcast_to(np.mod(bounded(heading_deg, name="heading_deg"), 360.0), shape)
    leads = np.deg2rad(np.asarray(stream_toward_deg, dtype=np.float64) + 180.0 - heading)
    way = np.cos(leads) * surge + np.sin(leads) * sway
    along = np.divide(-way, thrust, out=np.zeros(shape), where=thrust > 0.0)
    off_bow = np.rad2deg(np.arctan2(-sway, -surge))
    return Load(
        thrust_n=thrust,
        thrust_off_bow_deg=np.where(thrust > 0.0, off_bow, 0.0),
        heading_deg=heading,
        inflow_mps=np.maximum(np.asarray(stream_mps) * along, 0.0),
        wind_force_n=_size(forces.wind_surge_n, forces.wind_sway_n, shape),
        stream_force_n=_size(forces.water_surge_n, forces.water_sway_n, shape),
        chop_force_n=_size(forces.chop_surge_n, forces.chop_sway_n, shape),
        turning_moment_nm=np.broadcast_to(forces.turning_moment_nm, shape),
        speed_over_ground_mps=np.zeros(shape),
        course_deg=heading,
        steady_headings=np.zeros(shape),
        swung=np.zeros(shape, dtype=bool),
        astern=surge > 0.0,
    )


def _size(surge: Array, sway: Array, shape: tuple[int, ...]) -> Array:
    """Return the magnitude of a force."""
    return np.broadcast_to(np.hypot(surge, sway), shape)
