"""
Slowing a drift with the bow motor.

The wind passed in is the wind at the height of the windage (`physics.wind.wind_at_height`).

Depends on: `physics.bearing`, `physics.boat`, `physics.bounds`, `physics.hold`,
`physics.leeway`, `physics.load`, `physics.windage`.
"""

from collections.abc import Callable
from dataclasses import fields, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bearing import components_from_toward, toward_from_components
from energysim.physics.boat import Boat, Chop
from energysim.physics.bounds import bounded
from energysim.physics.hold import hold_load
from energysim.physics.leeway import free_drift
from energysim.physics.load import Load
from energysim.physics.windage import wind_forces_n

Array = NDArray[np.float64]

_TRIALS = 20
_LINES = 3
"""
Slower drifts tried at once, evenly from standing still; then so many straight lines. Where the
boat has several headings, the speeds at which nothing pushes along can be a narrow band: four
trials missed it. [1]
"""

_HARDLY = 1e-3
"""A pull with so small a part along the drift pushes nothing along. [1]"""


def drift_load(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    drift_speed_mps: ArrayLike,
    boat: Boat,
    depth_m: ArrayLike | None = None,
    chop: Chop | None = None,
    near_deg: ArrayLike | None = None,
    fresh: ArrayLike | None = None,
) -> Load:
    r"""
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
    depth_m : array_like or None
        Depth of the water, no less than the draft; None for deep water. [m]
    chop : Chop or None
        Chop, broadcastable with `wind_mps`; None for smooth water.
    near_deg : array_like or None
        Heading the boat comes from; None for the one against its own drift. [deg]
    fresh : array_like or None, shape (steps,)
        For a series: where the boat begins anew, as in `physics.lying.lying`. [flag]

    Returns
    -------
    load : Load
        No thrust where the boat drifts no faster than wanted anyway.

    Raises
    ------
    ValueError
        If a speed is negative, a number is not finite, the water shallower than the draft,
        or `fresh` does not have one flag a step.

    Notes
    -----
    Left alone the boat lies beam to the wind, port side to it, and goes with the stream plus
    its leeway. A faster drift than wanted is a hold seen from a frame that moves at the
    wanted speed the way the boat would drift.

    The motor never pushes a drift along. Held by its bow the boat shows the wind less, so at
    the wanted speed it can need a pull with a part along its own drift. Then it is let go
    slower, to the speed :math:`w` at which that part is gone,

    .. math:: T(w) \cdot e_{drift} = 0, \qquad 0 \le w \le w_{wanted}

    and pays what is left of the thrust across; of several such speeds the fastest, sought
    among twenty. Where every speed takes such a part (wind against stream near balance) it is
    held on the spot and pays for that: careful, and a jump where the last such speed goes. So
    a drift slowed to nothing costs what a hold costs, and no slowed drift is free (ours). Close
    to the speed of the free drift the boat may lie several ways, and the thrust jump.

    The drift left alone is worked without chop, whose push sideways would make it faster.
    """
    wind_east, wind_north = components_from_toward(
        bounded(wind_mps, name="wind_mps", low=0.0),
        toward_deg=bounded(wind_from_deg, name="wind_from_deg") + 180.0,
    )
    stream = bounded(stream_mps, name="stream_mps", low=0.0)
    stream_east, stream_north = components_from_toward(stream, toward_deg=stream_toward_deg)
    wanted_mps = bounded(drift_speed_mps, name="drift_speed_mps", low=0.0)
    alone = free_drift(
        wind_mps,
        wind_from_deg=wind_from_deg,
        stream_mps=stream,
        stream_toward_deg=stream_toward_deg,
        boat=boat,
        depth_m=depth_m,
    )
    free_mps, course = alone.speed_over_ground_mps, alone.course_deg
    if near_deg is None:
        near_deg = course + 180.0

    def held_at(speed: Array, near: ArrayLike | None, steps: ArrayLike | None) -> Load:
        """Return the load of a boat that goes at a speed the way it would drift."""
        east, north = components_from_toward(speed, toward_deg=course)
        felt_mps, felt_toward = toward_from_components(
            wind_east - east, north_mps=wind_north - north
        )
        past_mps, past_toward = toward_from_components(
            stream_east - east, north_mps=stream_north - north
        )
        load = hold_load(
            felt_mps,
            wind_from_deg=felt_toward + 180.0,
            stream_mps=past_mps,
            stream_toward_deg=past_toward,
            boat=boat,
            depth_m=depth_m,
            chop=chop,
            near_deg=near,
            fresh=steps,
        )
        shape = load.thrust_n.shape
        return replace(
            load,
            speed_over_ground_mps=np.broadcast_to(speed, shape),
            course_deg=np.broadcast_to(course, shape),
        )

    free = free_mps <= wanted_mps
    held = held_at(np.where(free, free_mps, wanted_mps), near_deg, fresh)
    pushed = (_along(held) > 0.0) & ~free
    if np.any(pushed):
        held = _chosen(pushed, _let_go_slower(held, held_at), held)
    _, side = wind_forces_n(
        alone.wind_over_boat_mps,
        angle_off_bow_deg=-90.0,
        windage=boat.windage,
        air_density_kgpm3=boat.air_density_kgpm3,
    )
    return _left_alone(
        held, free, heading_deg=np.mod(alone.downwind_deg + 90.0, 360.0), side_n=side
    )


def _along(load: Load) -> Array:
    """Return the part of the thrust that pushes the drift along."""
    toward = np.deg2rad(load.heading_deg + load.thrust_off_bow_deg - load.course_deg)
    return np.asarray(load.thrust_n * np.cos(toward))


def _let_go_slower(
    held: Load, held_at: Callable[[Array, ArrayLike | None, ArrayLike | None], Load]
) -> Load:
    """Return the load at the speed below the wanted one where nothing pushes along."""
    share = np.reshape(np.arange(_TRIALS) / _TRIALS, (-1, *([1] * held.thrust_n.ndim)))
    speeds = share * held.speed_over_ground_mps
    along = _along(held_at(speeds, held.heading_deg, None))
    speeds = np.concatenate([speeds, held.speed_over_ground_mps[None]])
    along = np.concatenate([along, _along(held)[None]])
    # The fastest that is not pushed along, and the next; standing still if all are.
    back = along[:-1] <= 0.0
    last = np.where(back.any(axis=0), _TRIALS - 1 - np.argmax(back[::-1], axis=0), 0)
    pair = np.stack([last, last + 1])
    low, high = np.take_along_axis(speeds, pair, axis=0)
    at_low, at_high = np.take_along_axis(along, pair, axis=0)
    high = np.where(at_low > 0.0, low, high)
    for _ in range(_LINES):
        width = at_high - at_low
        share = np.divide(-at_low, width, out=np.zeros_like(width), where=width > 0.0)
        speed = low + np.clip(share, 0.0, 1.0) * (high - low)
        last_held = held_at(speed, held.heading_deg, None)
        part = _along(last_held)
        back = part <= 0.0
        low, at_low = np.where(back, speed, low), np.where(back, part, at_low)
        high, at_high = np.where(back, high, speed), np.where(back, at_high, part)
    # Where the boat swings in between there is no such speed: the last that did not push.
    over = (part > _HARDLY * last_held.thrust_n) & (speed > 0.0)
    if np.any(over):
        last_held = _chosen(over, held_at(low, held.heading_deg, None), last_held)
    return last_held


def _chosen(where: NDArray[np.bool_], one: Load, other: Load) -> Load:
    """Return one load where told to and the other elsewhere."""
    return Load(
        **{
            field.name: np.where(where, getattr(one, field.name), getattr(other, field.name))
            for field in fields(Load)
        }
    )


def _left_alone(
    held: Load, free: NDArray[np.bool_], *, heading_deg: Array, side_n: Array
) -> Load:
    """Return the load with nothing asked for where the boat drifts free, beam to the wind."""
    beam = np.abs(side_n)
    nothing = {
        name: np.where(free, 0.0, getattr(held, name))
        for name in ("thrust_n", "thrust_off_bow_deg", "inflow_mps", "chop_force_n")
    }
    return replace(
        held,
        **nothing,
        heading_deg=np.where(free, heading_deg, held.heading_deg),
        wind_force_n=np.where(free, beam, held.wind_force_n),
        stream_force_n=np.where(free, beam, held.stream_force_n),
        steady_headings=np.where(free, 0.0, held.steady_headings),
        swung=held.swung & ~free,
        astern=held.astern & ~free,
    )
