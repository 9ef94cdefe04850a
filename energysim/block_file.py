"""
The user's own batteries, from a file of the same form as the list of batteries.

The first row names the columns, each number's unit in its name or in brackets behind it:

    name,chemistry,voltage_v,capacity_ah,rated_time_h,mass_kg,length_m,width_m,height_m
    name,chemistry,voltage [V],capacity [Ah],rated_time [h],mass [lb],length [in],...

`case`, `reserve_min` and `source` may stand beside them. A row may leave the reserve empty.

Depends on: block_columns, catalogue, errors.
"""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING, Final, NamedTuple

from energysim.block_columns import (
    NUMBERS,
    WORDS,
    Column,
    expected_form,
    read_number,
    read_title,
    read_word,
)
from energysim.catalogue import Battery, batteries, chemistry
from energysim.errors import FileError, Problem, RefusedValueError, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

_MOST_BYTES: Final = 1_000_000
_MOST_PROBLEMS: Final = 20
# Wh/kg that no block of the family leaves, wide on purpose (ours): catches a slipped point.
_SPECIFIC_ENERGY: Final = {"lead-acid": (8.0, 80.0), "lithium": (30.0, 300.0)}


class _Cell(NamedTuple):
    """One cell: its text and where it begins."""

    text: str
    line: int
    column: int | None


def read_blocks(path: Path) -> dict[str, Battery]:
    """
    Return the user's own batteries by name, in the file's order, fit to stand beside the list.

    Parameters
    ----------
    path : Path
        A table with commas, in UTF-8; see the head of this module for its columns.

    Returns
    -------
    blocks : dict of str to Battery
        In house units.

    Raises
    ------
    ScenarioError
        With everything wrong in the file at once, each with line, column, value, reason, hint.
    FileError
        There is no such file, or it is not a text.
    """
    file = str(path)
    problems: list[Problem] = []
    rows = _cells(_text(path, file), file)
    if not rows:
        raise ScenarioError(Problem(file=file, reason="is empty", hint=expected_form()))
    columns = _read_header(rows[0], file, problems)
    blocks: dict[str, Battery] = {}
    for cells in rows[1:]:
        block = _read_row(cells, columns, file, problems)
        if block is None:
            continue
        if block.name in blocks or block.name in batteries():
            whose = "this file" if block.name in blocks else "the list of batteries"
            first = next(cell for cell in cells if cell.text == block.name)
            problems.append(
                _problem(file, first, "name", f"this name stands in {whose} already",
                         "give each battery a name of its own")
            )  # fmt: skip
        blocks[block.name] = block
    if not problems and not blocks:
        problems.append(Problem(file=file, reason="has a first row and no battery below it"))
    if problems:
        raise ScenarioError(_cut(sorted(problems, key=lambda one: one.line or 0), file))
    return blocks


def _text(path: Path, file: str) -> str:
    """Read the file, or say why not."""
    try:
        with path.open("rb") as stream:
            content = stream.read(_MOST_BYTES + 1)
    except FileNotFoundError:
        raise FileError(f"{file}: there is no such file") from None
    except OSError as error:
        raise FileError(f"{file}: cannot be read: {error.strerror}") from None
    if len(content) > _MOST_BYTES:
        raise FileError(f"{file}: is too large for a list of batteries (more than 1 MB)")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileError(f"{file}: is not UTF-8 text; save it as CSV in UTF-8") from None
    if "\0" in text:
        raise FileError(f"{file}: is not a text file")
    return text


def _cells(text: str, file: str) -> list[list[_Cell]]:
    """Return the rows that say something, each cell with its place."""
    rows = []
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for number, line in enumerate(lines, start=1):
        if not line.strip(" \t,;") or line.lstrip().startswith("#"):
            continue
        try:
            (cells,) = csv.reader([line])
        except csv.Error as error:
            raise FileError(f"{file}: line {number} cannot be read: {error}") from None
        starts = _starts(line)
        placed = starts if len(starts) == len(cells) else [None] * len(cells)
        rows.append(
            [
                _Cell(cell.strip(), number, place)
                for cell, place in zip(cells, placed, strict=True)
            ]
        )
    return rows


def _starts(line: str) -> list[int | None]:
    """Return the column, counted from 1, where each cell of a line begins."""
    starts: list[int | None] = [1]
    quoted = False
    for place, letter in enumerate(line, start=1):
        quoted ^= letter == '"'
        if letter == "," and not quoted:
            starts.append(place + 1)
    return starts


def _read_header(
    cells: Sequence[_Cell], file: str, problems: list[Problem]
) -> list[Column | None]:
    """Return what each column holds; None where that is not known."""
    columns: list[Column | None] = []
    for cell in cells:
        try:
            column = read_title(cell.text)
        except RefusedValueError as error:
            problems.append(_problem(file, cell, "", error.reason, error.hint))
            columns.append(None)
            continue
        if any(other is not None and other.key == column.key for other in columns):
            problems.append(_problem(file, cell, "", f"two columns are the {column.key}", ""))
        columns.append(column)
    found = {column.key for column in columns if column is not None}
    needed = [key for key, must in WORDS.items() if must]
    needed += [key for key, number in NUMBERS.items() if number.needed]
    missing = [key for key in needed if key not in found]
    if missing and None not in columns:
        reason = f"no column for {', '.join(missing)}"
        problems.append(
            Problem(file=file, line=cells[0].line, reason=reason, hint=expected_form())
        )
    return columns


def _read_row(
    cells: Sequence[_Cell],
    columns: Sequence[Column | None],
    file: str,
    problems: list[Problem],
) -> Battery | None:
    """Return one battery; None, with the problems told, when a cell will not do."""
    filled = list(cells)
    while len(filled) > len(columns) and not filled[-1].text:
        filled.pop()
    if len(filled) != len(columns):
        reason = f"has {len(filled)} cells where the first row names {len(columns)} columns"
        hint = "write a number without a comma in it, and quote a text that has one"
        problems.append(Problem(file=file, line=cells[0].line, reason=reason, hint=hint))
        return None
    before = len(problems)
    words = {"case": "", "source": "the user's own file"}
    numbers: dict[str, float | None] = {"reserve": None}
    for cell, column in zip(filled, columns, strict=True):
        if column is None:
            continue
        try:
            if column.key in NUMBERS:
                numbers[column.key] = read_number(cell.text, column)
            elif cell.text or WORDS[column.key]:
                words[column.key] = read_word(cell.text, column.key)
        except RefusedValueError as error:
            problems.append(_problem(file, cell, column.key, error.reason, error.hint))
    if len(problems) > before or None in columns:
        return None
    return _whole(words, numbers, cells[0].line, file, problems)


def _whole(
    words: Mapping[str, str],
    numbers: Mapping[str, float | None],
    line: int,
    file: str,
    problems: list[Problem],
) -> Battery | None:
    """Return the battery of a row whose cells are right one by one, if they agree."""
    missing = {key for key, kind in NUMBERS.items() if kind.needed} - set(numbers)
    if missing or "name" not in words or "chemistry" not in words:
        return None  # told already, of the first row
    values = {f"{key}_{NUMBERS[key].suffix}": value for key, value in numbers.items()}
    block = Battery(**words, **values)  # type: ignore[arg-type]
    family = chemistry(block.chemistry).family
    low, high = _SPECIFIC_ENERGY[family]
    specific = block.voltage_v * block.capacity_ah / block.mass_kg
    if not low <= specific <= high:
        problems.append(
            Problem(
                file=file,
                line=line,
                path=block.name,
                reason=f"{block.voltage_v:g} V, {block.capacity_ah:g} Ah and "
                f"{block.mass_kg:g} kg come to {specific:.0f} Wh/kg; "
                f"{family} is {low:g} to {high:g}",
                hint="is one of the three wrong, or its unit?",
            )
        )
        return None
    return block


def _problem(file: str, cell: _Cell, path: str, reason: str, hint: str) -> Problem:
    """Place a problem at its cell."""
    return Problem(
        file=file,
        line=cell.line,
        column=cell.column,
        path=path,
        value=cell.text[:60],
        reason=reason,
        hint=hint,
    )


def _cut(problems: list[Problem], file: str) -> list[Problem]:
    """Keep a long list of problems to its first part, and say so."""
    if len(problems) <= _MOST_PROBLEMS:
        return problems
    rest = Problem(file=file, reason=f"and {len(problems) - _MOST_PROBLEMS} more")
    return [*problems[:_MOST_PROBLEMS], rest]
