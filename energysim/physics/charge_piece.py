r"""
The time between two events of a charger's night: what each output gives, and until when.

Depends on: physics.charger, physics.outputs.
"""

import math
from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np

from energysim.physics.charger import even_share_w
from energysim.physics.outputs import (
    Output,
    Spell,
    accepted_after_a,
    clock_at_current_h,
    clock_at_edge_h,
    clock_at_fed_h,
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


class Feed(NamedTuple):
    """A charger at work, which does not change through the night."""

    outputs: tuple[Output, ...]
    circuit_w: float  # infinite where nothing limits it
    charger_efficiency: float


class Piece(NamedTuple):
    """The time between two events; an item for each output."""

    start_h: float
    length_h: float
    socs: tuple[tuple[float, ...], ...]  # at the start
    spells: tuple[Spell, ...]
    modes: tuple[int, ...]
    power_w: tuple[float, ...]  # at the wall, of one output, at the start


def piece_from(feed: Feed, socs: tuple[tuple[float, ...], ...], now_h: float) -> Piece | None:
    """Return the piece that begins now, with its length; None when nothing flows any more."""
    spells = tuple(map(spell_of, feed.outputs, socs))
    wanted, tapering = [], []
    for output, spell in zip(feed.outputs, spells, strict=True):
        accepted = accepted_after_a(spell, 0.0)
        tapering.append(accepted <= output.current_a * (1.0 + ROUNDING))
        wanted.append(min(accepted, output.current_a) * watts_per_ampere(feed, output))
    if not any(wanted):
        return None
    counts = [output.count for output in feed.outputs]
    given = np.asarray(wanted)
    if feed.circuit_w < math.inf:
        given = even_share_w(wanted, counts=counts, circuit_power_w=feed.circuit_w)
    modes = []
    for want, gets, taper in zip(wanted, given.tolist(), tapering, strict=True):
        if want <= 0.0:
            modes.append(OFF)
        elif gets < want * (1.0 - ROUNDING):
            modes.append(SHARE)
        else:
            modes.append(TAPER if taper else OWN)
    piece = Piece(now_h, math.inf, socs, spells, tuple(modes), tuple(given.tolist()))
    return piece._replace(length_h=_time_to_event_h(feed, piece))


def _time_to_event_h(feed: Feed, piece: Piece) -> float:
    """Return how long nothing changes: no edge passed, no output leaving its limit."""
    first = math.inf
    for number, (spell, mode) in enumerate(zip(piece.spells, piece.modes, strict=True)):
        if mode == OFF:
            continue
        clock = clock_at_edge_h(spell)
        if mode == OWN:
            clock = min(clock, clock_at_current_h(spell, feed.outputs[number].current_a))
        first = min(first, time_at_clock_h(feed, piece, number, clock))
    for number, mode in enumerate(piece.modes):
        if mode == SHARE:
            first = _satisfied_h(feed, piece, number, first)
    return first


def _satisfied_h(feed: Feed, piece: Piece, number: int, latest_h: float) -> float:
    """Return when the circuit leaves an output all it wants, if before the latest time."""
    output, spell = feed.outputs[number], piece.spells[number]
    ampere_w = watts_per_ampere(feed, output)

    def lacking_w(time_h: float) -> float:
        clock = clock_at_fed_h(spell, _share_wh(feed, piece, time_h) / ampere_w)
        wanted = min(output.current_a, accepted_after_a(spell, clock)) * ampere_w
        return wanted - _share_w(feed, piece, time_h)

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


def _share_w(feed: Feed, piece: Piece, time_h: float) -> float:
    """Return the watts each output short of power gets, at a time within the piece."""
    left, sharing = feed.circuit_w, 0
    for output, spell, mode, power in _rows(feed, piece):
        if mode == TAPER:
            power = accepted_after_a(spell, time_h) * watts_per_ampere(feed, output)  # noqa: PLW2901
        if mode == SHARE:
            sharing += output.count
        else:
            left -= output.count * power
    return left / sharing


def _share_wh(feed: Feed, piece: Piece, time_h: float) -> float:
    """Return the energy each output short of power has got by a time within the piece."""
    left, sharing = feed.circuit_w * time_h, 0
    for output, spell, mode, power in _rows(feed, piece):
        if mode == SHARE:
            sharing += output.count
        elif mode == TAPER:
            energy = fed_after_ah(spell, time_h) * watts_per_ampere(feed, output)
            left -= output.count * energy
        else:
            left -= output.count * power * time_h
    return left / sharing


def clock_within_h(feed: Feed, piece: Piece, number: int, time_h: float) -> float:
    """Return an output's clock at a time within the piece."""
    mode, spell = piece.modes[number], piece.spells[number]
    output = feed.outputs[number]
    if mode == OFF or time_h <= 0.0:
        return 0.0
    if mode == TAPER:
        return time_h
    if mode == OWN:
        return clock_at_fed_h(spell, output.current_a * time_h)
    energy = _share_wh(feed, piece, time_h)
    return clock_at_fed_h(spell, energy / watts_per_ampere(feed, output))


def time_at_clock_h(feed: Feed, piece: Piece, number: int, clock_h: float) -> float:
    """Return the time within the piece at which an output's clock reads so much."""
    mode, output = piece.modes[number], feed.outputs[number]
    if mode == TAPER:
        return clock_h
    fed_ah = fed_after_ah(piece.spells[number], clock_h)
    if mode == OWN:
        return fed_ah / output.current_a
    energy = fed_ah * watts_per_ampere(feed, output)
    # The share never falls, so its energy is convex in time: Newton's steps from the right.
    time = energy / _share_w(feed, piece, 0.0)
    for _ in range(60):
        over = _share_wh(feed, piece, time) - energy
        step = over / _share_w(feed, piece, time)
        time -= step
        if abs(step) <= 1e-15 * time:
            break
    return time


def socs_within(feed: Feed, piece: Piece, time_h: float) -> tuple[tuple[float, ...], ...]:
    """Return the states of charge at a time within the piece."""
    return tuple(
        socs_after(output, socs, spell, clock_within_h(feed, piece, number, time_h))
        for number, (output, socs, spell) in enumerate(
            zip(feed.outputs, piece.socs, piece.spells, strict=True)
        )
    )


def _rows(feed: Feed, piece: Piece) -> "zip[tuple[Output, Spell, int, float]]":
    """Return what is known of each output in the piece, side by side."""
    return zip(feed.outputs, piece.spells, piece.modes, piece.power_w, strict=True)


def watts_per_ampere(feed: Feed, output: Output) -> float:
    """Return the mains power behind one ampere of an output."""
    return output.charge_voltage_v / feed.charger_efficiency
