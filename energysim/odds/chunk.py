"""
A few blocks of members carried through the day: the work one process does at a time.

Depends on: build.members, simulate, physics, plan, odds.between, odds.carry, odds.read,
odds.reach.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from energysim.build.members import members_of_block
from energysim.build.members.draws import drawn_columns
from energysim.odds.between import Between
from energysim.odds.carry import carry
from energysim.odds.reach import in_reach_m
from energysim.odds.read import gust_short_s, leg_weights, marks_of
from energysim.physics.motor_factor import hungrier_motor
from energysim.simulate import Bank, block_books, plain_books

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.build.members import BlockOfMembers, MembersPlan
    from energysim.odds.carry import Carried
    from energysim.physics.motor import Motor
    from energysim.plan import DayPlan

    Array = NDArray[np.float64]


class Chunk(NamedTuple):
    """Some blocks of members of a plan; it can be sent to another process."""

    plan: MembersPlan
    first_block: int
    blocks: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MembersRead:
    """What members came to. Arrays end in members, in the order they are counted in."""

    end_soc: Array  # (members,)
    lowest_soc: Array  # (members,), at the marks
    gave_out: NDArray[np.bool_]  # (members,), the bank was empty or at its cut-off
    off_s: Array  # (legs, members), off station
    soc: NDArray[np.float32]  # (marks, members)
    reach_m: Array  # (members,), home on the bow motor at the day's end
    inputs: Array  # (columns, members), what was drawn
    source: NDArray[np.intp]  # (columns,), the place of each in `SOURCES`

    def first(self, members: int) -> MembersRead:
        """Return the first so many of them."""
        return replace(
            self,
            **{
                one.name: getattr(self, one.name)[..., :members]
                for one in fields(self)
                if one.name != "source"
            },
        )


def joined(parts: Sequence[MembersRead]) -> MembersRead:
    """Return members read in parts, side by side."""
    laid: dict[str, Any] = {
        one.name: np.concatenate([getattr(part, one.name) for part in parts], axis=-1)
        for one in fields(MembersRead)
        if one.name != "source"
    }
    return replace(parts[0], **laid)


def work(chunk: Chunk) -> MembersRead:
    """
    Carry some blocks of members through the day and read what they came to.

    Loads and powers are known at the instants of the plan; between them they are read along
    straight lines in time, as the day reads its loads.

    Parameters
    ----------
    chunk : Chunk
        Which.
    """
    plan = chunk.plan
    day, instants = plan.day, plan.instants
    blocks = [
        members_of_block(plan, chunk.first_block + number) for number in range(chunk.blocks)
    ]
    when_s = 0.5 * (day.edges_s[1:] + day.edges_s[:-1])
    motors = [hungrier_motor(day.motor, power_factor=block.power_factor) for block in blocks]
    marks = marks_of(day)
    carried = carry(
        day,
        Between([block.asked for block in blocks], instants.known, when_s),
        _banks_beside([block.bank for block in blocks]),
        hungrier_motor(
            day.motor, power_factor=np.concatenate([block.power_factor for block in blocks])
        ),
        supply=np.concatenate([block.draws.factor["supply"] for block in blocks]),
        marks=marks,
        known=instants.known,
    )
    weights = leg_weights(day, instants.known, when_s)
    # From here on block by block again: small arrays, and searches that end when all of them
    # have settled would otherwise hang on who is searched along.
    parts = []
    first = 0
    for block, motor in zip(blocks, motors, strict=True):
        some = slice(first, first + block.power_factor.size)
        first = some.stop
        parts.append(_read(day, block, carried.of(some), motor, marks, weights))
    return joined(parts)


def _read(
    day: DayPlan,
    block: BlockOfMembers,
    carried: Carried,
    motor: Motor,
    marks: NDArray[np.intp],
    weights: Array,
) -> MembersRead:
    """Return what a block came to."""
    if carried.blocks is None:
        books = plain_books(carried.level, carried.drawn, block.bank)
    else:
        books = block_books(carried.blocks, block.bank, day.demand.step_s, edges=marks)
    soc = books.soc
    return MembersRead(
        end_soc=soc[-1],
        lowest_soc=soc.min(axis=0),
        gave_out=carried.gave_out,
        off_s=carried.off_s + gust_short_s(block, carried, motor, weights),
        soc=soc.astype(np.float32),
        reach_m=in_reach_m(day, block, books),
        inputs=_inputs(block, weights),
        source=np.array([place for place, _ in drawn_columns(block.draws, weights[0])]),
    )


def _inputs(block: BlockOfMembers, weights: Array) -> Array:
    """Return a block's draws as columns, series by their mean over the legs held."""
    total = weights.sum(axis=0)
    mean = total / total.sum() if total.any() else np.full(total.shape, 1.0 / total.size)
    return np.stack([column for _, column in drawn_columns(block.draws, mean)])


def _banks_beside(banks: Sequence[Bank]) -> Bank:
    """Lay banks of one make side by side."""
    laid = {
        one.name: np.concatenate([getattr(bank, one.name) for bank in banks], axis=-1)
        for one in fields(Bank)
        if one.name != "emf_tables_v"
    }
    return replace(banks[0], **laid)
