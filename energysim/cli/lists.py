"""
`energysim list` and `energysim schema`: what names a scenario may use, and its shape.

Depends on: catalogue, units, scenario.schema, charts, cli.chemistry_list, cli.day,
cli.list_cases, cli.sourced.
"""

from __future__ import annotations

import sys
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from energysim.cli.command import Command
from energysim.cli.day import Units
from energysim.cli.sourced import print_head, print_sourced
from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    from collections.abc import Iterable

    from energysim.catalogue import Uncertainty
    from energysim.unit_format import System


class What(StrEnum):
    """The lists there are."""

    BATTERIES = "batteries"
    CASES = "cases"
    HULLS = "hulls"
    CHEMISTRIES = "chemistries"
    UNITS = "units"
    UNCERTAINTY = "uncertainty"
    CHARTS = "charts"


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    app.command("list", cls=Command)(show)
    app.command("schema", cls=Command)(schema)


def show(
    what: Annotated[What, typer.Argument(help="Which list.")],
    sources: Annotated[bool, typer.Option(help="Also where each number comes from.")] = False,
    units: Annotated[Units, typer.Option(help="Units to print.")] = Units.US,
) -> None:
    """
    List the names and units a scenario may use.

    energysim list batteries

    energysim list chemistries --sources
    """
    from energysim.cli.chemistry_list import chemistries

    tables = {
        What.BATTERIES: _batteries,
        What.CASES: _cases,
        What.HULLS: _hulls,
        What.CHEMISTRIES: chemistries,
        What.UNITS: _units,
        What.UNCERTAINTY: _uncertainty,
        What.CHARTS: _charts,
    }
    tables[what](sources, units.value)


def schema() -> None:
    """Print the JSON schema of a scenario, for editors that complete keys."""
    import json

    from energysim.scenario.schema import scenario_schema

    sys.stdout.write(json.dumps(scenario_schema(), indent=2) + "\n")


def _print(headers: Iterable[tuple[str, bool]], rows: Iterable[Iterable[str]]) -> None:
    """Print a plain table; a header is (title, whether its column is of numbers)."""
    from rich.table import Table

    from energysim.cli.page import show as show_page

    table = Table(box=None, pad_edge=False, header_style="bold", padding=(0, 2, 0, 0))
    for title, number in headers:
        table.add_column(title, justify="right" if number else "left", overflow="fold")
    for row in rows:
        table.add_row(*row)
    show_page(table)


def _batteries(sources: bool, system: System) -> None:
    from energysim.catalogue import batteries
    from energysim.cli.list_cases import sides, weight_unit

    unit, kg = weight_unit(system)
    headers = [("name", False), ("V", True), ("Ah", True), ("reserve", True), (unit, True)]
    headers += [("L x W x H", False), *([("source", False)] if sources else [])]
    rows = []
    for row in batteries().values():
        reserve = "" if row.reserve_min is None else f"{row.reserve_min:g} min"
        cells = [row.name, f"{row.voltage_v:g}", f"{row.capacity_ah:g}", reserve]
        weight = f"{row.mass_kg / kg:g}" if kg == 1.0 else f"{row.mass_kg / kg:.0f}"
        cells += [weight, sides(row, system), *([row.source] if sources else [])]
        rows.append(cells)
    _print(headers, rows)
    typer.echo("\nTypical blocks of the trade, for comparing; your own label is better.")
    typer.echo(
        "The first part of a name is the case, by the trade's size number: 24, 27, 31 are\n"
        "longer in turn; an m is a marine one, 24m a 24 with marine posts. The rest is the\n"
        "chemistry (energysim list chemistries), and a voltage that is not the usual one."
    )
    typer.echo("energysim list cases has what is sold of each, as a range.")


def _cases(sources: bool, system: System) -> None:
    from energysim.cli.list_cases import show_cases

    show_cases(sources, system)


def _hulls(sources: bool, system: System) -> None:
    del system  # its numbers are ratios
    from energysim.catalogue import hull_tables

    tables = hull_tables()
    types = tables["types"].items()
    _print(
        [("name", False), ("what it is", False)], [(key, row["label"]) for key, row in types]
    )
    if sources:
        print_head("Every type, unless it says otherwise:")
        print_sourced({**tables["defaults"]["hull"], **tables["defaults"]["windage"]})
        for key, row in types:
            own = {**row.get("hull", {}), **row.get("windage", {})}
            if own:
                print_head(f"{key}:")
                print_sourced(own)


def _uncertainty(sources: bool, system: System) -> None:
    del system  # ratios, times, and speeds in knots in both
    from energysim.catalogue import uncertainties

    headers = [("part", False), ("give or take", True), ("drawn as", False), ("of", False)]
    headers += [("source", False)] if sources else []
    rows = []
    for row in uncertainties().values():
        cells = [row.part, _give_or_take(row), _drawn_as(row), row.what_it_is_of]
        rows.append([*cells, row.source] if sources else cells)
    _print(headers, rows)
    typer.echo(
        "\nWhat is drawn for the odds of a day may be set in [uncertainty], by the key shown."
    )


def _give_or_take(row: Uncertainty) -> str:
    """Return a spread in the unit people use for it."""
    if row.unit == "m/s":
        return format_quantity(row.spread, "speed", digits=1)
    return f"{row.spread / 60.0:g} min" if row.unit == "s" else f"{row.spread:.0%}"


def _drawn_as(row: Uncertainty) -> str:
    """Return key and distribution of what is drawn for the odds."""
    if row.key == "-":
        return ""
    memory = f", {row.memory_h:g} h" if row.memory_h else ""
    return f"{row.key} ({row.distribution}{memory})"


def _units(sources: bool, system: System) -> None:
    from energysim.unit_table import DIMENSIONS

    del sources, system
    rows = [(name, ", ".join(kind.shown)) for name, kind in DIMENSIONS.items()]
    _print([("dimension", False), ("units", False)], rows)
    typer.echo(
        '\nA quantity is a number and its unit in quotes: "15 kn", "17 ft 6 in", "80 lbf".\n'
        'Directions also take compass points: "SW", "south-west".'
    )


def _charts(sources: bool, system: System) -> None:
    from energysim.charts import charts

    del sources, system
    _print(
        [("name", False), ("what it shows", False)],
        [(row.kind, row.title) for row in charts().values()],
    )
    typer.echo("\nenergysim chart NAME FILE draws one.")
