"""
Steady pushes held until the bank is at its limit: every push a member of one sweep.

Depends on: plan, simulate, assess.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.assess.reading import THRUST_TOLERANCE
from energysim.plan import stack
from energysim.simulate import Demand, read_books, simulate

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.plan import DayPlan
    from energysim.simulate import Flows

    Array = NDArray[np.float64]

LONGEST_H: Final = 24.0
"""Holds longer than this are told as this: nobody plans a longer one. [h]"""

STEPS: Final = 160
"""Steps from the start to the horizon; hours within 1.5 % of ten times as many (tested)."""

HORIZON: Final = 1.6
"""Horizon over the hours a bank of this size would last at rated voltage, emptied (ours)."""


class Held(NamedTuple):
    """How long each push is held. Arrays (pushes,)."""

    hours: Array
    lasting_h: Array  # to the limit, whatever thrust is left
    ended_by: tuple[str, ...]  # as `HoldHours.ended_by`


def held_to_the_limit(plan: DayPlan) -> Held:
    """
    Return how long each step's push can be held from the day's first charge on.

    Parameters
    ----------
    plan : DayPlan
        One member whose steps are the pushes; each is drawn out to a run of its own.

    Returns
    -------
    Held
        Hours until the plan's limit is reached or the thrust falls short, the earlier.
    """
    power = plan.demand.power_w[:, 0] + 1.0
    usual_h = plan.ledger_capacity_ah * plan.rated_voltage_v / power
    step_s = 3600.0 * np.minimum(HORIZON * usual_h, LONGEST_H) / STEPS
    runs = [
        replace(plan, demand=_drawn_out(plan.demand, push, float(step_s[push])))
        for push in range(power.size)
    ]
    demand, bank = stack(runs)
    flows = simulate(demand, bank, plan.motor)
    edges_h = np.arange(STEPS + 1.0)[:, None] * step_s / 3600.0
    to_limit = _falls_to(read_books(flows, bank, demand.step_s).soc, edges_h, plan.limit_soc)
    to_short = _falls_short(flows, demand, edges_h)
    hours = np.minimum(np.minimum(to_limit, to_short), LONGEST_H)
    words = np.where(to_short <= to_limit, "short", "limit")
    words = np.where(np.minimum(to_limit, to_short) >= LONGEST_H, "longest", words)
    return Held(hours, np.minimum(to_limit, LONGEST_H), tuple(words.tolist()))


def _drawn_out(demand: Demand, push: int, step_s: float) -> Demand:
    """Return one step of a demand, repeated for a whole run."""

    def row(values: Array) -> Array:
        if values.shape[-2] == 1:
            return values
        one = values[..., push : push + 1, :]
        return np.broadcast_to(one, (*one.shape[:-2], STEPS, one.shape[-1]))

    rows = {field.name: row(getattr(demand, field.name)) for field in fields(Demand)}
    return Demand(**{**rows, "step_s": np.full((STEPS, 1), step_s)})


def _falls_to(level: Array, edges_h: Array, limit: float) -> Array:
    """Return when each member's level first falls to the limit; infinite where it does not."""
    below = level <= limit
    after = np.maximum(np.argmax(below, axis=0), 1)
    member = np.arange(level.shape[1])
    high, low = level[after - 1, member], level[after, member]
    fall = np.where(high > low, high - low, 1.0)
    share = np.clip((high - limit) / fall, 0.0, 1.0)
    begin, end = edges_h[after - 1, member], edges_h[after, member]
    return np.where(below.any(axis=0), begin + share * (end - begin), np.inf)


def _falls_short(flows: Flows, demand: Demand, edges_h: Array) -> Array:
    """Return when each member first gets less thrust than it wants, to the step."""
    wanted = demand.thrust_n
    short = (wanted > 0.0) & (flows.thrust_n < wanted * (1.0 - THRUST_TOLERANCE))
    first = np.argmax(short, axis=0)
    member = np.arange(wanted.shape[1])
    # Where the bank runs empty inside the step, it held up to then.
    held = np.where(flows.limit[first, member] == 0, flows.carried_share[first, member], 0.0)
    begin, end = edges_h[first, member], edges_h[first + 1, member]
    return np.where(short.any(axis=0), begin + held * (end - begin), np.inf)
