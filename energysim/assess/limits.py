"""
When a day meets its ends: the plan's limit, the bank's own end, and what brought it about.

Depends on: simulate, plan.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from energysim.simulate import BOARD_OPENED, kept_by_cutoff

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.plan import DayPlan
    from energysim.simulate import Bank, Demand, Flows

    Array = NDArray[np.float64]


class BankEnd(NamedTuple):
    """When the bank first could not carry what was wanted, and why."""

    seconds: float
    cause: str


def falls_to(level: Array, edges_s: Array, limit: float) -> float | None:
    """Return when the level first falls to the limit, interpolated inside the step."""
    below = level <= limit
    if not below.any():
        return None
    after = int(np.argmax(below))
    if after == 0:
        return float(edges_s[0])
    high, low = level[after - 1], level[after]
    share = (high - limit) / (high - low)
    return float(edges_s[after - 1] + share * (edges_s[after] - edges_s[after - 1]))


def below_cutoff(demand: Demand, flows: Flows, bank: Bank) -> NDArray[np.bool_]:
    """Return the steps, (steps, members), in which a live bank is kept by its own cut-off."""
    return kept_by_cutoff(
        asked=demand.power_w > 0.0,
        wanted_voltage_v=flows.wanted_voltage_v,
        limit=flows.limit,
        level=flows.level[:-1],
        bank=bank,
    )


def bank_end(plan: DayPlan, flows: Flows) -> BankEnd | None:
    """Return when the bank first could not carry the wanted load, by voltage or empty."""
    edges = plan.edges_s
    voltage = flows.wanted_voltage_v[:, 0]
    cutoff = plan.bank.cutoff_voltage_v[0]
    by_voltage = below_cutoff(plan.demand, flows, plan.bank)[:, 0]
    ends = []
    if by_voltage.any():
        step = int(np.argmax(by_voltage))
        early = _early_share(step, voltage, flows.bank_voltage_v[:, 0], cutoff, plan)
        seconds = float(edges[step] - early * (edges[step] - edges[step - 1]))
        ends.append(BankEnd(seconds, "its cut-off voltage"))
    share_carried = flows.carried_share[:, 0]
    empty = share_carried < 1.0
    if empty.any():
        step = int(np.argmax(empty))
        seconds = float(edges[step] + share_carried[step] * (edges[step + 1] - edges[step]))
        ends.append(BankEnd(seconds, _dead_by(flows)))
    return min(ends, key=lambda end: end.seconds) if ends else None


def _dead_by(flows: Flows) -> str:
    """Say what put the last string out."""
    if flows.blocks is None:
        return "an empty bank"
    ends_s = flows.blocks.string_end_s[:, 0]
    last = int(np.argmax(np.where(np.isfinite(ends_s), ends_s, -1.0)))
    opened = flows.blocks.string_end[last, 0] == BOARD_OPENED
    return "a protection board" if opened else "an empty block"


def _early_share(
    step: int, wanted_v: Array, given_v: Array, cutoff_v: float, plan: DayPlan
) -> float:
    """Return how far before a step its voltage met the cut-off, over the step before."""
    leg = plan.leg_of_step
    if step == 0 or leg[step] != leg[step - 1]:
        return 0.0
    if wanted_v[step] < cutoff_v < wanted_v[step - 1]:
        return float((cutoff_v - wanted_v[step]) / (wanted_v[step - 1] - wanted_v[step]))
    # The motor was at its own end, so only what it got tells: carry its fall on by a line.
    if step > 1 and leg[step - 2] == leg[step] and given_v[step - 2] > given_v[step - 1]:
        ahead = (given_v[step - 1] - cutoff_v) / (given_v[step - 2] - given_v[step - 1])
        return float(np.clip(1.0 - ahead, 0.0, 1.0))
    return 0.0
