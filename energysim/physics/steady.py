"""
Search for the angles at which nothing turns a boat about its bow motor, and it turns back.

Angles in radians clockwise from where the stream comes from.

Depends on: `physics.yaw`.
"""

import numpy as np
from numpy.typing import NDArray

from energysim.physics.yaw import Turning, moment_at

Array = NDArray[np.float64]

_HEADINGS = 72
"""Headings looked at round the compass; two steady ones nearer than 5 deg count as one."""

REACH_DEG = 10.0
_CLOSE = np.deg2rad(np.arange(-REACH_DEG, REACH_DEG + 0.125, 0.25))
"""Where a series looks again for the heading it seems to have lost."""

_BLOCK = 10_000
"""Numbers worked on at once, so that they stay near the processor."""

_STEPS = 9
"""Enough for 0.01 deg from any bracket of the scan; a test holds it to that."""

_SETTLED = 1e-10
"""
A search ends early when no heading moves by more: so little that a heading is the same whatever
other points are searched along with it. [rad]
"""

_NUDGE = 1e-3
"""How far beside a balance its steadiness is tried. [rad]"""

OPPOSED = 0.7
"""Cosine of the angle off exact opposition within which a bracket may hold three balances."""


def steady_angles(turns: Turning, shape: tuple[int, ...]) -> tuple[Array, NDArray[np.int64]]:
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
    opposed = np.cos(turns.wind_angle) < -OPPOSED
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


def steady_angle_near(before: Array, turns: Turning) -> tuple[NDArray[np.bool_], Array]:
    """Return whether there is a steady angle within 10 deg of one, and the nearest such."""
    offset = _CLOSE.reshape(-1, *([1] * before.ndim))
    grid = before + offset
    ahead = np.asarray(moment_at(grid, turns) > 0.0)
    falls = np.asarray(ahead[:-1] & ~ahead[1:])
    if not falls.any():
        return np.zeros(before.shape, dtype=bool), before
    place = np.argmin(np.where(falls, np.abs(offset[:-1]), np.inf), axis=0)[None]
    low = np.take_along_axis(grid, place, axis=0)[0]
    high = np.take_along_axis(grid, place + 1, axis=0)[0]
    return np.asarray(falls.any(axis=0)), _illinois(turns, low, high)
