"""
Read the two books of a run: the availability and the ledger, of the bank and of each block.

Worked out after the loop, and only for those who ask: a sweep over thousands need not.

Depends on: simulate.records, physics.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.wells import Wells, wells_runtime_h, wells_time_left_h
from energysim.simulate.records import SECONDS_PER_HOUR, Array, Bank, BlockFlows, Flows


class Books(NamedTuple):
    """Both books at the step edges; of blocks (steps + 1, strings, blocks, members)."""

    soc: Array  # (steps + 1, members): share of today's capacity this way of drawing lets out
    charge: Array  # (steps + 1, members): share of the full charge by ampere-hours
    block_soc: Array
    block_charge: Array
    block_level: Array
    block_left_ah: Array  # in both wells; under Peukert's law by the ledger
    alive: NDArray[np.bool_]  # (steps + 1, strings, members): the string is not out for the day


class Drawn(NamedTuple):
    """What a bank of alike blocks gave, all its strings together."""

    ah: Array  # (edges, members), less what stays of what was put in
    out_ah: Array  # (members,), over the day, what was put in not counted
    out_a2h: Array  # (members,), amperes squared times hours of the same


def nothing_drawn(edges: int, members: int) -> Drawn:
    """Return room for what a bank gives, all of it nothing."""
    return Drawn(np.zeros((edges, members)), np.zeros(members), np.zeros(members))


def read_books(
    flows: Flows, bank: Bank, step_s: Array, *, edges: NDArray[np.intp] | None = None
) -> Books:
    """
    Return availability and ledger of a run.

    Availability is the time the bank would still last, over the time it would last from full,
    both at the day's own reference current: the mean current weighted by the charge it drew,
    and never below the rated one. Under Peukert's law that is the level itself, whatever the
    current; under the wells it follows from both wells, and is never more than the share of
    today's capacity that is still in. A bank has that of the weakest block of each string,
    strings weighted by capacity, dead ones counting nothing.

    Parameters
    ----------
    flows : Flows
        A run.
    bank : Bank
        The bank it was run with.
    step_s : ndarray, shape (steps, members)
        Length of each step. [s]
    edges : ndarray or None, shape (edges,)
        The step edges to be read; None reads all. Under the wells most of the time goes by
        the number of edges.
    """
    if flows.blocks is not None:
        return block_books(flows.blocks, bank, step_s, edges=edges)
    some = slice(None) if edges is None else edges
    current = flows.current_a * flows.carried_share
    drawn = nothing_drawn(len(flows.level), current.shape[1])
    gone = np.where(current < 0.0, current * bank.charge_efficiency[0, 0], current)
    hours = step_s / SECONDS_PER_HOUR
    np.cumsum(gone * hours, axis=0, out=drawn.ah[1:])
    if bank.kinetic.any():
        out = np.maximum(current, 0.0)
        drawn.out_ah[:] = (out * hours).sum(axis=0)
        drawn.out_a2h[:] = (out * out * hours).sum(axis=0)
    return plain_books(flows.level[some], drawn._replace(ah=drawn.ah[some]), bank)


def plain_books(level: Array, drawn: Drawn, bank: Bank) -> Books:
    """
    Return the books of banks of alike blocks.

    Parameters
    ----------
    level : ndarray, shape (edges, members)
        The law's own.
    drawn : Drawn
        What they gave.
    bank : Bank
        The banks, of one string and one block that stand for all.
    """
    by_block = _by_block(
        level[:, None, None, :],
        drawn.ah[:, None, None, :] / bank.string_count,
        drawn.out_ah / bank.string_count,
        drawn.out_a2h / bank.string_count**2,
        bank,
    )
    soc, charge, _, _ = by_block
    return Books(soc[:, 0, 0], charge[:, 0, 0], *by_block, alive=level[:, None] > 0.0)


def block_books(
    blocks: BlockFlows, bank: Bank, step_s: Array, *, edges: NDArray[np.intp] | None = None
) -> Books:
    """
    Return the books of banks whose blocks differ.

    Parameters
    ----------
    blocks, bank, step_s, edges
        As in `read_books`.
    """
    some = slice(None) if edges is None else edges
    hours = step_s[:, None, None, :] / SECONDS_PER_HOUR
    current, level = blocks.current_a, blocks.level[some]
    gone = np.where(current < 0.0, current * bank.charge_efficiency, current) * hours
    drawn_ah = np.zeros(blocks.level.shape)
    np.cumsum(gone, axis=0, out=drawn_ah[1:])
    out = np.maximum(current, 0.0)
    out_ah, out_a2h = ((part * hours).sum(axis=0) for part in (out, out * out))
    by_block = _by_block(level, drawn_ah[some], out_ah, out_a2h, bank)
    soc, charge, _, _ = by_block
    edges_s = np.concatenate([np.zeros((1, step_s.shape[1])), np.cumsum(step_s, axis=0)])
    alive = edges_s[some][:, None, :] < blocks.string_end_s
    of_bank = _weakest(soc, bank)
    return Books(
        np.where(alive, of_bank, 0.0).sum(axis=1),
        _weakest(charge, bank).sum(axis=1),
        *by_block,
        alive=alive,
    )


def _by_block(
    level: Array, drawn_ah: Array, out_ah: Array, out_a2h: Array, bank: Bank
) -> tuple[Array, Array, Array, Array]:
    """Return availability, ledger, level and charge left of each block."""
    soc = level
    if bank.kinetic.any():
        reference_a = np.maximum(
            bank.capacity_ah / bank.rated_time_h,
            out_a2h / np.maximum(out_ah, np.finfo(np.float64).tiny),
        )
        soc = np.where(bank.kinetic, _of_the_wells(level, drawn_ah, reference_a, bank), level)
    charge = bank.start_soc - drawn_ah / bank.charge_ah
    by_ledger = charge * bank.charge_ah
    missing_ah = (1.0 - bank.start_soc) * bank.capacity_ah
    left_ah = np.where(bank.kinetic, bank.wells_total_ah - missing_ah - drawn_ah, by_ledger)
    return soc, charge, level, left_ah


def _of_the_wells(level: Array, drawn_ah: Array, reference_a: Array, bank: Bank) -> Array:
    """Return the time the wells still last at a current, over that from full."""
    kinetic = np.broadcast_to(bank.kinetic, bank.capacity_ah.shape)
    wells = Wells(
        total_ah=bank.wells_total_ah,
        available_share=np.where(kinetic, bank.wells_share, 1.0),
        rate_per_h=np.where(kinetic, bank.wells_rate_per_h, 1.0),
    )
    available_ah = level * bank.wells_share * bank.wells_total_ah
    missing_ah = (1.0 - bank.start_soc) * bank.capacity_ah
    left_ah = np.maximum(bank.wells_total_ah - missing_ah - drawn_ah, available_ah)
    left_h = wells_time_left_h(available_ah, left_ah, current_a=reference_a, wells=wells)
    by_time = left_h / wells_runtime_h(reference_a, wells=wells)
    # No more than today's capacity: what a slow draw could get beyond it is not counted on.
    by_charge = bank.start_soc - drawn_ah / bank.capacity_ah
    return np.where(level > 0.0, np.clip(np.minimum(by_time, by_charge), 0.0, 1.0), 0.0)


def _weakest(share: Array, bank: Bank) -> Array:
    """Return each string's weakest block, times the string's part of the bank."""
    real = (bank.block_count > 0.0) & (bank.string_count > 0.0)[:, None, :]
    weakest = np.where(real, share, np.finfo(np.float64).max).min(axis=2)
    capacity = np.where(real, bank.capacity_ah, np.inf).min(axis=1)
    weight = bank.string_count * np.where(bank.string_count > 0.0, capacity, 0.0)
    part: Array = np.where(weight > 0.0, weight * weakest, 0.0) / weight.sum(axis=0)
    return part
