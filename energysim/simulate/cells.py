"""
Blocks as the laws of discharge see them, and one step of either law.

Both laws are one recurrence of the level, which is 1 when full and 0 when empty:

    level <- keep level + refill left - spend I,    left <- left - I h

Two wells: the level is the available well's, `left` all charge, both over the full available
well; keep, refill and spend are the closed form of the model. Peukert with a memory: nothing
seeps (keep 1, refill 0), and spend grows with the remembered current; `left` is the real
charge over today's capacity, and charge put in fills both to the brim at once.

Depends on: simulate.records, physics.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.discharge import smoothing_shares
from energysim.physics.wells import mean_decay, wells_step
from energysim.simulate.records import SECONDS_PER_HOUR, Array


class Cells(NamedTuple):
    """What the laws need to know, worked out once. Arrays of one shape that ends in members."""

    kinetic: NDArray[np.bool_]
    has_wells: bool
    has_peukert: bool
    has_heat: bool
    full_ah: Array  # what level 1 holds
    share: Array  # of the wells
    rate_per_h: Array
    left_full: Array  # all charge of a full block, over `full_ah`
    left_empty: Array  # what is left of it when today's capacity is out
    excess: Array  # Peukert's exponent less one; 0 under the wells
    per_rated_a: Array  # one over the rated current
    memory_s: Array
    charge_efficiency: Array
    heat_capacity_j_per_k: Array
    heat_loss_w_per_k: Array


class State(NamedTuple):
    """What the blocks carry from step to step. Arrays of the shape of the cells."""

    level: Array
    left: Array
    smoothed_a: Array  # the current Peukert's law remembers
    loaded: NDArray[np.bool_]  # whether any load has come yet, which seeds the memory
    warmth_k: Array  # above the surroundings


class LawStep(NamedTuple):
    """What a step of one length does, worked out once for all steps of that length."""

    keep: Array
    refill: Array
    spend_per_a: Array  # level gone for each ampere, at the rated current
    hours_per_a: Array  # all charge gone for each ampere
    end_share: Array  # of the remembered current at the step's end
    mean_share: Array  # and on average over the step
    warm_keep: Array  # of the warmth at the step's start
    warm_k_per_w: Array  # for each watt of heat
    hours: Array


def law_step(step_s: Array, cells: Cells) -> LawStep:
    """Work out what a step of this length, in s, does to the cells."""
    hours = step_s / SECONDS_PER_HOUR
    nothing = np.zeros(1)
    keep, refill, spend = nothing, nothing, hours
    if cells.has_wells:
        wells = wells_step(hours, available_share=cells.share, rate_per_h=cells.rate_per_h)
        keep = np.where(cells.kinetic, wells.keep, 1.0)
        refill = np.where(cells.kinetic, wells.refill, 0.0)
        spend = np.where(cells.kinetic, wells.spend_h, hours)
    end_share, mean_share = nothing, nothing
    if cells.has_peukert:
        end_share, mean_share = smoothing_shares(step_s, memory_s=cells.memory_s)
    warm_keep, warm_k_per_w = nothing, nothing
    if cells.has_heat:
        # The exact step of C dT/dt = heat - loss (T - surroundings), the heat held still.
        elapsed = step_s * cells.heat_loss_w_per_k / cells.heat_capacity_j_per_k
        warm_keep = np.exp(-elapsed)
        warm_k_per_w = step_s / cells.heat_capacity_j_per_k * mean_decay(elapsed)
    return LawStep(
        keep=keep,
        refill=refill,
        spend_per_a=spend / cells.full_ah,
        hours_per_a=hours / cells.full_ah,
        end_share=end_share,
        mean_share=mean_share,
        warm_keep=warm_keep,
        warm_k_per_w=warm_k_per_w,
        hours=hours,
    )


def after_step(
    state: State, current_a: Array, heat_w: Array | None, law: LawStep, cells: Cells
) -> State:
    """
    Return the cells' state if a current were carried to the step's end.

    Parameters
    ----------
    state : State
        At the step's start.
    current_a : ndarray, shape of the cells
        Steady over the step, out is positive. [A]
    heat_w : ndarray or None
        Heat set free in them; None where nobody asks how warm they get. [W]
    law, cells : LawStep, Cells
        The step and the cells.

    Returns
    -------
    State
        A level below 0 says that the current could not be carried to the end.
    """
    level, left, smoothed, loaded, warmth = state
    spend = law.spend_per_a
    stored = current_a
    charging = bool(current_a.min() < 0.0)
    if charging:
        stored = np.where(current_a < 0.0, current_a * cells.charge_efficiency, current_a)
    if cells.has_peukert:
        felt = np.maximum(current_a, 0.0) if charging else current_a
        # Seed the memory with the first load, or it would flatter the first minutes of the day.
        jump = np.where(loaded, smoothed, felt) - felt
        rate = np.maximum(1.0, (felt + jump * law.mean_share) * cells.per_rated_a)
        if charging:
            rate = np.where(current_a < 0.0, 1.0, rate)
        spend = spend * rate**cells.excess
        smoothed = felt + jump * law.end_share
        loaded = loaded | (felt > 0.0)
    before, missing = level, cells.left_full - left if charging else None
    level = law.keep * level + law.refill * left if cells.has_wells else level
    level = level - stored * spend
    left = left - stored * law.hours_per_a
    if charging:
        if cells.has_peukert and missing is not None:
            # Charge left behind by a high rate is still there: both books are full together.
            put_in = np.maximum(-stored, 0.0) * law.hours_per_a
            gain = put_in / np.maximum(missing, np.finfo(np.float64).tiny)
            whole = before + np.minimum(gain, 1.0) * (1.0 - before)
            level = np.where(~cells.kinetic & (current_a < 0.0), whole, level)
        level = np.minimum(level, 1.0)
        left = np.minimum(left, cells.left_full)
    if heat_w is not None:
        warmth = warmth * law.warm_keep + heat_w * law.warm_k_per_w
    return State(level, left, smoothed, loaded, warmth)


def margin(state: State, cells: Cells) -> Array:
    """
    Return how far the cells are from empty, as a level; 0 or less is empty.

    A cell is empty when its available well is, or when today's capacity is out: a slow draw
    gets no more out of the wells than the label says.
    """
    if not cells.has_wells:
        return state.level
    if not cells.has_peukert:
        return np.minimum(state.level, state.left - cells.left_empty)
    return np.where(
        cells.kinetic, np.minimum(state.level, state.left - cells.left_empty), state.level
    )


def room_a(state: State, acceptance_of_empty_a: Array, law: LawStep, cells: Cells) -> Array:
    """Return the most current, in A, that each cell takes for charge over a step."""
    lacking = np.maximum(1.0 - state.left * cells.share, 0.0)
    hours = np.maximum(law.hours * cells.charge_efficiency, 1e-9)
    filled = lacking / cells.share * cells.full_ah / hours  # full just at the step's end
    return np.minimum(acceptance_of_empty_a * lacking, filled)


def share_before_empty(
    state: State, after: State, current_a: Array, law: LawStep, cells: Cells
) -> Array:
    """
    Return the share of a step at which each level reaches 0; 1 where it does not.

    The straight line between the step's ends is exact for Peukert's law. For the wells it is
    the first guess of a root found on the closed form itself.
    """
    share = _straight(state.level, after.level)
    if cells.has_wells:
        for _ in range(3):
            share = np.where(
                cells.kinetic & (share < 1.0),
                _nearer(share, state, current_a, law, cells),
                share,
            )
        out = _straight(state.left - cells.left_empty, after.left - cells.left_empty)
        share = np.where(cells.kinetic, np.minimum(share, out), share)
    return share


def _straight(before: Array, after: Array) -> Array:
    """Return the share of a step after which a straight line falls to 0; 1 if it does not."""
    before = np.maximum(before, 0.0)  # what is out already is out at once
    fall = np.maximum(before - after, np.finfo(np.float64).tiny)
    return np.where(after <= 0.0, np.minimum(before, fall) / fall, 1.0)


def _nearer(share: Array, state: State, current_a: Array, law: LawStep, cells: Cells) -> Array:
    """Take one step of Newton's method towards the moment the available well is empty."""
    part = wells_step(
        share * law.hours, available_share=cells.share, rate_per_h=cells.rate_per_h
    )
    level = part.keep * state.level + part.refill * state.left
    level = level - part.spend_h * current_a / cells.full_ah
    left = state.left - share * law.hours_per_a * current_a
    # d level / dt = k (c left - level) - I / full
    slope = cells.rate_per_h * (cells.share * left - level) - current_a / cells.full_ah
    slope = np.minimum(slope * law.hours, -np.finfo(np.float64).tiny)
    return np.clip(share - level / slope, 0.0, 1.0)
