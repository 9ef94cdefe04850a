"""
`energysim compare`: bank against bank on the customer's own day.

Depends on: comparison, scenario, report, cli.progress, cli.written.
"""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from energysim.cli.command import Command
from energysim.cli.day import ScenarioPath, Units
from energysim.cli.progress import telling
from energysim.cli.written import write


class Rank(StrEnum):
    """What the options are put in order by."""

    DAY = "day"
    HOLD = "hold"
    WEIGHT = "weight"
    PRICE = "price"
    YEARS = "years"


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("compare", cls=Command)(compare)


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
        progress=telling("options"),
    )
    from energysim.report.compare import compare_csv, compare_document

    if csv is not None:
        write(csv, compare_csv(result), force=force)
    if page is not None:
        from energysim.report.compare_page import compare_html

        write(page, compare_html(result, system=units.value), force=force)
    if as_json:
        from energysim.report.document import document_text

        sys.stdout.write(document_text(compare_document(result)))
        return
    from energysim.cli.page import show
    from energysim.report.text import compare_page

    show(compare_page(result, system=units.value))
