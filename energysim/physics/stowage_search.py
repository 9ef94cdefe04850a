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
    length = largest_sum(kinds, 0, length)
    width = largest_sum(kinds, 1, width)
    search = _Search(length, width, kinds, most_states)
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
        self, length: int, width: int, kinds: tuple[Kind, ...], most_states: int
    ) -> None:
        self.length, self.width = length, width
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
        self.dead: set[tuple[tuple[Corner, ...], tuple[int, ...]]] = set()

    def place(self, corners: tuple[Corner, ...], left: tuple[int, ...]) -> list[Spot] | None:
        """Place what is left above and right of the corners."""
        if not any(left):
            return []
        waiting = [kind for kind in self.order if left[kind]]
        corners = tuple(corner for corner in corners if self._any_fits(corner, waiting))
        needed = sum(self.area[kind] * left[kind] for kind in waiting)
        if needed > self._area_beyond(corners) or (corners, left) in self.dead:
            return None
        self.searched += 1
        if self.searched > self.most_states:
            raise _SpentError
        for kind in waiting:
            rest = (*left[:kind], left[kind] - 1, *left[kind + 1 :])
            for foot, spot, beyond in self._ways(corners, kind):
                found = self.place(beyond, rest)
                if found is not None:
                    return [Spot(kind, foot, *spot), *found]
        self.dead.add((corners, left))
        return None

    def _any_fits(self, corner: Corner, waiting: list[int]) -> bool:
        """Say whether any of the waiting kinds can start at a corner."""
        along, across = self.length - corner[0], self.width - corner[1]
        return any(
            foot[1] <= along and foot[2] <= across
            for kind in waiting
            for foot in self.feet[kind]
        )

    def _area_beyond(self, corners: tuple[Corner, ...]) -> int:
        """Add up what lies right of and above any corner; they go right and down."""
        area, top = 0, self.width
        for along, across in corners:
            area += (self.length - along) * (top - across)
            top = across
        return area

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
