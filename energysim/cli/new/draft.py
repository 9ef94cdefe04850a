"""
The day so far: accepted answers laid over a whole invented day, tried like any scenario.

Because the rest of the day is there from the start, every answer meets the scenario's own rules
at once, and the reason it is refused is the one a file would have been refused with.

Depends on: scenario, build, errors, cli.new.prompt.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from energysim.build import build_day
from energysim.errors import ScenarioError
from energysim.scenario.load import LoadedScenario, validate
from energysim.scenario.overlay import overlay

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from energysim.cli.new.prompt import Prompt
    from energysim.errors import Problem
    from energysim.scenario.model import Scenario


class Draft:
    """A raw scenario that is valid at every moment."""

    def __init__(self, raw: Mapping[str, Any]) -> None:
        self.raw = dict(raw)
        self.scenario: Scenario = validate(self.raw)

    def lay(self, changes: Mapping[str, Any]) -> None:
        """
        Take answers over, or refuse them.

        Parameters
        ----------
        changes : mapping
            From a path ("boat.length") to its value; None takes the key away.

        Raises
        ------
        ScenarioError
            When the day would no longer be valid; it stays as it was.
        """
        raw = overlay(self.raw, changes)
        self.scenario, self.raw = validate(raw), raw

    def put(self, table: str, value: object) -> None:
        """Take a whole table over in place of what stands there; None takes the table away."""
        raw = {key: inner for key, inner in self.raw.items() if key != table}
        if value is not None:
            raw[table] = value
        self.scenario, self.raw = validate(raw), raw

    def misfits(self, tables: Sequence[str]) -> list[Problem]:
        """
        Return what does not fit together, as far as these tables are to blame.

        Parameters
        ----------
        tables : sequence of str
            The tables that are answered; a default of the others is nobody's fault yet.
        """
        loaded = LoadedScenario(
            scenario=self.scenario, raw=self.raw, source_text="", path=Path("new")
        )
        try:
            build_day(loaded)
        except ScenarioError as error:
            placeless = [
                replace(problem, file="", line=None, column=None) for problem in error.problems
            ]
            return [
                problem
                for problem in placeless
                if problem.path.split(".")[0].split("[")[0] in tables
            ]
        return []


def ask_key(prompt: Prompt, draft: Draft, path: str, question: str, example: str = "") -> None:
    """Ask for one key of the scenario; its present value is the default."""
    table, _, key = path.partition(".")
    prompt.ask(
        question,
        default=str(draft.raw[table][key]),
        read=lambda answer: draft.lay({path: answer}),
        example=example,
        key=path,
    )
