"""
The course of the night at the charger.

Depends on: build, charge_plan, night, clock, errors, results.reach.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build import build_day
from energysim.charge_plan import KindCharge
from energysim.clock import clock_after, seconds_between
from energysim.errors import Problem, ScenarioError
from energysim.night import night_at_the_charger
from energysim.results.reach import NightCourse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.charge_plan import ChargePlan
    from energysim.results.day import DayResult
    from energysim.scenario.load import LoadedScenario

POINTS: Final = 97
AFTER_FULL: Final = 1.08  # how far the course runs on when it is full (ours)
LONGEST_H: Final = 48.0


def night_course(loaded: LoadedScenario, result: DayResult) -> NightCourse:
    """
    Return the state of charge through the night that follows a day.

    Parameters
    ----------
    loaded : LoadedScenario
        The scenario the day was run from, for its charger.
    result : DayResult
        The day.

    Returns
    -------
    NightCourse
        From the plug until the bank is full, or wanted, whichever is later.

    Raises
    ------
    ScenarioError
        The scenario has no charger.
    """
    plan = build_day(loaded).charge
    recharge = result.recharge
    if plan is None or recharge is None:
        raise ScenarioError(
            Problem(
                path="charger",
                reason="is missing: there is no night to draw",
                hint='add [charger] with its current, for example current = "10 A"',
            )
        )
    wanted_h = seconds_between(recharge.plugged_in_at, recharge.ready_by) / 3600.0
    last_h = max(wanted_h, AFTER_FULL * (recharge.full_h or 0.0))
    hours = np.linspace(0.0, min(max(last_h, 1.0), LONGEST_H), POINTS)
    charges = [
        KindCharge(block.soc_at_plug, ((block.string, block.number),))
        for block in recharge.blocks
    ]
    return NightCourse(
        title=result.title,
        hours=hours,
        soc=np.array([_soc_after(plan, hour, charges) for hour in hours]),
        plugged_in_at=recharge.plugged_in_at,
        recharge=recharge,
    )


def _soc_after(plan: ChargePlan, hour: float, charges: Sequence[KindCharge]) -> float:
    """Return what the bank holds if it is wanted at that hour: the night's own answer."""
    wanted = replace(plan, ready_by=clock_after(plan.plugged_in_at, 3600.0 * hour))
    return night_at_the_charger(wanted, charges).soc_when_ready
