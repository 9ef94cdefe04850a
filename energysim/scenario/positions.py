"""
Line and column of every key and value in a TOML text.

The standard parser tells what a file says, not where. This walks over a text that parser has
accepted, so it need not judge it, only step over strings, brackets and comments.

Depends on: scenario.paths.
"""

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from energysim.scenario.paths import Path

_BLANK: Final = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_BARE_KEY: Final = re.compile(r"[A-Za-z0-9_-]+")
_PLAIN: Final = re.compile(r"[^,\]}#\n]*")
# Two more quotes may stand right before the closing three.
_STRING: Final = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^"\\]|\\.)*"'
    r"|'[^']*'",
    re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Position:
    """A place in a text, both counted from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Place:
    """Where a key stands, and its value; a table's value begins at its own header."""

    key: Position
    value: Position


@lru_cache(maxsize=4)
def find_positions(text: str) -> dict[Path, Place]:
    r"""
    Return where every key, list item and table of a TOML text stands.

    Parameters
    ----------
    text : str
        TOML the standard parser accepts.

    Returns
    -------
    places : dict
        From the way to a value (keys, and places in a list counted from 0) to its place.

    Examples
    --------
    >>> find_positions('[wind]\nspeed = "9 kn"')["wind", "speed"].value
    Position(line=2, column=9)
    """
    return _Walk(text).places


class _Walk:
    """One pass over a text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.places: dict[Path, Place] = {}
        self.rows: dict[Path, int] = {}  # how many [[...]] there have been
        self.line_starts = [0, *(match.end() for match in re.finditer("\n", text))]
        table: Path = ()
        while self._skip(_BLANK):
            if text[self.at] == "[":
                table = self._header()
            else:
                self._assignment(table)

    def _skip(self, blank: re.Pattern[str]) -> bool:
        """Step over blanks; say whether anything is left."""
        match = blank.match(self.text, self.at)
        self.at = match.end() if match else self.at
        return self.at < len(self.text)

    def _position(self, at: int) -> Position:
        line = bisect_right(self.line_starts, at)
        return Position(line, at - self.line_starts[line - 1] + 1)

    def _keys(self) -> list[tuple[str, int]]:
        """Read a dotted key; each part with where it begins."""
        parts: list[tuple[str, int]] = []
        while True:
            self._skip(_SPACE)
            begin = self.at
            match = _BARE_KEY.match(self.text, begin) or _STRING.match(self.text, begin)
            if match is None:
                raise ValueError(f"text has no key at {self._position(begin)}")
            self.at = match.end()
            written = match[0]
            quoted = written[0] in "\"'"
            parts.append((tomllib.loads(f"k={written}")["k"] if quoted else written, begin))
            self._skip(_SPACE)
            if self.text[self.at : self.at + 1] != ".":
                return parts
            self.at += 1

    def _header(self) -> Path:
        """Read [a.b] or [[a.b]] and return the way to that table."""
        begin = self.at
        is_row = self.text.startswith("[[", begin)
        self.at += 2 if is_row else 1
        parts = self._keys()
        self.at += 2 if is_row else 1
        here = Place(self._position(begin), self._position(begin))
        path: Path = ()
        for number, (key, _) in enumerate(parts):
            path = (*path, key)
            self.places.setdefault(path, here)
            if is_row and number == len(parts) - 1:
                self.rows[path] = self.rows.get(path, 0) + 1
            if path in self.rows:
                path = (*path, self.rows[path] - 1)
                self.places.setdefault(path, here)
        return path

    def _assignment(self, table: Path) -> None:
        """Read key = value."""
        parts = self._keys()
        self.at += 1  # the equals sign
        self._skip(_SPACE)
        value = self._position(self.at)
        path = table
        for key, begin in parts:
            path = (*path, key)
            self.places.setdefault(path, Place(self._position(begin), value))
        self._value(path)

    def _value(self, path: Path) -> None:
        """Step over a value, noting what is inside it."""
        opening = self.text[self.at]
        if opening in "\"'":
            match = _STRING.match(self.text, self.at)
            self.at = match.end() if match else len(self.text)
        elif opening in "[{":
            self._inside(path, "]" if opening == "[" else "}")
        else:
            self._skip(_PLAIN)

    def _inside(self, path: Path, closing: str) -> None:
        """Step over an array or an inline table."""
        self.at += 1
        number = 0
        while self._skip(_BLANK) and self.text[self.at] != closing:
            if self.text[self.at] == ",":
                self.at += 1
            elif closing == "]":
                here = self._position(self.at)
                self.places[*path, number] = Place(here, here)
                self._value((*path, number))
                number += 1
            else:
                self._assignment(path)
        self.at += 1
