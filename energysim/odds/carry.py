"""
Members carried through the day, of whom only a few numbers are kept.

The steps are those of `simulate`; what is asked of each is read while it is at hand, so that no
plane of steps by members has to be written and read again.

Depends on: simulate, physics, plan, odds.between, odds.read.
"""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from energysim.odds.read import lost_s
from energysim.simulate import (
    CARRIED,
    BlockFlows,
    Drawn,
    kept_by_cutoff,
    nothing_drawn,
    running_bank,
    walk,
)
from energysim.simulate.ends import ALL_CARRIED

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.odds.between import Between
    from energysim.physics.motor import Motor
    from energysim.plan import DayPlan
    from energysim.simulate import Bank, Row
    from energysim.simulate.plain import Settled

    Array = NDArray[np.float64]
    Flags = NDArray[np.bool_]


class Carried(NamedTuple):
    """What members came to. Arrays end in members."""

    level: Array  # (marks, members)
    drawn: Drawn  # at the marks
    blocks: BlockFlows | None  # of banks whose blocks differ
    gave_out: Flags  # (members,)
    off_s: Array  # (legs, members), by the mean of each step
    # At the instants, (instants, members):
    emf_v: Array
    ohm: Array  # bank and leads
    alive: Flags
    limited: Flags  # less was given than was wanted

    def of(self, some: slice) -> Carried:
        """Return what some members came to."""
        drawn = Drawn(*(each[..., some] for each in self.drawn))
        blocks = self.blocks
        if blocks is not None:
            parts = {one.name: getattr(blocks, one.name)[..., some] for one in fields(blocks)}
            blocks = BlockFlows(**parts)
        rest = {
            name: getattr(self, name)[..., some]
            for name in self._fields
            if name not in {"drawn", "blocks"}
        }
        return self._replace(drawn=drawn, blocks=blocks, **rest)


def carry(
    day: DayPlan,
    between: Between,
    bank: Bank,
    motor: Motor,
    *,
    supply: Array,
    marks: NDArray[np.intp],
    known: NDArray[np.intp],
) -> Carried:
    """
    Carry members through the day.

    Parameters
    ----------
    day : DayPlan
        For its steps and legs.
    between : Between
        What they ask for.
    bank, motor : Bank, Motor
        Each member's.
    supply : ndarray, shape (members,)
        What panel and engine give, over what they are planned to. [1]
    marks : ndarray, shape (marks,)
        The step edges at which charge is wanted.
    known : ndarray, shape (instants,)
        The steps at whose start the bank is wanted.
    """
    step_s = day.demand.step_s
    members = bank.string_count.shape[-1]
    running = running_bank(bank, len(step_s))
    book = _Book(day, bank, marks=marks, known=known)
    book.keep_edge(0, running.level)
    steps = walk(
        between.rows(bank),
        running,
        step_s=step_s,
        supply_w=day.demand.supply_w * supply if day.demand.supply_w.any() else None,
        bank=bank,
        motor=motor,
        ends_at=between.ends_at,
    )
    level = np.broadcast_to(running.level, (members,))
    for step, (row, settled) in enumerate(steps):
        book.keep(step, level, row, settled)
        level = settled.level
    return book.close(running.block_flows(step_s))


class _Book:
    """What is kept of the steps."""

    def __init__(
        self, day: DayPlan, bank: Bank, *, marks: NDArray[np.intp], known: NDArray[np.intp]
    ) -> None:
        members = bank.string_count.shape[-1]
        self._bank = bank
        self._step_s = day.demand.step_s[:, 0]
        self._leg = day.leg_of_step.tolist()
        self._has_supply = bool(day.demand.supply_w.any())
        self._has_house = bool(bank.house_load_w.any())
        self._mark = {edge: place for place, edge in enumerate(marks.tolist())}
        self._instant = {step: place for place, step in enumerate(known.tolist())}
        self._ah = np.zeros(members)
        self._level = np.empty((len(marks), members))
        self._drawn = nothing_drawn(len(marks), members)
        self._gave_out = np.zeros(members, dtype=bool)
        self._off_s = np.zeros((len(day.legs), members))
        self._emf_v, self._ohm = np.empty((2, len(known), members))
        self._alive, self._limited = np.zeros((2, len(known), members), dtype=bool)

    def keep_edge(self, edge: int, level: Array) -> None:
        """Keep the charge at an edge, if it is wanted."""
        place = self._mark.get(edge)
        if place is not None:
            self._level[place] = level
            self._drawn.ah[place] = self._ah

    def keep(self, step: int, level: Array, row: Row, settled: Settled) -> None:
        """Keep what is wanted of a step; `level` is that at its start."""
        place = self._instant.get(step)
        if place is not None:
            self._emf_v[place] = settled.emf_v
            np.add(settled.bank_ohm, self._bank.cable_ohm, out=self._ohm[place])
            np.greater(level, 0.0, out=self._alive[place])
        self._count(settled, float(self._step_s[step]) / 3600.0)
        if self._is_told(settled):
            self._tell(step, level, row, settled)
        self.keep_edge(step + 1, settled.level)

    def _count(self, settled: Settled, hours: float) -> None:
        """Add what was drawn."""
        current = settled.current_a
        if not isinstance(settled.share, float):
            current = current * settled.share
        drawn = self._drawn
        ah = current * hours
        if self._has_supply:
            out = np.maximum(current, 0.0)
            drawn.out_ah[:] += out * hours
            drawn.out_a2h[:] += out * out * hours
            ah = np.where(current < 0.0, ah * self._bank.charge_efficiency[0, 0], ah)
            self._ah += ah
            return
        self._ah += ah
        ah *= current
        drawn.out_a2h[:] += ah

    def _is_told(self, settled: Settled) -> bool:
        """Tell whether anything but the whole of what was wanted may have come."""
        given = settled.given
        if not isinstance(settled.share, float) or given.limit is not ALL_CARRIED:
            return True
        if not self._has_house:
            return False
        # The house alone may meet the cut-off.
        return bool((self._wanted_v(settled) < self._bank.cutoff_voltage_v).any())

    def _wanted_v(self, settled: Settled) -> Array:
        """Return the voltage at the terminals if what was wanted were given."""
        given = settled.given
        wanted: Array = (settled.emf_v - given.wanted_a * settled.bank_ohm) * given.possible
        return wanted

    def _tell(self, step: int, level: Array, row: Row, settled: Settled) -> None:
        """Keep who was short of something."""
        given, share = settled.given, settled.share
        self._gave_out |= np.asarray(share) < 1.0
        self._gave_out |= kept_by_cutoff(
            asked=row.asked,
            wanted_voltage_v=self._wanted_v(settled),
            limit=given.limit,
            level=level,
            bank=self._bank,
        )
        lost, limited = lost_s(
            float(self._step_s[step]),
            wanted_n=row.thrust_n,
            thrust_n=given.thrust_n * share,
            carried_share=share,
            held=given.limit == CARRIED,
        )
        leg = self._leg[step]
        if leg >= 0:
            self._off_s[leg] += lost
        place = self._instant.get(step)
        if place is not None:
            self._limited[place] = limited

    def close(self, blocks: BlockFlows | None) -> Carried:
        """Return all that was kept."""
        if not self._has_supply:
            self._drawn.out_ah[:] = self._ah
        return Carried(
            level=self._level,
            drawn=self._drawn,
            blocks=blocks,
            gave_out=self._gave_out,
            off_s=self._off_s,
            emf_v=self._emf_v,
            ohm=self._ohm,
            alive=self._alive,
            limited=self._limited,
        )
