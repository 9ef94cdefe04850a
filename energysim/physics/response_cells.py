"""
One held boat's answers at the nodes of a table, and where straight lines between them will do.

Places are counted in nodes of the coarsest level: of the wind's share evenly, of the angle
between wind and stream closing up toward opposition.

Depends on: `physics.boat`, `physics.drift_angle`, `physics.hull`, `physics.response_swing`,
`physics.windage`.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from energysim.physics.boat import Boat
from energysim.physics.drift_angle import side_force_and_moment, side_grip
from energysim.physics.hull import lengthwise_force_n
from energysim.physics.response_swing import TurningRows, steady_angles
from energysim.physics.windage import wind_forces_from_cosines_n

Array = NDArray[np.float64]
Places = NDArray[np.int64]
Turned = NDArray[np.complexfloating]

STREAM_WORTH: Final = 8.0
"""Wind that counts for as much as a stream of the same speed, over that speed (ours). [1]"""

NODES: Final = 321
"""Each way: from all stream to all wind, and from wind with the stream to wind against it."""

DRAG_NODES: Final = 2049

TOLERANCE: Final = 0.005
"""A cell off by more of the thrust at any of its probes is not used. [1]"""

_SPEEDS: Final = (0.1, 0.4, 1.0)  # of the greatest stream, tried in each probe


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeldBoat:
    """One boat, in water of one depth, with what of it a table asks for often."""

    boat: Boat
    depth_m: float | None
    most_stream_mps: float
    rows: TurningRows
    drag_n_per_mps2: NDArray[np.float32]  # along the keel, over the square, see `keel_drag`


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patches:
    """
    Squares of nodes, alike in size, (patches, along the share, along the angle).

    Forces are over (U + 8 S)^2, in a frame that looks where the stream comes from.
    """

    split: int  # its nodes to one of the coarsest
    share_place: Places  # (patches,), of the first node, in nodes of this level
    angle_place: Places  # (patches,)
    # For one steady heading and another, if there are two, by rising angle: (2, patches, ...)
    force: Turned  # ahead and, imaginary, to starboard: all but drag along the keel
    bow: Turned  # where the bow points, of length one
    # By cell: the fewest and most steady headings seen in it, and whether lines will do.
    least: NDArray[np.uint8]
    most: NDArray[np.uint8]
    near: NDArray[np.bool_]


def keel_drag(boat: Boat, most_stream_mps: float) -> NDArray[np.float32]:
    """Return drag along the keel over the square of the speed, by the speed's signed root."""
    root = np.linspace(-1.0, 1.0, DRAG_NODES)
    # At rest there is no telling; no drag is left there either.
    root[DRAG_NODES // 2] = 0.5 * root[DRAG_NODES // 2 + 1]
    speed = most_stream_mps * root * np.abs(root)
    force = lengthwise_force_n(
        speed,
        hull=boat.hull,
        density=np.asarray(boat.water_density_kgpm3),
        viscosity=np.asarray(boat.water_viscosity_m2ps),
    )
    return np.asarray(np.abs(force) / (speed * speed), dtype=np.float32)


def patches(
    share_place: Places,
    angle_place: Places,
    *,
    side: int,
    split: int,
    probes: tuple[tuple[float, float], ...],
    held: HeldBoat,
) -> Patches:
    """Return squares of so many cells a side, with their first nodes at these places."""
    steps = np.arange(side + 1)
    down = (share_place[:, None] + steps)[:, :, None]
    along = (angle_place[:, None] + steps)[:, None, :]
    wide = split * NODES
    # Neighbouring squares share their edges: each node is worked out once.
    key, where = np.unique(down * wide + along, return_inverse=True)
    force, bow, count = _answers((key // wide) / split, (key % wide) / split, held)
    where = where.reshape(np.broadcast_shapes(down.shape, along.shape))
    force, bow, count = force[:, where], bow[:, where], count[where].astype(np.uint8)
    corners = (count[:, :-1, :-1], count[:, 1:, :-1], count[:, :-1, 1:], count[:, 1:, 1:])
    least, most = np.minimum.reduce(corners), np.maximum.reduce(corners)
    near = np.ones(least.shape, dtype=bool)
    for right, up in probes:
        share, angle = np.broadcast_arrays(
            (down[:, :-1] + right) / split, (along[:, :, :-1] + up) / split
        )
        law, points, here = _answers(share, angle, held)
        least, most = np.minimum(least, here), np.maximum(most, here)
        lines = _inside(force, right, up)
        leads = _inside(bow, right, up)
        stream = _stream(share)
        for speed in _SPEEDS:
            exact = law + _keel(held, points, stream, speed)
            read = lines + _keel(held, leads, stream, speed)
            near &= (np.abs(read - exact) <= TOLERANCE * np.abs(exact)).all(axis=0)
    return Patches(
        split=split,
        share_place=share_place,
        angle_place=angle_place,
        force=force,
        bow=bow,
        least=least.astype(np.uint8),
        most=most.astype(np.uint8),
        near=near,
    )


def _stream(share_place: Array) -> Array:
    """Return the stream's speed over U + 8 S."""
    return np.asarray((1.0 - share_place / (NODES - 1)) / STREAM_WORTH)


def _answers(
    share_place: Array, angle_place: Array, held: HeldBoat
) -> tuple[Turned, Turned, NDArray[np.int64]]:
    """Return force and bow at two headings, or one twice, and how many there are."""
    left = 1.0 - angle_place / (NODES - 1)
    beta = np.pi * (1.0 - left * left)
    wind, stream = share_place / (NODES - 1), _stream(share_place)
    found, count = steady_angles(
        beta.ravel(),
        wind_square=np.ravel(wind * wind),
        stream_square=np.ravel(stream * stream),
        rows=held.rows,
    )
    second = np.where(count > 1, found[min(1, len(found) - 1)], found[0])
    angle = np.nan_to_num(np.stack([found[0], second])).reshape(2, *beta.shape)
    off_bow = beta - angle
    surge, sway = wind_forces_from_cosines_n(
        np.broadcast_to(wind, angle.shape),
        cosine=np.cos(off_bow),
        sine=np.sin(off_bow),
        windage=held.boat.windage,
        air_density_kgpm3=held.boat.air_density_kgpm3,
    )
    bow = np.exp(1j * angle)
    grip = side_grip(
        held.boat.hull, water_density_kgpm3=held.boat.water_density_kgpm3, depth_m=held.depth_m
    )
    across, _ = side_force_and_moment(stream * bow.real, sway_mps=-stream * bow.imag, grip=grip)
    return (surge + 1j * (sway + across)) * bow, bow, count.reshape(beta.shape)


def _inside(nodes: Turned, right: float, up: float) -> Turned:
    """Return what straight lines make of a place in each cell."""
    low = (1.0 - right) * nodes[:, :, :-1, :-1] + right * nodes[:, :, 1:, :-1]
    high = (1.0 - right) * nodes[:, :, :-1, 1:] + right * nodes[:, :, 1:, 1:]
    return np.asarray((1.0 - up) * low + up * high)


def _keel(held: HeldBoat, bow: Turned, stream: Array, speed: float) -> Turned:
    """Return drag along the keel at a share of the greatest stream, by the node's scale."""
    ahead = speed * bow.real
    root = np.copysign(np.sqrt(np.abs(ahead)), ahead)
    drag = held.drag_n_per_mps2[np.rint((DRAG_NODES // 2) * (1.0 + root)).astype(np.intp)]
    return np.asarray(-drag * bow.real * np.abs(bow.real) * bow * stream * stream)
