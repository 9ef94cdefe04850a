"""
Several days of the same plan, each from where the night before ended.

Depends on: charge_plan, night, results.recharge, clock, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from energysim.clock import seconds_between
from energysim.night import SECONDS_PER_HOUR, charge_by_place, charges_after
from energysim.physics.storage import soc_after_storage
from energysim.results.recharge import TripDay, TripResult

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from energysim.charge_plan import ChargePlan, KindCharge, Place, TripPlan

SECONDS_PER_DAY = 86400.0
LEFT_OUT = "every day has the first day's tide, wind and plan"
ALMOST = 1e-9  # of the charge that counts as full


class DayRun(NamedTuple):
    """What one day of a trip came to."""

    start: tuple[KindCharge, ...]  # by the ledger, in the morning
    end: tuple[KindCharge, ...]  # and in the evening
    end_soc: float  # what the day's way of drawing still lets out
    outcome: str  # as `DayResult.outcome`


def run_trip(
    plan: TripPlan,
    charge: ChargePlan | None,
    run_day: Callable[[Mapping[Place, float] | None], DayRun],
) -> TripResult:
    """
    Run the same plan day after day.

    Parameters
    ----------
    plan : TripPlan
        How many days, and what is between them.
    charge : ChargePlan or None
        The charger and its night, the same every night; None where there is no charger.
    run_day : callable
        Runs the day from a charge of each block, by string and number; from None, as the
        scenario says, on the first day.

    Returns
    -------
    TripResult
        A row for each day.
    """
    rows: list[TripDay] = []
    morning: dict[Place, float] | None = None
    for day in range(1, plan.days + 1):
        run = run_day(morning)
        evening = charge_by_place(run.end)
        night = evening
        if charge is not None:
            night = charges_after(charge, run.end, _charging_s(plan, charge) / SECONDS_PER_HOUR)
        full = charge is not None and (
            min(night.values()) >= charge.law.full_soc * (1.0 - ALMOST)
        )
        morning = {place: _stood(plan, soc) for place, soc in night.items()}
        rows.append(
            TripDay(
                day=day,
                start_charge=min(charge_by_place(run.start).values()),
                end_charge=min(evening.values()),
                end_soc=run.end_soc,
                outcome=run.outcome,
                morning_charge=min(night.values()),
                full_by_morning=full,
                next_start_charge=min(morning.values()),
            )
        )
    failing = [row.day for row in rows if row.outcome != "holds"]
    return TripResult(
        days=tuple(rows),
        fails_on=failing[0] if failing else None,
        idle_s=plan.idle_s,
        note=LEFT_OUT,
    )


def _charging_s(plan: TripPlan, charge: ChargePlan) -> float:
    """Return how long the charger has: until it is wanted full, or the next day begins."""
    until = plan.next_start if plan.idle_charger else min(charge.ready_by, plan.next_start)
    return max(0.0, seconds_between(charge.plugged_in_at, until))


def _stood(plan: TripPlan, soc: float) -> float:
    """Return what the time ashore leaves of a charge; a charger left in makes it good."""
    if plan.idle_charger or plan.idle_s <= 0.0:
        return soc
    return float(
        soc_after_storage(
            soc,
            days=plan.idle_s / SECONDS_PER_DAY,
            per_month=plan.self_discharge_per_month,
            temperature_degc=plan.temperature_degc,
            doubling_degc=plan.self_discharge_doubling_degc,
        )
    )
