"""
The odds of a plan at one value after another, all on the same draws; what was asked is kept.

Depends on: scenario, build, errors, odds, results.find, sharing, find.questions.
"""

from __future__ import annotations

from math import nan
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.build.members import plan_members
from energysim.build.stream import stream_course
from energysim.build.timeline import build_timeline
from energysim.errors import FileError, ScenarioError
from energysim.find.questions import QUESTIONS, changes_for
from energysim.odds import run_odds
from energysim.odds.table import table_of_days
from energysim.results.find import Tried
from energysim.scenario.whatif import changed
from energysim.sharing import shared

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from concurrent.futures import Executor

    from energysim.physics.response_table import HoldTable
    from energysim.results.odds import Chance
    from energysim.scenario.load import LoadedScenario

    Progress = Callable[[int], None]


REACH_S: Final = 24.0 * 3600.0
"""No start, and no hold drawn out, asks for a tide further from the plan. [s]"""


class Asked(NamedTuple):
    """What is asked at every value; it can be sent to another process."""

    what: str
    loaded: LoadedScenario
    leg: int | None  # that is drawn out, from 0
    members: int
    seed: int
    table: HoldTable | None  # of the boat, where every value has the same one


class Trials:
    """The chances found so far, by value, and why some values have none."""

    def __init__(
        self, asked: Asked, executor: Executor | None, progress: Progress | None
    ) -> None:
        self.asked = asked
        self.executor = executor
        self.progress = progress
        self.chances: dict[float, Chance] = {}
        self.refused: dict[float, str] = {}

    def as_planned(self, value: float) -> Tried:
        """Run the day as it stands, so that what is wrong with it is told; that is a value."""
        asked = self.asked
        odds = run_odds(
            asked.loaded,
            members=asked.members,
            seed=asked.seed,
            table=asked.table,
            executor=self.executor,
        )
        self.chances[value] = odds.whole_plan
        return Tried(value=value, chance=odds.whole_plan)

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
        if len(values) == 1:
            yield _try(self.asked, values[0], executor=self.executor)
            return
        yield from shared(_try, ((self.asked, value) for value in values), self.executor)


def boats_table(
    what: str, loaded: LoadedScenario, *, values: int, members: int
) -> HoldTable | None:
    """
    Return one table of the boat for all values of a question; None where none is shared.

    Parameters
    ----------
    what : str
        A key of `QUESTIONS`.
    loaded : LoadedScenario
        The day as planned.
    values, members : int
        How many values will be tried, at least, and of how many members each.
    """
    if what == "smallest-capacity":  # a larger bank is heavier: another boat
        return None
    scenario = loaded.scenario
    plan = plan_members(loaded, seed=0, members=1, from_table=False)
    timeline = build_timeline(scenario, shift_s=0.0, shorten=None)
    course = stream_course(scenario, timeline, folder=loaded.folder, reach_s=REACH_S)
    fastest = 0.0
    if course is not None:
        scale = max(leg.stream_scale for leg in scenario.legs)
        fastest = scale * float(np.hypot(course.east_mps, course.north_mps).max())
    times = QUESTIONS[what].high if what == "most-stream" else 1.0
    return table_of_days(plan, days=values, members=members, most_stream_mps=times * fastest)


def _try(asked: Asked, value: float, *, executor: Executor | None = None) -> Chance | str:
    """Return the chance at one value, or why there is no such day."""
    try:
        changes, shift_s = changes_for(asked.what, asked.loaded, value, leg=asked.leg)
        odds = run_odds(
            changed(asked.loaded, changes),
            members=asked.members,
            seed=asked.seed,
            shift_s=shift_s,
            table=asked.table,
            executor=executor,
        )
    except ScenarioError as error:
        return f"{error.problems[0].path}: {error.problems[0].reason}"
    except FileError as error:
        return str(error)
    return odds.whole_plan
