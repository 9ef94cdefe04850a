"""
How much larger a locker would have to be for all cases to stand.

Depends on: `physics.stowage_search`, `physics.stowage_share`.
"""

from typing import Literal, NamedTuple

from energysim.physics.stowage_search import sums_of_edges
from energysim.physics.stowage_share import Box, Load, Sharer

Edge = Literal["length", "width"]


class Larger(NamedTuple):
    """What one locker lacks, in whole nanometres."""

    room: int
    length: int
    width: int
    height: int


def least_larger(
    load: Load, *, boxes: tuple[Box, ...], sharer: Sharer
) -> tuple[tuple[Larger, ...], bool]:
    """
    Return the least growth of one edge of one locker that makes a load go in.

    Where no single edge of a locker will do because something stands too high in it, the lid
    is first raised until each kind can stand there, and length and width are tried again.

    Parameters
    ----------
    load : tuple of int
        How many of each kind. [count]
    boxes : tuple of Box
        The lockers.
    sharer : Sharer
        What does the searching, within its bound.

    Returns
    -------
    larger : tuple of Larger
        Locker by locker, height before length before width.
    proved : bool
        False if a search was cut short: smaller growth may then do.

    Notes
    -----
    Feasibility never falls as a locker grows and changes only at a height some way of standing
    needs or at a length that edges make end to end, so the least of those that does is found
    by halving the list.
    """
    found: list[Larger] = []
    proved = True
    for room, box in enumerate(boxes):
        alone, decided = _grown(load, boxes, room, box, sharer)
        proved &= decided
        raised = _lid_for_all(load, box)
        if not alone and raised > box.height:
            higher = box._replace(height=raised)
            alone, decided = _grown(load, boxes, room, higher, sharer)
            proved &= decided
            alone = [one._replace(height=raised - box.height) for one in alone]
        found += alone
    return tuple(found), proved


def _grown(
    load: Load, boxes: tuple[Box, ...], room: int, box: Box, sharer: Sharer
) -> tuple[list[Larger], bool]:
    """Try a higher lid, then a longer floor, then a wider one, each alone."""
    found, proved = [], True
    for height in _heights(load, box):
        state = sharer.share(load, _with(boxes, room, box._replace(height=height))).state
        proved &= state != "undecided"
        if state == "found":
            found.append(Larger(room, 0, 0, height - box.height))
            break
    edges: tuple[Edge, ...] = ("length", "width")
    for edge in edges:
        more, decided = _least_edge(load, boxes, room, box, edge, sharer)
        proved &= decided
        if more is not None:
            length, width = (more, 0) if edge == "length" else (0, more)
            found.append(Larger(room, length, width, 0))
    return found, proved


def _heights(load: Load, box: Box) -> list[int]:
    """List the lid heights at which one more way of standing opens up, rising."""
    return sorted(
        {
            way.tall
            for kind, count in enumerate(load)
            if count and box.takes[kind]
            for way in box.ways[kind]
            if way.tall > box.height
        }
    )


def _lid_for_all(load: Load, box: Box) -> int:
    """Return the lid height at which every kind that gets in can stand some way."""
    lowest = [
        min(way.tall for way in box.ways[kind])
        for kind, count in enumerate(load)
        if count and box.takes[kind]
    ]
    return max([box.height, *lowest])


def _least_edge(
    load: Load, boxes: tuple[Box, ...], room: int, box: Box, edge: Edge, sharer: Sharer
) -> tuple[int | None, bool]:
    """Return the least growth of one edge that does; None if none, False if not proved."""
    axis, across = (0, box.width) if edge == "length" else (1, box.length)
    have = box.length if edge == "length" else box.width
    kinds = tuple(
        (count, tuple((way.along, way.across) for way in box.standing(kind)))
        for kind, count in enumerate(load)
    )
    # A row of all that this locker can take: a longer one helps nothing.
    row = sum(
        count * min((foot[axis] for foot in feet if foot[1 - axis] <= across), default=0)
        for count, feet in kinds
    )
    sizes = sums_of_edges(kinds, axis, max(row, 0))
    if sizes is None:
        return None, False
    longer = [size for size in sizes if size > have]
    if not longer:
        return None, True
    proved, low, high = True, 0, len(longer) - 1
    best: int | None = None
    while low <= high:  # the largest first: if that will not do, none will
        middle = high if best is None and high == len(longer) - 1 else (low + high) // 2
        grown = _with(boxes, room, _resized(box, edge, longer[middle]))
        state = sharer.share(load, grown).state
        proved &= state != "undecided"
        if state == "found":
            best, high = longer[middle] - have, middle - 1
        elif best is None:
            return None, proved
        else:
            low = middle + 1
    return best, proved


def _resized(box: Box, edge: Edge, size: int) -> Box:
    """Set one edge of the floor."""
    return box._replace(length=size) if edge == "length" else box._replace(width=size)


def _with(boxes: tuple[Box, ...], room: int, box: Box) -> tuple[Box, ...]:
    """Put another box in the place of one."""
    return (*boxes[:room], box, *boxes[room + 1 :])
