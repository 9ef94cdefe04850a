"""
The columns of a file of batteries: what each is called, what may stand in it, in which unit.

Depends on: catalogue, units, errors.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, Final, NamedTuple

from energysim.catalogue import chemistry
from energysim.errors import RefusedValueError, ScenarioError
from energysim.units import unit_factor

if TYPE_CHECKING:
    from collections.abc import Mapping

_NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
_NUMBER: Final = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_TITLE: Final = re.compile(r"(?P<name>[^(\[]*?)\s*(?:[(\[]\s*(?P<unit>[^)\]]*?)\s*[)\]])?")


class Number(NamedTuple):
    """A column of numbers: its kind, its house unit, and limits that catch slips (ours)."""

    dimension: str
    unit: str  # as people write it; in small letters it ends the column's name
    low: float
    high: float
    needed: bool = True

    @property
    def suffix(self) -> str:
        """What a name in this unit ends in."""
        return self.unit.lower()


NUMBERS: Final[Mapping[str, Number]] = {
    "voltage": Number("voltage", "V", 1.0, 120.0),
    "capacity": Number("charge", "Ah", 1.0, 5000.0),
    "rated_time": Number("time", "h", 1.0, 100.0),
    "reserve": Number("time", "min", 5.0, 2880.0, needed=False),
    "mass": Number("mass", "kg", 0.2, 500.0),
    "length": Number("length", "m", 0.03, 2.0),
    "width": Number("length", "m", 0.03, 2.0),
    "height": Number("length", "m", 0.03, 2.0),
}
WORDS: Final = {"name": True, "case": False, "chemistry": True, "source": False}


@dataclass(frozen=True, slots=True)
class Column:
    """What one column holds, and how many house units one of its unit is."""

    key: str
    factor: float = 1.0


def read_title(title: str) -> Column:
    """Return the column a title names."""
    found = _TITLE.fullmatch(title)
    name = re.sub(r"[\s-]+", "_", found["name"]).lower() if found else title
    unit = found["unit"] if found else None
    for key, number in NUMBERS.items():
        if name == f"{key}_{number.suffix}" and unit is None:
            return Column(key)
        if name == key and not unit:
            raise RefusedValueError(
                "has no unit", f"write {key}_{number.suffix}, or '{key} [{number.unit}]'"
            )
        if name == key and unit:
            house = unit_factor(number.unit, number.dimension)
            return Column(key, unit_factor(unit, number.dimension) / house)
    if name in WORDS and unit is None:
        return Column(name)
    near = get_close_matches(name, [*WORDS, *NUMBERS], n=1)
    hint = f"did you mean {near[0]!r}? " if near else ""
    raise RefusedValueError("is not a column of this list", f"{hint}{expected_form()}")


def read_word(text: str, key: str) -> str:
    """Return a cell of words, checked against what it may say."""
    if not text:
        raise RefusedValueError("is empty")
    if key == "name" and not _NAME.fullmatch(text):
        raise RefusedValueError(
            "is not a plain name", "letters, digits, '-', '_' and '.': my-31-agm"
        )
    if key == "chemistry":
        try:
            chemistry(text)
        except ScenarioError as error:
            (problem,) = error.problems
            raise RefusedValueError(problem.reason, problem.hint) from None
    return text


def read_number(text: str, column: Column) -> float | None:
    """Return a cell of numbers in the house unit of its column."""
    kind = NUMBERS[column.key]
    if not text:
        if kind.needed:
            raise RefusedValueError("is empty", f"write the {column.key}")
        return None
    if not _NUMBER.fullmatch(text):
        raise RefusedValueError("is not a plain number", "the unit stands in the first row")
    value = float(text) * column.factor
    if not kind.low <= value <= kind.high:
        raise RefusedValueError(
            f"is {value:g} {kind.unit}, outside {kind.low:g} to {kind.high:g}",
            "is the unit in the first row the right one?",
        )
    return value


def expected_form() -> str:
    """Say which columns there have to be."""
    needed = [key for key, must in WORDS.items() if must]
    needed += [f"{key}_{kind.suffix}" for key, kind in NUMBERS.items() if kind.needed]
    return f"the columns are {','.join(needed)}; case, reserve_min and source may be added"
