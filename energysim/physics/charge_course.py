r"""
A whole night of a charger with several outputs on one circuit, in closed form piece by piece.

Outputs are told apart by their currents, the states of their blocks, and whether two blocks
share one. What they have in common is the circuit: its watts are shared evenly, and an output
that needs less leaves the rest to the others, which the pieces follow exactly as one after
the other comes to its taper.

Depends on: physics.bounds, physics.charger, physics.outputs.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from energysim.physics.bounds import bounded
from energysim.physics.charger import even_share_w
from energysim.physics.outputs import (
    Output,
    Spell,
    accepted_after_a,
    clock_at_current_h,
    clock_at_edge_h,
    clock_at_fed_h,
    clock_at_missing_h,
    fed_after_ah,
    socs_after,
    spell_of,
)

OFF: Final = 0  # every block full, or not to be charged
OWN: Final = 1  # at the output's own current
SHARE: Final = 2  # at its share of the circuit
TAPER: Final = 3  # at what its blocks accept
ROUNDING: Final = 1e-10
"""Demands this near a limit, relative, count as below it. [1]"""

MOST_EVENTS: Final = 50
"""Far more than a block can see: a few edges, the end of its limit, its share. [count]"""


class Piece(NamedTuple):
    """The time between two events; an item for each output."""

    start_h: float
    length_h: float
    socs: tuple[tuple[float, ...], ...]  # at the start
    spells: tuple[Spell, ...]
    modes: tuple[int, ...]
    power_w: tuple[float, ...]  # at the wall, of one output, at the start


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A night at the charger, from the plug to the last full block."""

    outputs: tuple[Output, ...]
    circuit_w: float  # infinite where nothing limits it
    charger_efficiency: float
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
    course = Course(
        outputs=tuple(outputs),
        circuit_w=circuit_w,
        charger_efficiency=efficiency,
        pieces=(),
        final_socs=(),
    )
    socs = tuple(tuple(block.soc for block in output.blocks) for output in outputs)
    pieces: list[Piece] = []
    now_h = 0.0
    most = MOST_EVENTS * sum(len(output.blocks) for output in outputs)
    while (piece := _piece(course, socs, now_h)) is not None:
        if len(pieces) > most:
            raise ArithmeticError(f"the night has more than {most} events: {piece}")
        pieces.append(piece)
        socs = _socs_within(course, piece, piece.length_h)
        now_h += piece.length_h
    return Course(
        outputs=course.outputs,
        circuit_w=circuit_w,
        charger_efficiency=efficiency,
        pieces=tuple(pieces),
        final_socs=socs,
    )


def socs_at(course: Course, time_h: float) -> tuple[tuple[float, ...], ...]:
    """Return the states of charge so many hours from the plug: outputs, and blocks of each."""
    for piece in course.pieces:
        if time_h < piece.start_h + piece.length_h:
            return _socs_within(course, piece, max(0.0, time_h - piece.start_h))
    return course.final_socs


def hours_to(course: Course, target_soc: float) -> tuple[tuple[float, ...], ...]:
    """Return when each block reaches a state of charge, in h; infinite where it never does."""
    return tuple(
        tuple(_hours_to(course, number, place, target_soc) for place in range(len(out.blocks)))
        for number, out in enumerate(course.outputs)
    )


def fed_ah_at(course: Course, time_h: float) -> tuple[float, ...]:
    """Return the charge, in Ah, one output of each kind has given by so many hours."""
    total = [0.0] * len(course.outputs)
    for piece in course.pieces:
        spent = min(max(0.0, time_h - piece.start_h), piece.length_h)
        for number, spell in enumerate(piece.spells):
            total[number] += fed_after_ah(spell, _clock_h(course, piece, number, spent))
    return tuple(total)


def wall_wh_at(course: Course, time_h: float) -> float:
    """Return the energy, in Wh, the meter has counted by so many hours, all outputs."""
    return sum(
        output.count * fed * output.charge_voltage_v / course.charger_efficiency
        for output, fed in zip(course.outputs, fed_ah_at(course, time_h), strict=True)
    )


def wall_w_at_start(course: Course) -> float:
    """Return the power, in W, drawn from the wall right after the plug, all outputs."""
    if not course.pieces:
        return 0.0
    rows = zip(course.outputs, course.pieces[0].power_w, strict=True)
    return sum(output.count * power for output, power in rows)


def _piece(course: Course, socs: tuple[tuple[float, ...], ...], now_h: float) -> Piece | None:
    """Return the piece that begins now, with its length; None when nothing flows any more."""
    spells = tuple(map(spell_of, course.outputs, socs))
    wanted, tapering = [], []
    for output, spell in zip(course.outputs, spells, strict=True):
        accepted = accepted_after_a(spell, 0.0)
        tapering.append(accepted <= output.current_a * (1.0 + ROUNDING))
        wanted.append(min(accepted, output.current_a) * _watts_per_ampere(course, output))
    if not any(wanted):
        return None
    counts = [output.count for output in course.outputs]
    given = np.asarray(wanted)
    if course.circuit_w < math.inf:
        given = even_share_w(wanted, counts=counts, circuit_power_w=course.circuit_w)
    modes = []
    for want, gets, taper in zip(wanted, given.tolist(), tapering, strict=True):
        if want <= 0.0:
            modes.append(OFF)
        elif gets < want * (1.0 - ROUNDING):
            modes.append(SHARE)
        else:
            modes.append(TAPER if taper else OWN)
    piece = Piece(now_h, math.inf, socs, spells, tuple(modes), tuple(given.tolist()))
    return piece._replace(length_h=_time_to_event_h(course, piece))


def _time_to_event_h(course: Course, piece: Piece) -> float:
    """Return how long nothing changes: no edge passed, no output leaving its limit."""
    first = math.inf
    for number, (spell, mode) in enumerate(zip(piece.spells, piece.modes, strict=True)):
        if mode == OFF:
            continue
        clock = clock_at_edge_h(spell)
        if mode == OWN:
            clock = min(clock, clock_at_current_h(spell, course.outputs[number].current_a))
        first = min(first, _time_at_clock_h(course, piece, number, clock))
    for number, mode in enumerate(piece.modes):
        if mode == SHARE:
            first = _satisfied_h(course, piece, number, first)
    return first


def _satisfied_h(course: Course, piece: Piece, number: int, latest_h: float) -> float:
    """Return when the circuit leaves an output all it wants, if before the latest time."""
    output, spell = course.outputs[number], piece.spells[number]
    ampere_w = _watts_per_ampere(course, output)

    def lacking_w(time_h: float) -> float:
        clock = clock_at_fed_h(spell, _share_wh(course, piece, time_h) / ampere_w)
        wanted = min(output.current_a, accepted_after_a(spell, clock)) * ampere_w
        return wanted - _share_w(course, piece, time_h)

    return latest_h if lacking_w(latest_h) > 0.0 else _falls_to_nought(lacking_w, latest_h)


def _falls_to_nought(function: Callable[[float], float], high: float) -> float:
    """Return where a falling function crosses nought, on its far side, by halving."""
    low = 0.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        if not low < middle < high:
            break
        if function(middle) > 0.0:
            low = middle
        else:
            high = middle
    return high


def _share_w(course: Course, piece: Piece, time_h: float) -> float:
    """Return the watts each output short of power gets, at a time within the piece."""
    left, sharing = course.circuit_w, 0
    for output, spell, mode, power in _rows(course, piece):
        if mode == TAPER:
            power = accepted_after_a(spell, time_h) * _watts_per_ampere(course, output)  # noqa: PLW2901
        if mode == SHARE:
            sharing += output.count
        else:
            left -= output.count * power
    return left / sharing


def _share_wh(course: Course, piece: Piece, time_h: float) -> float:
    """Return the energy each output short of power has got by a time within the piece."""
    left, sharing = course.circuit_w * time_h, 0
    for output, spell, mode, power in _rows(course, piece):
        if mode == SHARE:
            sharing += output.count
        elif mode == TAPER:
            energy = fed_after_ah(spell, time_h) * _watts_per_ampere(course, output)
            left -= output.count * energy
        else:
            left -= output.count * power * time_h
    return left / sharing


def _clock_h(course: Course, piece: Piece, number: int, time_h: float) -> float:
    """Return an output's clock at a time within the piece."""
    mode, spell = piece.modes[number], piece.spells[number]
    output = course.outputs[number]
    if mode == OFF or time_h <= 0.0:
        return 0.0
    if mode == TAPER:
        return time_h
    if mode == OWN:
        return clock_at_fed_h(spell, output.current_a * time_h)
    energy = _share_wh(course, piece, time_h)
    return clock_at_fed_h(spell, energy / _watts_per_ampere(course, output))


def _time_at_clock_h(course: Course, piece: Piece, number: int, clock_h: float) -> float:
    """Return the time within the piece at which an output's clock reads so much."""
    mode, output = piece.modes[number], course.outputs[number]
    if mode == TAPER:
        return clock_h
    fed_ah = fed_after_ah(piece.spells[number], clock_h)
    if mode == OWN:
        return fed_ah / output.current_a
    energy = fed_ah * _watts_per_ampere(course, output)
    # The share never falls, so its energy is convex in time: Newton's steps from the right.
    time = energy / _share_w(course, piece, 0.0)
    for _ in range(60):
        over = _share_wh(course, piece, time) - energy
        step = over / _share_w(course, piece, time)
        time -= step
        if abs(step) <= 1e-15 * time:
            break
    return time


def _hours_to(course: Course, number: int, place: int, target_soc: float) -> float:
    """Return when one block reaches a state of charge."""
    block = course.outputs[number].blocks[place]
    if block.soc >= target_soc:
        return 0.0
    ends = (*(piece.socs for piece in course.pieces), course.final_socs)[1:]
    for piece, end in zip(course.pieces, ends, strict=True):
        if end[number][place] >= target_soc:
            spell = piece.spells[number]
            missing = block.capacity_ah * (1.0 - target_soc)
            clock = clock_at_missing_h(spell, spell.places.index(place), missing)
            return piece.start_h + _time_at_clock_h(course, piece, number, clock)
    return math.inf


def _socs_within(course: Course, piece: Piece, time_h: float) -> tuple[tuple[float, ...], ...]:
    """Return the states of charge at a time within the piece."""
    return tuple(
        socs_after(output, socs, spell, _clock_h(course, piece, number, time_h))
        for number, (output, socs, spell) in enumerate(
            zip(course.outputs, piece.socs, piece.spells, strict=True)
        )
    )


def _rows(course: Course, piece: Piece) -> "zip[tuple[Output, Spell, int, float]]":
    """Return what is known of each output in the piece, side by side."""
    return zip(course.outputs, piece.spells, piece.modes, piece.power_w, strict=True)


def _watts_per_ampere(course: Course, output: Output) -> float:
    """Return the mains power behind one ampere of an output."""
    return output.charge_voltage_v / course.charger_efficiency
