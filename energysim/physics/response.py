"""
What holding a spot asks of the bow motor, read from the table of one boat.

For sweeps in smooth water, where it stands in for `physics.hold.hold_load`. Chop is left out:
its push goes by the wind over the water and not by the ratio of wind to stream, and it does
not grow with a member's own factors, so a table over two numbers cannot hold it.

Depends on: `physics.bounds`, `physics.response_close`, `physics.response_table`.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.response_close import (
    Points,
    against_drift,
    choices,
    exact_load,
    follow,
    nearest,
)
from energysim.physics.response_table import (
    ANGLES,
    DRAG_NODES,
    SHARES,
    STREAM_WORTH,
    HoldTable,
)

Array = NDArray[np.float64]
Single = NDArray[np.float32]
Turned = NDArray[np.complex64]

_BLOCK: Final = 32_768  # points at once: more leave the cache, fewer keep threads waiting
_CALM: Final = np.float32(1e-12)  # m/s; with neither wind nor stream, the bow is to the wind


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeldLoad:
    """What holding a spot asks of the bow motor; arrays of one shape but where said."""

    thrust_n: Single
    inflow_mps: Single  # water into the propeller along the thrust, never negative
    bow: Turned  # where the bow points, of length one, off where the stream comes from
    stream_from_deg: Array  # broadcasts to the rest
    exact: NDArray[np.bool_]  # True where the table would not do and the laws were asked

    @property
    def heading_deg(self) -> Array:
        """Compass heading, 0 up to but not including 360."""
        heading = np.mod(np.angle(self.bow).astype(np.float64) * (180.0 / np.pi), 360.0)
        return np.asarray(np.mod(np.mod(heading + self.stream_from_deg, 360.0), 360.0))

    def at_steps(self, steps: slice) -> "HeldLoad":
        """Return the loads of some steps of a series."""
        changes = self.stream_from_deg.ndim == self.bow.ndim and len(self.stream_from_deg) > 1
        return HeldLoad(
            thrust_n=self.thrust_n[steps],
            inflow_mps=self.inflow_mps[steps],
            bow=self.bow[steps],
            stream_from_deg=self.stream_from_deg[steps] if changes else self.stream_from_deg,
            exact=self.exact[steps],
        )


def load_from_table(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    wind_ratio: ArrayLike,
    drag_ratio: ArrayLike,
    table: HoldTable,
    near_deg: ArrayLike | None = None,
    fresh: ArrayLike | None = None,
) -> HeldLoad:
    r"""
    Return the thrust that keeps a boat on a spot, for as many members and steps as wanted.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind at the height of the windage. [m/s]
    wind_from_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it blows from. [deg]
    stream_mps : array_like, broadcastable with `wind_mps`
        Speed of the stream, no more than the table was made for. [m/s]
    stream_toward_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it runs toward. [deg]
    wind_ratio, drag_ratio : array_like, broadcastable with `wind_mps`
        By what to multiply every wind force and every water force of the table's boat. [1]
    table : HoldTable
        From `physics.response_table.hold_table`.
    near_deg : array_like or None
        Heading the boat comes from, as in `physics.lying.lying`. [deg]
    fresh : array_like or None, shape (steps,)
        For a series: where the boat begins anew, as in `physics.lying.lying`. [flag]

    Returns
    -------
    load : HeldLoad
        In single precision.

    Raises
    ------
    ValueError
        If a speed is negative or beyond the table, a ratio not above zero, a number not
        finite, or `fresh` does not have one flag a step.

    Notes
    -----
    All forces in smooth water grow with the square of the speed but drag along the keel. With
    :math:`k_a, k_w` the ratios, :math:`U' = U\sqrt{k_a/k_w}` and :math:`V = U' + 8 S`, it
    holds without approximation that

    .. math:: \vec T = -k_w \left[ V^2 \vec f(U'/V, \beta)
              - r(u)\,u|u|\,\hat b(U'/V, \beta) \right], \qquad u = S\,\hat b_x

    with :math:`\hat b` where the bow points. Force and bow are read along straight lines
    between the nodes of a cell, drag at the nearest of many. Of two headings the one nearest
    to where the boat lay is taken. In a cell where a heading appears or vanishes, or where
    straight lines will not do, all steady headings are worked out instead, and the laws are
    asked for the load.

    Held by tests to `physics.hold.hold_load` over winds and streams of every strength and
    angle, most of them near opposition: thrust to 1 %, or to 0.02 % of wind and stream where
    they cancel, and inflow to 1 % of the stream. Within 10 deg or so of opposition it finds
    short-lived headings that `hold_load`, which looks every 5 deg, takes for none; there the
    two may differ by a whole swing, in one or two loads of a thousand.
    """
    given: tuple[Array, ...] = (
        bounded(wind_mps, name="wind_mps", low=0.0),
        bounded(wind_from_deg, name="wind_from_deg"),
        bounded(stream_mps, name="stream_mps", low=0.0, high=table.most_stream_mps),
        bounded(stream_toward_deg, name="stream_toward_deg") + 180.0,
        bounded(wind_ratio, name="wind_ratio", low=0.0, above=True),
        bounded(drag_ratio, name="drag_ratio", low=0.0, above=True),
    )
    shape = np.broadcast_shapes(
        *(each.shape for each in given), () if near_deg is None else np.shape(near_deg)
    )
    restarts = None if fresh is None else _restarts(fresh, shape)
    # Steps and members, whatever the shape; what does not change keeps its length of one.
    steps, members = (shape[0], int(np.prod(shape[1:]))) if shape else (1, 1)
    given = tuple(_plane(each, shape) for each in given)
    thrust = np.empty((steps, members), dtype=np.float32)
    inflow = np.empty_like(thrust)
    bow = np.empty(thrust.shape, dtype=np.complex64)
    headings = np.empty(thrust.shape, dtype=np.uint8)
    for rows in _blocks(steps, members):
        part = [each if len(each) == 1 else each[rows] for each in given]
        _read(part, table, 0, thrust[rows], inflow[rows], bow[rows], headings[rows])
    places = np.flatnonzero(headings != 1)
    if places.size:
        where = np.divmod(places, members)
        there = np.array([np.broadcast_to(each, thrust.shape)[where] for each in given])
        several, loads = _several(there, table, headings[where])
        begins = np.ones(places.size, dtype=bool) if restarts is None else restarts[where[0]]
        chosen = np.zeros(places.size, dtype=np.intp)
        if near_deg is None:
            near = against_drift(_points(there[:, begins]), table)
        else:
            near_at = _plane(bounded(near_deg, name="near_deg"), shape)
            near_at = np.broadcast_to(near_at, thrust.shape)[where] - there[3]
            near = np.exp(1j * np.deg2rad(near_at[begins]))
        chosen[begins] = nearest(several[:, begins], near)
        if restarts is not None:
            follow(
                bow,
                stream_from_deg=given[3],
                places=places,
                several=several,
                chosen=chosen,
                restarts=restarts,
            )
        each = np.arange(places.size)
        bow[where] = several[chosen, each]
        two = headings[where] == 2
        thrust[where], inflow[where] = loads[:, np.minimum(chosen, 1), each]
        for few in _pieces(np.flatnonzero(~two)):
            law = exact_load(_points(there[:, few]), several[chosen[few], few], table)
            thrust.reshape(-1)[places[few]] = law.thrust_n
            inflow.reshape(-1)[places[few]] = law.inflow_mps
    return HeldLoad(
        thrust_n=thrust.reshape(shape),
        inflow_mps=inflow.reshape(shape),
        bow=bow.reshape(shape),
        stream_from_deg=np.asarray(stream_toward_deg, dtype=np.float64) + 180.0,
        exact=(headings == 0).reshape(shape),
    )


def _several(
    rows: Array, table: HoldTable, headings: NDArray[np.uint8]
) -> tuple[Turned, Single]:
    """Return each point's steady headings, and its two loads where the table has two."""
    loads = np.zeros((2, 2, headings.size), dtype=np.float32)
    alone = np.flatnonzero(headings == 0)
    found = choices(_points(rows[:, alone]), table)
    bows = np.full((max(2, len(found)), headings.size), np.nan, dtype=np.complex64)
    for few in _pieces(np.flatnonzero(headings == 2)):
        for slot in range(2):
            part = [each[None] for each in rows[:, few]]
            thrust, inflow = np.empty((2, 1, few.size), dtype=np.float32)
            bow = np.empty((1, few.size), dtype=np.complex64)
            _read(part, table, slot, thrust, inflow, bow, np.empty(bow.shape, np.uint8))
            bows[slot, few] = bow[0]
            loads[0, slot, few], loads[1, slot, few] = thrust[0], inflow[0]
    bows[: len(found), alone] = found
    return bows, loads


def _points(rows: Array) -> Points:
    """Return weathers by their names."""
    return Points(**dict(zip(Points.__slots__, rows, strict=True)))


def _pieces(places: NDArray[np.intp]) -> Iterator[NDArray[np.intp]]:
    """Return places a block at a time."""
    for first in range(0, places.size, _BLOCK):
        yield places[first : first + _BLOCK]


def _restarts(fresh: ArrayLike, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Return the steps at which the boat begins anew, the first among them."""
    flags = np.array(fresh, dtype=bool)
    if not shape or flags.shape != shape[:1]:
        msg = f"fresh has shape {flags.shape}; it must be one flag for each step of {shape}"
        raise ValueError(msg)
    flags[:1] = True
    return flags


def _plane(values: Array, shape: tuple[int, ...]) -> Array:
    """Return numbers as (steps, members), with a length of one where they do not change."""
    full = values.reshape((1,) * (len(shape) - values.ndim) + values.shape)
    if full.ndim < 2:
        return full.reshape(-1, 1)
    rest = full.shape[1:]
    if rest not in {shape[1:], (1,) * len(rest)}:
        full = np.broadcast_to(full, full.shape[:1] + shape[1:])
    return full.reshape(full.shape[0], -1)


def _blocks(steps: int, members: int) -> Iterator[slice]:
    """Return the rows to work on together."""
    rows = max(1, _BLOCK // max(members, 1))
    for first in range(0, steps, rows):
        yield slice(first, first + rows)


def _read(
    given: list[Array],
    table: HoldTable,
    slot: int,
    thrust: Single,
    inflow: Single,
    bow: Turned,
    headings: NDArray[np.uint8],
) -> None:
    """Read one heading of the table into arrays, and how many headings it has there."""
    wind, wind_from, stream, stream_from, wind_ratio, drag_ratio = given
    off = (wind_from - stream_from) * (1.0 / 360.0)
    off = off - np.rint(off)  # of a circle, from where the stream comes from
    # Wind from port is the mirror image of wind from starboard.
    hand = np.where(off < 0.0, -1.0, 1.0).astype(np.float32)
    astray = np.maximum(1.0 - 2.0 * np.abs(off), 0.0)  # of opposition, 0 to 1
    across = ((ANGLES - 1) * (1.0 - np.sqrt(astray))).astype(np.float32)
    along = stream.astype(np.float32)
    blows = (wind * np.sqrt(wind_ratio / drag_ratio)).astype(np.float32) + _CALM
    scale = blows + np.float32(STREAM_WORTH) * along
    share = blows * (np.float32(SHARES - 1) / scale)
    left = np.minimum(share.astype(np.intp), SHARES - 2)
    low = np.minimum(across.astype(np.intp), ANGLES - 2)
    right, up = (share - left).astype(np.float32), (across - low).astype(np.float32)
    first = left * ANGLES + low
    headings[...] = table.headings.reshape(-1).take(first)
    force = _between(table.force[slot], first, right, up)
    points = _between(table.bow[slot], first, right, up)
    ahead = along * points.real
    pace = np.abs(ahead)
    node = np.sqrt(pace)
    node *= np.float32((DRAG_NODES // 2) / np.sqrt(table.most_stream_mps))
    np.copysign(node, ahead, out=node)
    node += np.float32(DRAG_NODES / 2.0)  # a half more than the middle, to round
    drag = table.drag_n_per_mps2.take(node.astype(np.intp))
    drag *= ahead * pace
    scale *= scale
    surge = scale * force.real - drag * points.real
    sway = scale * force.imag - drag * points.imag
    bare = np.sqrt(surge * surge + sway * sway)
    np.multiply(bare, drag_ratio.astype(np.float32), out=thrust)
    bare += np.float32(1e-30)
    np.maximum(-along * surge / bare, 0.0, out=inflow)
    bow.real = points.real
    np.multiply(points.imag, hand, out=bow.imag)


def _between(nodes: Turned, first: NDArray[np.intp], right: Single, up: Single) -> Turned:
    """Return a table along straight lines from the four corners of a cell."""
    flat = nodes.reshape(-1)
    near, far = flat.take(first), flat.take(first + ANGLES)
    near += up * (flat.take(first + 1) - near)
    far += up * (flat.take(first + (ANGLES + 1)) - far)
    far -= near
    far *= right
    near += far
    return near
