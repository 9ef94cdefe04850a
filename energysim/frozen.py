"""
Frozen dataclasses that are quick to make.

The standard `dataclass(frozen=True)` compiles up to seven methods anew for every class. A
command loads some ninety such classes, and half of the time the package's own modules took to
load was spent on that. Here a class gets an `__init__` of its own, and shares the rest.

Used as the standard one, which is what type checkers take it for.

Depends on: nothing else.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

__all__ = ["dataclass"]

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import dataclass
else:

    def dataclass(
        *, frozen: bool, slots: bool, kw_only: bool = False, eq: bool = True
    ) -> Callable[[type], type]:
        """
        Return what makes a class a dataclass whose fields are set once, by its `__init__`.

        Parameters
        ----------
        frozen, slots : bool
            True: there are no others here. Said at every class, so that it reads, and is
            checked, as the standard one would be.
        kw_only : bool
            Fields are given by name.
        eq : bool
            Equal where all fields are; else only with itself, as befits arrays.

        Raises
        ------
        TypeError
            If it is to be without `frozen` or `slots`.
        """
        if not (frozen and slots):
            raise TypeError("frozen and slots must be True; use dataclasses.dataclass")

        def made(cls: type) -> type:
            quick = dataclasses.dataclass(slots=True, kw_only=kw_only, eq=False, repr=False)
            record = quick(cls)
            record.__setattr__ = _set_once
            record.__delattr__ = _keep
            record.__repr__ = _told
            if eq:
                record.__eq__ = _alike
                record.__hash__ = _hash
            return record

        return made


def _set_once(self: object, name: str, value: object) -> None:
    """Set a field that has no value yet, as `__init__` and unpickling do."""
    if hasattr(self, name):
        raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")
    object.__setattr__(self, name, value)


def _keep(_self: object, name: str) -> None:
    """Refuse to delete."""
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _told(self: Any) -> str:
    """Return the record as it would be written."""
    shown = (f"{field.name}={getattr(self, field.name)!r}" for field in _fields(self))
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _alike(self: Any, other: object) -> object:
    """Return whether another record of the same class has the same values."""
    if type(other) is not type(self):
        return NotImplemented
    return _values(self) == _values(other)


def _hash(self: Any) -> int:
    return hash(_values(self))


def _values(record: Any) -> tuple[object, ...]:
    return tuple(getattr(record, field.name) for field in _fields(record))


def _fields(record: Any) -> tuple[dataclasses.Field[Any], ...]:
    return dataclasses.fields(record)
