"""
The way to a value, as messages and options spell it: "leg[2].speed", counted from 1.

Depends on: errors.
"""

import re
from typing import Final

from energysim.errors import RefusedValueError

Path = tuple[str | int, ...]

_STEP: Final = re.compile(r"(?P<key>[A-Za-z0-9_-]+)(?P<places>(?:\[[0-9]+\])*)")


def format_path(path: Path) -> str:
    """
    Return a path as a user would say it.

    Examples
    --------
    >>> format_path(("leg", 1, "speed"))
    'leg[2].speed'
    """
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}"
    return text.removeprefix(".")


def parse_path(text: str) -> Path:
    """
    Return the keys and places (from 0) a spelt path stands for.

    Raises
    ------
    RefusedValueError
        (a ValueError) When it is not spelt like "wind.speed" or "leg[2].for".

    Examples
    --------
    >>> parse_path("stream.event[1].at")
    ('stream', 'event', 0, 'at')
    """
    path: list[str | int] = []
    for step in text.split("."):
        match = _STEP.fullmatch(step.strip())
        if match is None:
            raise RefusedValueError(
                f"{text!r} is not the way to a key", "write 'wind.speed' or 'leg[2].for'"
            )
        path.append(match["key"])
        for place in re.findall(r"[0-9]+", match["places"]):
            if int(place) == 0:
                raise RefusedValueError(f"{text!r}: places are counted from 1")
            path.append(int(place) - 1)
    return tuple(path)
