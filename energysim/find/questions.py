"""
The questions that can be turned round: what each varies, over which range, and what it wants.

Depends on: scenario, plan, build, errors, find.changes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from energysim.build.block import build_block
from energysim.build.motor import build_motor
from energysim.errors import Problem, ScenarioError
from energysim.find.changes import (
    capacity_times,
    hold_for,
    stream_times,
    strongest_wind_mps,
    thrust_times,
    wind_times,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question, for any scenario."""

    unit: str  # "s", or "1" for a factor of what is planned
    low: float
    high: float
    steps: int  # of the grid
    tolerance: float
    wants: str  # "most", "least" or "best"


MINUTE_S: Final = 60.0
HOUR_S: Final = 3600.0

QUESTIONS: Final[dict[str, Question]] = {
    "longest-hold": Question(
        unit="s", low=0.25 * HOUR_S, high=8.0 * HOUR_S, steps=31, tolerance=60.0, wants="most"
    ),
    "most-wind": Question(unit="1", low=0.0, high=3.0, steps=24, tolerance=0.005, wants="most"),
    "most-stream": Question(
        unit="1", low=0.0, high=3.0, steps=24, tolerance=0.005, wants="most"
    ),
    "smallest-capacity": Question(
        unit="1", low=0.25, high=4.0, steps=30, tolerance=0.005, wants="least"
    ),
    "best-start": Question(
        unit="s", low=-6.0 * HOUR_S, high=6.0 * HOUR_S, steps=36, tolerance=60.0, wants="best"
    ),
    "thrust-needed": Question(
        unit="1", low=0.25, high=3.0, steps=22, tolerance=0.005, wants="least"
    ),
}
"""Ranges, grids and tolerances are ours: wider than anyone plans, fine enough to act on."""

_FACTORS: Final[dict[str, Callable[[LoadedScenario, float], dict[str, Any]]]] = {
    "most-wind": wind_times,
    "most-stream": stream_times,
    "smallest-capacity": capacity_times,
    "thrust-needed": thrust_times,
}


def changes_for(
    what: str, loaded: LoadedScenario, value: float, *, leg: int | None
) -> tuple[dict[str, Any], float]:
    """
    Return the changes of the scenario, and the shift of its plan in s, that try one value.

    Parameters
    ----------
    what : str
        A key of `QUESTIONS`.
    loaded : LoadedScenario
        The day as planned.
    value : float
        In the unit of the question.
    leg : int or None
        The leg that is drawn out, from 0.
    """
    if what == "best-start":
        return {}, value
    if leg is not None:
        return hold_for(loaded, leg, value), 0.0
    return _FACTORS[what](loaded, value), 0.0


def leg_of(day: DayPlan, name: str | None) -> int:
    """
    Return the hold to be drawn out, from 0: the one named, else the one that is pushed hardest.

    Raises
    ------
    ScenarioError
        No hold is called so, or there is none.
    """
    holds = [number for number, leg in enumerate(day.legs) if leg.verb == "hold"]
    if not holds:
        reason = "has no hold to be drawn out"
        raise ScenarioError(Problem(path="leg", reason=reason, hint='add a leg of do = "hold"'))
    if name is None:
        thrust = day.wanted.thrust_n.reshape(day.leg_of_step.size, -1)[:, 0]
        return max(holds, key=lambda number: float(thrust[day.leg_of_step == number].mean()))
    for number in holds:
        if day.legs[number].name.casefold() == name.strip().casefold():
            return number
    known = ", ".join(repr(day.legs[number].name) for number in holds)
    raise ScenarioError(
        Problem(path="--leg", value=name, reason="is no hold of this day", hint=f"try {known}")
    )


def reference_of(what: str, loaded: LoadedScenario, day: DayPlan) -> float | None:
    """
    Return what a factor of 1 stands for, in SI; None where values are times.

    Raises
    ------
    ScenarioError
        There is nothing that could be made larger or smaller.
    """
    if what == "smallest-capacity":
        bank = loaded.scenario.bank
        return build_block(bank).capacity_ah * bank.parallel
    if what == "thrust-needed":
        return build_motor(loaded.scenario).rated_thrust_n
    if what == "most-wind":
        wind = strongest_wind_mps(loaded)
        if wind <= 0.0:
            raise ScenarioError(Problem(path="wind", reason="is calm: it cannot be scaled"))
        return wind
    if what == "most-stream":
        stream = float(day.surroundings.stream_mps.max())
        if stream <= 0.0:
            reason = "does not move in this plan: it cannot be scaled"
            raise ScenarioError(Problem(path="stream", reason=reason))
        return stream
    return None


def planned_value(what: str, day: DayPlan, leg: int | None) -> float:
    """Return the value the plan has now."""
    if leg is not None:
        return float(day.demand.step_s[day.leg_of_step == leg].sum())
    return 0.0 if what == "best-start" else 1.0
