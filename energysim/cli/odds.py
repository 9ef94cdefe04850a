"""
`energysim odds`: how likely a planned day is to go as planned.

Depends on: odds, scenario, report, cli.day, cli.page, cli.workers.
"""

from __future__ import annotations

import sys
import time
from typing import TYPE_CHECKING, Annotated, Final

import typer

from energysim.cli.day import ScenarioPath, Units
from energysim.cli.workers import Cluster, Workers
from energysim.cli.workers import workers as sharing

if TYPE_CHECKING:
    from collections.abc import Callable

EXIT_INTERRUPTED: Final = 130
QUIET_S: Final = 1.0
"""Anything sooner done is not worth a line of progress."""


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    app.command("odds")(odds)


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
    progress = _progress()
    try:
        with without_places(what_if), sharing(workers, cluster) as executor:
            loaded, _ = overrides(loaded, what_if)
            result = run_odds(
                loaded, members=members, seed=seed, executor=executor, progress=progress
            )
    except KeyboardInterrupt:
        print("\nstopped; nothing was written", file=sys.stderr)
        raise typer.Exit(EXIT_INTERRUPTED) from None
    if as_json:
        from energysim.report.document import document_text
        from energysim.report.odds import odds_document

        sys.stdout.write(document_text(odds_document(result)))
        return
    from energysim.cli.page import show
    from energysim.report.text import odds_page

    show(odds_page(result, system=units.value))


def _progress() -> Callable[[int, int], None] | None:
    """Return what tells the user how far it has come; nothing where nobody looks."""
    if not sys.stderr.isatty():
        return None
    begin = time.monotonic()

    def tell(done: int, members: int) -> None:
        if time.monotonic() - begin < QUIET_S:
            return
        end = "\r\x1b[K" if done >= members else ""
        print(f"\r{done:,} of {members:,} days{end}", end="", file=sys.stderr, flush=True)

    return tell
