"""
The weather around every member at every step, cut into pieces that stay near the processor.

Depends on: `physics.bounds`.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

Array = NDArray[np.float64]
Where = tuple[NDArray[np.intp], NDArray[np.intp]]

BLOCK: Final = 16_384
"""Points worked on at once: more leave the cache, fewer keep threads waiting."""


class Points(NamedTuple):
    """Weathers around members; arrays that broadcast, (points,) or (steps, members)."""

    wind_mps: Array
    wind_from_deg: Array
    stream_mps: Array
    stream_from_deg: Array
    wind_ratio: Array
    drag_ratio: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weather:
    """A series as planes of steps by members; what does not change has a length of one."""

    points: Points
    steps: int
    members: int
    shape: tuple[int, ...]  # of the answer

    def of_rows(self, rows: slice) -> Points:
        """Return the weather of some steps."""
        return Points(*(each if len(each) == 1 else each[rows] for each in self.points))

    def at(self, where: Where) -> Points:
        """Return the weather of some points."""
        return Points(*(at_points(each, where) for each in self.points))

    def blocks(self) -> Iterator[slice]:
        """Return the steps to work on together."""
        rows = max(1, BLOCK // max(self.members, 1))
        for first in range(0, self.steps, rows):
            yield slice(first, min(first + rows, self.steps))


def weather(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    wind_ratio: ArrayLike,
    drag_ratio: ArrayLike,
    most_stream_mps: float,
    near_deg: ArrayLike | None = None,
) -> Weather:
    """Return the weather as `response.load_from_table` is given it, once it is in range."""
    given: tuple[Array, ...] = (
        bounded(wind_mps, name="wind_mps", low=0.0),
        bounded(wind_from_deg, name="wind_from_deg"),
        bounded(stream_mps, name="stream_mps", low=0.0, high=most_stream_mps),
        bounded(stream_toward_deg, name="stream_toward_deg") + 180.0,
        bounded(wind_ratio, name="wind_ratio", low=0.0, above=True),
        bounded(drag_ratio, name="drag_ratio", low=0.0, above=True),
    )
    shape = np.broadcast_shapes(
        *(each.shape for each in given), () if near_deg is None else np.shape(near_deg)
    )
    steps, members = (shape[0], int(np.prod(shape[1:]))) if shape else (1, 1)
    return Weather(
        points=Points(*(plane(each, shape) for each in given)),
        steps=steps,
        members=members,
        shape=shape,
    )


def plane(values: Array, shape: tuple[int, ...]) -> Array:
    """Return numbers that broadcast to a shape as (steps, members), or thinner."""
    full = values.reshape((1,) * (len(shape) - values.ndim) + values.shape)
    if full.ndim < 2:
        return full.reshape(-1, 1)
    rest = full.shape[1:]
    if rest not in {shape[1:], (1,) * len(rest)}:
        full = np.broadcast_to(full, full.shape[:1] + shape[1:])
    return full.reshape(full.shape[0], -1)


def at_points(values: Array, where: Where) -> Array:
    """Return a plane's numbers at some points."""
    steps, members = values.shape
    step, member = where
    return np.asarray(
        values[
            step if steps > 1 else np.zeros_like(step),
            member if members > 1 else np.zeros_like(member),
        ]
    )
