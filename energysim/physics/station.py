"""
The load on the bow motor: holding a spot, creeping along, slowing a drift.

The wind passed in is the wind at the height of the windage (`physics.wind.wind_at_height`).
Bow-on totals are good to about 35 %; with wind and stream opposed, thrust and heading can be
wrong by a factor of two, and gusts, wakes and chop come on top.

Depends on: `physics.bearing`, `physics.boat`, `physics.bounds`, `physics.leeway`,
`physics.lying`.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bearing import components_from_toward, toward_from_components
from energysim.physics.boat import Boat, forces_at_heading_n
from energysim.physics.bounds import bounded
from energysim.physics.leeway import leeway_mps
from energysim.physics.lying import lying_heading_deg

__all__ = ["Boat", "Load", "creep_load", "drift_load", "hold_load"]

Array = NDArray[np.float64]

STILL_MPS = 1.0e-6
"""Water slower than this past a creeping boat counts as still (rounding). [m/s]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """What the bow motor must do; arrays of one common shape."""

    thrust_n: Array  # never negative
    heading_deg: Array  # of the boat, compass
    inflow_mps: Array  # water into the propeller along the thrust, never negative
    wind_force_n: Array  # magnitude
    stream_force_n: Array  # magnitude
    speed_over_ground_mps: Array
    course_deg: Array  # over the ground; the heading where nothing moves
    astern: NDArray[np.bool_]  # True where wind and water together push the boat ahead


def hold_load(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    boat: Boat,
) -> Load:
    """
    Return the thrust that keeps the boat on a spot, and how it lies there.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind at the height of the windage. [m/s]
    wind_from_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it blows from. [deg]
    stream_mps : array_like, broadcastable with `wind_mps`
        Speed of the stream. [m/s]
    stream_toward_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it runs toward. [deg]
    boat : Boat
        The boat.

    Returns
    -------
    load : Load
        Thrust, heading, water into the propeller and the rest.

    Raises
    ------
    ValueError
        If a speed is negative or a number is not finite.

    Notes
    -----
    The boat turns until nothing pushes it sideways (`lying_heading_deg`); what is left runs
    along the keel and is the thrust. Wind against stream relieve each other: near balance
    the boat lies across both and little thrust is left. Where the rest pushes from astern,
    `astern` is set and the motor pulls backward, with no water running into the propeller.

    The thrust is continuous in wind, stream and angle, but for one swing within about 20 deg
    of exact opposition (see `lying_heading_deg`), when the wind begins to beat the stream
    broadside. The thrust jumps there from next to nothing to what is left of the wind's load:
    with 1.7 kn of stream about 3 N for a skiff and 40 N for a centre console, outboards down.
    """
    heading = lying_heading_deg(
        wind_mps,
        wind_from_deg=wind_from_deg,
        stream_mps=stream_mps,
        stream_toward_deg=stream_toward_deg,
        boat=boat,
    )
    wind_surge, wind_sway, water_surge, water_sway = forces_at_heading_n(
        heading,
        wind_mps=wind_mps,
        wind_from_deg=wind_from_deg,
        stream_mps=stream_mps,
        stream_toward_deg=stream_toward_deg,
        boat=boat,
    )
    push = np.asarray(wind_surge + water_surge)
    heading = np.broadcast_to(heading, push.shape)
    astern = push > 0.0
    off_bow = np.deg2rad(np.asarray(stream_toward_deg, dtype=np.float64) - heading)
    ahead = -np.asarray(stream_mps, dtype=np.float64) * np.cos(off_bow)
    return Load(
        thrust_n=np.abs(push),
        heading_deg=heading,
        inflow_mps=np.maximum(np.where(astern, -ahead, ahead), 0.0),
        wind_force_n=np.hypot(wind_surge, wind_sway),
        stream_force_n=np.hypot(water_surge, water_sway),
        speed_over_ground_mps=np.zeros_like(push),
        course_deg=heading,
        astern=astern,
    )


def creep_load(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    course_deg: ArrayLike,
    speed_mps: ArrayLike,
    over_ground: bool,
    boat: Boat,
) -> Load:
    """
    Return the thrust that moves the boat along a course under the bow motor.

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
    course_deg : array_like, broadcastable with `wind_mps`
        Course over the ground, or heading where `over_ground` is false. [deg]
    speed_mps : array_like, broadcastable with `wind_mps`
        Speed over the ground, or through the water where `over_ground` is false. [m/s]
    over_ground : bool
        Whether course and speed are over the ground.
    boat : Boat
        The boat.

    Returns
    -------
    load : Load
        Thrust, heading, water into the propeller and the rest.

    Raises
    ------
    ValueError
        If a speed is negative or a number is not finite.

    Notes
    -----
    The boat points the way it goes through the water, so it crabs across a stream; the wind
    is the one felt aboard. The thrust balances wind and water together, wherever that points:
    a side wind is met by a motor turned into it. Where no water passes the boat at all it
    points into the wind, as when held.

    Assumptions: no leeway angle and no balance of turning moments.
    """
    wind_east, wind_north = _moving_air(wind_mps, wind_from_deg)
    stream = bounded(stream_mps, name="stream_mps", low=0.0)
    stream_east, stream_north = components_from_toward(stream, toward_deg=stream_toward_deg)
    speed = bounded(speed_mps, name="speed_mps", low=0.0)
    course = bounded(course_deg, name="course_deg")
    east, north = components_from_toward(speed, toward_deg=course)
    if not over_ground:
        east, north = east + stream_east, north + stream_north
    past_mps, heading = toward_from_components(
        east - stream_east, north_mps=north - stream_north
    )
    felt_mps, felt_toward = toward_from_components(
        wind_east - east, north_mps=wind_north - north
    )
    heading = np.where(past_mps > STILL_MPS, heading, np.mod(felt_toward + 180.0, 360.0))
    wind_surge, wind_sway, water_surge, water_sway = forces_at_heading_n(
        heading,
        wind_mps=felt_mps,
        wind_from_deg=felt_toward + 180.0,
        stream_mps=past_mps,
        stream_toward_deg=heading + 180.0,
        boat=boat,
    )
    surge, sway = wind_surge + water_surge, wind_sway + water_sway
    thrust = np.hypot(surge, sway)
    ground_mps, ground_toward = toward_from_components(east, north_mps=north)
    share = np.divide(-surge, thrust, out=np.zeros_like(thrust), where=thrust > 0.0)
    shape = thrust.shape
    return Load(
        thrust_n=thrust,
        heading_deg=np.broadcast_to(heading, shape),
        inflow_mps=np.maximum(past_mps * share, 0.0),
        wind_force_n=np.broadcast_to(np.hypot(wind_surge, wind_sway), shape),
        stream_force_n=np.broadcast_to(np.hypot(water_surge, water_sway), shape),
        speed_over_ground_mps=np.broadcast_to(ground_mps, shape),
        course_deg=np.broadcast_to(np.where(ground_mps > 0.0, ground_toward, heading), shape),
        astern=surge > 0.0,
    )


def drift_load(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    drift_speed_mps: ArrayLike,
    boat: Boat,
) -> Load:
    """
    Return the thrust that slows a drift to a wanted speed over the ground.

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
    drift_speed_mps : array_like, broadcastable with `wind_mps`
        Fastest drift wanted over the ground. [m/s]
    boat : Boat
        The boat.

    Returns
    -------
    load : Load
        No thrust where the boat drifts no faster than wanted anyway.

    Raises
    ------
    ValueError
        If a speed is negative or a number is not finite.

    Notes
    -----
    Left alone the boat lies beam to the wind, port side to it, and goes with the stream plus
    its leeway. A faster drift than wanted is a hold seen from a frame that moves at the
    wanted speed the way the boat would drift. The motor never pushes a drift along: where
    the swing of the bow into the wind alone slows the boat enough, the thrust is zero.
    """
    wind_east, wind_north = _moving_air(wind_mps, wind_from_deg)
    stream = bounded(stream_mps, name="stream_mps", low=0.0)
    stream_east, stream_north = components_from_toward(stream, toward_deg=stream_toward_deg)
    wanted_mps = bounded(drift_speed_mps, name="drift_speed_mps", low=0.0)
    over_water_mps, downwind = toward_from_components(
        wind_east - stream_east, north_mps=wind_north - stream_north
    )
    leeway = leeway_mps(over_water_mps, boat=boat)
    slide_east, slide_north = components_from_toward(leeway, toward_deg=downwind)
    free_mps, course = toward_from_components(
        stream_east + slide_east, north_mps=stream_north + slide_north
    )
    free = free_mps <= wanted_mps
    ground_mps = np.where(free, free_mps, wanted_mps)
    east, north = components_from_toward(ground_mps, toward_deg=course)
    felt_mps, felt_toward = toward_from_components(
        wind_east - east, north_mps=wind_north - north
    )
    past_mps, past_toward = toward_from_components(
        stream_east - east, north_mps=stream_north - north
    )
    held = hold_load(
        felt_mps,
        wind_from_deg=felt_toward + 180.0,
        stream_mps=past_mps,
        stream_toward_deg=past_toward,
        boat=boat,
    )
    wind_surge, wind_sway, _, _ = forces_at_heading_n(
        downwind + 90.0,
        wind_mps=felt_mps,
        wind_from_deg=downwind + 180.0,
        stream_mps=0.0,
        stream_toward_deg=0.0,
        boat=boat,
    )
    beam_force = np.hypot(wind_surge, wind_sway)
    idle = free | held.astern
    return replace(
        held,
        thrust_n=np.where(idle, 0.0, held.thrust_n),
        heading_deg=np.where(free, np.mod(downwind + 90.0, 360.0), held.heading_deg),
        inflow_mps=np.where(idle, 0.0, held.inflow_mps),
        wind_force_n=np.where(free, beam_force, held.wind_force_n),
        stream_force_n=np.where(free, beam_force, held.stream_force_n),
        speed_over_ground_mps=np.broadcast_to(ground_mps, held.thrust_n.shape),
        course_deg=np.broadcast_to(course, held.thrust_n.shape),
        astern=held.astern & ~idle,
    )


def _moving_air(wind_mps: ArrayLike, wind_from_deg: ArrayLike) -> tuple[Array, Array]:
    """Return the east and north parts of the wind's own motion."""
    return components_from_toward(
        bounded(wind_mps, name="wind_mps", low=0.0),
        toward_deg=bounded(wind_from_deg, name="wind_from_deg") + 180.0,
    )
