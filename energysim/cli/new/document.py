"""
Answers as a scenario file with a comment beside every key.

The comments are the scenario's own descriptions of its keys, so they cannot fall behind it.

Depends on: scenario, build, errors.
"""

from __future__ import annotations

import json
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from energysim.build import build_day
from energysim.errors import ScenarioError
from energysim.scenario.load import LoadedScenario, located, validate
from energysim.scenario.model import Scenario
from energysim.scenario.syntax import parse_toml
from energysim.scenario.table import fields_by_key, table_of

if TYPE_CHECKING:
    from collections.abc import Container, Iterator, Mapping

    from energysim.plan import DayPlan
    from energysim.scenario.table import ScenarioTable

HEAD: Final = """\
# A day on the water, for energysim. Change any line and run it again.
# Quantities stand in quotes with their unit, any unit: "17 ft 6 in" or "5.3 m".
# Keys that are left out have a default; the answer lists every one it took.
"""
COMMENT_COLUMN: Final = 34


def scenario_text(raw: Mapping[str, Any]) -> str:
    """Return a raw scenario as a TOML file, in the order of the scenario's own tables."""
    lines = [*HEAD.splitlines(), ""]
    fields = fields_by_key(Scenario)
    lines += _keys({key: raw[key] for key in fields if _is_plain(raw.get(key))}, Scenario)
    for key, (_, field) in fields.items():
        table = table_of(field)
        if key in raw and table is not None:
            lines += _tables(key, raw[key], table, field.description or "")
    return "\n".join(lines) + "\n"


def checked(text: str, *, name: str) -> DayPlan:
    """
    Return the day a scenario text stands for, read as a file would be.

    Raises
    ------
    ScenarioError
        It is not a day; with the place in the text.
    """
    raw, problems = parse_toml(text)
    if problems:
        raise located(ScenarioError(problems), source_text=text, name=name)
    try:
        scenario = validate(raw)
    except ScenarioError as error:
        raise located(error, source_text=text, name=name) from None
    return build_day(LoadedScenario(scenario=scenario, raw=raw, source_text=text, path=None))


def _is_plain(value: object) -> bool:
    return value is not None and not isinstance(value, dict | list)


def _tables(
    path: str,
    value: Any,
    table: type[ScenarioTable],
    about: str,
) -> Iterator[str]:
    """Write a table, or the rows of a list of tables; each key has its comment once."""
    explained: set[str] = set()
    for number, row in enumerate(value if isinstance(value, list) else [value]):
        header = f"[[{path}]]" if isinstance(value, list) else f"[{path}]"
        yield ""
        yield header if number else _with_comment(header, about)
        plain = {key: inner for key, inner in row.items() if _is_plain(inner)}
        yield from _keys(plain, table, explained)
        explained.update(plain)
        for key, (_, field) in fields_by_key(table).items():
            inner_table = table_of(field)
            if key in row and inner_table is not None:
                about_inner = field.description or ""
                yield from _tables(f"{path}.{key}", row[key], inner_table, about_inner)


def _keys(
    values: Mapping[str, Any], table: type[ScenarioTable], explained: Container[str] = ()
) -> Iterator[str]:
    """Write plain keys in the table's own order, with comments where there were none yet."""
    for key, (_, field) in fields_by_key(table).items():
        if key in values:
            line = f"{key} = {_value(values[key])}"
            yield line if key in explained else _with_comment(line, field.description or "")


def _with_comment(line: str, comment: str) -> str:
    return f"{line:<{COMMENT_COLUMN}}# {comment}" if comment else line


def _value(value: object) -> str:
    """Write one value as TOML does; in text JSON and TOML differ only here."""
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, date):
        return value.isoformat()
    return json.dumps(value)
