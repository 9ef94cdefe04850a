"""
A chart, and the numbers behind it, as files: what is refused before any work, and the writing.

Depends on: charts, errors, cli.written.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import typer

from energysim.cli.written import write

if TYPE_CHECKING:
    from collections.abc import Callable

    from energysim.charts import Look
    from energysim.scenario.load import LoadedScenario

STDOUT: Final = Path("-")


def checked(name: str, read: Callable[[str], Any], text: str) -> Any:
    """Read an option; what it refuses is a mistake in the command."""
    try:
        return read(text)
    except ValueError as error:
        raise typer.BadParameter(str(error), param_hint=name) from None


def refuse_before_work(path: Path, *others: Path | None, force: bool, option: str) -> None:
    """
    Refuse what could not be written before anything is worked out or drawn.

    Parameters
    ----------
    path : Path
        Of the chart; `STDOUT` prints it.
    *others : Path or None
        What else is to be written.
    force : bool
        Files may be replaced.
    option : str
        What the chart's path was given by.
    """
    from energysim.charts import FORMATS
    from energysim.files import refuse_existing

    ending = path.suffix.removeprefix(".").lower()
    if path != STDOUT and ending not in FORMATS:
        endings = ", ".join(f".{one}" for one in FORMATS)
        raise typer.BadParameter(
            f"{path}: the ending says what to write; use {endings}", param_hint=option
        )
    for one in (path, *others):
        if one != STDOUT:
            refuse_existing(one, force=force)


def write_chart(
    kind: str,
    result: Any,
    loaded: LoadedScenario,
    path: Path,
    *,
    look: Look,
    numbers: Path | None = None,
    editable: bool = False,
    force: bool,
) -> None:
    """Draw the chart, write it, and the numbers where they are asked for."""
    from energysim.charts import chart_bytes, draw, numbers_csv

    stream = loaded.scenario.stream
    flood = None if stream is None else stream.flood_toward_deg
    figure = draw(kind, result, look=look, flood_toward_deg=flood)
    ending = "svg" if path == STDOUT else path.suffix.removeprefix(".").lower()
    content = chart_bytes(
        figure, kind, result, file_format=ending, look=look, editable_text=editable
    )
    if numbers is not None:
        write(numbers, numbers_csv(kind, result, look=look), force=force)
    if path == STDOUT:
        sys.stdout.write(content.decode())
    else:
        write(path, content, force=force)
