"""
From a scenario file to a checked scenario, or to every problem in it at once.

Depends on: errors, text_file, scenario.listed_names, scenario.model, scenario.overlay,
scenario.paths, scenario.positions, scenario.syntax, scenario.wording.
"""

import sys
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

from pydantic import ValidationError

from energysim.errors import Problem, RefusedValueError, ScenarioError
from energysim.scenario.listed_names import name_problems
from energysim.scenario.model import Scenario, is_known_key
from energysim.scenario.overlay import overlay
from energysim.scenario.paths import parse_path
from energysim.scenario.syntax import parse_toml
from energysim.text_file import decoded, read_text

if TYPE_CHECKING:
    from energysim.scenario.positions import Place

__all__ = ["LoadedScenario", "load_scenario", "located", "overlay", "validate"]

STANDARD_INPUT: Final = "-"
_WHAT: Final = "a scenario file"
_MOST_MB: Final = 5  # a day is a few kilobytes; this is not a scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedScenario:
    """A scenario with everything needed to talk about it in the user's own terms."""

    scenario: Scenario
    raw: dict[str, Any]  # what the file says, before anything was read into it
    source_text: str
    path: Path | None  # None when it came from standard input

    @property
    def folder(self) -> Path:
        """Where the files named in the scenario are looked for."""
        return self.path.parent if self.path is not None else Path.cwd()

    @property
    def positions(self) -> "dict[tuple[str | int, ...], Place]":
        """Where each key stands; worked out when asked for."""
        from energysim.scenario.positions import find_positions  # noqa: PLC0415 - start-up

        return find_positions(self.source_text)

    def locate(self, problem: Problem) -> Problem:
        """Return a problem that has a path only, with its file, line and column filled in."""
        return _located(problem, self.source_text, _name(self.path))


def load_scenario(path: Path | str | Literal["-"]) -> LoadedScenario:
    """
    Return the scenario a file holds, checked as far as the file alone can be.

    Parameters
    ----------
    path : Path or str
        The file; "-" reads standard input.

    Returns
    -------
    loaded : LoadedScenario
        The scenario, the raw file, and its folder.

    Raises
    ------
    ScenarioError
        With every problem found, each with file, line, column, path, value, reason and hint.
    FileError
        When there is no such file, or it cannot be read as text.
    """
    place = None if str(path) == STANDARD_INPUT else Path(path)
    name = _name(place)
    text = _read(place)
    if not text.strip():
        raise ScenarioError(
            Problem(file=name, reason="is empty", hint="a day begins with [day]")
        )
    raw, problems = parse_toml(text)
    if problems:
        raise ScenarioError([replace(problem, file=name) for problem in problems])
    scenario, problems = None, list(name_problems(raw))
    try:
        scenario = validate(raw)
    except ScenarioError as error:
        problems += error.problems
    if scenario is None or problems:
        raise located(ScenarioError(problems), source_text=text, name=name)
    return LoadedScenario(scenario=scenario, raw=raw, source_text=text, path=place)


def validate(raw: Mapping[str, Any]) -> Scenario:
    """
    Return the scenario a raw file stands for.

    Parameters
    ----------
    raw : mapping
        As the TOML parser gives it, or `overlay` makes it.

    Returns
    -------
    scenario : Scenario
        Frozen, in house units.

    Raises
    ------
    ScenarioError
        With every problem, without places in a file.
    """
    try:
        return Scenario.model_validate(raw)
    except ValidationError as error:
        from energysim.scenario.wording import problems_of  # noqa: PLC0415 - start-up

        raise ScenarioError(problems_of(error, raw)) from None


def located(error: ScenarioError, *, source_text: str, name: str) -> ScenarioError:
    """
    Return the same error with the places of its problems, in the order of the file.

    Parameters
    ----------
    error : ScenarioError
        Problems that have a path, and no file yet.
    source_text : str
        The scenario file.
    name : str
        What to call it.

    Returns
    -------
    error : ScenarioError
        Problems that name a file already are kept as they are, after the others.
    """
    placed = [_located(problem, source_text, name) for problem in error.problems]
    return ScenarioError(
        sorted(
            placed,
            key=lambda problem: (
                problem.file != name,
                problem.line or 0,
                problem.column or 0,
            ),
        )
    )


def _located(problem: Problem, source_text: str, name: str) -> Problem:
    """Fill in file, line and column from the path; a missing key gets its table's header."""
    if problem.file:
        return problem
    try:
        path = parse_path(problem.path) if problem.path else ()
    except RefusedValueError:
        path = ()
    from energysim.scenario.positions import find_positions  # noqa: PLC0415 - start-up

    places = find_positions(source_text)
    if path in places:
        # A key that should not be there is pointed at itself, a wrong value at the value.
        position = places[path].value if is_known_key(path) else places[path].key
        return replace(problem, file=name, line=position.line, column=position.column)
    while path and path not in places:
        path = path[:-1]
    if not path:
        return replace(problem, file=name, line=1)
    header = places[path].key
    return replace(problem, file=name, line=header.line, column=header.column)


def _name(path: Path | None) -> str:
    """Return what messages call the file."""
    return "standard input" if path is None else str(path)


def _read(path: Path | None) -> str:
    """Return the text with plain line ends, or say why not."""
    if path is None:
        content = sys.stdin.buffer.read(_MOST_MB * 1_000_000 + 1)
        text = decoded(content, _name(None), what=_WHAT, most_mb=_MOST_MB)
    else:
        text = read_text(path, what=_WHAT, most_mb=_MOST_MB)
    return text.replace("\r\n", "\n")
