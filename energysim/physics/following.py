"""
A boat held by its bow through a series: from step to step it keeps the heading it can.

Angles in radians; headings by the compass.

Depends on: `physics.steady`, `physics.yaw`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.steady import REACH_DEG, steady_angle_near
from energysim.physics.yaw import Turning, at_step

Array = NDArray[np.float64]


def wrapped(angle: Array) -> Array:
    """Return an angle as it is the short way round."""
    return np.asarray(angle - 2.0 * np.pi * np.rint(angle * (0.5 / np.pi)))


def restarts(fresh: ArrayLike, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Return the steps at which the boat begins anew, the first among them."""
    flags = np.array(fresh, dtype=bool)
    if not shape or flags.shape != shape[:1]:
        msg = f"fresh has shape {flags.shape}; it must be one flag for each step of {shape}"
        raise ValueError(msg)
    flags[:1] = True
    return flags


def follow(
    heading: Array,
    compass: Array,
    beyond: Array,
    begins: NDArray[np.bool_],
    turns: Turning,
    stream_from: Array,
) -> None:
    """Change each heading in turn, in place, to the one nearest to the step before."""
    far_off = np.deg2rad(REACH_DEG)
    several = np.asarray((beyond == 0.0).sum(axis=0) > 1)
    turned = np.abs(wrapped(np.diff(heading, axis=0, prepend=heading[:1])))
    doubtful = np.asarray(several | (turned > far_off))
    look = np.asarray(doubtful.reshape(len(heading), -1).any(axis=1)) & ~begins
    # One boat is a short row a step, so its steps are looked at closely together beforehand.
    again = _looked_again(heading, compass, beyond, look, turns, stream_from)
    changed = False  # whether the step before is no longer what `look` was made from
    for step in range(1, len(heading)):
        if begins[step] or not (look[step] or changed):
            changed = False
            continue
        before, alone = heading[step - 1], heading[step]
        apart = np.abs(wrapped(compass[:, step] - before)) + beyond[:, step]
        nearest = apart.min(axis=0)
        chosen = np.where(apart <= nearest, compass[:, step], -np.inf).max(axis=0)
        lost = nearest > far_off
        if lost.any():
            if changed or again is None:
                there = stream_from[step]
                found, close = steady_angle_near(
                    before - there, at_step(turns, step, shape=heading.shape)
                )
                close = close + there
            else:
                found, close = again[0][step], again[1][step]
            chosen = np.where(lost & found, close, chosen)
        changed = bool((chosen != alone).any())
        heading[step] = chosen


def _looked_again(
    heading: Array,
    compass: Array,
    beyond: Array,
    look: NDArray[np.bool_],
    turns: Turning,
    stream_from: Array,
) -> tuple[NDArray[np.bool_], Array] | None:
    """Return whether each lost heading of a single series is there after all, and where."""
    if heading.ndim > 1 or not look.any():
        return None
    before = np.roll(heading, 1)  # the first step is never looked at
    apart = np.abs(wrapped(compass - before)) + beyond
    lost = look & (apart.min(axis=0) > np.deg2rad(REACH_DEG))
    found, close = np.zeros(lost.shape, dtype=bool), np.zeros(lost.shape)
    found[lost], angle = steady_angle_near(
        (before - stream_from)[lost], at_step(turns, lost, shape=heading.shape)
    )
    close[lost] = angle + stream_from[lost]
    return found, close
