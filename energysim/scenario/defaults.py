"""
What a scenario leaves unsaid: every key the user left out, and what is assumed in its place.

Depends on: scenario.model, scenario.table, scenario.paths.
"""

from typing import NamedTuple

from energysim.scenario.model import Scenario
from energysim.scenario.paths import Path, format_path
from energysim.scenario.table import ScenarioTable, fields_by_key


class DefaultTaken(NamedTuple):
    """One assumption made for the user."""

    path: str  # "boat.people"
    text: str  # "2", "185 lb"
    doc: str  # what the key means


def defaults_taken(scenario: Scenario) -> list[DefaultTaken]:
    """
    Return every key the user left out that has a default, to be printed as an assumption.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    taken : list of DefaultTaken
        In the order of the tables. Keys without a value of their own when left out, and keys
        that mean nothing the way a table is filled in, are not assumptions.
    """
    return _taken(scenario, ())


def defaults_in_words(scenario: Scenario) -> tuple[str, ...]:
    """
    Return the defaults taken, a line each, the same key of several legs said once.

    Examples of a line: "boat.outboard = tilted", "leg[2,5].wind_shelter = 0".
    """
    rows: dict[tuple[str, str, str], list[str]] = {}
    for taken in defaults_taken(scenario):
        head, bracket, rest = taken.path.partition("[")
        place, _, tail = rest.partition("]") if bracket else ("", "", "")
        rows.setdefault((head, tail, taken.text), []).append(place)
    return tuple(
        f"{head}{'[' + ','.join(places) + ']' if places[0] else ''}{tail} = {text}"
        for (head, tail, text), places in rows.items()
    )


def _taken(table: ScenarioTable, path: Path) -> list[DefaultTaken]:
    """Collect one table and the tables inside it."""
    taken: list[DefaultTaken] = []
    unused = table.unused_keys()
    for key, (name, field) in fields_by_key(type(table)).items():
        value = getattr(table, name)
        if isinstance(value, ScenarioTable):
            taken += _taken(value, (*path, key))
        elif isinstance(value, tuple):
            for place, row in enumerate(value):
                if isinstance(row, ScenarioTable):
                    taken += _taken(row, (*path, key, place))
        elif (
            name not in table.model_fields_set
            and field.default is not None
            and key not in unused
        ):
            text = _as_written(field.default)
            taken.append(DefaultTaken(format_path((*path, key)), text, field.description or ""))
    return taken


def _as_written(value: object) -> str:
    """Spell a default as a file would, without quotes."""
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:g}" if isinstance(value, float) else str(value)
