"""
The bank's part of the answer: each law, each kind of block, what stops the plan first.

Depends on: answer.outcome, assess, plan, simulate, verdict, results.bank.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from energysim.answer.outcome import moment
from energysim.results.bank import (
    BankResult,
    BlockResult,
    FirstEnd,
    LawResult,
    RateSpread,
    Uneven,
)
from energysim.simulate import DROP_OUT, rest_voltage, rest_voltages
from energysim.verdict import minutes

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from energysim.answer.outcome import Outcome
    from energysim.assess import Reading
    from energysim.plan import DayPlan
    from energysim.simulate import Flows

AGREE_SOC = 0.005
SPREAD_MATTERS_SOC = 0.02
SPREAD_MATTERS_S = 600.0


def bank_result(
    plan: DayPlan,
    flows: Flows,
    reading: Reading,
    told: Outcome,
    *,
    other: Outcome,
    rates: Sequence[tuple[float, Outcome]],
    even: Outcome | None,
) -> BankResult:
    """
    Return the bank's day.

    Parameters
    ----------
    plan, flows, reading, told : DayPlan, Flows, Reading, Outcome
        The day as it is told.
    other : Outcome
        By the other law.
    rates : sequence of (float, Outcome)
        At the slowest and at the fastest rate of the wells in 1/h; empty where it is no choice.
    even : Outcome or None
        With all blocks like the best.
    """
    kinetic = bool(plan.bank.kinetic[0])
    names = ("kinetic", "peukert") if kinetic else ("peukert", "kinetic")
    laws = tuple(_law(name, day) for name, day in zip(names, (told, other), strict=True))
    lower = min(laws, key=lambda law: (_ends_at(law.end_at), law.end_soc))
    agree = abs(told.end_soc - other.end_soc) < AGREE_SOC and told.word == other.word
    hours = plan.demand.step_s[:, 0] / 3600.0
    return BankResult(
        laws=laws,
        lower_law="" if agree else lower.law,
        rate=_rate_spread(plan, rates),
        first_end=_first_end(plan, flows, reading),
        blocks=_blocks(plan, flows, reading),
        uneven=None if even is None else _uneven(plan, flows, reading, told, even),
        highest_degc=float(flows.degc.max()),
        heat_wh=_heat_wh(plan, flows),
        supplied_ah=float((flows.supply_a[:, 0] * hours).sum()),
    )


def _law(name: str, day: Outcome) -> LawResult:
    return LawResult(
        law=name,
        end_soc=day.end_soc,
        lowest_soc=day.lowest_soc,
        limit_reached_at=day.limit_reached_at,
        end_at=day.end_at,
        outcome=day.word,
    )


def _ends_at(end_at: datetime | None) -> float:
    return np.inf if end_at is None else end_at.timestamp()


def _rate_spread(plan: DayPlan, rates: Sequence[tuple[float, Outcome]]) -> RateSpread | None:
    if not rates:
        return None
    (slow_per_h, slow), (fast_per_h, fast) = rates
    return RateSpread(
        rate_per_h=float(plan.bank.wells_rate_per_h[0, 0, 0]),
        slow_per_h=slow_per_h,
        fast_per_h=fast_per_h,
        slow_end_soc=slow.end_soc,
        fast_end_soc=fast.end_soc,
        slow_outcome=slow.word,
        fast_outcome=fast.word,
    )


def _first_end(plan: DayPlan, flows: Flows, reading: Reading) -> FirstEnd | None:
    """Return which of the ends comes first: the plan's limit, the motor's, the bank's."""
    ends: list[tuple[float, str]] = []
    if reading.limit_reached_s is not None:
        ends.append((reading.limit_reached_s, "the plan's limit"))
    let_go = flows.limit[:, 0] == DROP_OUT
    if let_go.any():
        ends.append((float(plan.edges_s[np.argmax(let_go)]), "the motor's lowest voltage"))
    if reading.end is not None:
        ends.append(reading.end)
    if not ends:
        return None
    seconds, cause = min(ends)
    at = moment(plan, seconds)
    return None if at is None else FirstEnd(cause=cause, at=at)


def _blocks(plan: DayPlan, flows: Flows, reading: Reading) -> tuple[BlockResult, ...]:
    """Return a row for each kind of block."""
    bank, books = plan.bank, reading.books
    rows = []
    for string, kinds in enumerate(bank.block_count[:, :, 0]):
        for block, count in enumerate(kinds):
            if count <= 0.0:
                continue
            if flows.blocks is None:
                lowest = float(flows.bank_voltage_v.min() / count)
                highest = float(flows.degc.max())
            else:
                lowest = float(flows.blocks.voltage_v[:, string, block].min())
                highest = float(flows.blocks.degc[:, string, block].max())
            charge = float(books.block_charge[-1, string, block, 0])
            rows.append(
                BlockResult(
                    name=_name(plan, string, block),
                    count=round(float(count * bank.string_count[string, 0])),
                    soc=float(books.block_soc[-1, string, block, 0]),
                    charge=charge,
                    charge_ah=charge * float(bank.charge_ah[string, block, 0]),
                    lowest_voltage_v=lowest,
                    highest_degc=highest,
                )
            )
    return tuple(rows)


def _name(plan: DayPlan, string: int, block: int) -> str:
    if plan.bank.block_count.shape[:2] == (1, 1):
        return "every block"
    if plan.block_names:
        return plan.block_names[string][block]
    return f"string {string + 1} block {block + 1}"


def _uneven(
    plan: DayPlan, flows: Flows, reading: Reading, told: Outcome, even: Outcome
) -> Uneven:
    """Say what it costs that blocks differ, and which of them is the weakest."""
    pairs = ((told.end_at, even.end_at), (told.limit_reached_at, even.limit_reached_at))
    end = plan.legs[-1].end
    earlier = max(
        ((late or end) - early).total_seconds() if early is not None else 0.0
        for early, late in pairs
    )
    points = even.end_soc - told.end_soc
    return Uneven(
        weakest=_name(plan, *_weakest(plan, flows, reading)),
        even_end_soc=even.end_soc,
        even_limit_reached_at=even.limit_reached_at,
        even_end_at=even.end_at,
        earlier_s=max(earlier, 0.0),
        matters=points > SPREAD_MATTERS_SOC or earlier > SPREAD_MATTERS_S,
    )


def _weakest(plan: DayPlan, flows: Flows, reading: Reading) -> tuple[int, int]:
    """Return string and block of the one that put a string out first, or stands lowest."""
    blocks = flows.blocks
    if blocks is not None and np.isfinite(blocks.string_end_s[:, 0]).any():
        first = int(np.argmin(blocks.string_end_s[:, 0]))
        return first, int(blocks.string_end_block[first, 0])
    real = (plan.bank.block_count * plan.bank.string_count[:, None, :])[:, :, 0] > 0.0
    left = np.where(real, reading.books.block_soc[-1, :, :, 0], np.inf)
    string, block = np.unravel_index(np.argmin(left), left.shape)
    return int(string), int(block)


def uneven_caution(uneven: Uneven | None) -> tuple[str, ...]:
    """Warn where the blocks differ so much that it shows in the day."""
    if uneven is None or not uneven.matters:
        return ()
    later = ""
    if uneven.earlier_s >= SPREAD_MATTERS_S:
        later = f", its limit or its end {minutes(uneven.earlier_s)} later or not at all"
    return (
        f"{uneven.weakest} is the weakest of the bank and speaks for all of it: with every "
        f"block like the best and nothing on one alone it ends at {uneven.even_end_soc:.0%}"
        f"{later}",
    )


def _heat_wh(plan: DayPlan, flows: Flows) -> float:
    """Return the heat set free inside the blocks."""
    hours = plan.demand.step_s[:, 0] / 3600.0
    if flows.blocks is None:
        lost_v = flows.emf_v[:, 0] - flows.bank_voltage_v[:, 0]
        if flows.supply_a.any():  # which lifts the voltage at no load
            ohm = flows.resistance_ohm[:, 0] - plan.bank.cable_ohm[0]
            lost_v = lost_v - flows.supply_a[:, 0] * ohm
        carried = flows.carried_share[:, 0]
        return float((lost_v * flows.current_a[:, 0] * carried * hours).sum())
    rest_v = rest_voltage(flows.blocks.level[:-1], rest_voltages(plan.bank))
    lost_v = rest_v - flows.blocks.voltage_v
    heat_w = lost_v * flows.blocks.current_a * plan.bank.block_count
    return float(
        (heat_w * plan.bank.string_count[:, None, :] * hours[:, None, None, None]).sum()
    )
