"""
`energysim odds`: how likely a planned day is to go as planned.

Depends on: odds, scenario, report, cli.command, cli.day, cli.page,
cli.progress, cli.workers.
"""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from energysim.cli.command import Command
from energysim.cli.day import ScenarioPath, Units
from energysim.cli.progress import telling
from energysim.cli.workers import Cluster, Workers
from energysim.cli.workers import workers as sharing


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    app.command("odds", cls=Command)(odds)


def odds(
    file: ScenarioPath,
    members: Annotated[
        int | None,
        typer.Option(min=1, max=1_000_000, help="Days to run; the scenario's, else 1000."),
    ] = None,
    seed: Annotated[
        int | None, typer.Option(min=0, max=2**63 - 1, help="The same seed runs the same days.")
    ] = None,
    workers: Workers = None,
    cluster: Cluster = None,
    change: Annotated[
        list[str] | None,
        typer.Option(
            "--set", metavar="KEY=VALUE", help="What if: any key, uncertainty.motor=0."
        ),
    ] = None,
    units: Annotated[Units, typer.Option(help="Units to print.")] = Units.US,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document instead.")] = False,
) -> None:
    """
    Run the day a thousand times, each otherwise by what is not known, and count.

    energysim odds estuary.toml

    energysim odds estuary.toml --members 10000 --seed 7 --json
    """
    from energysim.cli.overrides import WhatIf, overrides, without_places
    from energysim.odds import run_odds
    from energysim.scenario.load import load_scenario

    what_if = WhatIf(settings=tuple(change or ()))
    loaded = load_scenario(file)
    with without_places(what_if), sharing(workers, cluster) as executor:
        loaded, _ = overrides(loaded, what_if)
        result = run_odds(
            loaded, members=members, seed=seed, executor=executor, progress=telling("days")
        )
    if as_json:
        from energysim.report.document import document_text
        from energysim.report.odds import odds_document

        sys.stdout.write(document_text(odds_document(result)))
        return
    from energysim.cli.page import show
    from energysim.report.text import odds_page

    show(odds_page(result, system=units.value))
