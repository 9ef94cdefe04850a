"""
Validation errors in plain words: the user's own key, what stands there, why not, what to do.

Depends on: pydantic, errors, scenario.table, scenario.model, scenario.paths.
"""

from collections.abc import Iterator, Mapping
from datetime import date, time
from difflib import get_close_matches
from typing import Any, Final

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from energysim.errors import Problem, RefusedValueError
from energysim.scenario.fields import Quantity
from energysim.scenario.model import Scenario, table_at
from energysim.scenario.paths import Path, format_path
from energysim.scenario.table import FAULT_TYPE, ScenarioTable, fields_by_key, table_of
from energysim.unit_table import dimension_named

_LIMITS: Final = {
    "greater_than_equal": ("ge", "must be at least {:g}"),
    "greater_than": ("gt", "must be more than {:g}"),
    "less_than_equal": ("le", "must be at most {:g}"),
    "less_than": ("lt", "must be less than {:g}"),
}


def problems_of(error: ValidationError, raw: Mapping[str, Any]) -> list[Problem]:
    """
    Return every problem of a validation error, in plain words.

    Parameters
    ----------
    error : ValidationError
        From `Scenario.model_validate(raw)`.
    raw : mapping
        What was validated, to show the user's own words again.

    Returns
    -------
    problems : list of Problem
        In pydantic's order, without places in the file.
    """
    problems = []
    for line in error.errors(include_url=False):
        path = line["loc"]
        value = value_at(raw, path)
        if line["type"] == "too_short" and value:
            continue  # rows stand there; what is wrong with each is told of the row
        reason, hint = _worded(line, path, value)
        problems.append(
            Problem(path=format_path(path), value=_shown(value), reason=reason, hint=hint)
        )
    return problems


def value_at(raw: Any, path: Path) -> Any:
    """Return what stands at a path, or None."""
    for part in path:
        try:
            raw = raw[part]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def _shown(value: object) -> object:
    """Keep a value that fits in a message; dates and times as the user wrote them."""
    if isinstance(value, date | time):
        return str(value)
    return value if isinstance(value, str | int | float) else None


def _worded(line: ErrorDetails, path: Path, value: object) -> tuple[str, str]:
    """Give the reason and the hint for one error."""
    kind, context = line["type"], line.get("ctx", {})
    refusal = context.get("error")
    if kind == FAULT_TYPE:
        words = context["reason"], context["hint"]
    elif isinstance(refusal, RefusedValueError):
        words = refusal.reason, refusal.hint
    elif kind == "extra_forbidden":
        words = "is not a key of this table", _hint_for_unknown(path)
    elif kind == "missing":
        words = _missing(path)
    elif kind in _LIMITS:
        name, limit = _LIMITS[kind]
        words = limit.format(context[name]), ""
    elif kind == "literal_error":
        words = "is not one of the choices", f"choose {context['expected']}"
    elif kind in {"float_type", "int_type", "int_from_float", "finite_number"}:
        words = _number_wanted(kind, value)
    elif kind == "bool_type":
        words = "must be true or false", "without quotes"
    elif kind in {"string_type", "string_too_short"}:
        words = ("is empty" if value == "" else "must be text in quotes"), ""
    else:
        words = _shape(kind, path) or (line["msg"][:1].lower() + line["msg"][1:], "")
    return words


def _number_wanted(kind: str, value: object) -> tuple[str, str]:
    """Ask for a bare number."""
    whole = "whole " if kind.startswith("int") else ""
    hint = ""
    if isinstance(value, str) and value.strip().endswith("%"):
        hint = "write 50 % as 0.5"
    elif isinstance(value, str):
        hint = "it has no unit and takes no quotes"
    return f"must be a plain {whole}number", hint


def _shape(kind: str, path: Path) -> tuple[str, str] | None:
    """Name a table where a list is wanted, or the other way round."""
    name = format_path(path)
    header = ".".join(part for part in path if isinstance(part, str))
    if kind == "tuple_type":
        return "is one table where a list of them is wanted", f"write [[{header}]]"
    if kind == "model_type":
        if path and isinstance(path[-1], int):
            return "is a plain value where a table is wanted", f"write [[{header}]]"
        return "is not one table", f"write [{header}], once, and its keys below it"
    if kind == "too_short":
        return "is an empty list", f"add at least one [[{name}]]"
    return None


def _missing(path: Path) -> tuple[str, str]:
    """Say what belongs at a required key."""
    table = table_at(path[:-1])
    field = fields_by_key(table)[str(path[-1])][1] if table else None
    if field is None:
        return "is missing", ""
    child = table_of(field)
    if child is not None:
        brackets = "[[{}]]" if "tuple" in str(field.annotation) else "[{}]"
        return "this table is missing", f"add {brackets.format(format_path(path))}"
    example = next(
        (
            f', such as "{dimension_named(item.dimension).example}"'
            for item in field.metadata
            if isinstance(item, Quantity)
        ),
        "",
    )
    return "is missing", f"{(field.description or '').rstrip('.')}{example}"


def _hint_for_unknown(path: Path) -> str:
    """Name the nearest key of the table, or the table the key belongs to."""
    table = table_at(path[:-1])
    if table is None:
        return ""
    key, keys = str(path[-1]), list(fields_by_key(table))
    called = table.also_called.get(key.casefold())
    if called is not None:
        return f"did you mean {called!r}?"
    nearest = get_close_matches(key[:40], keys, n=1, cutoff=0.7)
    if nearest:
        return f"did you mean {nearest[0]!r}?"
    elsewhere = [name for name, found in _all_tables() if key in fields_by_key(found)]
    if elsewhere:
        return f"it belongs in {' or '.join(elsewhere)}"
    return f"the keys here are {', '.join(keys)}"


def _all_tables() -> Iterator[tuple[str, type[ScenarioTable]]]:
    """Yield every table with its header."""
    for key, (_, field) in fields_by_key(Scenario).items():
        table = table_of(field)
        if table is not None:
            yield (f"[[{key}]]" if key == "leg" else f"[{key}]"), table
