"""
Reading the table of a boat: where in it a weather lies, and what is written there.

Everything here is in single precision and laid out flat, one block at a time.

Depends on: `physics.response_cells`, `physics.response_table`, `physics.response_weather`.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.response_cells import DRAG_NODES, NODES, STREAM_WORTH
from energysim.physics.response_table import CUT, FINER, HoldTable
from energysim.physics.response_weather import Points

Single = NDArray[np.float32]
Turned = NDArray[np.complex64]
Indices = NDArray[np.intp]

_CALM = np.float32(1e-12)  # m/s; with neither wind nor stream, the bow is to the wind


class Approach(NamedTuple):
    """What of a weather does not change with the strength of the wind; arrays (points,)."""

    blows: Single  # the mean wind, as strong as it would have to be with both ratios one
    along: Single  # the stream
    worth: Single  # the wind it counts for
    low: Single  # the cell, along the angle, a whole number
    up: Single  # and how far up in it
    hand: Single  # -1 where the wind is to port of the stream
    drag_ratio: Single


class Spots(NamedTuple):
    """Where in the table weathers lie; arrays (points,)."""

    first: Indices  # first node of the cell
    right: Single  # how far in it, along the share
    up: Single  # and along the angle
    scale: Single  # U + 8 S
    along: Single  # the stream
    headings: NDArray[np.uint8]  # how many steady headings, none where the table will not do


class Loads(NamedTuple):
    """What the table says; arrays (points,)."""

    thrust_n: Single
    inflow_mps: Single
    bow: Turned  # off where the stream comes from


def approach(points: Points, shape: tuple[int, int]) -> Approach:
    """Return what the winds of a block have in common; `shape` is the block's."""
    off = (points.wind_from_deg - points.stream_from_deg) * (1.0 / 360.0)
    off = off - np.rint(off)  # of a circle, from where the stream comes from
    # Wind from port is the mirror image of wind from starboard.
    hand = np.copysign(np.float32(1.0), off, dtype=np.float32)
    np.abs(off, out=off)
    off *= -2.0
    off += 1.0  # of opposition, 0 to 1
    np.maximum(off, 0.0, out=off)
    across = (NODES - 1) * (1.0 - np.sqrt(off))
    up = across.astype(np.float32)
    low = np.minimum(np.floor(up), np.float32(NODES - 2))
    up -= low
    blows = points.wind_mps * np.sqrt(points.wind_ratio / points.drag_ratio)
    along = points.stream_mps
    return Approach(
        *(
            _flat(each, shape)
            for each in (blows, along, STREAM_WORTH * along, low, up, hand, points.drag_ratio)
        )
    )


def _flat(values: NDArray[np.floating], shape: tuple[int, int]) -> Single:
    """Return a block laid out flat, in single precision."""
    single = values.astype(np.float32, copy=False)
    return np.ascontiguousarray(np.broadcast_to(single, shape)).reshape(-1)


def place(near: Approach, blows: Single, table: HoldTable) -> Spots:
    """Return where in the table the weathers of a block lie with winds of these strengths."""
    blows = blows + _CALM
    scale = blows + near.worth
    right = np.divide(blows, scale, out=blows)
    right *= np.float32(NODES - 1)
    left = np.floor(right)
    np.minimum(left, np.float32(NODES - 2), out=left)
    right -= left
    left *= np.float32(NODES)
    left += near.low
    first = left.astype(np.intp)  # single precision holds whole numbers so small
    headings = table.headings.take(first)
    up = near.up
    cut = np.flatnonzero(headings == CUT)
    if cut.size:
        up = up.copy()
    while cut.size:
        node = table.finer.take(first[cut]).astype(np.intp)
        for part, wide in ((right, NODES), (up, 1)):
            within = part[cut] * np.float32(FINER)
            cell = np.minimum(np.floor(within), np.float32(FINER - 1))
            part[cut] = within - cell
            node += cell.astype(np.intp) * wide
        first[cut] = node
        headings[cut] = seen = table.headings.take(node)
        cut = cut[seen == CUT]
    return Spots(first, right, up, scale, near.along, headings)


def some(spots: Spots, which: Indices) -> Spots:
    """Return a few of many spots."""
    return Spots(
        first=spots.first.take(which),
        right=spots.right.take(which),
        up=spots.up.take(which),
        scale=spots.scale.take(which),
        along=spots.along.take(which),
        headings=spots.headings.take(which),
    )


def read(spots: Spots, table: HoldTable, *, slot: int) -> Loads:
    """Return one of the two loads at each spot, of a boat with both ratios one."""
    force = _between(table.force[slot], spots)
    bow = _between(table.bow[slot], spots)
    ahead = spots.along * bow.real
    pace = np.abs(ahead)
    node = np.sqrt(pace)
    node *= np.float32((DRAG_NODES // 2) / np.sqrt(table.held.most_stream_mps))
    np.copysign(node, ahead, out=node)
    node += np.float32(DRAG_NODES / 2.0)  # a half more than the middle, to round
    drag = table.held.drag_n_per_mps2.take(node.astype(np.intp))
    drag *= ahead
    drag *= pace
    square = spots.scale * spots.scale
    surge = square * force.real
    surge -= drag * bow.real
    sway = np.multiply(square, force.imag, out=square)
    drag *= bow.imag
    sway -= drag
    thrust = np.multiply(sway, sway, out=sway)
    thrust += surge * surge
    np.sqrt(thrust, out=thrust)
    surge *= spots.along
    surge /= thrust + np.float32(1e-30)
    inflow = np.negative(surge, out=surge)
    np.maximum(inflow, 0.0, out=inflow)
    return Loads(thrust, inflow, bow)


def _between(nodes: Turned, spots: Spots) -> Turned:
    """Return a table along straight lines from the four corners of a cell."""
    first = spots.first
    near, far = nodes.take(first), nodes.take(first + NODES)
    near += spots.up * (nodes.take(first + 1) - near)
    far += spots.up * (nodes.take(first + (NODES + 1)) - far)
    far -= near
    far *= spots.right
    near += far
    return near
