"""
Numbers of a data file as text: value, spread, and below each where it comes from.

Depends on: cli.page.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import typer

if TYPE_CHECKING:
    from collections.abc import Mapping

FEW: Final = 4  # a list of no more than this is printed whole


def print_sourced(rows: Mapping[str, Any]) -> None:
    """Print each number with its spread, and its source indented below."""
    from rich.console import Group
    from rich.padding import Padding
    from rich.text import Text

    from energysim.cli.page import show

    def indented(text: str, by: int) -> Padding:
        return Padding(Text(text), (0, 0, 0, by), expand=False)

    lines: list[Padding] = []
    for key, row in rows.items():
        lines.append(indented(f"{key} = {value_text(row['value'])}{_spread(row)}", 2))
        lines.append(indented(row["source"], 6))
    show(Group(*lines))


def print_head(text: str) -> None:
    """Print what the numbers below are of, after an empty line."""
    typer.echo(f"\n{text}")


def value_text(value: object) -> str:
    """Return a number, a word or a short list as text; a long list as how long it is."""
    if isinstance(value, list):
        few = len(value) <= FEW
        return ", ".join(f"{one:g}" for one in value) if few else f"{len(value)} points"
    return f"{value:g}" if isinstance(value, int | float) else str(value)


def _spread(row: Mapping[str, Any]) -> str:
    """Return the spread of a number in words; nothing where there is none to tell."""
    low, high = row.get("low"), row.get("high")
    if low is None and high is None:
        return ""
    lowest, highest = (value_text(row["value"] if end is None else end) for end in (low, high))
    if not isinstance(row["value"], list):
        return f" ({lowest} to {highest})"
    few = len(row["value"]) <= FEW
    return f" (low {lowest}; high {highest})" if few else ", with their spread"
