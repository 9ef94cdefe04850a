"""
`energysim day` and `energysim check`: run a planned day, or only read it.

Depends on: runner, scenario, report, cli.written.
"""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from energysim.cli.command import Command
from energysim.cli.written import write

if TYPE_CHECKING:
    from energysim.results.day import DayResult
    from energysim.scenario.load import LoadedScenario

EXIT_PLAN_FAILS = 5


class Units(StrEnum):
    """The units that are printed."""

    US = "us"
    METRIC = "metric"


ScenarioPath = Annotated[
    str,
    typer.Argument(metavar="FILE", help="The scenario, a TOML file; - reads it from stdin."),
]


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    app.command("day", cls=Command)(day)
    app.command("check", cls=Command)(check)


def day(
    file: ScenarioPath,
    wind: Annotated[
        str | None, typer.Option(help='What if: this wind all day, "18 kn" or "18 kn SW".')
    ] = None,
    stream_scale: Annotated[
        float | None, typer.Option(help="What if: the stream times this.")
    ] = None,
    start: Annotated[
        str | None, typer.Option(help='What if: the whole plan starts at this clock, "07:30".')
    ] = None,
    bank: Annotated[
        str | None,
        typer.Option(help='What if: another bank, "31-agm" or "2x 31-agm" for two strings.'),
    ] = None,
    people: Annotated[int | None, typer.Option(help="What if: this many aboard.")] = None,
    change: Annotated[
        list[str] | None,
        typer.Option(
            "--set", metavar="KEY=VALUE", help="What if: any key, bank.start_soc=0.9."
        ),
    ] = None,
    units: Annotated[Units, typer.Option(help="Units to print.")] = Units.US,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document instead.")] = False,
    series: Annotated[
        Path | None, typer.Option(metavar="FILE.csv", help="Also write the step table here.")
    ] = None,
    force: Annotated[bool, typer.Option(help="Replace files that exist.")] = False,
    strict: Annotated[
        bool, typer.Option(help="Exit with 5 when the plan does not hold.")
    ] = False,
) -> None:
    """
    Run a planned day and say whether the bank holds, lasts, and is full by morning.

    energysim day estuary.toml

    energysim day estuary.toml --wind "20 kn" --bank 31-lfp --json
    """
    from energysim.cli.overrides import WhatIf, overrides, without_places
    from energysim.runner import run_day
    from energysim.scenario.load import load_scenario

    what_if = WhatIf(
        wind=wind,
        stream_scale=stream_scale,
        start=start,
        bank=bank,
        people=people,
        settings=tuple(change or ()),
    )
    loaded = load_scenario(file)
    with without_places(what_if):
        loaded, shift_s = overrides(loaded, what_if)
        result = run_day(loaded, shift_s=shift_s)
    from energysim.report.document import day_document, document_text, series_csv

    if series is not None:
        write(series, series_csv(result), force=force)
    if as_json:
        sys.stdout.write(document_text(day_document(result)))
    else:
        _print_page(result, units)
    if strict and result.outcome != "holds":
        raise typer.Exit(EXIT_PLAN_FAILS)


def _print_page(result: DayResult, units: Units) -> None:
    from energysim.cli.page import show
    from energysim.report.text import day_page

    show(day_page(result, system=units.value))


def check(file: ScenarioPath) -> None:
    """
    Read a scenario and everything it names, and say whether it can be run.

    energysim check estuary.toml
    """
    from energysim.build import build_day
    from energysim.scenario.load import load_scenario

    loaded: LoadedScenario = load_scenario(file)
    plan = build_day(loaded)
    for warning in plan.warnings:
        print(f"warning: {warning}", file=sys.stderr)
    typer.echo(
        f"{file}: fine. {len(plan.legs)} legs, {plan.start:%H:%M} to {plan.legs[-1].end:%H:%M}."
    )
