"""
A bank of unlike blocks as one: the weakest block of each string, the strings side by side.

For what is worked out beside the loop, and careful: no block has more than it is told to have.

Depends on: simulate.records, simulate.books.
"""

from typing import NamedTuple

import numpy as np

from energysim.simulate.books import Books
from energysim.simulate.records import Array, Bank


class OneBlock(NamedTuple):
    """The bank of one member as a single block."""

    level: Array  # (steps + 1,), at the step edges
    left_ah: Array  # (steps + 1,)
    capacity_ah: float
    rated_time_h: float
    exponent: float
    wells_total_ah: float
    wells_share: float
    wells_rate_per_h: float
    emf_v: Array  # (nodes,), rest voltage of the whole bank, even in the level
    full_ohm: float
    empty_ohm: float


def as_one_block(bank: Bank, books: Books) -> OneBlock:
    """
    Return a member's bank as one block.

    Parameters
    ----------
    bank : Bank
        Of one member.
    books : Books
        Its books.
    """
    real = (bank.block_count[:, :, 0] > 0.0) & (bank.string_count > 0.0)
    strings = bank.string_count[:, 0]
    at_end = np.where(real, books.block_soc[-1, :, :, 0], np.inf)
    weakest = np.argmin(at_end, axis=1)
    every = np.arange(len(strings))

    def pick(values: Array) -> Array:
        picked: Array = values[..., every, weakest, 0]
        return picked

    alive = books.alive[:, :, 0]
    capacity = strings * pick(bank.capacity_ah)
    part = capacity / capacity.sum()
    wells = strings * pick(bank.wells_total_ah)
    counted = bank.block_count[:, :, 0]
    full = (counted * bank.resistance_full_ohm[:, :, 0]).sum(axis=1)
    empty = (counted * (bank.resistance_full_ohm * bank.resistance_rise)[:, :, 0]).sum(axis=1)
    first = int(np.argmax(part))
    series = counted[first].sum()
    table = bank.emf_tables_v[bank.emf_kind[first, weakest[first], 0]]
    # A mean of equals may end a rounding beyond them: kept on the laws' side of 1.
    return OneBlock(
        level=(pick(books.block_level) * part * alive).sum(axis=-1),
        left_ah=(pick(books.block_left_ah) * strings * alive).sum(axis=-1),
        capacity_ah=float(capacity.sum()),
        rated_time_h=float(bank.rated_time_h[0]),
        exponent=max(1.0, float((pick(bank.exponent) * part).sum())),
        wells_total_ah=float(wells.sum()),
        wells_share=min(1.0, float((pick(bank.wells_share) * part).sum())),
        wells_rate_per_h=float((pick(bank.wells_rate_per_h) * part).sum()),
        emf_v=series * table,
        full_ohm=_side_by_side(full, strings),
        empty_ohm=_side_by_side(empty, strings),
    )


def _side_by_side(ohm: Array, count: Array) -> float:
    """Return the resistance of strings side by side."""
    if (ohm <= 0.0).any():
        return 0.0
    return float(1.0 / (count / ohm).sum())
