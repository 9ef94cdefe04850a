"""
`energysim find`: how long, how windy, how small: the value for which a plan is sure enough.

Depends on: find, scenario, report, units, cli.command, cli.day,
cli.page, cli.progress, cli.workers.
"""

from __future__ import annotations

import sys
from enum import StrEnum
from typing import Annotated

import typer

from energysim.cli.command import Command
from energysim.cli.day import ScenarioPath, Units
from energysim.cli.progress import counting
from energysim.cli.workers import Cluster, Workers
from energysim.cli.workers import workers as sharing


class What(StrEnum):
    """The questions, as they are typed."""

    LONGEST_HOLD = "longest-hold"
    MOST_WIND = "most-wind"
    MOST_STREAM = "most-stream"
    SMALLEST_CAPACITY = "smallest-capacity"
    BEST_START = "best-start"
    THRUST_NEEDED = "thrust-needed"


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("find", cls=Command)(find)


def _chance(text: str) -> float:
    """Read a chance: "90%", "90 %" or 0.9."""
    number, percent, rest = text.strip().partition("%")
    try:
        chance = float(number) / (100.0 if percent else 1.0)
    except ValueError:
        chance = 0.0
    if rest or not 0.0 < chance < 1.0:
        raise typer.BadParameter(f"{text!r} is not between 0% and 100%; write 90% or 0.9")
    return chance


def find(
    what: Annotated[What, typer.Argument(help="What to find.")],
    file: ScenarioPath,
    chance: Annotated[
        float,
        typer.Option(parser=_chance, metavar="CHANCE", help="Wanted, that the plan comes off."),
    ] = "90%",  # type: ignore[assignment] # the parser reads it
    leg: Annotated[
        str | None,
        typer.Option(help="Of longest-hold: which hold; the one that pushes hardest."),
    ] = None,
    members: Annotated[
        int, typer.Option(min=2, max=100_000, help="Days to run for each value.")
    ] = 512,
    seed: Annotated[
        int | None, typer.Option(min=0, max=2**63 - 1, help="The same seed runs the same days.")
    ] = None,
    workers: Workers = None,
    cluster: Cluster = None,
    units: Annotated[Units, typer.Option(help="Units to print.")] = Units.US,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document instead.")] = False,
) -> None:
    """
    Find for which value the plan comes off as often as you want.

    energysim find longest-hold estuary.toml --chance 90%

    energysim find most-wind estuary.toml --chance 80% --seed 7 --json
    """
    from energysim.find import find as find_value
    from energysim.report.find import find_document, find_page
    from energysim.scenario.load import load_scenario

    loaded = load_scenario(file)
    progress = counting("values tried")
    with sharing(workers, cluster) as executor:
        result = find_value(
            what.value,
            loaded,
            chance=chance,
            leg=leg,
            members=members,
            seed=seed,
            executor=executor,
            progress=progress,
        )
    if progress is not None:
        print("\r\x1b[K", end="", file=sys.stderr, flush=True)
    if as_json:
        from energysim.report.document import document_text

        sys.stdout.write(document_text(find_document(result)))
        return
    from energysim.cli.page import show

    show(find_page(result, system=units.value))
