"""
How a battery case may stand in a locker, how much floor that takes, and how it gets in.

Lengths are turned to whole nanometres here, so that a case which fits to a hair is not lost to
rounding; a sixty-fourth of an inch is a whole number of them.

Depends on: `physics.bounds`.
"""

from dataclasses import dataclass, fields
from typing import Literal, NamedTuple

from energysim.physics.bounds import bounded

Pose = Literal["upright", "on its side", "on its end"]

_TICK_M = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One kind of battery case, by its outside edges."""

    length_m: float
    width_m: float
    height_m: float  # to the top of what sticks up highest
    may_lie: bool  # may stand on a side or an end for good
    may_tip: bool  # may be tilted while it is carried in


@dataclass(frozen=True, slots=True, kw_only=True)
class Gaps:
    """What is kept free around a case."""

    wall_m: float  # to a wall; over a case that lies, to the lid
    case_m: float  # to the next case
    terminal_m: float  # past the terminals, whichever way they face
    box_m: float  # wall and floor of a box around each case
    hatch_m: float  # on each side of a case that goes through the opening


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """One locker, inside; an opening of None is a top that opens whole."""

    length_m: float
    width_m: float
    height_m: float
    hatch_length_m: float | None
    hatch_width_m: float | None  # upright edge of an opening in the side
    hatch_in_side: bool
    gaps: Gaps


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """Whether a case goes through an opening, and what the opening lacks if not."""

    how: Literal["upright", "tilted", "not at all"]
    length_short_m: float
    width_short_m: float


class Stance(NamedTuple):
    """One way to stand: floor taken with one gap added, height needed; whole nanometres."""

    pose: Pose
    along: int
    across: int
    tall: int


def ticks(size_m: float) -> int:
    """Return a length as a whole number of nanometres."""
    return round(size_m / _TICK_M)


def metres(size: int) -> float:
    """Return whole nanometres as a length."""
    return size * _TICK_M


def checked(record: Case | Room, *, name: str) -> None:
    """Refuse sizes that are no sizes, naming the field."""
    for field in fields(record):
        value = getattr(record, field.name)
        if isinstance(value, Gaps):
            for gap in fields(value):
                told = f"{name}.gaps.{gap.name}"
                bounded(getattr(value, gap.name), name=told, low=0.0, high=1e3)
        elif field.name.endswith("_m") and value is not None:
            bounded(value, name=f"{name}.{field.name}", low=0.0, high=1e3, above=True)
    if isinstance(record, Room) and (record.hatch_length_m is None) != (
        record.hatch_width_m is None
    ):
        msg = f"{name} has one edge of an opening; it must be both or neither"
        raise ValueError(msg)


def stances(case: Case, *, gaps: Gaps) -> tuple[Stance, ...]:
    """
    Return every way a case may stand, whatever the height of the locker.

    Parameters
    ----------
    case : Case
        The case.
    gaps : Gaps
        What is kept free.

    Returns
    -------
    ways : tuple of Stance
        Upright first; both ways round. Each floor is grown by one gap between cases.

    Notes
    -----
    Upright, a case needs its own height, the floor of its box and the gap over the terminals.
    Lying, its terminals face sideways: it needs the gap past them along the floor, and over
    itself only the gap to the walls. That room past the terminals is its own: no other case
    may stand in it. Where the gaps to walls and to cases differ it is counted past the
    smaller, which asks for up to their difference too much (ours, on the careful side).
    """
    case_gap, box = ticks(gaps.case_m), ticks(gaps.box_m)
    length, width = ticks(case.length_m), ticks(case.width_m)
    height = ticks(case.height_m)
    cables = max(0, ticks(gaps.terminal_m) - min(ticks(gaps.wall_m), case_gap))
    lying = height + cables
    over = ticks(gaps.wall_m)
    bases: list[tuple[Pose, int, int, int]] = [
        ("upright", length, width, height + ticks(gaps.terminal_m))
    ]
    if case.may_lie:
        bases += [
            ("on its side", length, lying, width + over),
            ("on its end", width, lying, length + over),
        ]
    grown = 2 * box + case_gap
    ways = []
    for pose, along, across, tall in bases:
        ways.append(Stance(pose, along + grown, across + grown, tall + box))
        if along != across:
            ways.append(Stance(pose, across + grown, along + grown, tall + box))
    return tuple(ways)


def passage(case: Case, *, room: Room) -> Passage:
    """
    Return how a case goes through the opening of a locker.

    Parameters
    ----------
    case : Case
        The case, without a box.
    room : Room
        The locker with its opening.

    Returns
    -------
    way : Passage
        With what the opening lacks, each edge by itself, where it goes through no way.

    Notes
    -----
    The rule: square on, two of the three edges go through the opening with the gap on each
    side, and the case is stood up inside. Upright, they are length and width under a lid, and
    the height with one of the two in a side. Tilted, any two will do; only for a case that
    may be tipped. Whether there is room inside to stand a tilted case up is not looked at,
    nor whether a case turned askew would slip through.
    """
    if room.hatch_length_m is None or room.hatch_width_m is None:
        return Passage(how="upright", length_short_m=0.0, width_short_m=0.0)
    opening = ticks(room.hatch_length_m), ticks(room.hatch_width_m)
    free = 2 * ticks(room.gaps.hatch_m)
    length, width = ticks(case.length_m), ticks(case.width_m)
    height = ticks(case.height_m)
    upright = [(length, width), (width, length)]
    if room.hatch_in_side:
        upright = [(length, height), (width, height)]
    edges = (length, width, height)
    tilted = [
        (edges[one], edges[other])
        for one in range(3)
        for other in range(3)
        if one != other and case.may_tip
    ]
    ways: list[tuple[Literal["upright", "tilted"], list[tuple[int, int]]]] = [
        ("upright", upright),
        ("tilted", tilted),
    ]
    lacks = []
    for how, pairs in ways:
        for level, other in pairs:
            short = (max(0, level + free - opening[0]), max(0, other + free - opening[1]))
            if short == (0, 0):
                return Passage(how=how, length_short_m=0.0, width_short_m=0.0)
            lacks.append((max(short), *short))
    _, along, across = min(lacks)
    return Passage(how="not at all", length_short_m=metres(along), width_short_m=metres(across))
