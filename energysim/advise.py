"""
What to change: the same day again with one thing otherwise, built as further members.

Depends on: build, scenario, plan, clock, errors.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from energysim.build import DayAsked, build_days
from energysim.clock import seconds_between
from energysim.errors import ScenarioError
from energysim.scenario.whatif import changed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario

START_SHIFT_S = 3600.0
SHORTER_SHARE = 1.0 / 3.0
QUARTER_HOUR_S = 900.0


class Variant(NamedTuple):
    """The day with one thing otherwise; no plan where it could not be built."""

    name: str
    plan: DayPlan | None
    skipped: str = ""


class _Wish(NamedTuple):
    """One thing to do otherwise, before it is built."""

    name: str
    changes: Mapping[str, object]
    shift_s: float = 0.0
    shorten: tuple[int, float] | None = None  # leg number from 0, seconds taken off


def variants(loaded: LoadedScenario, plan: DayPlan, *, shift_s: float) -> tuple[Variant, ...]:
    """
    Build the day again with one thing otherwise, for every thing worth trying.

    Tried: the outboard tilted or let down, an hour earlier and an hour later on the same tide
    and wind, the hardest hold a third shorter, one more string of batteries.

    Parameters
    ----------
    loaded : LoadedScenario
        The scenario.
    plan : DayPlan
        The day as planned.
    shift_s : float
        A shift of the whole plan that is already in `plan`. [s]

    Returns
    -------
    tuple of Variant
        A variant that cannot be built (an hour later runs off the tide table) says why.
    """
    wishes = _wishes(loaded, plan)
    tried = [_asked(loaded, wish, shift_s) for wish in wishes]
    asked = [one for one in tried if isinstance(one, DayAsked)]
    built = iter(build_days(asked, in_full=False))
    days = [next(built) if isinstance(one, DayAsked) else one for one in tried]
    return tuple(
        Variant(name=wish.name, plan=None, skipped=day.problems[0].reason)
        if isinstance(day, ScenarioError)
        else Variant(name=wish.name, plan=day)
        for wish, day in zip(wishes, days, strict=True)
    )


def _wishes(loaded: LoadedScenario, plan: DayPlan) -> list[_Wish]:
    scenario = loaded.scenario
    tilted = scenario.boat.outboard == "tilted"
    wishes = [
        _Wish(
            name="let the outboard down" if tilted else "tilt the outboard up",
            changes={"boat.outboard": "down" if tilted else "tilted"},
        ),
        _Wish(name="start an hour earlier", changes={}, shift_s=-START_SHIFT_S),
        _Wish(name="start an hour later", changes={}, shift_s=START_SHIFT_S),
    ]
    hardest = _hardest_hold(plan)
    if hardest is not None:
        number, seconds = hardest
        minutes = round(seconds / 60.0)
        wishes.append(
            _Wish(
                name=f"hold {plan.legs[number].name!r} {minutes} min less, and rest",
                changes={},
                shorten=(number, seconds),
            )
        )
    blocks = plan.series
    wishes.append(
        _Wish(
            name=f"add a string of {blocks} batter{'ies' if blocks > 1 else 'y'}",
            changes={"bank.parallel": plan.parallel + 1},
        )
    )
    return wishes


def _hardest_hold(plan: DayPlan) -> tuple[int, float] | None:
    """Return the hold that asks for most energy, and about a third of its length."""
    energy = plan.demand.power_w[:, 0] * plan.demand.step_s[:, 0]
    best: tuple[float, int] | None = None
    for number, leg in enumerate(plan.legs):
        if leg.verb != "hold":
            continue
        asked = float(energy[plan.leg_of_step == number].sum())
        if best is None or asked > best[0]:
            best = (asked, number)
    if best is None or best[0] <= 0.0:
        return None
    leg = plan.legs[best[1]]
    length_s = seconds_between(leg.start, leg.end)
    cut_s = max(1, round(length_s * SHORTER_SHARE / QUARTER_HOUR_S)) * QUARTER_HOUR_S
    return (best[1], cut_s) if cut_s < length_s else None


def _asked(loaded: LoadedScenario, wish: _Wish, shift_s: float) -> DayAsked | ScenarioError:
    """Return the day to build for a wish, or why its changes are not valid."""
    try:
        other = changed(loaded, wish.changes) if wish.changes else loaded
    except ScenarioError as error:
        return error
    return DayAsked(other, shift_s + wish.shift_s, wish.shorten)
