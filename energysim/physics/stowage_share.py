"""
Sharing out cases over several lockers, so that all of them stand.

Depends on: `physics.stowage_pose`, `physics.stowage_search`.
"""

from itertools import product
from typing import NamedTuple

from energysim.physics.stowage_pose import Stance
from energysim.physics.stowage_search import Found, Packing, pack

Load = tuple[int, ...]  # how many of each kind


class Box(NamedTuple):
    """One locker in whole nanometres, its floor less the gaps at the walls plus one gap."""

    length: int
    width: int
    height: int
    ways: tuple[tuple[Stance, ...], ...]  # of each kind, whatever the height
    takes: tuple[bool, ...]  # whether a kind gets in at all

    def standing(self, kind: int) -> tuple[Stance, ...]:
        """Return the ways a kind may stand under this lid, each floor once."""
        if not self.takes[kind]:
            return ()
        seen: dict[tuple[int, int], Stance] = {}
        for way in self.ways[kind]:
            if way.tall <= self.height:
                seen.setdefault((way.along, way.across), way)
        return tuple(seen.values())


class Shared(NamedTuple):
    """What became of a load: found, none or undecided, and each locker's arrangement."""

    state: Found
    packings: tuple[Packing, ...]


class Sharer:
    """Shares loads out over lockers; stops deciding once the bound on states is passed."""

    def __init__(self, most_states: int) -> None:
        self.most_states = most_states
        self.searched = 0

    def share(self, load: Load, boxes: tuple[Box, ...]) -> Shared:
        """
        Return how a load goes into the lockers, each as full as can be before the next.

        Whatever fits still fits with a case less, so a locker need only be tried with loads
        that are not part of one already tried.
        """
        failed: set[tuple[int, Load]] = set()
        undecided = False

        def rest(room: int, left: Load) -> tuple[Packing, ...] | None:
            nonlocal undecided
            if room == len(boxes):
                return None if any(left) else ()
            if (room, left) in failed:
                return None
            tried: list[Load] = []
            last = room == len(boxes) - 1
            for part in [left] if last else _parts(left, boxes[room]):
                if any(all(p <= t for p, t in zip(part, one, strict=True)) for one in tried):
                    continue
                packing = self._packed(part, boxes[room])
                undecided |= packing.state == "undecided"
                if packing.state != "found":
                    continue
                tried.append(part)
                after = rest(
                    room + 1, tuple(have - took for have, took in zip(left, part, strict=True))
                )
                if after is not None:
                    return (packing, *after)
            failed.add((room, left))
            return None

        packings = rest(0, load)
        if packings is not None:
            return Shared("found", packings)
        return Shared("undecided" if undecided else "none", ())

    def most(self, load: Load, boxes: tuple[Box, ...]) -> tuple[int, bool]:
        """Return how many of a load go in together, and whether that is proved the most."""
        reached, proved, best = {tuple(0 for _ in load)}, True, 0
        while reached:
            larger = {
                (*part[:kind], part[kind] + 1, *part[kind + 1 :])
                for part in reached
                for kind in range(len(load))
                if part[kind] < load[kind]
            }
            states = {part: self.share(part, boxes).state for part in sorted(larger)}
            proved &= "undecided" not in states.values()
            reached = {part for part, state in states.items() if state == "found"}
            best += bool(reached)
        return best, proved

    def _packed(self, load: Load, box: Box) -> Packing:
        """Look one locker up, or search it while there is work left to spend."""
        if self.searched > self.most_states:
            return Packing("undecided", (), 0)
        kinds = tuple(
            (count, tuple((way.along, way.across) for way in box.standing(kind)))
            for kind, count in enumerate(load)
        )
        packing = pack(box.length, box.width, kinds, self.most_states)
        self.searched += packing.searched
        return packing


def _parts(load: Load, box: Box) -> list[Load]:
    """List the parts of a load a locker may be given, the largest first."""
    ranges = [
        range(count if takes else 0, -1, -1)
        for count, takes in zip(load, box.takes, strict=True)
    ]
    return sorted(product(*ranges), key=lambda part: -sum(part))
