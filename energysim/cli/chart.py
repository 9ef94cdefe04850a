"""
`energysim chart`: draw one chart of the catalogue, and write the numbers behind it.

Depends on: charts, scenario, cli.chart_file, cli.chart_results, cli.overrides.
"""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from energysim.cli.chart_file import checked, refuse_before_work, write_chart
from energysim.cli.command import Command
from energysim.cli.day import ScenarioPath, Units


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
    app.command("chart", cls=Command)(chart)


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
    options: Annotated[
        bool,
        typer.Option(
            "--options",
            help="Of each option of the file, side by side: day, legs, night, motor, hold, "
            "endurance, trips.",
        ),
    ] = False,
    option: Annotated[
        list[str] | None,
        typer.Option("--option", metavar="NAME", help="Of this option; again for another."),
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
    Draw a chart of a planned day, of its bank, of its motor or of its options.

    energysim chart day estuary.toml --out day.pdf --width double

    energysim chart endurance estuary.toml --angle against --grey --csv endurance.csv

    energysim chart hold shop.toml --option 24-agm --option 24-lfp
    """
    from energysim.charts import Look, chart_row, width_in
    from energysim.cli.chart_results import Wanted, chart_result, refuse_kind
    from energysim.cli.overrides import WhatIf, overrides, without_places
    from energysim.scenario.load import load_scenario

    row = checked("KIND", chart_row, kind)
    wanted = Wanted(
        over=against.value,
        angle_deg=None if angle is None else checked("--angle", _angle_deg, angle),
        options=tuple(option or ()) if options or option else None,
    )
    refuse_kind(row, wanted)
    look = Look(width_in=checked("--width", width_in, width), grey=grey, system=units.value)
    path = Path(f"{row.kind}.svg") if out is None else out
    refuse_before_work(path, numbers, force=force, option="--out")
    what_if = WhatIf(start=start, bank=bank, settings=tuple(change or ()))
    loaded = load_scenario(file)
    with without_places(what_if):
        loaded, shift_s = overrides(loaded, what_if)
        result = chart_result(row, loaded, wanted, shift_s=shift_s)
    write_chart(
        row.kind,
        result,
        loaded,
        path,
        look=look,
        numbers=numbers,
        editable=text is Letters.EDITABLE,
        force=force,
    )


def _angle_deg(text: str) -> float:
    """Return the angle between the ways wind and stream push."""
    from energysim.units import parse_quantity

    named = {"with": 0.0, "against": 180.0}
    angle = named[text] if text in named else parse_quantity(text, "angle")
    if not 0.0 <= angle <= 180.0:
        raise ValueError(f"an angle of {text!r} is not between 0 deg and 180 deg")
    return angle
