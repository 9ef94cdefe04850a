"""
A bank whose blocks differ: strings side by side, blocks in series, each with its own state.

From outside it is one rest voltage behind one resistance, that of the strings that carry at
the moment. Strings do not charge one another: one that the others would push back is left out
until they have sagged to it. A string is out for the day once a block of it is empty or its
board opens.

Depends on: the other parts of simulate.
"""

import numpy as np
from numpy.typing import NDArray

from energysim.simulate.cells import (
    LawStep,
    State,
    after_step,
    margin,
    room_a,
    share_before_empty,
)
from energysim.simulate.ends import silenced
from energysim.simulate.plain import Serve, Settled, cells_of, start_of
from energysim.simulate.records import (
    BOARD_OPENED,
    LIVES,
    RAN_EMPTY,
    Array,
    Bank,
    BlockFlows,
    Row,
)
from energysim.simulate.rest import rest_voltage, rest_voltages
from energysim.simulate.supply import Supply, net_current_a, supply_of

_LEAST_OHM = 1e-9
_FAR_A = 1e9  # more than any block takes, and still a number
_BOARD_V = 1e-6  # a controller that stops at the cut-off meets the board's to rounding
_BACK_V = 1e-12  # and a string at the others' voltage meets it so


class MeshBank:
    """The running state of banks whose blocks differ. [b] and [s] as in `Bank`."""

    def __init__(self, bank: Bank, steps: int) -> None:
        self.cells = cells_of(bank)
        self._bank = bank
        self._rest = rest_voltages(bank)
        self._count = bank.block_count
        self._strings = bank.string_count
        self._real = (bank.block_count > 0.0) & (bank.string_count > 0.0)[:, None, :]
        state = start_of(bank)
        self.state = state._replace(level=np.where(self._real, state.level, 1.0))
        cold = np.exp(bank.resistance_fall_per_k * state.warmth_k)
        full = bank.resistance_full_ohm * cold
        self._empty_ohm = full * bank.resistance_rise
        self._fall_ohm = self._empty_ohm - full
        empty = (self.state.level <= 0.0) & self._real
        self._alive = (bank.string_count > 0.0) & ~empty.any(axis=1)
        capacity = np.where(self._real, bank.capacity_ah, np.inf).min(axis=1)
        weight = bank.string_count * np.where(bank.string_count > 0.0, capacity, 0.0)
        self._weight = weight / weight.sum(axis=0)
        self._has_taps = bool(bank.tapped_w.any())
        self._has_boards = bool(np.isfinite(bank.block_cutoff_v).any())
        self._moves = self.cells.has_heat and bool(bank.resistance_fall_per_k.any())
        shape = bank.block_count.shape
        self._no_tap_a = np.zeros(shape)
        self._level = np.empty((steps + 1, *shape))
        self._warmth = np.empty((steps + 1, *shape))
        self._current = np.empty((steps, *shape))
        self._voltage = np.empty((steps, *shape))
        self._end = np.where(empty.any(axis=1), RAN_EMPTY, LIVES).astype(np.int8)
        self._end_block = np.argmax(empty, axis=1)
        self._end_step = np.where(empty.any(axis=1), 0.0, np.inf)  # with the share of it
        self._keep_edge(0)

    @property
    def level(self) -> Array:
        """The bank's level now: each living string's weakest block, by capacity."""
        weakest = self.state.level.min(axis=1)  # what is not there stays full
        living: Array = np.where(self._alive, self._weight * weakest, 0.0).sum(axis=0)
        return living

    @property
    def charge_efficiency(self) -> Array:
        """What stays of charge put in, the same for every block of a member."""
        first: Array = self._bank.charge_efficiency[0, 0]
        return first

    def settle(
        self, serve: Serve, law: LawStep, row: Row, supply_w: Array | None, step: int
    ) -> Settled:
        """Carry the bank over one step."""
        state, bank = self.state, self._bank
        emf_b = rest_voltage(state.level, self._rest)
        ohm_b = self._empty_ohm - self._fall_ohm * state.level
        if self._moves:
            ohm_b = ohm_b * np.exp(-bank.resistance_fall_per_k * state.warmth_k)
        tap_a = self._tap_a(emf_b, ohm_b) if self._has_taps else self._no_tap_a
        emf_s = (self._count * (emf_b - ohm_b * tap_a)).sum(axis=1)
        ohm_s = np.maximum((self._count * ohm_b).sum(axis=1), _LEAST_OHM)
        carrying = self._alive.copy()
        while True:
            emf, ohm = self._as_one(emf_s, ohm_s, carrying)
            alive = np.asarray(self._alive.any(axis=0))
            supply: Supply | None = None
            if supply_w is not None:
                room_s = self._room_a(law, carrying)
                room = (self._strings * room_s).sum(axis=0)
                supply = supply_of(supply_w, room, row, emf, alive)
                emf = emf + ohm * supply.most_a
            given = silenced(serve(emf, ohm), alive, row.asked)
            current, supply_a = net_current_a(given, supply)
            rest_emf = emf if supply is None else emf - ohm * supply.most_a
            volts = rest_emf - current * ohm
            string_a = np.where(carrying, (emf_s - volts) / ohm_s, 0.0)
            if supply is not None:
                # What is put in goes where it is taken, not where it is let through.
                part = np.divide(room_s, room, out=np.zeros_like(room_s), where=room > 0.0)
                string_a = np.where(current < 0.0, part * current, string_a)
            backward = (string_a * ohm_s < -_BACK_V) & (current >= 0.0)
            if backward.any():
                carrying &= ~backward
                continue
            block_v = emf_b - ohm_b * (string_a[:, None, :] + tap_a)
            if not self._has_boards:
                break
            under = (block_v < bank.block_cutoff_v - _BOARD_V) & self._real
            opens = self._alive & under.any(axis=1)
            if not opens.any():
                break
            self._put_out(opens, BOARD_OPENED, np.argmax(under, axis=1), float(step))
            carrying = self._alive.copy()
            tap_a = np.where(self._alive[:, None, :], tap_a, 0.0)
        # What the sums have lost to rounding is put back, so that the ledger closes.
        string_a = np.where(current < 0.0, np.minimum(string_a, 0.0), np.maximum(string_a, 0.0))
        total = (self._strings * string_a).sum(axis=0)
        string_a *= np.divide(current, total, out=np.ones_like(total), where=total != 0.0)
        share = self._carry(string_a, tap_a, ohm_b, law, step)
        self._voltage[step] = block_v
        return Settled(emf, ohm, given, current, supply_a, share, self.level)

    def _tap_a(self, emf_b: Array, ohm_b: Array) -> Array:
        """Return what hangs on each block alone draws: the root of the block's own circuit."""
        power = np.where(self._alive[:, None, :] & self._real, self._bank.tapped_w, 0.0)
        # More than the block can push out leaves the most it can.
        power = np.minimum(power, 0.25 * emf_b * emf_b / np.maximum(ohm_b, _LEAST_OHM))
        inner = np.maximum(emf_b * emf_b - 4.0 * ohm_b * power, 0.0)
        tap: Array = 2.0 * power / np.maximum(emf_b + np.sqrt(inner), _LEAST_OHM)
        return tap

    def _as_one(
        self, emf_s: Array, ohm_s: Array, carrying: NDArray[np.bool_]
    ) -> tuple[Array, Array]:
        """Return the strings that carry as one source; a dead bank as all it was."""
        counted = np.where(carrying.any(axis=0), carrying, self._strings > 0.0)
        conducts = np.where(counted, self._strings, 0.0) / ohm_s
        ohm = 1.0 / conducts.sum(axis=0)
        return (conducts * emf_s).sum(axis=0) * ohm, ohm

    def _room_a(self, law: LawStep, carrying: NDArray[np.bool_]) -> Array:
        """Return the largest current, in A, each string takes: that of its fullest block."""
        room = room_a(self.state, self._bank.acceptance_of_empty_a, law, self.cells)
        taken: Array = np.where(carrying, np.where(self._real, room, _FAR_A).min(axis=1), 0.0)
        return taken

    def _carry(
        self, string_a: Array, tap_a: Array, ohm_b: Array, law: LawStep, step: int
    ) -> Array:
        """Carry the blocks to the step's end; return the share of it the bank carried."""
        before, cells = self.state, self.cells
        block_a = np.where(self._real, string_a[:, None, :] + tap_a, 0.0)
        after = after_step(before, block_a, block_a * block_a * ohm_b, law, cells)
        gone = self._alive & ((margin(after, cells) <= 0.0) & self._real).any(axis=1)
        share: Array = np.asarray(self._alive.any(axis=0), dtype=np.float64)
        if gone.any():
            string_share, _ = self._shares(before, after, block_a, law)
            wanted = (self._strings * string_a).sum(axis=0)
            string_a = self._taken_over(string_a, string_share)
            block_a = np.where(self._real, string_a[:, None, :] + tap_a, 0.0)
            after = after_step(before, block_a, None, law, cells)
            string_share, by_block = self._shares(before, after, block_a, law)
            gone = self._alive & (string_share < 1.0)
            self._put_out(gone, RAN_EMPTY, np.argmin(by_block, axis=1), step + string_share)
            carried = (self._strings * string_a * string_share).sum(axis=0)
            part = np.divide(carried, wanted, out=np.ones_like(wanted), where=wanted > 0.0)
            share = np.minimum(share, part)
            lives = np.where(gone, string_share, 1.0)[:, None, :]
            heat_w = block_a * block_a * ohm_b * lives
            block_a = block_a * lives
            after = after_step(before, block_a, heat_w, law, cells)
            dry = gone[:, None, :] & (by_block <= string_share[:, None, :])
            after = after._replace(level=np.where(dry, 0.0, np.maximum(after.level, 0.0)))
        # A block once empty stays so for the day; what is not there stays full.
        level = np.where((before.level > 0.0) | ~self._real, after.level, 0.0)
        self.state = after._replace(level=np.where(self._real, level, 1.0))
        self._current[step] = block_a
        self._keep_edge(step + 1)
        return share

    def _shares(
        self, before: State, after: State, block_a: Array, law: LawStep
    ) -> tuple[Array, Array]:
        """Return the share of the step each string lives, and each of its blocks."""
        by_block = share_before_empty(before, after, block_a, law, self.cells)
        by_block = np.where(self._real & self._alive[:, None, :], by_block, 1.0)
        return by_block.min(axis=1), by_block

    def _taken_over(self, string_a: Array, string_share: Array) -> Array:
        """Let the strings that live the step through take over what the others leave."""
        carried = self._strings * string_a
        lives = string_share >= 1.0
        lost = (carried * (1.0 - string_share)).sum(axis=0)
        able = np.where(lives, carried, 0.0).sum(axis=0)
        more = np.divide(lost, able, out=np.zeros_like(able), where=able > 0.0)
        return np.where(lives, string_a * (1.0 + more), string_a)

    def _put_out(
        self, strings: NDArray[np.bool_], code: int, block: NDArray[np.intp], at: Array | float
    ) -> None:
        """Put strings out for the day, and keep why."""
        self._end = np.where(strings, np.int8(code), self._end).astype(np.int8)
        self._end_block = np.where(strings, block, self._end_block)
        self._end_step = np.where(strings, at, self._end_step)
        self._alive = self._alive & ~strings

    def _keep_edge(self, edge: int) -> None:
        """Keep the state at a step's edge."""
        self._level[edge] = self.state.level
        self._warmth[edge] = self.state.warmth_k

    def warmest_degc(self, steps: int) -> Array:
        """Return the temperature of the warmest block at the step edges."""
        warmth = np.where(self._real, self._warmth[: steps + 1], -np.inf)
        warmest: Array = warmth.max(axis=(1, 2)) + self._bank.surrounds_degc
        return warmest

    def block_flows(self, step_s: Array) -> BlockFlows:
        """Return what each block did."""
        edges = np.concatenate([np.zeros((1, step_s.shape[1])), np.cumsum(step_s, axis=0)])
        finite = np.where(np.isfinite(self._end_step), self._end_step, 0.0)
        whole = np.minimum(finite.astype(np.intp), len(step_s) - 1)
        begin = np.take_along_axis(edges, whole, axis=0)
        length = np.take_along_axis(step_s, whole, axis=0)
        end_s = begin + (finite - whole) * length
        return BlockFlows(
            level=self._level,
            degc=self._warmth + self._bank.surrounds_degc,
            current_a=self._current,
            voltage_v=self._voltage,
            string_end=self._end,
            string_end_block=self._end_block,
            string_end_s=np.where(np.isfinite(self._end_step), end_s, np.inf),
        )
