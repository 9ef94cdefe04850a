"""
A few blocks of members carried through the day: the work one process does at a time.

Depends on: build.members, simulate, physics, plan, odds.read, odds.reach.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from energysim.build.members import members_of_block
from energysim.build.members.draws import drawn_columns
from energysim.odds.reach import in_reach_m
from energysim.odds.read import leg_weights, marks_of, off_station_s, read_end
from energysim.physics.motor_factor import hungrier_motor
from energysim.physics.response_spread import spread
from energysim.simulate import Bank, Demand, read_books, simulate

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.build.members import BlockOfMembers, MembersPlan

    Array = NDArray[np.float64]

NEVER_SPREAD = {"step_s", "supply_w"}
"""What of a demand is the day's own and the same for every member."""


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
    few = _beside([block.demand for block in blocks])
    bank = _banks_beside([block.bank for block in blocks])
    motor = hungrier_motor(
        day.motor, power_factor=np.concatenate([block.power_factor for block in blocks])
    )
    when_s = 0.5 * (day.edges_s[1:] + day.edges_s[:-1])
    demand = Demand(
        step_s=day.demand.step_s,
        supply_w=day.demand.supply_w,
        **{
            one.name: _at_steps(getattr(few, one.name), instants.known, when_s)
            for one in fields(Demand)
            if one.name not in NEVER_SPREAD
        },
    )
    flows = simulate(demand, bank, motor)
    marks = marks_of(day)
    books = read_books(flows, bank, day.demand.step_s, edges=marks)
    weights = leg_weights(day, instants.known, when_s)
    nodes = np.concatenate([block.wanted.node_thrust_n for block in blocks], axis=-1)
    deviation = blocks[0].wanted.node_deviation
    soc = books.soc
    return MembersRead(
        end_soc=soc[-1],
        lowest_soc=soc.min(axis=0),
        gave_out=read_end(demand, flows, bank),
        off_s=off_station_s(
            day, demand, few, flows, motor, nodes, deviation, instants.known, weights
        ),
        soc=soc.astype(np.float32),
        reach_m=in_reach_m(day, bank, books, motor, blocks),
        inputs=np.concatenate([_inputs(block, weights) for block in blocks], axis=-1),
        source=np.array([place for place, _ in drawn_columns(blocks[0].draws, weights[0])]),
    )


def _inputs(block: BlockOfMembers, weights: Array) -> Array:
    """Return a block's draws as columns, series by their mean over the legs held."""
    total = weights.sum(axis=0)
    mean = total / total.sum() if total.any() else np.full(total.shape, 1.0 / total.size)
    return np.stack([column for _, column in drawn_columns(block.draws, mean)])


def _beside(demands: Sequence[Demand]) -> Demand:
    """Lay demands at the same instants side by side; what is alike for all stays thin."""
    laid = {}
    for one in fields(Demand):
        parts = [getattr(demand, one.name) for demand in demands]
        thin = one.name in NEVER_SPREAD or parts[0].shape[-1] == 1
        laid[one.name] = parts[0] if thin else np.concatenate(parts, axis=-1)
    return Demand(**laid)


def _banks_beside(banks: Sequence[Bank]) -> Bank:
    """Lay banks of one make side by side."""
    laid = {
        one.name: np.concatenate([getattr(bank, one.name) for bank in banks], axis=-1)
        for one in fields(Bank)
        if one.name != "emf_tables_v"
    }
    return replace(banks[0], **laid)


def _at_steps(values: Array, known: NDArray[np.intp], when_s: Array) -> Array:
    """Read an array that ends in (instants, members) at every step."""
    if values.ndim == 2:
        return spread(values, known=known, when_s=when_s)
    full = np.empty((len(values), when_s.size, values.shape[-1]))
    for part, out in zip(values, full, strict=True):
        spread(part, known=known, when_s=when_s, out=out)
    return full
