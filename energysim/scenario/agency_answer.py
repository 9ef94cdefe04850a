"""
The shape the agency's JSON answers share: any case of keys, numbers as text, named units.

Depends on: errors, units.
"""

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from energysim.errors import Problem, ScenarioError
from energysim.units import unit_factor

_SYSTEM_UNITS = {"english": "knots", "metric": "cm/s"}  # of currents; winds have others


def load_json(text: str, *, file: str) -> dict[str, Any]:
    """
    Return the answer as a dictionary with small-letter keys at the top.

    Parameters
    ----------
    text : str
        The whole file.
    file : str
        Its name, for the problems.

    Returns
    -------
    dict
        Keys in small letters.

    Raises
    ------
    ScenarioError
        If it is not JSON, not an object, or an error message of the agency's.
    """
    try:
        loaded = json.loads(text)
    except json.JSONDecodeError as error:
        raise ScenarioError(
            Problem(
                file=file,
                line=error.lineno,
                column=error.colno,
                reason=f"is not whole JSON: {error.msg}",
            )
        ) from error
    if not isinstance(loaded, dict):
        raise ScenarioError(Problem(file=file, reason="holds a bare list, not an answer"))
    answer = small_keys(loaded)
    if "error" in answer:
        said = answer["error"]
        message = small_keys(said).get("message", said) if isinstance(said, dict) else said
        raise ScenarioError(
            Problem(
                file=file,
                value=str(message).strip(),
                reason="the agency answered with an error, not with predictions",
            )
        )
    return answer


def speed_factor(units: object, *, file: str, path: str) -> float:
    """
    Return metres a second in the unit an answer names, often beside one of length.

    Parameters
    ----------
    units : object
        What stands under "units", such as "feet, knots".
    file, path : str
        Where it stands, for the problem.

    Returns
    -------
    float
        Metres a second in one of its units. [m/s]

    Raises
    ------
    ScenarioError
        If no unit of speed is named: knots and cm/s cannot be told apart by size.
    """
    for part in reversed(str(units or "").split(",")):
        word = part.strip().lower()
        try:
            return unit_factor(_SYSTEM_UNITS.get(word, word), "speed")
        except ValueError:
            continue
    raise ScenarioError(
        Problem(
            file=file,
            path=path,
            value=units,
            reason="names no unit of speed, and knots cannot be told from cm/s without one",
            hint="it should read 'feet, knots' or 'meters, cm/s'",
        )
    )


def one_value(entries: Sequence[Mapping[str, Any]], key: str, *, file: str) -> float | None:
    """
    Return a value that every row repeats, or None where no row has it.

    Parameters
    ----------
    entries : sequence of mapping
        Rows, keys in small letters.
    key : str
        Which value.
    file : str
        The file's name, for the problem.

    Returns
    -------
    float or None
        The first row's.

    Raises
    ------
    ScenarioError
        If the rows disagree or it is not a number.
    """
    try:
        found = [number_at(entry, key) for entry in entries if entry.get(key) not in (None, "")]
    except ValueError as error:
        raise ScenarioError(Problem(file=file, reason=str(error))) from error
    if not found:
        return None
    if len(set(found)) > 1:
        raise ScenarioError(
            Problem(
                file=file,
                value=sorted(set(found)),
                reason=f"{key} differs from row to row; the file mixes places or depths",
                hint="fetch one station and one bin",
            )
        )
    return found[0]


def number_at(entry: Mapping[str, Any], key: str, missing: float | None = None) -> float:
    """
    Return a number that may be written as text.

    Parameters
    ----------
    entry : mapping
        A row, keys in small letters.
    key : str
        Which value.
    missing : float or None
        What an absent one counts as; None makes it an error.

    Returns
    -------
    float
        Finite.

    Raises
    ------
    ValueError
        If it is not a number.
    """
    value = entry.get(key)
    if value in (None, "") and missing is not None:
        return missing
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError) as error:
        raise ValueError(f"{key} is {value!r}, not a number") from error
    if not math.isfinite(number):
        raise ValueError(f"{key} is {value!r}, not a number")
    return number


def small_keys(mapping: Mapping[str, Any]) -> dict[str, Any]:
    """
    Return a dictionary with its keys in small letters.

    Parameters
    ----------
    mapping : mapping
        As loaded.

    Returns
    -------
    dict
        The same values.
    """
    return {str(key).lower(): value for key, value in mapping.items()}
