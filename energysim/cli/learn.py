"""
`energysim learn`: fit drag, wind and bank to a logged day.

Depends on: learn, scenario, report, files, build.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from energysim.cli.day import ScenarioPath


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("learn")(learn)


def learn(
    file: ScenarioPath,
    log: Annotated[
        Path,
        typer.Argument(
            metavar="LOG.csv", help="The logged day: a clock, and amperes, volts or charge."
        ),
    ],
    prior: Annotated[
        bool,
        typer.Option(
            "--prior", help="Also hold the factors to what is known before; for a short log."
        ),
    ] = False,
    out: Annotated[
        Path | None,
        typer.Option(metavar="FILE.toml", help="Also write the learned keys here."),
    ] = None,
    scenario: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE.toml", help="Also write the whole scenario here, with those keys."
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document instead.")] = False,
    force: Annotated[bool, typer.Option(help="Replace files that exist.")] = False,
) -> None:
    """
    Learn the drag, the wind's push and the bank from a logged day of this scenario.

    energysim learn estuary.toml log.csv

    energysim learn estuary.toml log.csv --out learned.toml
    """
    from energysim.build import build_day
    from energysim.learn import learn as learn_from
    from energysim.learn import overlay_text, read_log, scenario_text, settings
    from energysim.report.document import document_text
    from energysim.report.learn import learn_document, learn_page
    from energysim.scenario.load import load_scenario

    loaded = load_scenario(file)
    day = loaded.scenario.day
    logged = read_log(log, start=build_day(loaded).start, day=day.date, timezone=day.timezone)
    result = learn_from(loaded, logged, log_name=str(log), with_prior=prior)
    _write(out, overlay_text(result), force=force)
    if scenario is not None:
        whole = scenario_text(loaded, result)
        if whole is None:
            print(
                "note: the scenario is written in a way that cannot be changed line by line; "
                f"{scenario} was not written. Put the keys in by hand.",
                file=sys.stderr,
            )
        _write(scenario, whole, force=force)
    if as_json:
        sys.stdout.write(document_text(learn_document(result)))
        return
    from energysim.cli.page import show

    show(learn_page(result, settings=settings(result)))


def _write(path: Path | None, text: str | None, *, force: bool) -> None:
    """Write a file that was asked for."""
    if path is None or text is None:
        return
    from energysim.files import write_whole

    write_whole(path, text, force=force)
    print(f"wrote {path}", file=sys.stderr)
