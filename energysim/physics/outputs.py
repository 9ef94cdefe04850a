r"""
One output of a charger and the blocks on it, while nothing about them changes.

Between two events (a block passing into another band of efficiency, an output falling below
its limit) every block's missing charge falls as an exponential of the output's own clock. The
clock runs with time while the output is in its taper, and slower, in the measure of current
given over current acceptable, while something limits it. `physics.charge_course` strings such
spells together.

Depends on: physics.bounds, physics.charge, physics.temperature.
"""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from energysim.physics.bounds import bounded
from energysim.physics.charge import ChargeLaw, kept_share
from energysim.physics.supply import acceptance_of_empty_a

NEAR = 1e-12
"""States of charge closer than this to an edge stand on it. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FedBlock:
    """One block on an output. Numbers."""

    soc: float  # by the ledger, when the charger is plugged in
    capacity_ah: float  # full charge
    acceptance_a: (
        float  # what it would accept quite empty, at its temperature; 0: charge nothing
    )
    law: ChargeLaw


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """One output, or several alike with alike blocks. Numbers."""

    current_a: float  # by its label
    charge_voltage_v: float  # of one block
    blocks: tuple[FedBlock, ...]  # side by side on it
    count: int  # how many such outputs there are


class Spell(NamedTuple):
    """What an output's blocks do until something changes; an item for each block that takes."""

    places: tuple[int, ...]  # of the blocks that take charge, among the output's
    missing_ah: tuple[float, ...]  # at the start
    accepted_a: tuple[float, ...]  # at the start
    rate_per_h: tuple[float, ...]  # of the missing charge's fall, by the output's clock
    edge_soc: tuple[float, ...]  # where the next edge is
    edge_ah: tuple[float, ...]  # and what is missing there
    kept: tuple[float, ...]  # share of the fed charge that stays


def fed_block(
    soc: float, *, capacity_ah: float, temperature_degc: float, law: ChargeLaw
) -> FedBlock:
    """
    Return a block ready to be charged.

    Parameters
    ----------
    soc : float
        State of charge by the ledger, 0 to 1. [1]
    capacity_ah : float
        Full charge. [Ah]
    temperature_degc : float
        Of its cells. [degC]
    law : ChargeLaw
        The chemistry's law, with numbers, not members. [record]

    Returns
    -------
    FedBlock
        With the acceptance of its temperature.

    Raises
    ------
    ValueError
        If a number is out of its range.
    """
    return FedBlock(
        soc=float(bounded(soc, name="soc", low=0.0, high=1.0)),
        capacity_ah=float(capacity_ah),
        acceptance_a=float(
            acceptance_of_empty_a(capacity_ah, temperature_degc=temperature_degc, law=law)
        ),
        law=law,
    )


def spell_of(output: Output, socs: tuple[float, ...]) -> Spell:
    """Return the spell that begins at these states of charge; full blocks are left out."""
    rows = []
    for place, (block, soc) in enumerate(zip(output.blocks, socs, strict=True)):
        if soc >= block.law.full_soc or block.acceptance_a <= 0.0:
            continue
        edge = min(e for e in (*block.law.band_edges, block.law.full_soc) if e > soc)
        kept = float(kept_share(soc, law=block.law))
        rows.append(
            (
                place,
                block.capacity_ah * (1.0 - soc),
                block.acceptance_a * (1.0 - soc),
                kept * block.acceptance_a / block.capacity_ah,
                edge,
                block.capacity_ah * (1.0 - edge),
                kept,
            )
        )
    return Spell(*zip(*rows, strict=True)) if rows else Spell((), (), (), (), (), (), ())


def accepted_after_a(spell: Spell, clock_h: float) -> float:
    """Return the current, in A, the blocks together would accept at a reading of the clock."""
    return sum(
        current * math.exp(-rate * clock_h)
        for current, rate in zip(spell.accepted_a, spell.rate_per_h, strict=True)
    )


def fed_after_ah(spell: Spell, clock_h: float) -> float:
    """Return the charge, in Ah, the output has given by a reading of the clock."""
    return sum(
        -missing / kept * math.expm1(-rate * clock_h)
        for missing, kept, rate in zip(
            spell.missing_ah, spell.kept, spell.rate_per_h, strict=True
        )
    )


def clock_at_edge_h(spell: Spell) -> float:
    """Return the clock's reading, in h, when the first of the blocks comes to its next edge."""
    return min(
        clock_at_missing_h(spell, place, edge) for place, edge in enumerate(spell.edge_ah)
    )


def clock_at_missing_h(spell: Spell, row: int, missing_ah: float) -> float:
    """Return the clock's reading, in h, when one block of the spell misses so much charge."""
    return math.log(spell.missing_ah[row] / missing_ah) / spell.rate_per_h[row]


def clock_at_current_h(spell: Spell, current_a: float) -> float:
    """Return the clock's reading, in h, when the blocks accept just this current; 0 if less."""
    accepted = accepted_after_a(spell, 0.0)
    if accepted <= current_a:
        return 0.0
    if len(spell.rate_per_h) == 1:
        return math.log(accepted / current_a) / spell.rate_per_h[0]
    # The sum of exponentials lies between those of its slowest and its fastest block; its
    # logarithm is convex, so that Newton's steps come up to the root from below.
    clock = math.log(accepted / current_a) / max(spell.rate_per_h)
    for _ in range(60):
        accepted = accepted_after_a(spell, clock)
        slope = sum(
            amps * rate * math.exp(-rate * clock)
            for amps, rate in zip(spell.accepted_a, spell.rate_per_h, strict=True)
        )
        step = math.log(accepted / current_a) * accepted / slope
        clock += step
        if abs(step) <= 1e-15 * clock:
            break
    return clock


def clock_at_fed_h(spell: Spell, fed_ah: float) -> float:
    """Return the clock's reading, in h, when the output has given so much charge."""
    if len(spell.rate_per_h) == 1:
        # One block alone: the missing charge is what was missing less what stayed.
        left = 1.0 - spell.kept[0] * fed_ah / spell.missing_ah[0]
        return -math.log(max(left, np.finfo(np.float64).tiny)) / spell.rate_per_h[0]
    # The charge given is a concave function of the clock: Newton's steps from nought come up
    # to the root from below and never pass it.
    clock = 0.0
    for _ in range(60):
        step = (fed_ah - fed_after_ah(spell, clock)) / accepted_after_a(spell, clock)
        clock += step
        if abs(step) <= 1e-15 * clock:
            break
    return clock


def socs_after(
    output: Output, socs: tuple[float, ...], spell: Spell, clock_h: float
) -> tuple[float, ...]:
    """Return the states of charge at a reading of the clock; one on an edge stands on it."""
    reached = list(socs)
    for row, place in enumerate(spell.places):
        missing = spell.missing_ah[row] * math.exp(-spell.rate_per_h[row] * clock_h)
        soc, edge = 1.0 - missing / output.blocks[place].capacity_ah, spell.edge_soc[row]
        reached[place] = edge if soc > edge - NEAR else soc
    return tuple(reached)
