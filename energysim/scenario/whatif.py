"""
A scenario with some keys changed, and a plan moved to another start.

Depends on: errors, clock, scenario.load, scenario.overlay, scenario.clock, scenario.timeline.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from energysim.clock import seconds_between
from energysim.errors import Problem, RefusedValueError, ScenarioError
from energysim.scenario.clock import resolve_clock
from energysim.scenario.load import LoadedScenario, validate
from energysim.scenario.model import Scenario
from energysim.scenario.overlay import overlay
from energysim.scenario.timeline import leg_times


def changed(loaded: LoadedScenario, changes: Mapping[str, Any]) -> LoadedScenario:
    """
    Return a scenario with some keys changed, validated again as a whole.

    Parameters
    ----------
    loaded : LoadedScenario
        The scenario as read.
    changes : mapping
        From a path ("bank.parallel", "leg[2].for") to the new value.

    Returns
    -------
    loaded : LoadedScenario
        With the changed scenario; the file's text and folder stay.

    Raises
    ------
    ScenarioError
        When the changed scenario is not valid; problems stand at the file's own places.
    """
    raw = overlay(loaded.raw, changes)
    try:
        return replace(loaded, raw=raw, scenario=validate(raw))
    except ScenarioError as error:
        raise ScenarioError([loaded.locate(problem) for problem in error.problems]) from None


def shift_to_start(scenario: Scenario, clock: str) -> float:
    """
    Return how many seconds later the whole plan must run to start at a clock time.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    clock : str
        When the first leg is to begin.

    Raises
    ------
    ScenarioError
        When the clock cannot be read or placed.
    """
    begin = leg_times(scenario.day, scenario.legs)[0].start
    try:
        wanted = resolve_clock(clock, scenario.day.date, scenario.day.timezone)
    except RefusedValueError as error:
        raise ScenarioError(
            Problem(path="--start", value=clock, reason=error.reason, hint=error.hint)
        ) from None
    return seconds_between(begin, wanted)
