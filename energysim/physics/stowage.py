"""
Whether battery cases can stand in lockers: an arrangement, or a proof that there is none.

Depends on: `physics.stowage_missing`, `physics.stowage_pose`, `physics.stowage_search`,
`physics.stowage_share`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from energysim.physics.stowage_missing import least_larger
from energysim.physics.stowage_pose import (
    Case,
    Passage,
    Pose,
    Room,
    checked,
    metres,
    passage,
    stances,
    ticks,
)
from energysim.physics.stowage_search import Packing
from energysim.physics.stowage_share import Box, Load, Sharer

MOST_CASES = 48
MOST_KINDS = 4

Verdict = Literal["fits", "does not fit", "not decided"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One case in its place, with its box and, lying, the room past its terminals."""

    kind: int
    room: int
    pose: Pose
    along_m: float  # from one end wall to its near edge
    across_m: float  # from one side wall to its near edge
    size_along_m: float
    size_across_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """How much larger one locker, inside, would have to be; zero where it need not."""

    room: int
    length_m: float
    width_m: float
    height_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stowage:
    """What the search came to."""

    verdict: Verdict
    placed: tuple[Placed, ...]  # every case; empty unless all fit
    most: int  # how many of the cases go in; no less than that where `most_proved` is False
    most_proved: bool
    passages: tuple[tuple[Passage, ...], ...]  # by kind, then by locker
    fits_but_for_openings: bool
    remedies: tuple[Remedy, ...]
    remedies_proved: bool  # False: smaller ones may do
    remedies_past_openings: bool  # True: they take the openings to be large enough
    searched: int  # states looked at


def stow(
    cases: Sequence[Case],
    *,
    counts: Sequence[int],
    rooms: Sequence[Room],
    may_go: Sequence[Sequence[bool]] | None = None,
    most_states: int = 20_000,
) -> Stowage:
    r"""
    Return how cases stand in lockers, or that they cannot and what is missing.

    A floor divided by a case in rows and columns misses mixed arrangements; guessing shows
    that something fits, never that nothing does. This searches all there is, within the rules.

    Parameters
    ----------
    cases : sequence of Case
        The kinds, at most four.
    counts : sequence of int
        How many of each, at most 48 together. [count]
    rooms : sequence of Room
        The lockers, the one to fill first in front.
    may_go : sequence of sequence of bool or None
        By kind, then by locker: whether it is allowed there. None allows all.
    most_states : int
        States of the search after which a question is left undecided. [count]

    Returns
    -------
    stowage : Stowage
        "fits" with a place for every case; "does not fit" only as a proof; "not decided" when
        the bound was reached first.

    Raises
    ------
    ValueError
        If a size is no size, a count negative, or there are too many cases or no locker.

    Notes
    -----
    The rules: one layer, edges along the walls, either way round, upright or as
    `stowage_pose.stances` allows. Two cases keep their gap when it lies between them along
    one of the two walls; corner to corner it may then be larger than it need be.

    Clearances are exact because a floor of :math:`L \times W` with wall gap :math:`w` holds
    cases :math:`a \times b` a gap :math:`g` apart if and only if a floor
    :math:`(L - 2w + g) \times (W - 2w + g)` holds cases :math:`(a+g) \times (b+g)` that
    touch: each case takes the gap to its right and above along with it.

    The remedies grow one edge of one locker and keep all else as it is; why none is missed is
    told in `stowage_search`. Doubling `most_states` doubles the longest time it may take.
    """
    load = _checked_counts(counts, cases=cases, rooms=rooms, may_go=may_go)
    for number, case in enumerate(cases):
        checked(case, name=f"cases[{number}]")
    for number, room in enumerate(rooms):
        checked(room, name=f"rooms[{number}]")
    passages = tuple(tuple(passage(case, room=room) for room in rooms) for case in cases)
    allowed = tuple(
        tuple(may_go is None or bool(may_go[kind][room]) for kind in range(len(cases)))
        for room in range(len(rooms))
    )
    through = tuple(
        tuple(
            allowed[room][kind] and passages[kind][room].how != "not at all"
            for kind in range(len(cases))
        )
        for room in range(len(rooms))
    )
    boxes, open_boxes = (
        tuple(_box(room, cases, takes[number]) for number, room in enumerate(rooms))
        for takes in (through, allowed)
    )
    # Each question has its own bound, so that one too hard leaves the others their answers.
    sharers = [Sharer(most_states) for _ in range(4)]
    shared = sharers[0].share(load, boxes)
    if shared.state == "found":
        placed = tuple(
            spot
            for number, packing in enumerate(shared.packings)
            for spot in _placed(number, rooms[number], boxes[number], packing)
        )
        return Stowage(
            verdict="fits",
            placed=placed,
            most=sum(load),
            most_proved=True,
            passages=passages,
            fits_but_for_openings=True,
            remedies=(),
            remedies_proved=True,
            remedies_past_openings=False,
            searched=sum(each.searched for each in sharers),
        )
    fits_inside = boxes != open_boxes and sharers[1].share(load, open_boxes).state == "found"
    most, most_proved = sharers[2].most(load, boxes)
    gets_in = all(
        any(takes[kind] for takes in through) for kind, count in enumerate(load) if count
    )
    remedies, proved = (
        ((), True)
        if fits_inside and not gets_in
        else least_larger(load, boxes=boxes if gets_in else open_boxes, sharer=sharers[3])
    )
    return Stowage(
        verdict="does not fit" if shared.state == "none" else "not decided",
        placed=(),
        most=most,
        most_proved=most_proved,
        passages=passages,
        fits_but_for_openings=fits_inside,
        remedies=tuple(
            Remedy(
                room=one.room,
                length_m=metres(one.length),
                width_m=metres(one.width),
                height_m=metres(one.height),
            )
            for one in remedies
        ),
        remedies_proved=proved,
        remedies_past_openings=not gets_in,
        searched=sum(each.searched for each in sharers),
    )


def _checked_counts(
    counts: Sequence[int],
    *,
    cases: Sequence[Case],
    rooms: Sequence[Room],
    may_go: Sequence[Sequence[bool]] | None,
) -> Load:
    """Return the counts, one to each kind; refuse what is no question."""
    load = tuple(int(count) for count in counts)
    if len(load) != len(cases) or not 1 <= len(cases) <= MOST_KINDS:
        msg = f"counts = {load} for {len(cases)} kinds; one to each of 1 to {MOST_KINDS} kinds"
        raise ValueError(msg)
    if load != tuple(counts) or min(load) < 0 or not 1 <= sum(load) <= MOST_CASES:
        msg = (
            f"counts = {tuple(counts)}; each must be a whole number of at least 0, "
            f"together 1 to {MOST_CASES}"
        )
        raise ValueError(msg)
    if not rooms:
        msg = "rooms is empty; there must be at least one"
        raise ValueError(msg)
    if may_go is not None and [len(row) for row in may_go] != [len(rooms)] * len(cases):
        msg = f"may_go must be {len(cases)} rows, by kind, of {len(rooms)}, by locker"
        raise ValueError(msg)
    return load


def _box(room: Room, cases: Sequence[Case], takes: tuple[bool, ...]) -> Box:
    """Return a locker as the search takes it."""
    slack = ticks(room.gaps.case_m) - 2 * ticks(room.gaps.wall_m)
    return Box(
        ticks(room.length_m) + slack,
        ticks(room.width_m) + slack,
        ticks(room.height_m),
        tuple(stances(case, gaps=room.gaps) for case in cases),
        takes,
    )


def _placed(number: int, room: Room, box: Box, packing: Packing) -> list[Placed]:
    """Return an arrangement in metres from the walls, without the gaps."""
    wall, gap = ticks(room.gaps.wall_m), ticks(room.gaps.case_m)
    placed = []
    for spot in packing.spots:
        way = box.standing(spot.kind)[spot.foot]
        placed.append(
            Placed(
                kind=spot.kind,
                room=number,
                pose=way.pose,
                along_m=metres(wall + spot.along),
                across_m=metres(wall + spot.across),
                size_along_m=metres(way.along - gap),
                size_across_m=metres(way.across - gap),
            )
        )
    return placed
