"""
Holding a spot with the bow motor.

The wind passed in is the wind at the height of the windage (`physics.wind.wind_at_height`).
Bow-on totals are good to about 35 %; with wind and stream opposed, thrust and heading can be
wrong by a factor of two, and gusts and wakes come on top.

Depends on: `physics.boat`, `physics.load`, `physics.lying`.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from energysim.physics.boat import Boat, Chop
from energysim.physics.load import Load, load_at_heading
from energysim.physics.lying import lying


def hold_load(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    boat: Boat,
    depth_m: ArrayLike | None = None,
    chop: Chop | None = None,
    heading_deg: ArrayLike | None = None,
    near_deg: ArrayLike | None = None,
    fresh: ArrayLike | None = None,
) -> Load:
    r"""
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
    depth_m : array_like or None
        Depth of the water, no less than the draft; None for deep water. [m]
    chop : Chop or None
        Chop, broadcastable with `wind_mps`; None for smooth water.
    heading_deg : array_like or None
        Heading somebody insists on; None lets the boat lie as it will. [deg]
    near_deg : array_like or None
        Heading the boat comes from, as in `physics.lying.lying`. [deg]
    fresh : array_like or None, shape (steps,)
        For a series: where the boat begins anew, as in `physics.lying.lying`. [flag]

    Returns
    -------
    load : Load
        Thrust, heading, water into the propeller and the rest.

    Raises
    ------
    ValueError
        If a speed is negative, a number is not finite, the water shallower than the draft,
        or `fresh` does not have one flag a step.

    Notes
    -----
    The boat turns until nothing turns it about its bow motor (`physics.lying.lying`), and the
    motor, which can be turned on its shaft, pulls against all that is left. With the wind
    across the stream that is not along the keel. Wind against stream relieve each other while
    the bow stays to the stream. Near balance the boat lies across both, and the motor has to
    hold what one pushes more than the other sideways: that can be more than either asks for
    alone. Where the rest pushes from astern, `astern` is set.

    The thrust is continuous in wind, stream and angle but where a steady heading vanishes and
    the boat swings to another; `steady_headings` and `swung` say where. It takes wind and
    stream opposed within some 40 deg, and a boat that lay on the shorter-lived of two
    headings, or opposition so exact that neither is.

    A heading insisted on has its price in `thrust_n`, but the moment left over is not held by
    the motor (`physics.load.load_at_heading`).
    """
    if heading_deg is not None:
        return load_at_heading(
            heading_deg,
            wind_mps=wind_mps,
            wind_from_deg=wind_from_deg,
            stream_mps=stream_mps,
            stream_toward_deg=stream_toward_deg,
            boat=boat,
            depth_m=depth_m,
            chop=chop,
        )
    lies = lying(
        wind_mps,
        wind_from_deg=wind_from_deg,
        stream_mps=stream_mps,
        stream_toward_deg=stream_toward_deg,
        boat=boat,
        depth_m=depth_m,
        chop=chop,
        near_deg=near_deg,
        fresh=fresh,
    )
    load = load_at_heading(
        lies.heading_deg,
        wind_mps=wind_mps,
        wind_from_deg=wind_from_deg,
        stream_mps=stream_mps,
        stream_toward_deg=stream_toward_deg,
        boat=boat,
        depth_m=depth_m,
        chop=chop,
    )
    shape = load.thrust_n.shape
    return replace(
        load,
        turning_moment_nm=np.zeros(shape),  # but for rounding
        steady_headings=np.broadcast_to(lies.steady_headings, shape).astype(np.float64),
        swung=np.broadcast_to(lies.swung, shape),
    )
