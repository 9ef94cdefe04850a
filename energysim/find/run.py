"""
Turn a question round: run the odds of a day for many values, on the same draws, and close in.

Depends on: scenario, build, errors, results.find, find.questions, find.scan, find.trials.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.day import build_day
from energysim.errors import Problem, ScenarioError
from energysim.find.questions import (
    QUESTIONS,
    leg_of,
    planned_value,
    reference_of,
)
from energysim.find.scan import scan
from energysim.find.trials import Asked, Trials, boats_table
from energysim.results.find import FindResult, Interval, Tried
from energysim.scenario.uncertainty import Uncertainty

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor

    from energysim.find.scan import Scan
    from energysim.find.trials import Progress
    from energysim.results.odds import Chance
    from energysim.scenario.load import LoadedScenario

MEMBERS: Final = 512
"""Days run for every value: a chance of 90 % is counted to within 3 points. [count]"""


def find(
    what: str,
    loaded: LoadedScenario,
    *,
    chance: float = 0.9,
    leg: str | None = None,
    members: int = MEMBERS,
    seed: int | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
) -> FindResult:
    """
    Return for which holds, winds, streams, banks, starts or motors a plan is sure enough.

    Parameters
    ----------
    what : str
        A key of `QUESTIONS`.
    loaded : LoadedScenario
        A valid scenario.
    chance : float
        Wanted, that the whole plan comes off: every leg held, and above the limit.
    leg : str or None
        The hold that is drawn out; None takes the one that pushes hardest as planned.
    members : int
        Days run for each value.
    seed : int or None
        What the draws begin from; None takes the scenario's. Every value sees the same draws.
    executor : concurrent.futures.Executor or None
        Who does the work; None does it here. The answer is the same to the bit.
    progress : callable or None
        Told how many values have been tried.

    Returns
    -------
    FindResult
        Every stretch that works.

    Raises
    ------
    ScenarioError, FileError
        The day as planned cannot be run, or has nothing to vary.
    ValueError
        The question is not known, or the chance is none.
    """
    if what not in QUESTIONS:
        raise ValueError(f"what = {what!r}; it must be one of {', '.join(QUESTIONS)}")
    if not 0.0 < chance < 1.0:
        raise ValueError(f"chance = {chance}; it must lie between 0 and 1")
    if leg is not None and what != "longest-hold":
        reason = "has no meaning but for longest-hold"
        raise ScenarioError(Problem(path="--leg", value=leg, reason=reason))
    question = QUESTIONS[what]
    day = build_day(loaded, in_full=False)
    drawn_out = leg_of(day, leg) if what == "longest-hold" else None
    now = planned_value(what, day, drawn_out)
    own = loaded.scenario.uncertainty or Uncertainty.model_validate({})
    asked = Asked(
        what,
        loaded,
        drawn_out,
        members,
        own.seed if seed is None else seed,
        boats_table(what, loaded, values=question.steps, members=members),
    )
    trials = Trials(asked, executor, progress)
    reference = reference_of(what, loaded, day)
    as_planned = trials.as_planned(now)
    even = np.linspace(question.low, question.high, question.steps + 1).tolist()
    grid = sorted({*even, now})
    found = scan(trials.ask, grid, wanted=chance, tolerance=question.tolerance)
    tried = tuple(
        Tried(value=value, chance=trials.chances[value])
        for value in found.asked
        if value in trials.chances
    )
    intervals = _intervals(found, trials.chances)
    best = _best(tried, now)
    return FindResult(
        what=what,
        title=day.title,
        leg=None if drawn_out is None else day.legs[drawn_out].name,
        unit=question.unit,
        reference=reference,
        start=day.start,
        wanted=chance,
        planned=as_planned,
        answer=_answer(question.wants, intervals, best),
        outcome=_outcome(found),
        intervals=intervals,
        best=best,
        range_low=tried[0].value,
        range_high=tried[-1].value,
        grid_step=(question.high - question.low) / question.steps,
        tolerance=question.tolerance,
        refused=len(trials.refused),
        refused_why=next(iter(trials.refused.values()), None),
        members=members,
        seed=asked.seed,
        tried=tried,
    )


def _intervals(found: Scan, chances: dict[float, Chance]) -> tuple[Interval, ...]:
    return tuple(
        Interval(
            low=Tried(value=one.low, chance=chances[one.low]),
            high=Tried(value=one.high, chance=chances[one.high]),
            low_is_range_end=one.low_is_range_end,
            high_is_range_end=one.high_is_range_end,
        )
        for one in found.stretches
    )


def _outcome(found: Scan) -> str:
    """Say whether nothing works, everything that can be tried, or some of it."""
    if not found.stretches:
        return "none"
    only = found.stretches[0]
    whole = len(found.stretches) == 1 and only.low_is_range_end and only.high_is_range_end
    return "throughout" if whole else "found"


def _best(tried: Sequence[Tried], planned: float) -> Tried:
    """Return what has the highest chance; of many the one nearest to the plan."""
    return max(tried, key=lambda one: (one.chance.chance, -abs(one.value - planned)))


def _answer(wants: str, intervals: Sequence[Interval], best: Tried) -> Tried | None:
    """
    Return the one value to act on, on the safe side where there are several stretches.

    The most is the end of the first stretch, beyond which it first fails; the least the
    beginning of the last, from which on it holds.
    """
    if not intervals:
        return None
    if wants == "most":
        return intervals[0].high
    return intervals[-1].low if wants == "least" else best
