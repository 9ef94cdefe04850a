"""
`energysim report`: the whole answer as one HTML page, to read, to print and to hand over.

Depends on: runner, reach, odds, comparison, scenario, charts, report, cli.day,
cli.progress, cli.workers, cli.written.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

import typer

from energysim import __version__
from energysim.cli.command import Command
from energysim.cli.day import ScenarioPath, Units
from energysim.cli.written import write

if TYPE_CHECKING:
    from energysim.report.figure import Figure
    from energysim.results.compare import CompareResult
    from energysim.results.day import DayResult
    from energysim.results.odds import OddsResult
    from energysim.scenario.load import LoadedScenario

STANDARD_OUTPUT: Final = "-"
WIDE_IN, NARROW_IN = 7.2, 3.5  # a page's width on paper; a phone's
ALSO_WIDE: Final = {"day", "options"}  # a single curve gains nothing from width
CAPTIONS: Final = {
    "day": "The day by the clock: the charge left, with your limit; the thrust wanted and what "
    "the motor could give; wind and stream. The same in numbers stands below.",
    "odds": "The charge left by the clock: the line has half of the days above it and half "
    "below, the band eight in ten; the rule is your limit.",
    "options": "The options side by side, in the same order.",
    "night": "The night by the clock: the charge on the charger, with its marks.",
}


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("report", cls=Command)(report)


def report(
    file: ScenarioPath,
    out: Annotated[
        str | None,
        typer.Option(
            metavar="PAGE.html",
            help="Where to write the page; left out, beside you under the scenario's name; "
            "- writes it on stdout.",
        ),
    ] = None,
    force: Annotated[bool, typer.Option(help="Replace a page that exists.")] = False,
    odds: Annotated[
        bool | None,
        typer.Option(
            "--odds/--no-odds",
            help="Also tell how likely it is to go as planned, which takes a few seconds; left "
            "out, where the scenario has [uncertainty].",
            show_default=False,
        ),
    ] = None,
    members: Annotated[
        int | None,
        typer.Option(
            min=1, max=1_000_000, help="Days to run for the odds; the scenario's, else 1000."
        ),
    ] = None,
    units: Annotated[Units, typer.Option(help="Units to print.")] = Units.US,
) -> None:
    """
    Write the day as one HTML page that needs no network: to read on a phone, to print.

    With the odds where they are asked for, and with the options where the file has some.

    energysim report estuary.toml

    energysim report estuary.toml --odds --out saturday.html --units metric
    """
    from energysim.files import refuse_existing
    from energysim.report.page import day_report
    from energysim.runner import run_day
    from energysim.scenario.load import load_scenario

    target = _target(file, out)
    refuse_existing(target, force=force)
    loaded = load_scenario(file)
    result = run_day(loaded)
    likely = _odds(loaded, members) if _wants_odds(loaded, odds, members) else None
    comparison = _comparison(loaded, units)
    page = day_report(
        result,
        system=units.value,
        scenario_name="the scenario typed in" if loaded.path is None else loaded.path.name,
        scenario_text=loaded.source_text,
        version=__version__,
        figures=_figures(loaded, result, likely, comparison, units),
        odds=likely,
        comparison=comparison,
    )
    if target is None:
        sys.stdout.write(page)
        return
    write(target, page, force=force)


def _target(file: str, out: str | None) -> Path | None:
    """Return where the page goes; None is stdout."""
    if out is None and file != STANDARD_OUTPUT:
        return Path(Path(file).with_suffix(".html").name)
    return None if out in {None, STANDARD_OUTPUT} else Path(str(out))


def _wants_odds(loaded: LoadedScenario, asked: bool | None, members: int | None) -> bool:
    """Say whether the odds are to stand on the page: asked for here, or in the file."""
    if asked is None:
        return members is not None or loaded.scenario.uncertainty is not None
    if not asked and members is not None:
        raise typer.BadParameter("says nothing beside --no-odds", param_hint="--members")
    return asked


def _odds(loaded: LoadedScenario, members: int | None) -> OddsResult:
    """Run the days, shared among the processors."""
    from energysim.cli.progress import telling
    from energysim.cli.workers import workers
    from energysim.odds import run_odds

    with workers(os.cpu_count() or 1) as executor:
        return run_odds(loaded, members=members, executor=executor, progress=telling("days"))


def _comparison(loaded: LoadedScenario, units: Units) -> CompareResult | None:
    """Run the options of the file, where it has some."""
    table = loaded.scenario.options
    if not loaded.scenario.option and (table is None or not table.cases):
        return None
    from energysim.cli.progress import telling
    from energysim.comparison import compare

    return compare(loaded, system=units.value, progress=telling("options"))


def _figures(
    loaded: LoadedScenario,
    result: DayResult,
    odds: OddsResult | None,
    comparison: CompareResult | None,
    units: Units,
) -> list[Figure]:
    """Draw the day as wide as paper and as a phone; night, odds and options if any."""
    from energysim.charts import Look, chart_bytes, draw
    from energysim.report.figure import Figure

    stream = loaded.scenario.stream
    flood_toward_deg = None if stream is None else stream.flood_toward_deg
    drawn: dict[str, Any] = {"day": result}
    if result.recharge is not None:
        from energysim.reach import night_course

        drawn["night"] = night_course(loaded, result)
    if odds is not None:
        drawn["odds"] = odds
    if comparison is not None:
        drawn["options"] = comparison

    def svg(kind: str, width_in: float) -> str:
        look = Look(width_in=width_in, system=units.value)
        of = drawn[kind]
        picture = draw(kind, of, look=look, flood_toward_deg=flood_toward_deg)
        return chart_bytes(picture, kind, of, look=look).decode()

    return [
        Figure(
            kind=kind,
            caption=CAPTIONS[kind],
            narrow_svg=svg(kind, NARROW_IN),
            wide_svg=svg(kind, WIDE_IN) if kind in ALSO_WIDE else None,
        )
        for kind in drawn
    ]
