"""
Which way a boat faces when its bow is held on a spot: the balance of turning moments.

Depends on: `physics.boat`, `physics.bounds`, `physics.leeway`, `physics.yaw`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.boat import Boat, Chop
from energysim.physics.bounds import bounded
from energysim.physics.leeway import free_drift
from energysim.physics.yaw import Turning, at_step, moment_at, turning

Array = NDArray[np.float64]

_HEADINGS = 72
"""Headings looked at round the compass; two steady ones nearer than 5 deg count as one."""

_CLOSE = np.deg2rad(np.arange(-10.0, 10.125, 0.25))
"""Where a series looks again for the heading it seems to have lost. [rad]"""

_BLOCK = 40_000
"""Numbers worked on at once, so that they stay near the processor."""

_STEPS = 9
"""Enough for 0.01 deg from any bracket of the scan; a test holds it to that."""

_SETTLED = 1e-8
"""A search ends early when no heading moves by more. [rad]"""

_NUDGE = 1e-3
_TIE = 1e-5
"""In rad: how far beside a balance its steadiness is tried, and a lead of clockwise answers."""

_OPPOSED = 0.7
"""Cosine of the angle off exact opposition within which a bracket may hold three balances."""

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
    sign. Two steady headings nearer to each other than that are taken for one, but a series
    looks in steps of 0.25 deg before it gives up the heading it lay at. Where nothing
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
    roots, count = _steady_angles(turns, shape)
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
        _follow(heading, compass, beyond, _restarts(fresh, shape), turns, around)
        swung[1:] = np.abs(_wrapped(np.diff(heading, axis=0))) > np.deg2rad(SWING_DEG)
        swung[_restarts(fresh, shape)] = False
        heading_deg = np.mod(np.rad2deg(heading), 360.0)
    else:
        heading_deg = np.mod(np.rad2deg(angle) + stream_from, 360.0)
    heading_deg = np.mod(heading_deg, 360.0)  # a hair below zero wraps to 360 itself
    return Lying(heading_deg=np.asarray(heading_deg), steady_headings=count, swung=swung)


def _shape(turns: Turning, near_deg: ArrayLike | None) -> tuple[int, ...]:
    """Return the shape of the answer."""
    at_rest = moment_at(np.zeros(()), turns)
    return np.broadcast_shapes(at_rest.shape, () if near_deg is None else np.shape(near_deg))


def _steady_angles(turns: Turning, shape: tuple[int, ...]) -> tuple[Array, NDArray[np.int64]]:
    """Return the steady angles off the stream, (most there are, ...), and how many count."""
    step = 2.0 * np.pi / _HEADINGS
    # Not astride zero evenly: exact opposition would then be missed for its own symmetry.
    grid = (np.arange(_HEADINGS, dtype=np.float64) - 0.3) * step
    ahead = np.empty((_HEADINGS, *shape), dtype=bool)
    size = max(1, int(np.prod(shape)))
    rows = max(1, _BLOCK // size)
    for first in range(0, _HEADINGS, rows):
        block = grid[first : first + rows].reshape(-1, *([1] * len(shape)))
        np.greater(moment_at(block, turns), 0.0, out=ahead[first : first + rows])
    falls = ahead & ~np.roll(ahead, -1, axis=0)
    count = np.asarray(falls.sum(axis=0))
    lows = []
    for _ in range(max(1, int(count.max(initial=0)))):
        place = falls.argmax(axis=0)
        lows.append(grid[place])
        np.put_along_axis(falls, place[None], values=False, axis=0)
    low = np.stack(lows)
    angle = _closed_in(turns, low, low + step)
    # Where nothing turns the boat it points into the wind.
    return np.where(count > 0, angle, np.broadcast_to(turns.wind_angle, shape)), count


def _closed_in(turns: Turning, low: Array, high: Array) -> Array:
    """Return where the moment falls through zero in a bracket, by the Illinois rule."""
    angle = _illinois(turns, low, high)
    opposed = np.cos(turns.wind_angle) < -_OPPOSED
    if turns.chop is None and not np.any(opposed):
        return angle
    # A bracket may hold three balances, two steady and one not between them.
    after = moment_at(angle + _NUDGE, turns)
    unsteady = (after > 0.0) & (moment_at(angle - _NUDGE, turns) < 0.0)
    if np.any(unsteady):
        again = _illinois(turns, np.where(unsteady, angle + _NUDGE, low), high)
        angle = np.where(unsteady, again, angle)
    return angle


def _illinois(turns: Turning, low: Array, high: Array) -> Array:
    """Return a root of a moment that is above zero at `low` and not at `high`."""
    at_low, at_high = moment_at(low, turns), moment_at(high, turns)
    angle = high
    last_ahead = np.zeros(angle.shape, dtype=bool)
    last_behind = last_ahead
    for _ in range(_STEPS):
        width = at_low - at_high
        share = np.divide(at_low, width, out=np.full_like(width, 0.5), where=width > 0.0)
        last = angle
        angle = low + np.clip(share, 0.0, 1.0) * (high - low)
        if np.abs(angle - last).max(initial=0.0) < _SETTLED:
            break
        value = moment_at(angle, turns)
        ahead = value > 0.0
        # An end that stays put twice running has its value halved, or it would never move.
        at_high = np.where(ahead, np.where(last_ahead, 0.5 * at_high, at_high), value)
        at_low = np.where(ahead, value, np.where(last_behind, 0.5 * at_low, at_low))
        low, high = np.where(ahead, angle, low), np.where(ahead, high, angle)
        last_ahead, last_behind = ahead, ~ahead
    return angle


def _wrapped(angle: Array) -> Array:
    """Return an angle as it is the short way round."""
    return np.asarray(angle - 2.0 * np.pi * np.rint(angle * (0.5 / np.pi)))


def _nearest(roots: Array, beyond: Array, to: Array) -> Array:
    """Return the root nearest to an angle; of two alike the one clockwise of it."""
    if len(roots) == 1:
        return np.asarray(roots[0])
    turn = _wrapped(roots - to)
    best = np.argmin(np.abs(turn) + beyond + np.where(turn < 0.0, _TIE, 0.0), axis=0)
    return np.asarray(np.take_along_axis(roots, best[None], axis=0)[0])


def _restarts(fresh: ArrayLike, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Return the steps at which the boat begins anew, the first among them."""
    flags = np.array(fresh, dtype=bool)
    if not shape or flags.shape != shape[:1]:
        msg = f"fresh has shape {flags.shape}; it must be one flag for each step of {shape}"
        raise ValueError(msg)
    flags[:1] = True
    return flags


def _follow(
    heading: Array,
    compass: Array,
    beyond: Array,
    restarts: NDArray[np.bool_],
    turns: Turning,
    stream_from: Array,
) -> None:
    """Change each heading in turn, in place, to the one nearest to the step before."""
    far_off = _CLOSE[-1]
    several = np.asarray((beyond == 0.0).sum(axis=0) > 1)
    turned = np.abs(_wrapped(np.diff(heading, axis=0, prepend=heading[:1])))
    doubtful = np.asarray(several | (turned > far_off))
    look = np.asarray(doubtful.reshape(len(heading), -1).any(axis=1)) & ~restarts
    changed = False  # whether the step before is no longer what `look` was made from
    for step in range(1, len(heading)):
        if restarts[step] or not (look[step] or changed):
            changed = False
            continue
        before, alone = heading[step - 1], heading[step]
        apart = np.abs(_wrapped(compass[:, step] - before)) + beyond[:, step]
        nearest = apart.min(axis=0)
        chosen = np.where(apart <= nearest, compass[:, step], -np.inf).max(axis=0)
        lost = nearest > far_off
        if lost.any():
            there = stream_from[step]
            found, close = _close_by(before - there, at_step(turns, step, shape=heading.shape))
            chosen = np.where(lost & found, close + there, chosen)
        changed = bool((chosen != alone).any())
        heading[step] = chosen


def _close_by(before: Array, turns: Turning) -> tuple[NDArray[np.bool_], Array]:
    """Return whether there is a steady angle within 10 deg of one, and the nearest such."""
    offset = _CLOSE.reshape(-1, *([1] * before.ndim))
    grid = before + offset
    ahead = np.asarray(moment_at(grid, turns) > 0.0)
    falls = np.asarray(ahead[:-1] & ~ahead[1:])
    place = np.argmin(np.where(falls, np.abs(offset[:-1]), np.inf), axis=0)[None]
    low = np.take_along_axis(grid, place, axis=0)[0]
    high = np.take_along_axis(grid, place + 1, axis=0)[0]
    return np.asarray(falls.any(axis=0)), _illinois(turns, low, high)
