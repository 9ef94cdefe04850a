r"""
What a slowed drift asks of the motor in the gusts and lulls about its mean wind.

Depends on: `physics.bearing`, `physics.boat`, `physics.bounds`, `physics.hold`,
`physics.load`.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bearing import components_from_toward, toward_from_components
from energysim.physics.boat import Boat, Chop
from energysim.physics.bounds import bounded
from energysim.physics.hold import hold_load
from energysim.physics.load import Load

Array = NDArray[np.float64]


def drift_in_gust_load(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    settled: Load,
    boat: Boat,
    depth_m: ArrayLike | None = None,
    chop: Chop | None = None,
) -> Load:
    r"""
    Return the thrust of a drift in winds about the one it has settled to.

    Parameters
    ----------
    wind_mps : array_like, shape (winds, ...)
        Winds about the mean, over the ground at the height of the windage. [m/s]
    wind_from_deg : array_like, broadcastable with one wind
        Compass bearing they blow from. [deg]
    stream_mps : array_like, broadcastable with one wind
        Speed of the stream. [m/s]
    stream_toward_deg : array_like, broadcastable with one wind
        Compass bearing it runs toward. [deg]
    settled : Load
        The drift in the mean wind, from `drift_load`.
    boat : Boat
        The boat.
    depth_m : array_like or None
        Depth of the water; None for deep water. [m]
    chop : Chop or None
        Chop; None for smooth water.

    Returns
    -------
    load : Load
        Of shape (winds, ...). No thrust where the boat drifts free in the mean wind.

    Raises
    ------
    ValueError
        If a speed is negative, a number is not finite or the water shallower than the draft.

    Notes
    -----
    A gust is over before a drifting boat has found another speed: it goes on as in the mean
    wind, and the motor makes up the difference,

    .. math:: T = |F(U; v_{mean})|

    the load of a hold in the frame that moves with the boat, its heading the one of that wind
    nearest the mean's. In a lull the boat would have to be pushed along; the motor leaves that
    part out and holds what is across the drift. Ours.
    """
    east, north = components_from_toward(
        settled.speed_over_ground_mps, toward_deg=settled.course_deg
    )
    wind_east, wind_north = components_from_toward(
        bounded(wind_mps, name="wind_mps", low=0.0),
        toward_deg=bounded(wind_from_deg, name="wind_from_deg") + 180.0,
    )
    stream_east, stream_north = components_from_toward(
        bounded(stream_mps, name="stream_mps", low=0.0), toward_deg=stream_toward_deg
    )
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
        depth_m=depth_m,
        chop=chop,
        near_deg=settled.heading_deg,
    )
    toward = np.deg2rad(held.heading_deg + held.thrust_off_bow_deg - settled.course_deg)
    across = np.where(np.cos(toward) > 0.0, np.abs(np.sin(toward)), 1.0)
    free = settled.thrust_n <= 0.0
    shape = held.thrust_n.shape
    return replace(
        held,
        thrust_n=np.where(free, 0.0, held.thrust_n * across),
        inflow_mps=np.where(free, 0.0, held.inflow_mps),
        speed_over_ground_mps=np.broadcast_to(settled.speed_over_ground_mps, shape),
        course_deg=np.broadcast_to(settled.course_deg, shape),
    )
