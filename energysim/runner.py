"""
Run a day: build it, run it beside its variants in one sweep, and read the result.

Depends on: advise, answer, beside, bracket, build, simulate, plan, assess, trip, results.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from energysim.advise import variants
from energysim.answer import (
    Outcome,
    bank_result,
    day_result,
    house_result,
    kind_charges,
    outcome,
    outcome_as_read,
)
from energysim.assess import read_flows
from energysim.beside import (
    at_other_rates,
    by_the_other_law,
    from_morning,
    house_day,
    with_even_blocks,
)
from energysim.bracket import push_spread, pushed
from energysim.build import build_day
from energysim.plan import stacked_banks, stacked_demands
from energysim.results.day import Bracket, Change, DayResult
from energysim.simulate import one_member, simulate
from energysim.trip import DayRun, run_trip

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from energysim.advise import Variant
    from energysim.charge_plan import Place
    from energysim.plan import DayPlan
    from energysim.results.recharge import TripResult
    from energysim.scenario.load import LoadedScenario
    from energysim.simulate import Bank, Demand, Flows


class Beside(NamedTuple):
    """The day as planned and all that is run beside it, each a member of one sweep."""

    day: DayPlan
    other_law: DayPlan
    harder: DayPlan
    easier: DayPlan
    rates: tuple[DayPlan, ...]
    even: DayPlan | None
    tried: tuple[DayPlan, ...]

    def plans(self) -> Iterator[DayPlan]:
        """Return all of them, in a fixed order."""
        yield from (self.day, self.other_law, self.harder, self.easier)
        yield from self.rates
        if self.even is not None:
            yield self.even
        yield from self.tried


def run_day(
    loaded: LoadedScenario, *, shift_s: float = 0.0, with_changes: bool = True
) -> DayResult:
    """
    Run the day a scenario plans, and what could be changed about it.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario.
    shift_s : float
        Start the whole plan this much later; the tide and the wind stay. [s]
    with_changes : bool
        Also run the day with one thing otherwise, for "what to change".

    Returns
    -------
    DayResult
        The whole answer.

    Raises
    ------
    ScenarioError
        Something the scenario names does not exist or does not fit.
    """
    plan = build_day(loaded, shift_s=shift_s)
    tried = variants(loaded, plan, shift_s=shift_s) if with_changes else ()
    harder, easier = pushed(plan)
    beside = Beside(
        day=plan,
        other_law=by_the_other_law(plan),
        harder=harder,
        easier=easier,
        rates=at_other_rates(plan),
        even=with_even_blocks(plan),
        tried=tuple(variant.plan for variant in tried if variant.plan is not None),
    )
    plans = list(beside.plans())
    flows, house_flows = _sweep(plans, house_day(plan))
    members = iter(zip(plans, flows, strict=True))
    base = next(members)[1]
    reading = read_flows(plan, base)
    told = outcome_as_read(plan, reading)
    other, hard, easy = (outcome(*next(members)) for _ in range(3))
    rates = [
        (float(slow_or_fast.bank.wells_rate_per_h[0, 0, 0]), outcome(*next(members)))
        for slow_or_fast in beside.rates
    ]
    even = None if beside.even is None else outcome(*next(members))
    outcomes = [outcome(*member) for member in members]
    return day_result(
        plan,
        base,
        reading,
        told,
        bracket=_bracket(hard, easy),
        changes=_changes(told, tried, outcomes),
        bank=bank_result(plan, base, reading, told, other=other, rates=rates, even=even),
        house=None if house_flows is None else house_result(plan, house_flows),
        trip=_trip(plan),
    )


def _sweep(
    plans: Sequence[DayPlan], house: tuple[Demand, Bank] | None
) -> tuple[list[Flows], Flows | None]:
    """Run all days in one loop, the house's own bank as one more member."""
    demands = [plan.demand for plan in plans]
    banks = [plan.bank for plan in plans]
    if house is not None:
        demands.append(house[0])
        banks.append(house[1])
    flows = simulate(stacked_demands(demands), stacked_banks(banks), plans[0].motor)
    apart = [
        one_member(flows, number, steps=len(demand.step_s), bank=bank)
        for number, (demand, bank) in enumerate(zip(demands, banks, strict=True))
    ]
    return apart[: len(plans)], apart[-1] if house is not None else None


def _bracket(hard: Outcome, easy: Outcome) -> Bracket:
    """Return the harder day and the easier one."""
    return Bracket(
        spread=push_spread(),
        harder_end_soc=hard.end_soc,
        harder_off_station_s=hard.off_station_s,
        harder_outcome=hard.word,
        easier_end_soc=easy.end_soc,
        easier_off_station_s=easy.off_station_s,
        easier_outcome=easy.word,
    )


def _changes(
    told: Outcome, tried: Sequence[Variant], outcomes: Sequence[Outcome]
) -> tuple[Change, ...]:
    """Read the variants against the day as planned, the most helpful first."""
    queue = iter(outcomes)
    changes = []
    for variant in tried:
        day = told if variant.plan is None else next(queue)
        changes.append(
            Change(
                name=variant.name,
                end_soc=day.end_soc,
                end_soc_change=day.end_soc - told.end_soc,
                off_station_s=day.off_station_s,
                off_station_change_s=day.off_station_s - told.off_station_s,
                outcome="" if variant.plan is None else day.word,
                skipped=variant.skipped,
            )
        )
    return tuple(sorted(changes, key=_helpfulness))


def _helpfulness(change: Change) -> tuple[bool, int, float, float]:
    """Order: what could be tried, the better outcome, fewer minutes off station, more left."""
    order = {"holds": 0, "short": 1, "deep": 2, "empty": 3, "": 4}
    return (
        bool(change.skipped),
        order[change.outcome],
        round(change.off_station_s / 60.0),
        -change.end_soc,
    )


def _trip(plan: DayPlan) -> TripResult | None:
    """Run the days of a trip, each from where the night before has left the bank."""
    if plan.trip is None:
        return None

    def day(morning: Mapping[Place, float] | None) -> DayRun:
        today = plan if morning is None else from_morning(plan, morning)
        flows = simulate(today.demand, today.bank, today.motor)
        reading = read_flows(today, flows)
        came_to = outcome_as_read(today, reading)
        return DayRun(
            start=kind_charges(today, reading.books, 0),
            end=kind_charges(today, reading.books, -1),
            end_soc=came_to.end_soc,
            outcome=came_to.word,
        )

    return run_trip(plan.trip, plan.charge, day)
