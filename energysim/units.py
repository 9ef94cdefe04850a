"""
Quantities as people write them ("17 ft 6 in", "80 lbf", "72 degF") to plain numbers.

The table of units is closed: one short list for each dimension, so that "lb" is a force where a
thrust is asked for and a mass where a weight is, and nothing is ever guessed. A number without
a unit is refused.

Depends on: unit_table, unit_format, errors.
"""

import math
import re
from typing import Final

from energysim.errors import RefusedValueError
from energysim.unit_format import format_quantity
from energysim.unit_table import DIMENSIONS, Dimension, dimension_named

__all__ = ["COMPASS_POINTS", "format_quantity", "known_units", "parse_quantity", "unit_factor"]

COMPASS_POINTS: Final = (
    *("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE"),
    *("S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"),
)
_POINT_WORDS: Final = {"north": "N", "east": "E", "south": "S", "west": "W"}

# What word processors and phones put in place of the plain signs.
_PLAIN_SIGNS: Final = str.maketrans(
    {
        "\u2212": "-",  # minus sign
        "\u00a0": " ",  # no-break spaces, wide and narrow
        "\u202f": " ",
        "\u00ba": "°",  # masculine ordinal, typed for a degree sign
        "\u2032": "'",  # prime and double prime
        "\u2033": '"',
        "\u00b2": "2",
        "\u2126": "ohm",
        "\u03a9": "ohm",
        "\u00b7": ".",
        "\u2103": "°C",
        "\u2109": "°F",
    }
)

_NUMBER: Final = (
    r"(?:[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?|[0-9]+\.?[0-9]*|\.[0-9]+)"
    r"(?:[eE][+-]?[0-9]+(?![0-9A-Za-z]))?"
)
_UNIT: Final = (
    r"[A-Za-z°'\"%](?:[A-Za-z°'\"/^. \-]*?[A-Za-z°'\"^])?"
    r"(?:2(?![0-9.]))?(?:\.(?![0-9]))?"  # the 2 of m2; the point of "ft."
)
_PART: Final = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>{_UNIT})\s*(?=[0-9.]|$)")
# Only for messages, so not compiled before there is one.
_BARE: Final = rf"[+-]?\s*{_NUMBER}"
_DECIMAL_COMMA: Final = r"[+-]?\s*[0-9]*,[0-9]*"


def parse_quantity(text: str, dimension: str) -> float:
    """
    Return the number a written quantity stands for, so that the program never meets a unit.

    Parameters
    ----------
    text : str
        What the user wrote: "15 kn", "17 ft 6 in", "1,200 W", "SSW".
    dimension : str
        A key of `unit_table.DIMENSIONS`, the kind of quantity that is wanted.

    Returns
    -------
    value : float
        In SI, apart from the house units of hours-based ratings: charge in Ah, energy in Wh,
        angle in degrees, temperature in degrees Celsius.

    Raises
    ------
    RefusedValueError
        (a ValueError) When there is no unit, no number, a unit that is unknown or belongs to
        another dimension, or a number that is not finite.

    Notes
    -----
    Only lengths, masses and times may be added up ("17 ft 6 in"), from the large unit to the
    small, whole numbers before the last part, each part less than one of the unit before it.
    A comma separates thousands only; "1,5 m" is refused rather than guessed.

    Examples
    --------
    >>> round(parse_quantity("17 ft 6 in", "length"), 4)
    5.334
    >>> parse_quantity("south-west", "angle")
    225.0
    """
    kind = dimension_named(dimension)
    plain = text.translate(_PLAIN_SIGNS).strip()
    if not plain:
        raise RefusedValueError("there is nothing here", f"write {_such_as(kind)}")
    if dimension == "angle":
        bearing_deg = _compass_point_deg(plain)
        if bearing_deg is not None:
            return bearing_deg
    sign, body = (-1.0, plain[1:]) if plain[0] == "-" else (1.0, plain.removeprefix("+"))
    parts = _split(body, text, kind)
    if len(parts) == 1:
        number, unit = parts[0]
        factor = _factor(unit, dimension)
        value = (sign * number - kind.offsets.get(unit, 0.0)) * factor
    else:
        value = sign * _add_up(parts, text, dimension)
    if not math.isfinite(value):
        raise RefusedValueError(f"{_quoted(text)} is too large a number")
    return value


def unit_factor(unit: str, dimension: str) -> float:
    """
    Return how many house units one `unit` is, for columns whose unit stands in their header.

    Parameters
    ----------
    unit : str
        A spelling such as "knots" or "cm/s".
    dimension : str
        A key of `unit_table.DIMENSIONS`.

    Returns
    -------
    factor : float
        Multiply a number in `unit` by this.

    Raises
    ------
    RefusedValueError
        (a ValueError) When the unit is unknown, of another dimension, or a temperature scale
        with another zero (a factor alone would be wrong there).

    Examples
    --------
    >>> unit_factor("cm/s", "speed")
    0.01
    """
    kind = dimension_named(dimension)
    name = unit.translate(_PLAIN_SIGNS).strip()
    factor = _factor(name, dimension)
    if kind.offsets.get(name, 0.0) != 0.0:
        raise RefusedValueError(
            f"{_quoted(unit)} has another zero than degC, so no single factor converts it",
            "give the numbers in degC",
        )
    return factor


def known_units(dimension: str) -> tuple[str, ...]:
    """Return the spellings worth naming for a dimension, the usual ones first."""
    return dimension_named(dimension).shown


def _split(body: str, text: str, kind: Dimension) -> list[tuple[float, str]]:
    """Cut "17 ft 6 in" into numbers and units, or say what stops it."""
    parts: list[tuple[float, str]] = []
    place = 0
    while place < len(body) or not parts:
        match = _PART.match(body, place)
        if match is None:
            raise _unreadable(body, text, kind)
        parts.append((float(match["number"].replace(",", "")), match["unit"].rstrip(".")))
        place = match.end()
    if any(re.match(r"0+,", part) for part in body.split()):
        raise _unreadable(body, text, kind)
    return parts


def _unreadable(body: str, text: str, kind: Dimension) -> RefusedValueError:
    """Say in plain words why no number with a unit stands here."""
    such_as = f"write {_such_as(kind)}"
    bare = re.fullmatch(_BARE, body.strip())
    comma = re.match(_DECIMAL_COMMA, body.strip())
    if comma is not None and (bare is None or re.match(r"[+-]?0+,", body.strip())):
        return RefusedValueError(
            f"{_quoted(text)} has a comma that does not separate thousands",
            "write decimals with a point, as in 1.5",
        )
    if bare is not None:
        return RefusedValueError(f"{_quoted(text)} has no unit", such_as)
    if re.match(r"(nan|inf)", body.strip(), re.IGNORECASE):
        return RefusedValueError(f"{_quoted(text)} is not a number one can use", such_as)
    if re.search(r"[0-9]", body):
        return RefusedValueError(f"{_quoted(text)} cannot be read as {kind.noun}", such_as)
    return RefusedValueError(f"{_quoted(text)} has no number", such_as)


def _factor(unit: str, dimension: str) -> float:
    """Look a unit up, and name the nearest one or its real dimension when it is not there."""
    kind = DIMENSIONS[dimension]
    if unit in kind.factors:
        return kind.factors[unit]
    wanted = f"{kind.noun} is wanted, {_such_as(kind, short=True)}"
    elsewhere = [other.noun for other in DIMENSIONS.values() if unit in other.factors]
    if elsewhere:
        raise RefusedValueError(f"{_quoted(unit)} is {' or '.join(elsewhere)}", wanted)
    if dimension == "angle" and re.fullmatch(r"(deg|°)\s*(M|mag|magnetic)", unit):
        raise RefusedValueError(
            f"{_quoted(unit)} is a magnetic bearing", "add the variation and give it true"
        )
    folded = [name for name in kind.factors if name.casefold() == unit.casefold()]
    from difflib import get_close_matches  # noqa: PLC0415 - start-up

    nearest = folded or get_close_matches(unit[:40], list(kind.factors), n=1, cutoff=0.5)
    choices = ", ".join(kind.shown)
    hint = f"did you mean {nearest[0]!r}, of {choices}?" if nearest else f"use {choices}"
    raise RefusedValueError(f"{_quoted(unit)} is not a unit of {_short_noun(kind)}", hint)


def _add_up(parts: list[tuple[float, str]], text: str, dimension: str) -> float:
    """Sum a compound quantity, large unit to small."""
    kind = DIMENSIONS[dimension]
    factors = [_factor(unit, dimension) for _, unit in parts]
    addable = {kind.factors[name] for name in kind.compound}
    if not addable:
        raise RefusedValueError(
            f"{_quoted(text)} holds more than one number", f"write {_such_as(kind)}"
        )
    total = 0.0
    for position, (number, unit) in enumerate(parts):
        factor = factors[position]
        last = position == len(parts) - 1
        if factor not in addable:
            raise RefusedValueError(
                f"{_quoted(unit)} cannot be part of a sum in {_quoted(text)}"
            )
        if not last and not number.is_integer():
            raise RefusedValueError(
                f"{_quoted(text)} has a fraction before its last part", "use one unit instead"
            )
        if position and factor >= factors[position - 1]:
            raise RefusedValueError(
                f"{_quoted(text)} does not go from the large unit to the small",
                f"write {_such_as(kind)}",
            )
        if position and number * factor >= factors[position - 1] * (1.0 - 1e-12):
            raise RefusedValueError(
                f"{_quoted(text)} has {number:g} {unit}, which is a whole "
                f"{parts[position - 1][1]} or more"
            )
        total += number * factor
    return total


def _compass_point_deg(text: str) -> float | None:
    """Read "SSW", "south-west" or "south south west"; None when it is something else."""
    letters = re.sub(r"[\s\-]+", "", text).lower()
    for word, letter in _POINT_WORDS.items():
        letters = letters.replace(word, letter.lower())
    point = letters.upper()
    return COMPASS_POINTS.index(point) * 22.5 if point in COMPASS_POINTS else None


def _such_as(kind: Dimension, *, short: bool = False) -> str:
    """Give a ready example: "a speed such as '15 kn'"."""
    return f"e.g. {kind.example!r}" if short else f"{kind.noun} such as {kind.example!r}"


def _short_noun(kind: Dimension) -> str:
    """Drop the article: "a speed" -> "speed"."""
    return kind.noun.split(" ", 1)[1]


def _quoted(text: str) -> str:
    """Quote the user's words, cut to a length that fits a line."""
    return repr(text if len(text) <= 40 else text[:37] + "...")
