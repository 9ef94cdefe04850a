"""
`energysim list` and `energysim schema`: what names a scenario may use, and its shape.

Depends on: catalogue, units, scenario.schema, charts.
"""

from __future__ import annotations

import sys
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from collections.abc import Iterable


class What(StrEnum):
    """The lists there are."""

    BATTERIES = "batteries"
    HULLS = "hulls"
    CHEMISTRIES = "chemistries"
    UNITS = "units"
    UNCERTAINTY = "uncertainty"
    CHARTS = "charts"


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    app.command("list")(show)
    app.command("schema")(schema)


def show(
    what: Annotated[What, typer.Argument(help="Which list.")],
    sources: Annotated[bool, typer.Option(help="Also where each number comes from.")] = False,
) -> None:
    """
    List the names and units a scenario may use.

    energysim list batteries

    energysim list chemistries --sources
    """
    tables = {
        What.BATTERIES: _batteries,
        What.HULLS: _hulls,
        What.CHEMISTRIES: _chemistries,
        What.UNITS: _units,
        What.UNCERTAINTY: _uncertainty,
        What.CHARTS: _charts,
    }
    tables[what](sources)


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


def _batteries(sources: bool) -> None:
    from energysim.catalogue import batteries

    headers = [("name", False), ("V", True), ("Ah", True), ("reserve", True), ("kg", True)]
    headers += [("L x W x H mm", False), *([("source", False)] if sources else [])]
    rows = []
    for row in batteries().values():
        reserve = "" if row.reserve_min is None else f"{row.reserve_min:g} min"
        size = " x ".join(
            f"{1000 * side:.0f}" for side in (row.length_m, row.width_m, row.height_m)
        )
        cells = [row.name, f"{row.voltage_v:g}", f"{row.capacity_ah:g}", reserve]
        cells += [f"{row.mass_kg:g}", size, *([row.source] if sources else [])]
        rows.append(cells)
    _print(headers, rows)
    typer.echo("\nTypical blocks of the trade, for comparing; your own label is better.")


def _hulls(sources: bool) -> None:
    from energysim.catalogue import hull_tables

    tables = hull_tables()
    types = tables["types"].items()
    _print(
        [("name", False), ("what it is", False)], [(key, row["label"]) for key, row in types]
    )
    if sources:
        typer.echo("\nEvery type, unless it says otherwise:")
        _print_sourced({**tables["defaults"]["hull"], **tables["defaults"]["windage"]})
        for key, row in types:
            own = {**row.get("hull", {}), **row.get("windage", {})}
            if own:
                typer.echo(f"\n{key}:")
                _print_sourced(own)


def _chemistries(sources: bool) -> None:
    from energysim.catalogue import chemistry_tables

    tables = chemistry_tables()
    if sources:
        for key, table in tables.items():
            typer.echo(f"\n{key}: {table['label']}")
            _print_sourced({k: v for k, v in table.items() if isinstance(v, dict)})
        return
    shown = (
        ("Peukert", "peukert_exponent", "{:g}", 1.0),
        ("plan\nuses", "depth_of_discharge", "{:.0%}", 1.0),
        ("mohm at\n100 Ah", "resistance_ohm_per_100ah", "{:g}", 1000.0),
        ("cut-off\nV", "cutoff_voltage_v", "{:g}", 1.0),
        ("full\nat", "full_soc", "{:.1%}", 1.0),
    )
    rows = [
        [
            key,
            table["label"],
            *(words.format(many * float(table[row]["value"])) for _, row, words, many in shown),
        ]
        for key, table in tables.items()
    ]
    titles = ((title, True) for title, *_ in shown)
    _print([("name", False), ("what it is", False), *titles], rows)
    typer.echo("\nenergysim list chemistries --sources says where every number comes from.")


def _print_sourced(rows: dict[str, Any]) -> None:
    """Print values with their spread and source."""

    def text(value: object) -> str:
        if isinstance(value, list):
            return f"{len(value)} points"
        return f"{value:g}" if isinstance(value, int | float) else str(value)

    cells = []
    for key, row in rows.items():
        spread = ""
        if "low" in row and not isinstance(row["value"], list):
            spread = f"{text(row['low'])} to {text(row['high'])}"
        cells.append([key, text(row["value"]), spread, row["source"]])
    _print([("number", False), ("value", True), ("spread", False), ("source", False)], cells)


def _uncertainty(sources: bool) -> None:
    from energysim.catalogue import uncertainties

    headers = [("part", False), ("give or take", True), ("of", False)]
    headers += [("source", False)] if sources else []
    rows = []
    for row in uncertainties().values():
        cells = [row.part, f"{row.spread:.0%}", row.what_it_is_of]
        rows.append([*cells, row.source] if sources else cells)
    _print(headers, rows)


def _units(sources: bool) -> None:
    from energysim.unit_table import DIMENSIONS

    del sources
    rows = [(name, ", ".join(kind.shown)) for name, kind in DIMENSIONS.items()]
    _print([("dimension", False), ("units", False)], rows)
    typer.echo(
        '\nA quantity is a number and its unit in quotes: "15 kn", "17 ft 6 in", "80 lbf".\n'
        'Directions also take compass points: "SW", "south-west".'
    )


def _charts(sources: bool) -> None:
    from energysim.charts import charts

    del sources
    _print(
        [("name", False), ("what it shows", False)],
        [(row.kind, row.title) for row in charts().values()],
    )
    typer.echo("\nenergysim chart NAME FILE draws one.")
