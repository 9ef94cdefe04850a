"""
`energysim report`: the whole answer as one HTML page, to read, to print and to hand over.

Depends on: runner, reach, scenario, charts, report, files, cli.day.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from energysim import __version__
from energysim.cli.day import ScenarioPath, Units

if TYPE_CHECKING:
    from energysim.report.figure import Figure
    from energysim.results import DayResult
    from energysim.scenario.load import LoadedScenario

STANDARD_OUTPUT: Final = "-"
WIDE_IN, NARROW_IN = 7.2, 3.5  # a page's width on paper; a phone's
ALSO_WIDE: Final = {"day"}  # a single curve gains nothing from width
CAPTIONS: Final = {
    "day": "The day by the clock: the charge left, with your limit; the thrust wanted and what "
    "the motor could give; wind and stream. The same in numbers stands below.",
    "night": "The night by the clock: the charge on the charger, with its marks.",
}


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("report")(report)


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
    units: Annotated[Units, typer.Option(help="Units to print.")] = Units.US,
) -> None:
    """
    Write the day as one HTML page that needs no network: to read on a phone, to print.

    energysim report estuary.toml

    energysim report estuary.toml --out saturday.html --units metric
    """
    from energysim.report.page import day_report
    from energysim.runner import run_day
    from energysim.scenario.load import load_scenario

    target = _target(file, out)
    if target is not None:
        _refuse_existing(target, force)
    loaded = load_scenario(file)
    result = run_day(loaded)
    page = day_report(
        result,
        system=units.value,
        scenario_name="the scenario typed in" if loaded.path is None else loaded.path.name,
        scenario_text=loaded.source_text,
        version=__version__,
        figures=_figures(loaded, result, units),
    )
    if target is None:
        sys.stdout.write(page)
        return
    from energysim.files import write_whole

    write_whole(target, page, force=force)
    print(f"wrote {target}", file=sys.stderr)


def _target(file: str, out: str | None) -> Path | None:
    """Return where the page goes; None is stdout."""
    if out is None and file != STANDARD_OUTPUT:
        return Path(Path(file).with_suffix(".html").name)
    return None if out in {None, STANDARD_OUTPUT} else Path(str(out))


def _refuse_existing(target: Path, force: bool) -> None:
    """Say before the work, not after it, that the page would not be written."""
    from energysim.errors import FileError

    if target.exists() and not force:
        raise FileError(f"{target}: already exists (use --force to replace it)")


def _figures(loaded: LoadedScenario, result: DayResult, units: Units) -> list[Figure]:
    """Draw the day, and the night where there is one, as wide as paper and as a phone."""
    from energysim.charts import Look, chart_bytes, draw
    from energysim.reach import night_course
    from energysim.report.figure import Figure

    stream = loaded.scenario.stream
    flood_toward_deg = None if stream is None else stream.flood_toward_deg
    drawn = {"day": result} if result.recharge is None else {
        "day": result, "night": night_course(loaded, result)
    }  # fmt: skip

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
