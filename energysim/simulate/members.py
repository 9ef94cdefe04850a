"""
One member's flows, cut out of a sweep.

Depends on: simulate.records.
"""

from dataclasses import fields

import numpy as np

from energysim.simulate.records import EDGE_BOOKS, Bank, BlockFlows, Flows


def one_member(flows: Flows, number: int, *, steps: int, bank: Bank) -> Flows:
    """
    Return one member's flows, cut to its own steps and blocks, still with a member axis of one.

    Parameters
    ----------
    flows : Flows
        Of a sweep.
    number : int
        Which member, from 0.
    steps : int
        How many steps it had before shorter days were filled up.
    bank : Bank
        The member's own bank, for how many strings and blocks it had.
    """
    values = {
        field.name: getattr(flows, field.name)[
            : steps + (field.name in EDGE_BOOKS), number : number + 1
        ]
        for field in fields(Flows)
        if field.name not in {"supply_a", "blocks"}
    }
    supply_a = np.broadcast_to(flows.supply_a, flows.current_a.shape)
    return Flows(
        **values,
        supply_a=supply_a[:steps, number : number + 1],
        blocks=_own_blocks(flows.blocks, number, steps, bank),
    )


def _own_blocks(
    blocks: BlockFlows | None, number: int, steps: int, bank: Bank
) -> BlockFlows | None:
    """Return what the member's own blocks did."""
    if blocks is None:
        return None
    strings, in_series, _ = bank.block_count.shape
    only = slice(number, number + 1)
    return BlockFlows(
        level=blocks.level[: steps + 1, :strings, :in_series, only],
        degc=blocks.degc[: steps + 1, :strings, :in_series, only],
        current_a=blocks.current_a[:steps, :strings, :in_series, only],
        voltage_v=blocks.voltage_v[:steps, :strings, :in_series, only],
        string_end=blocks.string_end[:strings, only],
        string_end_block=blocks.string_end_block[:strings, only],
        string_end_s=blocks.string_end_s[:strings, only],
    )
