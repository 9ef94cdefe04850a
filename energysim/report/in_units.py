"""
Sentences of the model turned into the reader's units, and made sentences where they were notes.

The laws write their notes in the units they are known in. What is quoted (a name somebody
typed) stays as it is.

Depends on: units, unit_format.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from energysim.unit_format import format_quantity
from energysim.units import parse_quantity

if TYPE_CHECKING:
    from energysim.unit_format import System

# Unit -> dimension, and whose it is; "12 in" alone is not taken for one: see "8 in 10".
_UNITS: Final[dict[str, tuple[str, System]]] = {
    "degC": ("temperature", "metric"), "degF": ("temperature", "us"),
    "kg": ("mass", "metric"), "lb": ("mass", "us"),
    "N": ("force", "metric"), "lbf": ("force", "us"),
    "m": ("length", "metric"), "ft": ("length", "us"), "in": ("length", "us"),
}  # fmt: skip
_NUMBER: Final = r"(?<![\w.,/-])-?\d+(?:\.\d+)?"
_END: Final = r"(?![\w/^*])"
_FEET: Final = rf"{_NUMBER} ft(?: \d+(?:\.\d+)? in)?{_END}"
_OTHER: Final = rf"{_NUMBER} (?:degC|degF|kg|lbf|lb|N|m){_END}"
_INCHES: Final = rf"{_NUMBER} in{_END}"
_ALONE: Final = rf"{_FEET}|{_OTHER}"
_FOUND: Final = (
    rf"'[^']*'|(?P<first>{_ALONE}|{_INCHES}) \((?P<second>{_ALONE}|{_INCHES})\)"
    rf"|(?P<alone>{_ALONE})"
)
_KEY: Final = r"[a-z_](?:[.\w]|\[[\d,]+\])* = "


def in_units(text: str, *, system: System) -> str:
    """
    Return a sentence with its quantities in the reader's units.

    Parameters
    ----------
    text : str
        A sentence. A quantity told twice, "0.318 m (12.5 in)", is told once.
    system : {"us", "metric"}
        The units wanted.

    Examples
    --------
    >>> in_units("a typical 31-agm block: 110 Ah, 30.8 kg, at 14 degC", system="us")
    'a typical 31-agm block: 110 Ah, 68 lb, at 57 degF'
    >>> in_units("0.318 m (12.5 in) is usual in 8 in 10", system="us")
    '12.5 in is usual in 8 in 10'
    """

    def turned(found: re.Match[str]) -> str:
        pair = found["first"], found["second"]
        if all(pair) and _kind(pair[0])[0] == _kind(pair[1])[0]:
            mine = [one for one in pair if _kind(one)[1] == system]
            return mine[0] if len(mine) == 1 else found[0]
        return found[0] if found["alone"] is None else _one(found["alone"], system)

    return re.sub(_FOUND, turned, text)


def sentence(text: str, *, system: System) -> str:
    """
    Return a note as a sentence in the reader's units; a key and its value stay as in the file.

    Examples
    --------
    >>> sentence("the bank is as warm as the water, 14 degC", system="metric")
    'The bank is as warm as the water, 14 degC.'
    >>> sentence("boat.person_mass = 185 lb", system="metric")
    'boat.person_mass = 83.9 kg'
    >>> sentence("bank.tapped[1].string = 1", system="us")
    'bank.tapped[1].string = 1'
    """
    told = in_units(text, system=system)
    if re.match(_KEY, told):
        return told
    end = "" if told.endswith((".", "!", "?")) else "."
    return told[:1].upper() + told[1:] + end


def _kind(quantity: str) -> tuple[str, System]:
    """Return the dimension of a quantity, and whose unit it is in."""
    return _UNITS[quantity.rpartition(" ")[2]]


def _one(quantity: str, system: System) -> str:
    """Return one quantity in the reader's unit; one that is in it already as it stands."""
    dimension, whose = _kind(quantity)
    if whose == system:
        return quantity
    return format_quantity(parse_quantity(quantity, dimension), dimension, system=system)
