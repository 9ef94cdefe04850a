"""
The rows of a log file, and what is wrong with them, each fault with its place.

Depends on: errors, learn.columns.
"""

from __future__ import annotations

import csv
from typing import Final

from energysim.errors import Problem, RefusedValueError, ScenarioError
from energysim.learn.columns import EXAMPLE

SHOWN_OF_A_KIND: Final = 20  # a wrong unit makes every row wrong alike


class Faults:
    """The problems of a file, so many of each kind."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.listed: list[Problem] = []
        self.counts: dict[tuple[str, str], int] = {}

    def add(self, line: int, title: str, value: str, error: RefusedValueError) -> None:
        """Note one, unless there are many like it."""
        kind = (title, error.reason)
        self.counts[kind] = self.counts.get(kind, 0) + 1
        if self.counts[kind] <= SHOWN_OF_A_KIND:
            self.listed.append(
                Problem(
                    file=self.file, line=line, path=title, value=value[:60],
                    reason=error.reason, hint=error.hint,
                )
            )  # fmt: skip

    def all(self) -> list[Problem]:
        """Return what is shown, and how many are not."""
        left = {kind: count - SHOWN_OF_A_KIND for kind, count in self.counts.items()}
        return self.listed + [
            Problem(file=self.file, path=title, reason=f"{more} more rows: {reason}")
            for (title, reason), more in left.items()
            if more > 0
        ]


def read_rows(text: str, file: str) -> tuple[list[tuple[int, list[str]]], bool]:
    """Return the rows with their lines, and whether numbers are written with a comma."""
    lines = text.splitlines()
    first = next((one for one in lines if one.strip() and not one.startswith("#")), "")
    between = max(",;\t", key=first.count)
    reader = csv.reader(lines, delimiter=between, skipinitialspace=True)
    try:
        rows = [
            (reader.line_num, cells)
            for cells in reader
            if any(cell.strip() for cell in cells) and not cells[0].startswith("#")
        ]
    except csv.Error as error:
        raise ScenarioError(
            Problem(file=file, line=reader.line_num, reason=f"is no CSV table: {error}")
        ) from None
    if not rows:
        raise ScenarioError(Problem(file=file, reason="the file is empty", hint=EXAMPLE))
    return rows, between != ","
