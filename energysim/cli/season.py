"""
`energysim season`: the day's plan on every date of a season.

Depends on: season, scenario, report, charts, cli.chart_file, cli.command, cli.day, cli.page,
cli.progress, cli.workers, cli.written.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from energysim.cli.chart_file import checked, refuse_before_work, write_chart
from energysim.cli.command import Command
from energysim.cli.day import Units
from energysim.cli.progress import telling
from energysim.cli.workers import Cluster, Workers
from energysim.cli.workers import workers as sharing

if TYPE_CHECKING:
    from datetime import date


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    app.command("season", cls=Command)(season)


def season(
    files: Annotated[
        list[str],
        typer.Argument(metavar="FILE...", help="A scenario; of many boats, many, or a folder."),
    ],
    first: Annotated[str, typer.Option("--from", metavar="DATE", help="First: 2026-05-01.")],
    last: Annotated[str, typer.Option("--to", metavar="DATE", help="Last, itself included.")],
    climate: Annotated[
        Path | None,
        typer.Option(
            metavar="CSV", help="Winds of each month and their share, or hours measured."
        ),
    ] = None,
    members: Annotated[
        int | None, typer.Option(min=1, max=100_000, help="Days to run for each date; else 64.")
    ] = None,
    seed: Annotated[
        int | None, typer.Option(min=0, max=2**63 - 1, help="The same seed runs the same days.")
    ] = None,
    workers: Workers = None,
    cluster: Cluster = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write a row for each date.")
    ] = None,
    chart: Annotated[
        Path | None,
        typer.Option(metavar="FILE.svg|.pdf|.png", help="Draw the calendar here."),
    ] = None,
    width: Annotated[
        str, typer.Option(help='Of the chart: "single", "double" or a length, "120 mm".')
    ] = "double",
    grey: Annotated[bool, typer.Option(help="The chart for a grey print.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Replace files that exist.")] = False,
    units: Annotated[Units, typer.Option(help="Units to print.")] = Units.US,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document instead.")] = False,
) -> None:
    """
    Lay the day's plan on every date: its odds, spring and neap, and the best start.

    energysim season headland.toml --from 2026-05-01 --to 2026-09-30 --climate wind.csv

    energysim season headland.toml --from 2026-05-01 --to 2026-05-31 --chart may.pdf

    energysim season boats/ --from 2026-05-01 --to 2026-09-30 --csv boats.csv
    """
    from energysim.charts import Look, width_in
    from energysim.cli.fleet import read_fleet, tell_fleet
    from energysim.cli.written import write
    from energysim.files import refuse_existing
    from energysim.report.season import season_csv, season_document, season_page
    from energysim.scenario.wind_climate import read_climate_file
    from energysim.season import run_fleet

    look = Look(width_in=checked("--width", width_in, width), grey=grey, system=units.value)
    if chart is not None:
        refuse_before_work(chart, force=force, option="--chart")
    days = _date("--from", first), _date("--to", last)
    boats = read_fleet(files)
    if chart is not None and len(boats) > 1:
        raise typer.BadParameter("--chart draws the calendar of one boat; name one file")
    winds = None
    if climate is not None:
        zones = {loaded.scenario.day.timezone for _, loaded in boats}
        winds = read_climate_file(climate, timezone=boats[0][1].scenario.day.timezone)
        if winds.history is not None and len(zones) > 1:
            from energysim.errors import Problem, ScenarioError

            reason = "holds hours of one clock, and the boats go by several time zones"
            raise ScenarioError(Problem(path="--climate", reason=reason))
    refuse_existing(csv, force=force)
    with sharing(workers, cluster) as executor:
        results = run_fleet(
            [loaded for _, loaded in boats],
            first=days[0],
            last=days[1],
            climate=winds,
            climate_name="" if climate is None else climate.name,
            members=members,
            seed=seed,
            executor=executor,
            progress=telling("dates"),
        )
        if len(boats) > 1:
            names = [file for file, _ in boats]
            tell_fleet(names, results, csv=csv, force=force, as_json=as_json)
            return
        (result,) = results
    if csv is not None:
        write(csv, season_csv(result), force=force)
    if chart is not None:
        write_chart("season", result, boats[0][1], chart, look=look, force=force)
    if as_json:
        from energysim.report.document import document_text

        sys.stdout.write(document_text(season_document(result)))
        return
    from energysim.cli.page import show

    show(season_page(result, system=units.value))


def _date(option: str, text: str) -> date:
    """Read a date, or say how one is written."""
    from datetime import date

    from energysim.errors import Problem, ScenarioError

    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ScenarioError(
            Problem(
                path=option,
                value=text,
                reason="is not a date",
                hint="write year, month and day: 2026-05-01",
            )
        ) from None
