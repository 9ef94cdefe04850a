"""
Another option for the same day: a few keys laid over what the file says.

The overlay works on the raw file, before validation, so that a slip in an option is caught the
same way as a slip in the file.

Depends on: errors, scenario.paths.
"""

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from energysim.errors import Problem, RefusedValueError, ScenarioError
from energysim.scenario.paths import Path, format_path, parse_path


def overlay(raw: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """
    Return a copy of a raw scenario with some keys changed, ready to validate.

    Parameters
    ----------
    raw : mapping
        What a scenario file says.
    changes : mapping
        From a path ("bank.parallel", "leg[2].for") to the new value. A table is laid over
        the table there, key by key; a list replaces the list; None takes the key away.

    Returns
    -------
    changed : dict
        Shares nothing with `raw`.

    Raises
    ------
    ScenarioError
        When a path leads through something that is no table, or to a row that is not there.

    Examples
    --------
    >>> overlay({"bank": {"series": 2}}, {"bank.parallel": 2})
    {'bank': {'series': 2, 'parallel': 2}}
    """
    changed = deepcopy(dict(raw))
    problems: list[Problem] = []
    for spelt, value in changes.items():
        try:
            _lay(changed, parse_path(spelt), deepcopy(value))
        except RefusedValueError as error:
            problems.append(Problem(path=spelt, reason=error.reason, hint=error.hint))
    if problems:
        raise ScenarioError(problems)
    return changed


def _lay(raw: dict[str, Any], path: Path, value: Any) -> None:
    """Set one value."""
    place: Any = raw
    for number, part in enumerate(path[:-1]):
        ahead = path[number + 1]
        _check_step(place, part, path[: number + 1])
        if isinstance(part, str) and part not in place:
            place[part] = {} if isinstance(ahead, str) else []
        place = place[part]
    last = path[-1]
    _check_step(place, last, path)
    if value is None and isinstance(last, str):
        place.pop(last, None)
    elif isinstance(value, Mapping) and isinstance(_present(place, last), dict):
        for key, inner in value.items():
            _lay(place[last], parse_path(key), inner)
    else:
        place[last] = value


def _present(place: Any, part: str | int) -> Any:
    """Return what stands there now, or None."""
    return place.get(part) if isinstance(place, dict) else place[part]


def _check_step(place: Any, part: str | int, path: Path) -> None:
    """Refuse a step the file does not have."""
    before = format_path(path[:-1]) or "the file"
    if isinstance(part, str):
        if not isinstance(place, dict):
            raise RefusedValueError(f"{before} is no table, so it has no {part!r}")
    elif not isinstance(place, list):
        raise RefusedValueError(f"{before} is no list, so it has no places")
    elif part >= len(place):
        raise RefusedValueError(f"{before} has {len(place)} rows, so there is no {part + 1}")
