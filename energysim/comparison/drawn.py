"""
What a bank gives steadily, and what is left of it: further steps and members of the sweep.

Depends on: assess, plan, simulate, results.compare.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.assess import falls_to
from energysim.results.compare import HoldLeft
from energysim.simulate import Demand, read_books

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.plan import DayPlan
    from energysim.simulate import Bank, Flows

    Array = NDArray[np.float64]

SECONDS_PER_HOUR: Final = 3600.0
LOOKED_AHEAD_S: Final = 48.0 * SECONDS_PER_HOUR
MORE_STEPS: Final = 144
FIRST_STEP_S: Final = 60.0
STEADY_STEPS: Final = 120
STEADY_MARGIN: Final = 1.5
"""How much longer than its label says a bank is followed: a slow draw outlasts no label."""
THRUST_TOLERANCE: Final = 0.005  # as a day counts being off station


class Hardest(NamedTuple):
    """The hour that asks most of the bank."""

    from_s: float
    to_s: float
    power_w: float  # of the motor, mean over the time it runs in that hour
    weight: Array  # (steps,), seconds of each step in it with the motor running


def hardest_hour(plan: DayPlan) -> Hardest | None:
    """Return the hour whose motor takes most energy; None where it never runs."""
    power, step_s = plan.demand.power_w[:, 0], plan.demand.step_s[:, 0]
    if not (power > 0.0).any():
        return None
    edges = np.concatenate([[0.0], np.cumsum(step_s)])
    spent = np.concatenate([[0.0], np.cumsum(power * step_s)])
    length = min(SECONDS_PER_HOUR, float(edges[-1]))
    starts = edges[edges <= edges[-1] - length + 1e-6]
    begin = float(starts[np.argmax(np.interp(starts + length, edges, spent)
                                   - np.interp(starts, edges, spent))])  # fmt: skip
    inside = np.minimum(edges[1:], begin + length) - np.maximum(edges[:-1], begin)
    weight = np.where(power > 0.0, np.maximum(inside, 0.0), 0.0)
    return Hardest(begin, begin + length, float(np.average(power, weights=weight)), weight)


def with_more_of(demand: Demand, hour: Hardest | None) -> Demand:
    """Return a day that goes on as its hardest hour, for as long as is looked ahead."""
    if hour is None:
        return demand
    edges = np.geomspace(FIRST_STEP_S, LOOKED_AHEAD_S, MORE_STEPS)
    more_s = np.diff(edges, prepend=0.0)[:, None]
    values = {}
    for field in fields(Demand):
        now = getattr(demand, field.name)
        if field.name == "step_s":
            more = more_s
        elif field.name == "supply_w":
            now = np.broadcast_to(now, demand.step_s.shape)
            more = np.zeros_like(more_s)
        else:
            mean = np.average(now, axis=-2, weights=hour.weight)
            more = np.repeat(mean[..., None, :], MORE_STEPS, axis=-2)
        values[field.name] = np.concatenate([now, more], axis=-2)
    return Demand(**values)


def hold_left(
    demand: Demand, flows: Flows, bank: Bank, *, limit_soc: float, day_steps: int
) -> HoldLeft:
    """
    Return how long the bank holds on after the day.

    Parameters
    ----------
    demand, flows, bank : Demand, Flows, Bank
        The day with its further steps, one member; a day that ended above its limit.
    limit_soc : float
        The plan's, in availability at the rate of all this. [1]
    day_steps : int
        How many steps the day itself has. [count]
    """
    after = slice(day_steps, None)
    edges = np.concatenate([[0.0], np.cumsum(demand.step_s[after, 0])])
    soc = read_books(flows, bank, demand.step_s).soc[day_steps:, 0]
    ends: list[tuple[float, str]] = []
    at_limit = falls_to(soc, edges, limit_soc)
    if at_limit is not None:
        ends.append((at_limit, "your limit"))
    wanted, given = demand.thrust_n[after, 0], flows.thrust_n[after, 0]
    short = given < wanted * (1.0 - THRUST_TOLERANCE)
    if short.any():
        step = int(np.argmax(short))
        carried = float(flows.carried_share[day_steps + step, 0])
        if carried >= 1.0:
            ends.append((float(edges[step]), "thrust"))
        else:
            inside = carried * float(edges[step + 1] - edges[step])
            ends.append((float(edges[step]) + inside, "an empty bank"))
    if not ends:
        return HoldLeft(seconds=LOOKED_AHEAD_S, more=True, ended_by="")
    seconds, why = min(ends)
    return HoldLeft(seconds=seconds, more=False, ended_by=why)


def steady_power_w(plan: DayPlan) -> float:
    """
    Return the power most of the day's energy is asked at, never below the label's own rate.

    The mean power weighted by the energy it takes, house included: as the availability weighs
    its current.
    """
    step_s = plan.demand.step_s[:, 0]
    power = plan.demand.power_w[:, 0] + plan.bank.house_load_w[0]
    energy = float((power * step_s).sum())
    weighted = float((power * power * step_s).sum()) / energy if energy > 0.0 else 0.0
    return max(
        weighted, plan.ledger_capacity_ah * _rest_v(plan) / float(plan.bank.rated_time_h[0])
    )


def _rest_v(plan: DayPlan) -> float:
    """Return about what the bank's voltage is: half way down its rest table."""
    bank = plan.bank
    half = bank.emf_tables_v[0, bank.emf_tables_v.shape[1] // 2]
    return float(half) * float(bank.block_count[0, :, 0].sum())


def drawn_steadily(plan: DayPlan) -> tuple[Demand, Bank]:
    """Return the bank with nothing on it but a load of that power, from the morning on."""
    power = steady_power_w(plan)
    hours = STEADY_MARGIN * plan.ledger_capacity_ah * _rest_v(plan) / power
    step_s = np.full((STEADY_STEPS, 1), hours * SECONDS_PER_HOUR / STEADY_STEPS)
    nothing, three = np.zeros_like(step_s), np.zeros((3, STEADY_STEPS, 1))
    demand = Demand(
        step_s=step_s,
        power_w=nothing,
        thrust_n=nothing,
        needed_voltage_v=nothing,
        inflow_mps=nothing,
        thrust_ratio=np.ones_like(step_s),
        torque_ratio=np.ones_like(step_s),
        thrust_quadratic=three,
        current_quadratic=three,
    )
    return demand, replace(plan.bank, house_load_w=np.array([power]))


def usable_wh(demand: Demand, flows: Flows, bank: Bank, *, limit_soc: float) -> float:
    """Return what a bank drawn steadily gives before its limit, or its end."""
    edges = np.concatenate([[0.0], np.cumsum(demand.step_s[:, 0])])
    soc = read_books(flows, bank, demand.step_s).soc[:, 0]
    at_limit = falls_to(soc, edges, limit_soc)
    given = flows.drawn_wh[:, 0]
    return float(given[-1] if at_limit is None else np.interp(at_limit, edges, given))
