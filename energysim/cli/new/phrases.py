"""
Answers in a few plain words ("creep 045 1.2 kn 1 h") as rows of a scenario.

Only the order of the words is read here. Every quantity goes on as text, so that the scenario's
own rules about units and limits are the only ones.

Depends on: errors.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import TYPE_CHECKING, Final

from energysim.errors import RefusedValueError

if TYPE_CHECKING:
    from collections.abc import Sequence

LEG_EXAMPLES: Final = {
    "run": "run 30 min",
    "hold": "hold 2 h at the outer mark",
    "creep": "creep 045 1.2 kn 1 h",
    "drift": "drift 0.7 kn until 13:30",
    "rest": "rest 1 h",
}

_SPEED: Final = r"[-+]?[\d.,]+\s*[^\W\d][^\s,]*"
_LENGTH: Final = r"(?:for\s+)?(?P<for>[-+]?[\d.].*)|(?:until|till)\s+(?P<until>.+)"
_WORDS_AFTER: Final = {
    "run": rf"(?:{_LENGTH})",
    "hold": rf"(?:{_LENGTH})",
    "rest": rf"(?:{_LENGTH})",
    "drift": rf"(?:at\s+)?(?P<drift_speed>{_SPEED}),?\s+(?:{_LENGTH})",
    "creep": rf"(?P<course>.+?),?\s+(?:at\s+)?(?P<speed>{_SPEED}),?\s+(?:{_LENGTH})",
}
_PLACE: Final = re.compile(r"\s+(?:at|on)\s+(?P<name>(?!\d)\S.*)$", re.IGNORECASE)
_WIND: Final = re.compile(
    rf"(?P<speed>{_SPEED}),?\s+(?:from\s+)?(?P<from>.+?)"
    r"(?:,?\s+gust(?:s|ing)?(?:\s+(?:to|of))?\s+(?P<gust>.+))?",
    re.IGNORECASE,
)
_STREAM: Final = re.compile(
    rf"(?P<speed>{_SPEED}),?\s+(?:(?:sets?\s+)?(?:to|towards?)\s+|sets?\s+)?(?P<toward>.+)",
    re.IGNORECASE,
)
_EVENT: Final = re.compile(
    r"(?P<at>\S.*?),?\s+(?:max(?:imum)?\s+)?(?P<kind>slack|flood|ebb),?(?:\s+(?P<speed>.+))?",
    re.IGNORECASE,
)


def bearing(text: str) -> str:
    """
    Return a direction with its unit; a bare number is degrees, as charts and radios have it.

    Examples
    --------
    >>> bearing("045"), bearing("SW")
    ('045 deg', 'SW')
    """
    plain = text.strip()
    return f"{plain} deg" if re.fullmatch(r"\d{1,3}(?:\.\d+)?", plain) else plain


def read_leg(text: str) -> dict[str, str]:
    """
    Return one leg of the plan as the scenario writes it.

    Raises
    ------
    RefusedValueError
        (a ValueError) When it does not begin with a verb, or its words are not in order.

    Examples
    --------
    >>> read_leg("creep 045 1.2 kn 1 h")
    {'do': 'creep', 'course': '045 deg', 'speed': '1.2 kn', 'for': '1 h'}
    """
    verb, _, rest = text.strip().partition(" ")
    verb = verb.lower()
    if verb not in LEG_EXAMPLES:
        near = get_close_matches(verb, list(LEG_EXAMPLES), n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"such as {LEG_EXAMPLES['hold']!r}"
        choices = ", ".join(LEG_EXAMPLES)
        raise RefusedValueError(f"a leg begins with one of {choices}, not {verb[:20]!r}", hint)
    place = _PLACE.search(rest)
    words = rest[: place.start()] if place else rest
    found = re.fullmatch(_WORDS_AFTER[verb], words.strip(), re.IGNORECASE)
    if found is None:
        raise RefusedValueError(
            f"{text[:60]!r} is not a whole leg", f"write it as {LEG_EXAMPLES[verb]!r}"
        )
    leg = {"name": place["name"].strip()} if place else {}
    leg["do"] = verb
    leg |= {key: value.strip() for key, value in found.groupdict().items() if value}
    if "course" in leg:
        leg["course"] = bearing(leg["course"])
    return leg


def read_wind(text: str) -> dict[str, str]:
    """
    Return a steady wind as the scenario writes it.

    Raises
    ------
    RefusedValueError
        (a ValueError) When it is not a speed and where the wind blows from.

    Examples
    --------
    >>> read_wind("14 kn SW gusting 20 kn")
    {'speed': '14 kn', 'from': 'SW', 'gust': '20 kn'}
    """
    if text.strip().lower() in {"calm", "none"}:
        return {"speed": "0 kn", "from": "N"}
    found = _WIND.fullmatch(text.strip())
    if found is None:
        raise RefusedValueError(
            f"{text[:60]!r} is not a wind", "write '14 kn SW' or '14 kn 225 gusting 20 kn'"
        )
    wind = {key: value.strip() for key, value in found.groupdict().items() if value}
    return {**wind, "from": bearing(wind["from"])}


def read_steady_stream(text: str) -> dict[str, str]:
    """
    Return a stream that is the same all day as the scenario writes it.

    Raises
    ------
    RefusedValueError
        (a ValueError) When it is not a speed and where the water sets to.

    Examples
    --------
    >>> read_steady_stream("1.2 kn toward 045")
    {'speed': '1.2 kn', 'toward': '045 deg'}
    """
    found = _STREAM.fullmatch(text.strip())
    if found is None:
        raise RefusedValueError(f"{text[:60]!r} is not a stream", "write '1.2 kn 045'")
    return {"speed": found["speed"], "toward": bearing(found["toward"])}


def read_event(text: str) -> dict[str, str]:
    """
    Return one line of a current table as the scenario writes it.

    Tables print an ebb with a minus sign; the scenario says "ebb" and needs none.

    Raises
    ------
    RefusedValueError
        (a ValueError) When it is not a time and a slack, flood or ebb.

    Examples
    --------
    >>> read_event("14:10 ebb -2.1 kn")
    {'at': '14:10', 'kind': 'ebb', 'speed': '2.1 kn'}
    """
    found = _EVENT.fullmatch(text.strip())
    if found is None:
        raise RefusedValueError(
            f"{text[:60]!r} is not a line of a current table",
            "write '04:50 slack' or '08:02 flood 1.9 kn'",
        )
    event = {"at": found["at"], "kind": found["kind"].lower()}
    if found["speed"]:
        speed = found["speed"].strip()
        event["speed"] = speed.lstrip("-\u2212").strip() if event["kind"] == "ebb" else speed
    return event


def picked(answer: str, rows: Sequence[tuple[str, str]]) -> str:
    """
    Return the name of a row, from its name or its number.

    Parameters
    ----------
    answer : str
        "31-agm", or "8" for the eighth row.
    rows : sequence of (str, str)
        Names, each with what it is.

    Raises
    ------
    RefusedValueError
        (a ValueError) With the nearest names.
    """
    names = [name for name, _ in rows]
    if re.fullmatch(r"[0-9]{1,4}", answer) and 1 <= int(answer) <= len(names):
        return names[int(answer) - 1]
    wanted = answer.lower()
    if wanted in names:
        return wanted
    near = [name for name in names if name.startswith(wanted)] or get_close_matches(
        wanted, names
    )
    hint = (
        f"did you mean {' or '.join(near[:4])}?"
        if near
        else "take a name or number of the list"
    )
    raise RefusedValueError(f"{answer[:40]!r} is not on the list", hint)


def whole_number(answer: str) -> int:
    """Return a whole number, or raise RefusedValueError."""
    if not re.fullmatch(r"[+-]?[0-9]{1,9}", answer):
        raise RefusedValueError(f"{answer[:40]!r} is not a whole number", "such as 2")
    return int(answer)


def is_no(answer: str) -> bool:
    """Say whether an answer means that there is none."""
    return answer.lower() in {"none", "no", "n"}
