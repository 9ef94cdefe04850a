"""
`energysim learn`: fit drag, wind and bank to a logged day.

Depends on: learn, scenario, report, build, errors, cli.command, cli.day,
cli.progress, cli.written.
"""

from __future__ import annotations

import shlex
import sys
from pathlib import Path
from typing import Annotated

import typer

from energysim.cli.command import Command
from energysim.cli.day import ScenarioPath
from energysim.cli.progress import telling
from energysim.cli.written import write
from energysim.files import refuse_existing


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("learn", cls=Command)(learn)


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

    _refuse_existing([out, scenario], force=force)
    loaded = load_scenario(file)
    day = loaded.scenario.day
    logged = read_log(log, start=build_day(loaded).start, day=day.date, timezone=day.timezone)
    result = learn_from(
        loaded, logged, log_name=str(log), with_prior=prior, progress=telling("rounds at most")
    )
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

    show(learn_page(result))
    _print_command(str(file), settings(result))


def _print_command(file: str, keys: tuple[str, ...]) -> None:
    """Print the command that runs the day with what was learned, to be copied as it stands."""
    if not keys:
        return
    print("\nTo use it")
    parts = [
        f"energysim day {shlex.quote(file)}",
        *(f"--set {shlex.quote(one)}" for one in keys),
    ]
    print(" \\\n  ".join(parts))


def _refuse_existing(paths: list[Path | None], *, force: bool) -> None:
    """Refuse before any work what could not be written after it."""
    asked = [path for path in paths if path is not None]
    if len({path.resolve() for path in asked}) < len(asked):
        raise typer.BadParameter("--out and --scenario name the same file")
    for path in asked:
        refuse_existing(path, force=force)


def _write(path: Path | None, text: str | None, *, force: bool) -> None:
    """Write a file that was asked for."""
    if path is None or text is None:
        return
    write(path, text, force=force)
