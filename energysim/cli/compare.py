"""
`energysim compare`: bank against bank on the customer's own day.

Depends on: compare, scenario, report, files.
"""

from __future__ import annotations

import sys
import time
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from energysim.cli.day import ScenarioPath, Units

if TYPE_CHECKING:
    from collections.abc import Callable

PATIENCE_S = 1.0


class Rank(StrEnum):
    """What the options are put in order by."""

    DAY = "day"
    HOLD = "hold"
    WEIGHT = "weight"
    PRICE = "price"
    YEARS = "years"


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("compare")(compare)


def compare(
    file: ScenarioPath,
    rank: Annotated[
        Rank | None,
        typer.Option(
            help="Order by: day (brings it home, fits, holds on), hold, weight, price a trip, "
            "years."
        ),
    ] = None,
    units: Annotated[Units, typer.Option(help="Units to print.")] = Units.US,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document instead.")] = False,
    csv: Annotated[
        Path | None, typer.Option(metavar="FILE.csv", help="Also write every column here.")
    ] = None,
    page: Annotated[
        Path | None,
        typer.Option(metavar="FILE.html", help="Also write a sheet for the customer here."),
    ] = None,
    force: Annotated[bool, typer.Option(help="Replace files that exist.")] = False,
    workers: Annotated[int, typer.Option(min=1, max=64, help="Processes to share it.")] = 1,
) -> None:
    """
    Hold batteries, motors and chargers against each other on one day.

    The file says what to compare, in [[option]] rows and an [options] grid.

    energysim compare shop.toml

    energysim compare shop.toml --rank price --page for-the-customer.html
    """
    from energysim.comparison import compare as run
    from energysim.scenario.load import load_scenario

    result = run(
        load_scenario(file),
        rank=None if rank is None else rank.value,
        system=units.value,
        workers=workers,
        progress=_progress(),
    )
    from energysim.files import write_whole
    from energysim.report.compare import compare_csv, compare_document

    if csv is not None:
        write_whole(csv, compare_csv(result), force=force)
    if page is not None:
        from energysim.report.compare_page import compare_html

        write_whole(page, compare_html(result, system=units.value), force=force)
    if as_json:
        from energysim.report.document import document_text

        sys.stdout.write(document_text(compare_document(result)))
        return
    from energysim.cli.page import show
    from energysim.report.text import compare_page

    show(compare_page(result, system=units.value))


def _progress() -> Callable[[int, int], None] | None:
    """Tell on a terminal, after a second, how far it is; in a pipe nothing."""
    if not sys.stderr.isatty():
        return None
    begin = time.monotonic()

    def tell(done: int, of: int) -> None:
        if time.monotonic() - begin > PATIENCE_S:
            end = "\n" if done == of else ""
            sys.stderr.write(f"\r{done} of {of} options{end}")
            sys.stderr.flush()

    return tell
