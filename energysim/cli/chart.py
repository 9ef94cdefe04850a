"""
`energysim chart`: draw one chart of the catalogue, and write the numbers behind it.

Depends on: charts, reach, runner, scenario, files.
"""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from energysim.cli.day import ScenarioPath, Units

if TYPE_CHECKING:
    from energysim.charts import ChartRow
    from energysim.scenario.load import LoadedScenario

STDOUT = Path("-")


class Letters(StrEnum):
    """How an SVG holds its text."""

    OUTLINED = "outlined"
    EDITABLE = "editable"


class Against(StrEnum):
    """What hours of hold are drawn over."""

    THRUST = "thrust"
    WIND = "wind"


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("chart")(chart)


def chart(
    kind: Annotated[
        str,
        typer.Argument(metavar="KIND", help="Which chart; energysim list charts names them."),
    ],
    file: ScenarioPath,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE.svg|.pdf|.png",
            help="Where to write it; - prints SVG. KIND.svg when left out.",
        ),
    ] = None,
    width: Annotated[
        str, typer.Option(help='"single", "double" (3.5 in, 7.2 in) or a length, "120 mm".')
    ] = "single",
    grey: Annotated[bool, typer.Option(help="For a grey print.")] = False,
    numbers: Annotated[
        Path | None,
        typer.Option("--csv", metavar="FILE.csv", help="Also write the plotted numbers here."),
    ] = None,
    text: Annotated[
        Letters, typer.Option(help="Of an SVG: letters as outlines, or to be edited.")
    ] = Letters.OUTLINED,
    against: Annotated[
        Against, typer.Option(help="Of hold: hours over a steady thrust, or over the wind.")
    ] = Against.THRUST,
    angle: Annotated[
        str | None,
        typer.Option(
            help='Of hold over wind and of endurance: "with" or "against", how wind and stream '
            'push, or the angle between, "60 deg"; the day\'s own when left out.'
        ),
    ] = None,
    start: Annotated[
        str | None, typer.Option(help='What if: the whole plan starts at this clock, "07:30".')
    ] = None,
    bank: Annotated[
        str | None,
        typer.Option(help='What if: another bank, "31-agm" or "2x 31-agm" for two strings.'),
    ] = None,
    change: Annotated[
        list[str] | None,
        typer.Option(
            "--set", metavar="KEY=VALUE", help="What if: any key, bank.start_soc=0.9."
        ),
    ] = None,
    units: Annotated[Units, typer.Option(help="Units of the thrust.")] = Units.US,
    force: Annotated[bool, typer.Option(help="Replace files that exist.")] = False,
) -> None:
    """
    Draw a chart of a planned day, of its bank or of its motor.

    energysim chart day estuary.toml --out day.pdf --width double

    energysim chart endurance estuary.toml --angle against --grey --csv endurance.csv
    """
    from energysim.charts import Look, chart_row, width_in
    from energysim.cli.overrides import WhatIf, overrides, without_places
    from energysim.scenario.load import load_scenario

    row = _checked("KIND", chart_row, kind)
    look = Look(width_in=_checked("--width", width_in, width), grey=grey, system=units.value)
    apart_deg = None if angle is None else _checked("--angle", _angle_deg, angle)
    path = Path(f"{row.kind}.svg") if out is None else out
    _refuse_before_work(path, numbers, force)
    what_if = WhatIf(start=start, bank=bank, settings=tuple(change or ()))
    loaded = load_scenario(file)
    with without_places(what_if):
        loaded, shift_s = overrides(loaded, what_if)
        result = _result(row, loaded, shift_s, against, apart_deg)
    _write(
        row, result, loaded, look, path, numbers, editable=text is Letters.EDITABLE, force=force
    )
    if path != STDOUT:
        typer.echo(path)


def _checked(name: str, read: Any, text: str) -> Any:
    """Read an option; what it refuses is a mistake in the command."""
    try:
        return read(text)
    except ValueError as error:
        raise typer.BadParameter(str(error), param_hint=name) from None


def _angle_deg(text: str) -> float:
    """Return the angle between the ways wind and stream push."""
    from energysim.units import parse_quantity

    named = {"with": 0.0, "against": 180.0}
    angle = named[text] if text in named else parse_quantity(text, "angle")
    if not 0.0 <= angle <= 180.0:
        raise ValueError(f"an angle of {text!r} is not between 0 deg and 180 deg")
    return angle


def _refuse_before_work(path: Path, numbers: Path | None, force: bool) -> None:
    """Refuse what could not be written before anything is drawn or written."""
    from energysim.charts import FORMATS
    from energysim.errors import FileError

    ending = path.suffix.removeprefix(".").lower()
    if path != STDOUT and ending not in FORMATS:
        endings = ", ".join(f".{one}" for one in FORMATS)
        raise typer.BadParameter(
            f"{path}: the ending says what to write; use {endings}", param_hint="--out"
        )
    for one in (path, numbers):
        if one is not None and one != STDOUT and one.exists() and not force:
            raise FileError(f"{one}: already exists (use --force to replace it)")


def _result(
    row: ChartRow,
    loaded: LoadedScenario,
    shift_s: float,
    against: Against,
    angle_deg: float | None,
) -> Any:
    """Work out what the chart is drawn from."""
    if row.result in {"day", "night"}:
        from energysim.runner import run_day

        day = run_day(loaded, shift_s=shift_s, with_changes=False)
        if row.result == "day":
            return day
        from energysim.reach import night_course

        return night_course(loaded, day)
    from energysim.reach import hold_hours, hold_map, motor_curve

    if row.result == "motor":
        return motor_curve(loaded)
    if row.result == "hold":
        return hold_hours(loaded, over=against.value, angle_deg=angle_deg)
    return hold_map(loaded, angle_deg=angle_deg)


def _write(
    row: ChartRow,
    result: Any,
    loaded: LoadedScenario,
    look: Any,
    path: Path,
    numbers: Path | None,
    *,
    editable: bool,
    force: bool,
) -> None:
    """Draw the chart and write what was asked for."""
    from energysim.charts import chart_bytes, draw, numbers_csv
    from energysim.files import write_whole

    stream = loaded.scenario.stream
    flood = None if stream is None else stream.flood_toward_deg
    figure = draw(row.kind, result, look=look, flood_toward_deg=flood)
    ending = "svg" if path == STDOUT else path.suffix.removeprefix(".").lower()
    content = chart_bytes(
        figure, row.kind, result, file_format=ending, look=look, editable_text=editable
    )
    if numbers is not None:
        write_whole(numbers, numbers_csv(row.kind, result, look=look), force=force)
    if path == STDOUT:
        sys.stdout.write(content.decode())
    else:
        write_whole(path, content, force=force)
