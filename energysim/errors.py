"""
Everything that can go wrong by a user's hand.

::

    EnergysimError
    |-- ScenarioError   the scenario says something it may not; carries every problem at once
    |-- FileError       a file cannot be read or written
    `-- ClusterError    a cluster that was asked for cannot be used

    ValueError
    `-- RefusedValueError   one value is refused; says why and what to write instead

The second tree stays below `ValueError` because physics callers and the scenario models both
expect that; the loader turns it into a `Problem` with a place.

Depends on: nothing.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong in a scenario: where, what was written, why not, and what to do."""

    reason: str
    path: str = ""  # "wind.speed", as the user wrote the key
    value: object = None  # what stands there now; None when nothing does
    hint: str = ""
    file: str = ""
    line: int | None = None
    column: int | None = None

    def __str__(self) -> str:
        place = ":".join(str(part) for part in (self.file, self.line, self.column) if part)
        subject = self.path
        if self.value is not None:
            subject = f"{self.path} = {self.value!r}" if self.path else repr(self.value)
        head = ": ".join(part for part in (place, subject, self.reason) if part)
        return f"{head} ({self.hint})" if self.hint else head


class EnergysimError(Exception):
    """Base of every error a user can mend."""


class ScenarioError(EnergysimError):
    """A scenario is not valid; `problems` lists everything found, in the file's order."""

    def __init__(self, problems: "Problem | list[Problem] | tuple[Problem, ...]") -> None:
        listed = (problems,) if isinstance(problems, Problem) else tuple(problems)
        super().__init__("\n".join(str(problem) for problem in listed))
        self.problems: tuple[Problem, ...] = listed


class FileError(EnergysimError):
    """A file cannot be read or written; the message names it and says why."""


class ClusterError(EnergysimError):
    """A cluster cannot be reached, or runs something else; the message says what to do."""


class RefusedValueError(ValueError):
    """
    One value cannot be taken; `reason` says why, `hint` what to write instead.

    `where` is the way to the value from whatever was being read: keys, and places in a list
    counted from 0.
    """

    def __init__(
        self, reason: str, hint: str = "", *, where: tuple[str | int, ...] = ()
    ) -> None:
        super().__init__(f"{reason}; {hint}" if hint else reason)
        self.reason = reason
        self.hint = hint
        self.where = where
