"""
The names on the lists the package ships, and how one that is on none of them is refused.

Names alone: the scenario may ask whether a name is listed and knows nothing else of the lists.

Depends on: errors.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Final

from energysim.errors import Problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

MOST_NEAR: Final = 3
"""Names told of those like the one written. [count]"""

FEW: Final = 6
"""A list of no more than this is told whole. [count]"""

PLURALS: Final = {"battery": "batteries", "chemistry": "chemistries", "hull": "hulls"}
_NAME: Final[Mapping[str, tuple[str, str]]] = {
    "battery": ("batteries.csv", r"^(?!name,)([^,\n]+),"),
    "chemistry": ("chemistries.toml", r"^\[([^\].]+)\]$"),
    "hull": ("hulls.toml", r"^\[types\.([^\].]+)\]$"),
}


@cache
def data_text(name: str) -> str:
    """Return a file of data/ as text."""
    return (files("energysim") / "data" / name).read_text(encoding="utf-8")


@cache
def names(what: str) -> tuple[str, ...]:
    """Return the names of one list ("battery", "chemistry", "hull"), in the file's order."""
    file, pattern = _NAME[what]
    return tuple(re.findall(pattern, data_text(file), flags=re.MULTILINE))


def unlisted(name: str, listed: Iterable[str], *, path: str, what: str) -> Problem | None:
    """
    Return what is wrong with a name that is not on its list; None where it is.

    Parameters
    ----------
    name : str
        As written.
    listed : iterable of str
        The list.
    path : str
        The key it stands at.
    what : str
        A key of `PLURALS`.
    """
    known = list(listed)
    if name in known:
        return None
    from difflib import get_close_matches  # noqa: PLC0415 - start-up

    near = get_close_matches(name.strip().casefold()[:40], known, n=MOST_NEAR)
    if near:
        others = f"near it too: {', '.join(near[1:])}; " if near[1:] else ""
        hint = f"did you mean {near[0]!r}? {others}"
    else:
        hint = f"known: {', '.join(known)}; " if len(known) <= FEW else ""
    return Problem(
        path=path,
        value=name,
        reason=f"no such {what} on the list",
        hint=f"{hint}energysim list {PLURALS[what]} has them all",
    )
