"""
How one boat answers wind and stream in smooth water, worked out once for a whole sweep.

Depends on: `physics.boat`, `physics.bounds`, `physics.response_cells`,
`physics.response_swing`.
"""

from dataclasses import dataclass, fields
from typing import Final

import numpy as np
from numpy.typing import NDArray

from energysim.physics.boat import Boat
from energysim.physics.bounds import bounded
from energysim.physics.response_cells import (
    NODES,
    HeldBoat,
    Patches,
    keel_drag,
    patches,
)
from energysim.physics.response_swing import turning_rows

Counts = NDArray[np.uint8]

FINER: Final = 4
"""Cells each way into which one is cut where lines across the whole will not do."""

TIMES: Final = 2
"""How often that is done before the rest is left to be worked out by itself."""

CUT: Final = 255
"""Stands for the number of steady headings of a cell that is cut."""

_PROBES: Final = ((0.15, 0.15), (0.15, 0.85), (0.5, 0.5), (0.85, 0.15), (0.85, 0.85))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HoldTable:
    """
    One boat held on a spot in smooth water, over the share of the wind and its angle.

    The share is U / (U + 8 S), the angle the one between where wind and stream come from; its
    place among the nodes is (NODES - 1) (1 - sqrt(1 - angle / pi)). All nodes lie on one sheet,
    NODES wide: first those of the coarsest level, then the cut cells' own, FINER + 1 a side.
    """

    held: HeldBoat
    # For one steady heading and another, if there are two, as in `Patches`:
    force: NDArray[np.complex64]  # (2, nodes of the sheet)
    bow: NDArray[np.complex64]
    # By a cell's first node: how many steady headings; CUT, or none where lines will not do.
    headings: Counts
    finer: NDArray[np.int32]  # where it is cut, the first node of its finer cells


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
    A cell is used only if there is one steady heading, or two, at its corners, at the probes
    in it and in every cell around it, and the thrust between its corners is within 0.5 % of
    the law's at those probes. Any other is cut into sixteen, and those in turn; what still
    will not do then is left to be worked out by itself: strips along the lines on which a
    heading appears or vanishes, and around the points where wind and stream cancel.
    """
    for part in (boat, boat.hull, boat.windage):
        for field in fields(part):
            value = getattr(part, field.name)
            if isinstance(value, np.ndarray) and value.ndim and "residuary" not in field.name:
                msg = f"{field.name} has shape {value.shape}; a table takes one boat, a number"
                raise ValueError(msg)
    most = float(bounded(most_stream_mps, name="most_stream_mps", low=0.0, above=True))
    held = HeldBoat(
        boat=boat,
        depth_m=depth_m,
        most_stream_mps=most,
        rows=turning_rows(boat, depth_m=depth_m),
        drag_n_per_mps2=keel_drag(boat, most),
    )
    start = np.zeros(1, dtype=np.int64)
    level = patches(start, start, side=NODES - 1, split=1, probes=_PROBES, held=held)
    least, most_seen = level.least[0], level.most[0]
    levels, usable = [level], [_usable(level, least, most_seen)]
    for _ in range(TIMES):
        place, down, along = np.nonzero(usable[-1] == 0)
        level = patches(
            FINER * (level.share_place[place] + down),
            FINER * (level.angle_place[place] + along),
            side=FINER,
            split=FINER * level.split,
            probes=_PROBES,
            held=held,
        )
        least, most_seen = _widened(level, least, most_seen)
        usable[-1][place, down, along] = CUT
        levels.append(level)
        usable.append(_usable(level, least, most_seen))
    return _sheet(held, levels, usable)


def _cells(level: Patches) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the places of every cell, in cells of its level."""
    steps = np.arange(level.least.shape[1])
    return (
        (level.share_place[:, None] + steps)[:, :, None],
        (level.angle_place[:, None] + steps)[:, None, :],
    )


def _widened(level: Patches, least: Counts, most: Counts) -> tuple[Counts, Counts]:
    """Return what was seen in each cell of a finer level, all over the table."""
    here = _cells(level)
    wide = [np.repeat(np.repeat(seen, FINER, axis=0), FINER, axis=1) for seen in (least, most)]
    wide[0][here], wide[1][here] = level.least, level.most
    return wide[0], wide[1]


def _usable(level: Patches, least: Counts, most: Counts) -> Counts:
    """Return how many headings each cell has, none where straight lines will not do."""
    down, along = _cells(level)
    low, high = level.least.copy(), level.most.copy()
    last = len(least) - 1
    for below in (-1, 0, 1):
        for beside in (-1, 0, 1):
            there = np.clip(down + below, 0, last), np.clip(along + beside, 0, last)
            np.minimum(low, least[there], out=low)
            np.maximum(high, most[there], out=high)
    return np.where((low == high) & level.near & (high <= 2), high, 0).astype(np.uint8)


def _sheet(held: HeldBoat, levels: list[Patches], usable: list[Counts]) -> HoldTable:
    """Return the table with all levels laid out side by side."""
    size = FINER + 1
    beside = NODES // size  # patches in a strip
    number = sum(len(level.least) for level in levels[1:])
    length = NODES * (NODES + size * -(-number // beside))
    force = np.zeros((2, length), dtype=np.complex64)
    bow = np.zeros_like(force)
    headings = np.zeros(length, dtype=np.uint8)
    finer = np.zeros(length, dtype=np.int32)
    first = np.zeros(1, dtype=np.int64)
    laid = 0
    for depth, level in enumerate(levels):
        side = level.least.shape[1]
        steps = np.arange(side + 1)
        node = first[:, None, None] + NODES * steps[:, None] + steps
        force[:, node], bow[:, node] = level.force, level.bow
        cell = node[:, :-1, :-1]
        headings[cell] = usable[depth]
        if depth < TIMES:
            patch = laid + np.arange(len(levels[depth + 1].least))
            first = NODES * (NODES + size * (patch // beside)) + size * (patch % beside)
            # Patches were made in the order of the cells they are cut from.
            finer[cell[usable[depth] == CUT]] = first
            laid += patch.size
    return HoldTable(held=held, force=force, bow=bow, headings=headings, finer=finer)
