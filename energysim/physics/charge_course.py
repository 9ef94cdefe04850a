r"""
A whole night of a charger with several outputs on one circuit, in closed form piece by piece.

Outputs are told apart by their currents, the states of their blocks, and whether two blocks
share one. What they have in common is the circuit: its watts are shared evenly, and an output
that needs less leaves the rest to the others, which the pieces follow exactly as one after
the other comes to its taper.

Depends on: physics.bounds, physics.charge_piece, physics.outputs.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from energysim.physics.bounds import bounded
from energysim.physics.charge_piece import (
    Feed,
    Piece,
    clock_within_h,
    piece_from,
    socs_within,
    time_at_clock_h,
    watts_per_ampere,
)
from energysim.physics.outputs import Output, clock_at_missing_h, fed_after_ah

MOST_EVENTS: Final = 50
"""Far more than a block can see: a few edges, the end of its limit, its share. [count]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A night at the charger, from the plug to the last full block."""

    feed: Feed
    pieces: tuple[Piece, ...]
    final_socs: tuple[tuple[float, ...], ...]


def charge_course(
    outputs: Sequence[Output], *, circuit_w: float, charger_efficiency: float
) -> Course:
    r"""
    Return the night of a charger, from the plug until every block it can fill is full.

    Parameters
    ----------
    outputs : sequence of Output
        Those at work, alike ones counted together. [record]
    circuit_w : float
        Power the circuit leaves the charger, `math.inf` where it leaves enough. [W]
    charger_efficiency : float
        Direct current out over mains power in. [1]

    Returns
    -------
    Course
        To be read by `socs_at`, `hours_to` and `wall_wh_at`.

    Raises
    ------
    ValueError
        If a number is out of its range.

    Notes
    -----
    A block of missing charge :math:`m` takes at most :math:`a m` (`physics.charge`). With
    :math:`d\tau = dt \, I / \sum a_i m_i` for the blocks of one output,

    .. math:: m_i = m_{i0} \, e^{-\eta_i a_i \tau}, \qquad
              \int I \, dt = \sum \frac{m_{i0}}{\eta_i} (1 - e^{-\eta_i a_i \tau})

    whatever limits the current I: in the taper :math:`\tau = t`; at the output's own current
    the left side is :math:`I t`; at a share of the circuit it is that of the watts the others
    leave, whose tapers are integrated in the same form. Two blocks on one output so share its
    current in the measure of what each accepts. Only the times of events on a shared circuit
    need a search for a root.

    Assumptions: each block is charged at its absorption voltage for the circuit's account; a
    full block takes nothing more while its neighbours go on.
    """
    efficiency = float(
        bounded(charger_efficiency, name="charger_efficiency", low=0.0, high=1.0, above=True)
    )
    if not circuit_w > 0.0:
        raise ValueError(f"circuit_w = {circuit_w:g}; it must be above 0")
    for output in outputs:
        bounded(output.current_a, name="current_a", low=0.0, above=True)
        bounded(output.charge_voltage_v, name="charge_voltage_v", low=0.0, above=True)
    feed = Feed(tuple(outputs), circuit_w, efficiency)
    socs = tuple(tuple(block.soc for block in output.blocks) for output in outputs)
    most = MOST_EVENTS * sum(len(output.blocks) for output in outputs)
    pieces: list[Piece] = []
    now_h = 0.0
    while (piece := piece_from(feed, socs, now_h)) is not None:
        if len(pieces) > most:
            raise ArithmeticError(f"the night has more than {most} events: {piece}")
        pieces.append(piece)
        socs = socs_within(feed, piece, piece.length_h)
        now_h += piece.length_h
    return Course(feed=feed, pieces=tuple(pieces), final_socs=socs)


def socs_at(course: Course, time_h: float) -> tuple[tuple[float, ...], ...]:
    """Return the states of charge so many hours from the plug: outputs, and blocks of each."""
    for piece in course.pieces:
        if time_h < piece.start_h + piece.length_h:
            return socs_within(course.feed, piece, max(0.0, time_h - piece.start_h))
    return course.final_socs


def hours_to(course: Course, target_soc: float) -> tuple[tuple[float, ...], ...]:
    """Return when each block reaches a state of charge, in h; infinite where it never does."""
    return tuple(
        tuple(_hours_to(course, number, place, target_soc) for place in range(len(out.blocks)))
        for number, out in enumerate(course.feed.outputs)
    )


def fed_ah_at(course: Course, time_h: float) -> tuple[float, ...]:
    """Return the charge, in Ah, one output of each kind has given by so many hours."""
    total = [0.0] * len(course.feed.outputs)
    for piece in course.pieces:
        spent = min(max(0.0, time_h - piece.start_h), piece.length_h)
        for number, spell in enumerate(piece.spells):
            total[number] += fed_after_ah(
                spell, clock_within_h(course.feed, piece, number, spent)
            )
    return tuple(total)


def wall_wh_at(course: Course, time_h: float) -> float:
    """Return the energy, in Wh, the meter has counted by so many hours, all outputs."""
    return sum(
        output.count * fed * watts_per_ampere(course.feed, output)
        for output, fed in zip(course.feed.outputs, fed_ah_at(course, time_h), strict=True)
    )


def wall_w_at_start(course: Course) -> float:
    """Return the power, in W, drawn from the wall right after the plug, all outputs."""
    if not course.pieces:
        return 0.0
    rows = zip(course.feed.outputs, course.pieces[0].power_w, strict=True)
    return sum(output.count * power for output, power in rows)


def _hours_to(course: Course, number: int, place: int, target_soc: float) -> float:
    """Return when one block reaches a state of charge."""
    block = course.feed.outputs[number].blocks[place]
    if block.soc >= target_soc:
        return 0.0
    ends = (*(piece.socs for piece in course.pieces), course.final_socs)[1:]
    for piece, end in zip(course.pieces, ends, strict=True):
        if end[number][place] >= target_soc:
            spell = piece.spells[number]
            missing = block.capacity_ah * (1.0 - target_soc)
            clock = clock_at_missing_h(spell, spell.places.index(place), missing)
            return piece.start_h + time_at_clock_h(course.feed, piece, number, clock)
    return math.inf
