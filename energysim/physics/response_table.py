"""
How one boat answers wind and stream in smooth water, worked out once for a whole sweep.

Depends on: `physics.boat`, `physics.bounds`, `physics.drift_angle`, `physics.hull`,
`physics.response_swing`, `physics.windage`.
"""

from dataclasses import dataclass, fields
from typing import Final

import numpy as np
from numpy.typing import NDArray

from energysim.physics.boat import Boat
from energysim.physics.bounds import bounded
from energysim.physics.drift_angle import side_force_and_moment, side_grip
from energysim.physics.hull import lengthwise_force_n
from energysim.physics.response_swing import TurningRows, steady_angles, turning_rows
from energysim.physics.windage import wind_forces_from_cosines_n

Array = NDArray[np.float64]
Single = NDArray[np.float32]
Turned = NDArray[np.complexfloating]

STREAM_WORTH: Final = 8.0
"""Wind that counts for as much as a stream of the same speed, over that speed (ours). [1]"""

SHARES: Final = 321
"""Nodes from all stream to all wind, evenly."""

ANGLES: Final = 321
"""Nodes from wind with the stream to wind against it, closing up toward the latter."""

DRAG_NODES: Final = 2049

TOLERANCE: Final = 0.005
"""A cell off by more of the thrust at any of its probes is not used. [1]"""

_PROBES: Final = (0.15, 0.5, 0.85)  # of a cell, each way
_SPEEDS: Final = (0.1, 0.4, 1.0)  # of the greatest stream, tried in each probe


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HoldTable:
    """
    One boat held on a spot in smooth water, over the share of the wind and its angle.

    The share is U / (U + 8 S), the angle the one between where wind and stream come from; its
    place among the nodes is (ANGLES - 1) (1 - sqrt(1 - angle / pi)).
    Forces are over (U + 8 S)^2, in a frame that looks where the stream comes from.
    """

    boat: Boat
    depth_m: float | None
    most_stream_mps: float
    rows: TurningRows
    # For one steady heading and another, if there are two, by rising angle:
    force: NDArray[np.complex64]  # ahead and, imaginary, to starboard: all but drag on the keel
    bow: NDArray[np.complex64]  # where the bow points, a length of one
    # By a cell's first node: how many steady headings, or none where lines will not do.
    headings: NDArray[np.uint8]
    drag_n_per_mps2: Single  # along the keel, over the square, by the signed root of the speed


def hold_table(
    boat: Boat, *, most_stream_mps: float, depth_m: float | None = None
) -> HoldTable:
    """
    Return the table of one boat for `physics.response.load_from_table`.

    Parameters
    ----------
    boat : Boat
        One boat, every field a single number.
    most_stream_mps : float
        Fastest stream it will be asked for. [m/s]
    depth_m : float or None
        Depth of the water, no less than the draft; None for deep water. [m]

    Returns
    -------
    table : HoldTable
        Good for any wind and any number of members.

    Raises
    ------
    ValueError
        If the boat is several, the stream not above zero or the water too shallow.

    Notes
    -----
    A cell is used only if there is one steady heading, or two, at its corners, at nine probes
    in it and in every cell around it, and the thrust between its corners is within 0.5 % of
    the law's at those probes. Everything else is left to be worked out by itself: the places
    where a heading appears or vanishes, and those where wind and stream nearly cancel.
    """
    for part in (boat, boat.hull, boat.windage):
        for field in fields(part):
            value = getattr(part, field.name)
            if isinstance(value, np.ndarray) and value.ndim and "residuary" not in field.name:
                msg = f"{field.name} has shape {value.shape}; a table takes one boat, a number"
                raise ValueError(msg)
    most = float(bounded(most_stream_mps, name="most_stream_mps", low=0.0, above=True))
    rows = turning_rows(boat, depth_m=depth_m)
    share = np.linspace(0.0, 1.0, SHARES)[:, None]
    beta = _angle_at(np.arange(ANGLES, dtype=np.float64))[None, :]
    angle, count = _lies(share, beta, rows)
    table = HoldTable(
        boat=boat,
        depth_m=depth_m,
        most_stream_mps=most,
        rows=rows,
        force=_force(share, beta, angle, boat, depth_m).astype(np.complex64),
        bow=np.exp(1j * angle).astype(np.complex64),
        headings=np.zeros((SHARES, ANGLES), dtype=np.uint8),
        drag_n_per_mps2=_drag(boat, most).astype(np.float32),
    )
    table.headings[:-1, :-1] = _usable(table, share, count)
    return table


def _angle_at(place: Array) -> Array:
    """Return the angle between wind and stream at a place among the nodes: dense near pi."""
    left = 1.0 - place / (ANGLES - 1)
    return np.asarray(np.pi * (1.0 - left * left))


def _lies(share: Array, beta: Array, rows: TurningRows) -> tuple[Array, NDArray[np.int64]]:
    """Return two steady angles at each node, the same if it has one, and how many it has."""
    shape = np.broadcast_shapes(share.shape, beta.shape)
    wind, stream, angle = (
        np.broadcast_to(each, shape).ravel()
        for each in (share * share, ((1.0 - share) / STREAM_WORTH) ** 2, beta)
    )
    found, count = steady_angles(angle, wind_square=wind, stream_square=stream, rows=rows)
    two = np.stack([found[0], np.where(count > 1, found[min(1, len(found) - 1)], found[0])])
    return np.nan_to_num(two).reshape(2, *shape), count.reshape(shape)


def _force(
    share: Array, beta: Array, angle: Array, boat: Boat, depth_m: float | None
) -> NDArray[np.complex128]:
    """Return the force on the boat but for drag along the keel, off the stream."""
    off_bow = beta - angle
    surge, sway = wind_forces_from_cosines_n(
        np.broadcast_to(share, angle.shape),
        cosine=np.cos(off_bow),
        sine=np.sin(off_bow),
        windage=boat.windage,
        air_density_kgpm3=boat.air_density_kgpm3,
    )
    stream = (1.0 - share) / STREAM_WORTH
    across, _ = side_force_and_moment(
        stream * np.cos(angle),
        sway_mps=-stream * np.sin(angle),
        grip=side_grip(
            boat.hull, water_density_kgpm3=boat.water_density_kgpm3, depth_m=depth_m
        ),
    )
    return np.asarray((surge + 1j * (sway + across)) * np.exp(1j * angle))


def _drag(boat: Boat, most: float) -> Array:
    """Return the drag along the keel over the square of the speed, from astern to ahead."""
    root = np.linspace(-1.0, 1.0, DRAG_NODES)
    # At rest there is no telling; no drag is left there either.
    root[DRAG_NODES // 2] = 0.5 * root[DRAG_NODES // 2 + 1]
    speed = most * root * np.abs(root)
    force = lengthwise_force_n(
        speed,
        hull=boat.hull,
        density=np.asarray(boat.water_density_kgpm3),
        viscosity=np.asarray(boat.water_viscosity_m2ps),
    )
    return np.asarray(np.abs(force) / (speed * speed))


def _usable(table: HoldTable, share: Array, count: NDArray[np.int64]) -> NDArray[np.uint8]:
    """Return how many headings each cell has if they can be read along straight lines."""
    corners = np.stack([count[:-1, :-1], count[1:, :-1], count[:-1, 1:], count[1:, 1:]])
    least, most = corners.min(axis=0), corners.max(axis=0)
    near = np.ones((2, *least.shape), dtype=bool)
    step_share = share[1, 0]
    for right in _PROBES:
        for up in _PROBES:
            at = share[:-1] + right * step_share
            off = _angle_at(np.arange(ANGLES - 1, dtype=np.float64) + up)[None, :]
            angle, here = _lies(at, off, table.rows)
            least, most = np.minimum(least, here), np.maximum(most, here)
            law = _force(at, off, angle, table.boat, table.depth_m)
            read = _inside(table.force, right, up)
            bow = _inside(table.bow, right, up)
            stream = (1.0 - at) / STREAM_WORTH
            for speed in _SPEEDS:
                exact = law + _keel(table, np.exp(1j * angle), stream, speed)
                lines = read + _keel(table, bow, stream, speed)
                near &= np.abs(lines - exact) <= TOLERANCE * np.abs(exact)
    least, most = (
        np.lib.stride_tricks.sliding_window_view(np.pad(each, 1, mode="edge"), (3, 3))
        for each in (least, most)
    )
    least, most = least.min(axis=(2, 3)), most.max(axis=(2, 3))
    usable = (least == most) & near.all(axis=0) & (most <= 2)
    return np.where(usable, most, 0).astype(np.uint8)


def _inside(nodes: NDArray[np.complex64], right: float, up: float) -> Turned:
    """Return what straight lines make of a place in each cell."""
    low = (1.0 - right) * nodes[:, :-1, :-1] + right * nodes[:, 1:, :-1]
    high = (1.0 - right) * nodes[:, :-1, 1:] + right * nodes[:, 1:, 1:]
    return np.asarray((1.0 - up) * low + up * high)


def _keel(table: HoldTable, bow: Turned, stream: Array, speed: float) -> Turned:
    """Return the drag along the keel at a share of the greatest stream, by the node's scale."""
    ahead = speed * bow.real
    root = np.copysign(np.sqrt(np.abs(ahead)), ahead)
    drag = table.drag_n_per_mps2[np.rint((DRAG_NODES // 2) * (1.0 + root)).astype(np.intp)]
    return np.asarray(-drag * bow.real * np.abs(bow.real) * bow * stream * stream)
