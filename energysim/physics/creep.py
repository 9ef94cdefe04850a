"""
Creeping along under the bow motor.

The wind passed in is the wind at the height of the windage (`physics.wind.wind_at_height`).

Depends on: `physics.bearing`, `physics.boat`, `physics.bounds`, `physics.load`.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from energysim.physics.bearing import components_from_toward, toward_from_components
from energysim.physics.boat import Boat, Chop
from energysim.physics.bounds import bounded
from energysim.physics.load import Load, load_at_heading

STILL_MPS = 1.0e-6
"""Water slower than this past a creeping boat counts as still (rounding). [m/s]"""


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
    depth_m: ArrayLike | None = None,
    chop: Chop | None = None,
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
    depth_m : array_like or None
        Depth of the water, no less than the draft; None for deep water. [m]
    chop : Chop or None
        Chop, broadcastable with `wind_mps`; None for smooth water.

    Returns
    -------
    load : Load
        Thrust, heading, water into the propeller and the rest.

    Raises
    ------
    ValueError
        If a speed is negative, a number is not finite or the water shallower than the draft.

    Notes
    -----
    The boat points the way it goes through the water, so it crabs across a stream; the wind
    is the one felt aboard. The thrust balances all forces together, wherever that points:
    a side wind is met by a motor turned into it. Where no water passes the boat at all it
    points into the wind, as when held.

    Assumptions: no leeway angle. Whoever steers keeps the bow on its way with short turns of
    the motor; what that costs is left out, and `turning_moment_nm` says how much there is to
    keep. A boat held or drifting is left to the balance of moments instead.
    """
    wind_east, wind_north = components_from_toward(
        bounded(wind_mps, name="wind_mps", low=0.0),
        toward_deg=bounded(wind_from_deg, name="wind_from_deg") + 180.0,
    )
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
    load = load_at_heading(
        heading,
        wind_mps=felt_mps,
        wind_from_deg=felt_toward + 180.0,
        stream_mps=past_mps,
        stream_toward_deg=heading + 180.0,
        boat=boat,
        depth_m=depth_m,
        chop=chop,
    )
    ground_mps, ground_toward = toward_from_components(east, north_mps=north)
    shape = load.thrust_n.shape
    return replace(
        load,
        speed_over_ground_mps=np.broadcast_to(ground_mps, shape),
        course_deg=np.broadcast_to(np.where(ground_mps > 0.0, ground_toward, heading), shape),
    )
