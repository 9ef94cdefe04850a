"""
`energysim list chemistries`: what the program takes each kind of battery to be.

Depends on: catalogue, physics, unit_format, cli.page, cli.sourced.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import typer

from energysim.cli.sourced import print_head, print_sourced, value_text
from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from typing import Any

    from rich.table import Table

    from energysim.catalogue import Chemistry
    from energysim.unit_format import System

DEPTHS: Final = (0.3, 0.5, 0.8)
COLD_DEGC: Final = (10.0, 0.0, -10.0)
YEARS: Final = 3.0


def chemistries(sources: bool, system: System) -> None:
    """Print the list, or every number with spread and source, in the units of the data."""
    if sources:
        _print_sources()
        return
    from energysim.catalogue import chemistry, chemistry_tables, refusals
    from energysim.cli.page import show
    from energysim.physics.storage import STORAGE_DEGC

    tables = chemistry_tables()
    kinds = [chemistry(name) for name in tables]
    show(_names(kinds))
    for title, rows in (
        ("\nDrawing on it (a 12 V block)", _drawing(tables)),
        ("\nCold", _cold(kinds, tables, system)),
        ("\nCharging (a 12 V block)", _charging(kinds, system)),
        (
            "\nWearing out (makes differ by two and more)",
            _life(kinds),
        ),
        (
            f"\nStanding at {_told(STORAGE_DEGC, system)} with nothing connected",
            _standing(kinds, tables),
        ),
    ):
        typer.echo(title)
        show(_side_by_side(rows, [kind.key for kind in kinds]))
    for row in refusals():
        typer.echo(f"\nRefused: {row.key}, a {row.label}.")
        typer.echo(_wrapped(f"It {row.refused_reason}. Take {row.instead}."))
    typer.echo(
        "\nA range stands below the number it belongs to. Most are facts of the trade that\n"
        "nobody has published: energysim list chemistries --sources says of every number\n"
        "where it comes from."
    )


def _print_sources() -> None:
    from energysim.catalogue import chemistry_tables, refusals

    typer.echo(
        'How far to trust a source: "common practice, no source" is a fact of the trade;\n'
        '"from memory" a publication not read again; "as read" one that was; "computed" a\n'
        'run of an open library; "ours" a choice of this program.'
    )
    for key, table in chemistry_tables().items():
        print_head(f"{key}: {table['label']}")
        print_sourced({name: row for name, row in table.items() if isinstance(row, dict)})
    for row in refusals():
        print_head(f"{row.key}: {row.label}, refused; where it differs from {row.like}:")
        print_sourced(row.numbers)


def _names(kinds: list[Chemistry]) -> Table:
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="bold", padding=(0, 2, 0, 0))
    for title in ("name", "what it is", "law of discharge"):
        table.add_column(title, overflow="fold")
    for kind in kinds:
        table.add_row(kind.key, kind.label, kind.law)
    return table


def _side_by_side(rows: Iterator[tuple[str, list[str]]], names: list[str]) -> Table:
    """Return a table with a column to each chemistry, the same width in every section."""
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="bold", padding=(0, 2, 0, 0))
    table.add_column("", width=28, overflow="fold")
    for name in names:
        table.add_column(name, justify="right", width=10, no_wrap=True)
    for label, cells in rows:
        table.add_row(label, *cells)
    return table


def _drawing(tables: Mapping[str, Any]) -> Iterator[tuple[str, list[str]]]:
    yield "Peukert's exponent", _listed(tables, "peukert_exponent")
    yield "wells level out, per h", _listed(tables, "well_rate_per_h")
    yield "resistance, mohm at 100 Ah", _listed(tables, "resistance_ohm_per_100ah", 1000.0)
    yield "  times that when empty", _listed(tables, "resistance_rise_when_empty")
    yield "cut-off, V under load", _listed(tables, "cutoff_voltage_v")
    yield "plan takes, % of the bank", _listed(tables, "depth_of_discharge", 100.0)
    yield "one block to another, +- %", _listed(tables, "capacity_spread", 100.0)


def _told(celsius: float, system: System) -> str:
    return format_quantity(celsius, "temperature", system=system)


def _cold(
    kinds: list[Chemistry], tables: Mapping[str, Any], system: System
) -> Iterator[tuple[str, list[str]]]:
    from energysim.physics.temperature import capacity_factor, resistance_factor

    def capacity(celsius: float) -> Callable[[Chemistry], str]:
        return lambda kind: _percent(
            capacity_factor(
                celsius,
                temperature_nodes_degc=kind.capacity_temperature_degc,
                factor_nodes=kind.capacity_temperature_factor,
                largest_factor=kind.capacity_largest_factor,
            )
        )

    for celsius in COLD_DEGC:
        yield (
            f"capacity at {_told(celsius, system)}, %",
            [capacity(celsius)(kind) for kind in kinds],
        )
    yield (
        f"resistance at {_told(0.0, system)}, times",
        [
            f"{float(resistance_factor(0.0, rise_per_degc=kind.resistance_rise_per_degc)):.1f}"
            for kind in kinds
        ],
    )
    yield (
        "charged down to",
        [
            "any"
            if kind.charge_law.lowest_charge_degc is None
            else _told(kind.charge_law.lowest_charge_degc, system)
            for kind in kinds
        ],
    )
    yield "heat to warm it, J/(kg K)", _listed(tables, "heat_capacity_j_per_kg_k")


def _charging(kinds: list[Chemistry], system: System) -> Iterator[tuple[str, list[str]]]:
    from energysim.physics.charge import charge_voltage_v

    for celsius in (25.0, 10.0):
        yield (
            f"V at {_told(celsius, system)}",
            [f"{float(charge_voltage_v(celsius, law=kind.charge_law)):.2f}" for kind in kinds],
        )
    yield (
        "at most usual, A into 100 Ah",
        [f"{100.0 * kind.charge_law.largest_charge_rate:g}" for kind in kinds],
    )
    yield "full counts from, %", [f"{100.0 * kind.charge_law.full_soc:g}" for kind in kinds]


def _life(kinds: list[Chemistry]) -> Iterator[tuple[str, list[str]]]:
    from energysim.physics.ageing import aged_capacity_fraction, cycles_to_end

    for depth in DEPTHS:
        yield (
            f"days {depth:.0%} deep until 80% left",
            [
                _ranged(
                    *(
                        f"{float(f'{float(cycles_to_end(depth, law=law)):.2g}'):.0f}"
                        for law in (kind.life_law, kind.life_law_low, kind.life_law_high)
                    )
                )
                for kind in kinds
            ],
        )
    yield (
        "years until 80% left, unused",
        [
            _ranged(
                *(
                    f"{law.calendar_years:g}"
                    for law in (kind.life_law, kind.life_law_low, kind.life_law_high)
                )
            )
            for kind in kinds
        ],
    )
    yield (
        f"left after {YEARS:g} years unused, %",
        [
            _percent(aged_capacity_fraction(YEARS, wear=0.0, law=kind.life_law))
            for kind in kinds
        ],
    )


def _standing(
    kinds: list[Chemistry], tables: Mapping[str, Any]
) -> Iterator[tuple[str, list[str]]]:
    from energysim.physics.storage import DAYS_PER_MONTH, STORAGE_DEGC, days_until_soc

    yield "goes in a month, %", _listed(tables, "self_discharge_per_month", 100.0)
    yield (
        "months from full to half",
        [
            f"{days / DAYS_PER_MONTH:.0f}"
            for days in (
                float(
                    days_until_soc(
                        0.5,
                        soc=1.0,
                        per_month=kind.self_discharge_per_month,
                        temperature_degc=STORAGE_DEGC,
                    )
                )
                for kind in kinds
            )
        ],
    )


def _listed(tables: Mapping[str, Any], key: str, times: float = 1.0) -> list[str]:
    """Return a number of each chemistry, its spread below it."""
    cells = []
    for table in tables.values():
        row = table[key]
        ends = (row.get(column, row["value"]) for column in ("value", "low", "high"))
        cells.append(_ranged(*(value_text(times * float(end)) for end in ends)))
    return cells


def _ranged(value: str, low: str, high: str) -> str:
    """Put a range below its number; nothing where there is none."""
    return value if low == high else f"{value}\n{low}-{high}"


def _percent(share: object) -> str:
    return f"{100.0 * float(share):.0f}"  # type: ignore[arg-type]


def _wrapped(text: str) -> str:
    from textwrap import fill

    return fill(text, width=80)
