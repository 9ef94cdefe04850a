"""
A bank of alike blocks: one block seen through the bank's terminals.

Nothing is worked out here that such a bank does not need: plain arithmetic on (members,).

Depends on: the other parts of simulate.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from energysim.simulate.cells import (
    Cells,
    LawStep,
    State,
    after_step,
    margin,
    room_a,
    share_before_empty,
)
from energysim.simulate.ends import Given, silenced
from energysim.simulate.records import Array, Bank, BlockFlows, Row
from energysim.simulate.rest import rest_voltage, rest_voltages
from energysim.simulate.supply import Supply, net_current_a, supply_of

Serve = Callable[[Array, Array], Given]


class Settled(NamedTuple):
    """What the bank does in a step. Arrays (members,)."""

    emf_v: Array
    bank_ohm: Array
    given: Given
    current_a: Array  # out of the bank, less what a supply gives
    supply_a: Array | None
    share: Array | float  # of the step carried before the bank is empty
    level: Array  # of the bank, at the step's end


def is_plain(bank: Bank) -> bool:
    """Tell whether every member's bank is alike blocks with nothing hung on one of them."""
    if bank.block_count.shape[:2] != (1, 1) or bank.tapped_w.any():
        return False
    # The controller and the house stop at the bank's cut-off, so no board of its blocks opens.
    boards = bank.block_cutoff_v * bank.block_count > bank.cutoff_voltage_v * (1.0 + 1e-9)
    return not boards.any()


def cells_of(bank: Bank, capacity_times: Array | float = 1.0) -> Cells:
    """Show the bank's blocks to the laws, each with as many beside it as said."""
    times = np.asarray(capacity_times)
    full_ah = np.where(bank.kinetic, bank.wells_share * bank.wells_total_ah, bank.capacity_ah)
    excess = np.where(bank.kinetic, 0.0, bank.exponent - 1.0)
    heated = np.isfinite(bank.heat_capacity_j_per_k)
    return Cells(
        kinetic=bank.kinetic,
        has_wells=bool(bank.kinetic.any()),
        has_peukert=not bank.kinetic.all(),
        has_heat=bool(heated.any()),
        full_ah=full_ah * times,
        share=np.where(bank.kinetic, bank.wells_share, 1.0),
        rate_per_h=np.where(bank.kinetic, bank.wells_rate_per_h, 1.0),
        left_full=np.where(bank.kinetic, 1.0 / bank.wells_share, 1.0),
        left_empty=(bank.wells_total_ah - bank.capacity_ah) * times / (full_ah * times),
        excess=excess,
        per_rated_a=bank.rated_time_h / (bank.capacity_ah * times),
        memory_s=bank.memory_s,
        charge_efficiency=bank.charge_efficiency,
        heat_capacity_j_per_k=bank.heat_capacity_j_per_k,
        heat_loss_w_per_k=bank.heat_loss_w_per_k,
    )


def start_of(bank: Bank) -> State:
    """Return the blocks as the day starts: rested, at their states of charge."""
    # Under the wells a rested block at soc s lacks (1 - s) of today's capacity of its total.
    missing = (1.0 - bank.start_soc) * bank.capacity_ah / bank.wells_total_ah
    level = np.where(bank.kinetic, np.clip(1.0 - missing, 0.0, 1.0), bank.start_soc)
    level = np.where(bank.start_soc > 0.0, level, 0.0)
    left = np.where(bank.kinetic, level / bank.wells_share, level)
    return State(
        level=level,
        left=left,
        smoothed_a=np.zeros_like(level),
        loaded=np.zeros(level.shape, dtype=bool),
        warmth_k=bank.start_degc - bank.surrounds_degc,
    )


class PlainBank:
    """The running state of banks of alike blocks."""

    def __init__(self, bank: Bank, steps: int) -> None:
        self._strings = bank.string_count[0]
        series = bank.block_count[0, 0]
        cells = cells_of(bank, bank.string_count)
        self.cells = Cells(*map(_only_block, cells))
        self.state = State(*map(_only_block, start_of(bank)))
        rest = rest_voltages(bank)
        self._rest = rest._replace(first=rest.first[0, 0])
        self._series = series
        # As the bank warms its resistance falls by e^(-fall (T - T at the start)).
        fall_per_k = bank.resistance_fall_per_k[0, 0]
        cold = np.exp(fall_per_k * self.state.warmth_k)
        self._rise_per_k = -fall_per_k
        full = bank.resistance_full_ohm[0, 0] * series / self._strings * cold
        self._empty_ohm = full * bank.resistance_rise[0, 0]
        self._fall_ohm = self._empty_ohm - full
        self._heat_share = 1.0 / (series * self._strings)  # of one block in the bank's
        self._moves = self.cells.has_heat and bool(fall_per_k.any())
        self._acceptance_of_empty_a = bank.acceptance_of_empty_a[0, 0] * self._strings
        self._any_empty = bool((self.state.level <= 0.0).any())
        self._surrounds_degc = bank.surrounds_degc
        members = len(self._strings)
        self._warmth = np.empty((steps + 1, members)) if self.cells.has_heat else None
        if self._warmth is not None:
            self._warmth[0] = self.state.warmth_k

    @property
    def level(self) -> Array:
        """The bank's level now."""
        return self.state.level

    def settle(
        self, serve: Serve, law: LawStep, row: Row, supply_w: Array | None, step: int
    ) -> Settled:
        """Carry the bank over one step."""
        state, cells = self.state, self.cells
        emf = rest_voltage(state.level, self._rest) * self._series
        ohm = self._empty_ohm - self._fall_ohm * state.level
        if self._moves:
            ohm *= np.exp(self._rise_per_k * state.warmth_k)
        alive = state.level > 0.0 if self._any_empty else None
        supply: Supply | None = None
        if supply_w is not None:
            taken = room_a(state, self._acceptance_of_empty_a, law, cells)
            supply = supply_of(supply_w, taken, row, emf, alive)
            emf = emf + ohm * supply.most_a
        given = serve(emf, ohm)
        if alive is not None:
            given = silenced(given, alive, row.asked)
        current, supply_a = net_current_a(given, supply)
        heat = current * current * ohm * self._heat_share if cells.has_heat else None
        after = after_step(state, current, heat, law, cells)
        share: Array | float = 1.0
        far = margin(after, cells)
        if alive is not None or bool(far.min() <= 0.0):
            self._any_empty = True
            was_alive = state.level > 0.0
            gone = was_alive & (far <= 0.0)
            share = was_alive.astype(np.float64)
            left = after.left
            if gone.any():
                part = share_before_empty(state, after, current, law, cells)
                share = np.where(gone, part, share)
                left = np.where(gone, state.left - part * current * law.hours_per_a, left)
                if heat is not None:
                    unspent = np.where(gone, (1.0 - part) * heat, 0.0)
                    after = after._replace(warmth_k=after.warmth_k - unspent * law.warm_k_per_w)
            # Once empty it stays so for the day.
            level = np.where(was_alive & ~gone, after.level, 0.0)
            after = after._replace(level=level, left=left)
        self.state = after
        if self._warmth is not None:
            self._warmth[step + 1] = after.warmth_k
        return Settled(emf, ohm, given, current, supply_a, share, after.level)

    def warmest_degc(self, steps: int) -> Array:
        """Return the temperature of the blocks at the step edges."""
        if self._warmth is None:
            degc = self._surrounds_degc + self.state.warmth_k
            return np.broadcast_to(degc, (steps + 1, len(degc)))
        self._warmth += self._surrounds_degc
        return self._warmth

    @property
    def charge_efficiency(self) -> Array:
        """What stays of charge put in."""
        return self.cells.charge_efficiency

    def block_flows(self, step_s: Array) -> BlockFlows | None:  # noqa: ARG002 - as a mesh has it
        """Return nothing: all blocks do what the bank does."""
        return None


def _only_block(part: Any) -> Any:
    """Return the (members,) of a bank's one block; what is not by block as it is."""
    return part[0, 0] if np.ndim(part) == 3 else part
