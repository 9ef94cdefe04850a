"""
How a name that is not on its list is refused where the list is read.

Depends on: listed, errors.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from energysim.errors import ScenarioError
from energysim.listed import data_text, unlisted

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["data_text", "known"]


def known(name: str, listed: Iterable[str], *, path: str, what: str) -> None:
    """Refuse a name that is not on its list."""
    problem = unlisted(name, listed, path=path, what=what)
    if problem is not None:
        raise ScenarioError(problem)
