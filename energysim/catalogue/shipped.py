"""
How a list is read from data/, and how a name that is not on it is refused.

Depends on: errors.
"""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING

from energysim.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Iterable


def data_text(name: str) -> str:
    """Return a file of data/ as text."""
    return (files("energysim") / "data" / name).read_text(encoding="utf-8")


def known(name: str, listed: Iterable[str], *, path: str, what: str) -> None:
    """Refuse a name that is not on its list."""
    names = list(listed)
    if name in names:
        return
    from difflib import get_close_matches  # noqa: PLC0415 - start-up

    near = get_close_matches(name, names, n=1)
    hint = f"did you mean {near[0]!r}? " if near else ""
    plural = {"chemistry": "chemistries", "battery": "batteries"}.get(what, f"{what}s")
    raise ScenarioError(
        Problem(
            path=path,
            value=name,
            reason=f"no such {what} on the list",
            hint=f"{hint}known: {', '.join(names)}; see energysim list {plural}",
        )
    )
