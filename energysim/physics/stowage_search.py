r"""
An exact answer to whether rectangles fit side by side in a rectangle, in whole numbers.

The caller grows each rectangle by the gap, so that clearances are exact, and hands over whole
numbers, so that a case which fits to a hair is never lost to rounding.

**Why nothing is missed.** Put `i` before `j` when the lower left corner of `i` lies left of the
right edge of `j` and below its top: `i` has to be placed first if rectangles only ever come in
from the upper right. Such an order always exists. Take the rectangle whose top is highest; if
one has to come after it, it lies wholly to its right, since it cannot lie above. Of those to
its right that reach above its foot take the highest, and so on. Each step again leads to the
right, since whatever lay above would have been the one taken a step before, and so the steps
end at a rectangle that none has to follow. Place it last, and repeat with the rest.

In that order each rectangle lies outside the staircase under the earlier ones (all points left
of and below some upper right corner). Slide each down, then left, until it rests: it comes to
rest in an inner corner of the staircase, never right of or above where it was, so the
staircase of the later ones only shrinks and all still lie in the room. A search over the
corners of the staircase alone therefore finds an arrangement whenever there is one. What can
still be done depends on the corners and on what is left to place, so a state that failed once
is never searched again.

Every coordinate is then a sum of edges laid end to end: the normal patterns of Herz (1972) and
of Christofides and Whitlock (1977), both from memory. The room may be cut down to the largest
such sum, and the least larger room is one of them. The search by corners of a staircase is that
of Martello, Pisinger and Vigo (2000, from memory); the argument above is written out here
because in three dimensions, unlike two, the like of it is known to miss packings.

Depends on: nothing.
"""

from bisect import bisect_right
from collections.abc import Iterator
from functools import lru_cache
from typing import Literal, NamedTuple

Found = Literal["found", "none", "undecided"]
Foot = tuple[int, int]
Kind = tuple[int, tuple[Foot, ...]]  # how many there are, and how each may stand
Corner = tuple[int, int]

MOST_SUMS = 20_000


class Spot(NamedTuple):
    """One rectangle placed: its kind, which of the kind's feet, its lower left corner."""

    kind: int
    foot: int
    along: int
    across: int


class Packing(NamedTuple):
    """What the search came to, and after how many states."""

    state: Found
    spots: tuple[Spot, ...]
    searched: int


class _SpentError(Exception):
    """The bound on states is reached."""


@lru_cache(maxsize=8192)
def pack(length: int, width: int, kinds: tuple[Kind, ...], most_states: int) -> Packing:
    """Return an arrangement of every rectangle, or that there is none, or that it is open."""
    if any(_alone(length, width, feet) is None for count, feet in kinds if count):
        return Packing("none", (), 0)
    sums = sums_of_edges(kinds, 0, length), sums_of_edges(kinds, 1, width)
    length, width = largest_sum(kinds, 0, length), largest_sum(kinds, 1, width)
    search = _Search(length, width, kinds, sums, most_states)
    try:
        spots = search.place(((0, 0),), tuple(count for count, _ in kinds))
    except _SpentError:
        return Packing("undecided", (), search.searched)
    state: Found = "none" if spots is None else "found"
    return Packing(state, tuple(spots or ()), search.searched)


@lru_cache(maxsize=8192)
def sums_of_edges(kinds: tuple[Kind, ...], axis: int, largest: int) -> tuple[int, ...] | None:
    """Return all lengths that edges end to end can make, rising; None when too many."""
    sums = {0}
    for count, feet in kinds:
        edges = sorted({foot[axis] for foot in feet})
        newest = sums
        for _ in range(count):
            newest = {
                made + edge for made in newest for edge in edges if made + edge <= largest
            } - sums
            if not newest:
                break
            sums = sums | newest
            if len(sums) > MOST_SUMS:
                return None
    return tuple(sorted(sums))


def largest_sum(kinds: tuple[Kind, ...], axis: int, room: int) -> int:
    """Return how much of an edge of the room a pushed-together arrangement can use."""
    sums = sums_of_edges(kinds, axis, room)
    return sums[-1] if sums else room


def _alone(length: int, width: int, feet: tuple[Foot, ...]) -> int | None:
    """Return the first way one rectangle alone goes into the room."""
    for number, foot in enumerate(feet):
        if foot[0] <= length and foot[1] <= width:
            return number
    return None


class _Search:
    """Depth first over the corners, with what has failed remembered."""

    def __init__(
        self,
        length: int,
        width: int,
        kinds: tuple[Kind, ...],
        sums: tuple[tuple[int, ...] | None, tuple[int, ...] | None],
        most_states: int,
    ) -> None:
        self.length, self.width, self.sums = length, width, sums
        self.most_states, self.searched = most_states, 0
        self.feet = [
            [
                (number, *foot)
                for number, foot in enumerate(feet)
                if foot[0] <= length and foot[1] <= width
            ]
            for _, feet in kinds
        ]
        self.area = [
            min((along * across for _, along, across in feet), default=0) for feet in self.feet
        ]
        # Large ones first: they leave the fewest places.
        self.order = sorted(range(len(kinds)), key=lambda kind: -self.area[kind])
        self.furthest: dict[tuple[int, ...], list[Corner]] = {}
        self.dead: set[tuple[tuple[Corner, ...], tuple[int, ...]]] = set()

    def place(self, corners: tuple[Corner, ...], left: tuple[int, ...]) -> list[Spot] | None:
        """Place what is left above and right of the corners."""
        if not any(left):
            return []
        self.searched += 1
        if self.searched > self.most_states:
            raise _SpentError
        waiting = tuple(kind for kind in self.order if left[kind])
        corners = self._usable(corners, waiting)
        needed = sum(self.area[kind] * left[kind] for kind in waiting)
        if (corners, left) in self.dead or needed > self._room_beyond(corners):
            return None
        for kind in waiting:
            rest = (*left[:kind], left[kind] - 1, *left[kind + 1 :])
            for foot, spot, beyond in self._ways(corners, kind):
                found = self.place(beyond, rest)
                if found is not None:
                    return [Spot(kind, foot, *spot), *found]
        self.dead.add((corners, left))
        return None

    def _usable(
        self, corners: tuple[Corner, ...], waiting: tuple[int, ...]
    ) -> tuple[Corner, ...]:
        """Keep the corners at which something that waits can start."""
        furthest = self.furthest.get(waiting)
        if furthest is None:
            ends = {
                (self.length - foot[1], self.width - foot[2])
                for kind in waiting
                for foot in self.feet[kind]
            }
            furthest = self.furthest[waiting] = [
                end
                for end in sorted(ends)
                if not any(end != far and end[0] <= far[0] and end[1] <= far[1] for far in ends)
            ]
        return tuple(
            corner
            for corner in corners
            if any(corner[0] <= end[0] and corner[1] <= end[1] for end in furthest)
        )

    def _room_beyond(self, corners: tuple[Corner, ...]) -> int:
        """
        Return the most area that can still be filled right of and above the corners.

        A line along the room crosses cases whose edges lie end to end, so it fills no more
        than the largest sum of edges that the line has room for; so for lines across.
        """
        along_lines, top = 0, self.width
        across_lines, right = 0, self.length
        for along, across in corners:  # they go right and down
            along_lines += self._fillable(0, self.length - along) * (top - across)
            top = across
        for along, across in reversed(corners):
            across_lines += self._fillable(1, self.width - across) * (right - along)
            right = along
        return min(along_lines, across_lines)

    def _fillable(self, axis: int, room: int) -> int:
        """Return the largest sum of edges within some room."""
        sums = self.sums[axis]
        return sums[bisect_right(sums, room) - 1] if sums else room

    def _ways(
        self, corners: tuple[Corner, ...], kind: int
    ) -> Iterator[tuple[int, Corner, tuple[Corner, ...]]]:
        """Yield each foot at each corner it fits, the lowest corner first."""
        for number, along, across in self.feet[kind]:
            for corner in reversed(corners):
                right, top = corner[0] + along, corner[1] + across
                if right <= self.length and top <= self.width:
                    yield number, corner, _staircase(corners, right, top)


def _staircase(corners: tuple[Corner, ...], right: int, top: int) -> tuple[Corner, ...]:
    """Return the corners after all left of `right` and below `top` is taken."""
    split = {
        piece
        for along, across in corners
        for piece in (
            ((right, across), (along, top))
            if along < right and across < top
            else ((along, across),)
        )
    }
    kept: list[Corner] = []
    for corner in sorted(split):  # going right, each has to lie lower to count
        if not kept or corner[1] < kept[-1][1]:
            kept.append(corner)
    return tuple(kept)
