"""
Which way a boat faces when its bow is held on a spot: the balance of turning moments.

Depends on: `physics.boat`, `physics.bounds`, `physics.following`, `physics.leeway`,
`physics.steady`, `physics.yaw`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.boat import Boat, Chop
from energysim.physics.bounds import bounded
from energysim.physics.following import follow, restarts, wrapped
from energysim.physics.leeway import free_drift
from energysim.physics.steady import OPPOSED, REACH_DEG, steady_angle_near, steady_angles
from energysim.physics.yaw import Turning, at_step, moment_at, turning

Array = NDArray[np.float64]

_TIE = 1e-5
"""Lead of the clockwise one of two headings alike. [rad]"""

SWING_DEG = 15.0
"""A turn from one step to the next beyond which a boat is said to have swung (ours). [deg]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lying:
    """How a boat held by its bow lies; arrays of one shape."""

    heading_deg: Array  # compass
    steady_headings: NDArray[np.int64]  # how many it could lie at; 0 where nothing turns it
    swung: NDArray[np.bool_]  # True where it turned far since the step before


def lying_heading_deg(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    boat: Boat,
    depth_m: ArrayLike | None = None,
    chop: Chop | None = None,
    near_deg: ArrayLike | None = None,
) -> Array:
    """
    Return the heading a boat held by its bow comes to rest at.

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
    near_deg : array_like or None
        Heading it comes from; None for the one against the way it would drift. [deg]

    Returns
    -------
    heading_deg : ndarray, shape (...)
        0 up to but not including 360. [deg]

    Raises
    ------
    ValueError
        If a speed is negative, a number is not finite or the water shallower than the draft.

    Notes
    -----
    As `lying`, which also says how many steady headings there were.
    """
    return lying(
        wind_mps,
        wind_from_deg=wind_from_deg,
        stream_mps=stream_mps,
        stream_toward_deg=stream_toward_deg,
        boat=boat,
        depth_m=depth_m,
        chop=chop,
        near_deg=near_deg,
    ).heading_deg


def lying(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    boat: Boat,
    depth_m: ArrayLike | None = None,
    chop: Chop | None = None,
    near_deg: ArrayLike | None = None,
    fresh: ArrayLike | None = None,
) -> Lying:
    r"""
    Return how a boat held by its bow lies, point by point or step after step.

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
    near_deg : array_like or None
        Heading it comes from; None for the one against the way it would drift. [deg]
    fresh : array_like or None, shape (steps,)
        For a series over the first axis: where the boat begins anew instead of going on from
        the step before. The first step always does. None for points that stand alone. [flag]

    Returns
    -------
    lying : Lying
        Heading, how many others there were, and where it swung.

    Raises
    ------
    ValueError
        If a speed is negative, a number is not finite, the water shallower than the draft,
        or `fresh` does not have one flag a step.

    Notes
    -----
    A thrust at the bow turns nothing about the bow, so wind, water and chop must balance
    there by themselves:

    .. math:: M(\psi) = N(\psi) - x_b\,Y(\psi) = 0, \qquad \frac{dM}{d\psi} < 0

    the second because the boat must turn back when nudged. Wind and stream each turn the bow
    toward themselves, so the boat lies between them. There is one such heading unless they
    oppose each other; then there may be two, mirror images if they do so exactly, or even
    three. The one nearest to `near_deg` is taken: unless told otherwise the boat has been
    drifting, and the motor pulls against the drift (ours). In a series the one nearest to the
    last is taken, and where that is no more the boat swings to the nearest other.

    Found by looking round the compass in steps of 5 deg and closing in on every change of
    sign. Two steady headings nearer to each other than that are taken for one, but steps of
    0.25 deg are looked at before the heading it comes from is given up. Where nothing
    turns the boat at all it points into the wind.

    Assumptions: steady, and the boat turns at once. No sailing to and fro about the heading,
    which real boats do; 30 deg off the wind the wind's force is 1.7 times as large. Near
    balance, heading and thrust can be wrong by a factor of two, since the place of each force
    along the boat is estimated.

    References
    ----------
    .. [1] The rule is plain statics. That one mooring point admits several headings and
       swings between them: UFC 4-159-03, Design: Moorings, 2005, sec. 8-2; read.
    """
    turns = turning(
        wind_mps,
        wind_from_deg=wind_from_deg,
        stream_mps=stream_mps,
        stream_toward_deg=stream_toward_deg,
        boat=boat,
        depth_m=depth_m,
        chop=chop,
    )
    shape = _shape(turns, near_deg)
    roots, count = steady_angles(turns, shape)
    stream_from = np.asarray(stream_toward_deg, dtype=np.float64) + 180.0
    if near_deg is None:
        alone = free_drift(
            wind_mps,
            wind_from_deg=wind_from_deg,
            stream_mps=stream_mps,
            stream_toward_deg=stream_toward_deg,
            boat=boat,
            depth_m=depth_m,
        )
        near_deg = alone.course_deg + 180.0
    start = np.deg2rad(bounded(near_deg, name="near_deg") - stream_from)
    slots = np.arange(len(roots)).reshape(-1, *([1] * len(shape)))
    beyond = np.where(slots < np.maximum(count, 1), 0.0, 10.0)  # rad, out of reach
    angle = _nearest(roots, beyond, start)
    swung = np.zeros(shape, dtype=bool)
    if fresh is not None:
        compass = roots + np.deg2rad(stream_from)
        heading = np.array(np.broadcast_to(angle + np.deg2rad(stream_from), shape))
        around = np.broadcast_to(np.deg2rad(stream_from), shape)
        follow(heading, compass, beyond, restarts(fresh, shape), turns, around)
        swung[1:] = np.abs(wrapped(np.diff(heading, axis=0))) > np.deg2rad(SWING_DEG)
        swung[restarts(fresh, shape)] = False
        heading_deg = np.mod(np.rad2deg(heading), 360.0)
    else:
        angle = _looked_closer(angle, start, turns, shape)
        heading_deg = np.mod(np.rad2deg(angle) + stream_from, 360.0)
    heading_deg = np.mod(heading_deg, 360.0)  # a hair below zero wraps to 360 itself
    return Lying(heading_deg=np.asarray(heading_deg), steady_headings=count, swung=swung)


def _shape(turns: Turning, near_deg: ArrayLike | None) -> tuple[int, ...]:
    """Return the shape of the answer."""
    at_rest = moment_at(np.zeros(()), turns)
    return np.broadcast_shapes(at_rest.shape, () if near_deg is None else np.shape(near_deg))


def _nearest(roots: Array, beyond: Array, to: Array) -> Array:
    """Return the root nearest to an angle; of two alike the one clockwise of it."""
    if len(roots) == 1:
        return np.asarray(roots[0])
    turn = wrapped(roots - to)
    best = np.argmin(np.abs(turn) + beyond + np.where(turn < 0.0, _TIE, 0.0), axis=0)
    return np.asarray(np.take_along_axis(roots, best[None], axis=0)[0])


def _looked_closer(angle: Array, start: Array, turns: Turning, shape: tuple[int, ...]) -> Array:
    """Return the angles, with one close to the start where the wide look has none there."""
    angle, start = np.broadcast_to(angle, shape), np.broadcast_to(start, shape)
    opposed = np.cos(turns.wind_angle) < -OPPOSED  # elsewhere there is only one
    doubtful = (np.abs(wrapped(angle - start)) > np.deg2rad(REACH_DEG)) & opposed
    if not doubtful.any():
        return angle
    found, close = steady_angle_near(start[doubtful], at_step(turns, doubtful, shape=shape))
    angle = np.array(angle)
    angle[doubtful] = np.where(found, close, angle[doubtful])
    return angle
