"""
Turn a question round: run the odds of a day for many values, on the same draws, and close in.

Depends on: scenario, build, physics, errors, odds, results_find, find.questions, find.scan.
"""

from __future__ import annotations

from concurrent.futures import BrokenExecutor
from math import nan
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.build.day import build_day
from energysim.errors import FileError, Problem, ScenarioError
from energysim.find.questions import (
    QUESTIONS,
    changes_for,
    leg_of,
    planned_value,
    reference_of,
)
from energysim.find.scan import scan
from energysim.odds import run_odds
from energysim.results_find import FindResult, Interval, Tried
from energysim.scenario.uncertainty import Uncertainty
from energysim.scenario.whatif import changed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from concurrent.futures import Executor

    from energysim.find.scan import Scan
    from energysim.results_odds import Chance
    from energysim.scenario.load import LoadedScenario

    Progress = Callable[[int], None]

MEMBERS: Final = 512
"""Days run for every value: a chance of 90 % is counted to within 3 points. [count]"""


class _Task(NamedTuple):
    """One value to be tried; it can be sent to another process."""

    what: str
    loaded: LoadedScenario
    value: float
    leg: int | None
    members: int
    seed: int


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
    table = loaded.scenario.uncertainty or Uncertainty.model_validate({})
    day = build_day(loaded, in_full=False)
    drawn_out = leg_of(day, leg) if what == "longest-hold" else None
    now = planned_value(what, day, drawn_out)
    trials = _Trials(
        _Task(what, loaded, now, drawn_out, members, table.seed if seed is None else seed),
        executor,
        progress,
    )
    reference = reference_of(what, loaded, day)
    as_planned = trials.as_planned()
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
        seed=trials.task.seed,
        tried=tried,
    )


class _Trials:
    """The odds at one value after another; what was asked is kept."""

    def __init__(
        self, task: _Task, executor: Executor | None, progress: Progress | None
    ) -> None:
        self.task = task
        self.executor = executor
        self.progress = progress
        self.chances: dict[float, Chance] = {}
        self.refused: dict[float, str] = {}

    def as_planned(self) -> Tried:
        """Run the day as it stands, so that what is wrong with it is told."""
        task = self.task
        odds = run_odds(
            task.loaded, members=task.members, seed=task.seed, executor=self.executor
        )
        self.chances[task.value] = odds.whole_plan
        return Tried(value=task.value, chance=odds.whole_plan)

    def ask(self, values: Sequence[float]) -> list[float]:
        """Return the chances at some values; NaN where there is no such day."""
        new = [value for value in values if value not in self.chances]
        for value, came_to in zip(new, self._run(new), strict=True):
            if isinstance(came_to, str):
                self.refused[value] = came_to
            else:
                self.chances[value] = came_to
            if self.progress is not None:
                self.progress(len(self.chances) + len(self.refused))
        return [
            self.chances[value].chance if value in self.chances else nan for value in values
        ]

    def _run(self, values: Sequence[float]) -> Iterator[Chance | str]:
        """Yield what every value came to: a worker a value, or a value's blocks shared out."""
        tasks = [self.task._replace(value=value) for value in values]
        if self.executor is None or len(tasks) == 1:
            yield from (_try(task, self.executor) for task in tasks)
            return
        done = 0
        try:
            for came_to in self.executor.map(_try, tasks):
                yield came_to
                done += 1
        except BrokenExecutor:  # a worker has died; what it had is done here
            yield from (_try(task) for task in tasks[done:])


def _try(task: _Task, executor: Executor | None = None) -> Chance | str:
    """Return the chance at one value, or why there is no such day."""
    try:
        changes, shift_s = changes_for(task.what, task.loaded, task.value, leg=task.leg)
        odds = run_odds(
            changed(task.loaded, changes),
            members=task.members,
            seed=task.seed,
            shift_s=shift_s,
            executor=executor,
        )
    except ScenarioError as error:
        return f"{error.problems[0].path}: {error.problems[0].reason}"
    except FileError as error:
        return str(error)
    return odds.whole_plan


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
