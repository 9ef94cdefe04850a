"""
The days of a trip, and what stands between them.

Depends on: scenario, charge_plan, clock, errors, build.bank, build.timeline.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from energysim.charge_plan import TripPlan
from energysim.clock import clock_after
from energysim.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from energysim.build.bank import BankPart
    from energysim.build.timeline import Timeline
    from energysim.scenario.model import Scenario


def build_trip(
    scenario: Scenario, timeline: Timeline, bank: BankPart
) -> tuple[TripPlan | None, tuple[str, ...]]:
    """
    Return the trip's plan and what was assumed of it; None for a single day.

    Raises
    ------
    ScenarioError
        The next day would begin before this one ends.
    """
    table = scenario.trip
    if table is None:
        return None, ()
    begin = timeline.start
    tomorrow = datetime.combine(begin.date() + timedelta(days=1), begin.time())
    next_start = clock_after(tomorrow.replace(tzinfo=scenario.day.timezone), table.idle_s)
    end = timeline.legs[-1].end
    if next_start < end:
        raise ScenarioError(
            Problem(
                path="trip.days",
                value=table.days,
                reason=f"the next day begins at {next_start:%d %b %H:%M}, before this one ends "
                f"at {end:%d %b %H:%M}",
                hint="a shorter plan, or time ashore between the days by trip.idle",
            )
        )
    notes = ["the days of the trip are alike: the first day's tide, wind and plan"]
    if table.idle_s > 0.0 and not table.idle_charger:
        notes.append("ashore between two days nothing charges, and nothing hangs on the bank")
    chemistry = bank.block.chemistry
    return (
        TripPlan(
            days=table.days,
            next_start=next_start,
            idle_s=table.idle_s,
            idle_charger=table.idle_charger,
            self_discharge_per_month=chemistry.self_discharge_per_month,
            self_discharge_doubling_degc=chemistry.self_discharge_doubling_degc,
            temperature_degc=bank.temperature_degc,
        ),
        tuple(notes),
    )
