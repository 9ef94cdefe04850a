"""
`energysim list cases`: the trade's battery cases, their size, and what is sold in each.

Depends on: cases, catalogue.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

import typer

if TYPE_CHECKING:
    from energysim.cases import BlockRange, CaseSize
    from energysim.catalogue import Battery
    from energysim.unit_format import System

INCH_M: Final = 0.0254
POUND_KG: Final = 0.45359237
_ROW: Final = "  {:<15}{:>5}{:>9}{:>11}{:>13}"
_WIDTH: Final = 80


def sides(sized: CaseSize | Battery, system: System) -> str:
    """Return length, width and height."""
    unit, per_m, digits = ("in", INCH_M, 1) if system == "us" else ("mm", 0.001, 0)
    told = (sized.length_m, sized.width_m, sized.height_m)
    return " x ".join(f"{side / per_m:.{digits}f}" for side in told) + f" {unit}"


def weight_unit(system: System) -> tuple[str, float]:
    """Return the unit a block is weighed in, and its kilograms."""
    return ("lb", POUND_KG) if system == "us" else ("kg", 1.0)


def show_cases(sources: bool, system: System) -> None:
    """Print every case with its blocks: ampere-hours, reserve minutes and weight as ranges."""
    from energysim.cases import block_ranges, case_sizes
    from energysim.catalogue import batteries

    ranges = block_ranges()
    typer.echo(_ROW.format("name", "V", "Ah", "reserve", weight_unit(system)[0]))
    for case in case_sizes().values():
        _print_case(case, sources, system)
        for block in batteries().values():
            if block.case == case.case:
                _print_block(block, ranges[block.name], sources, system)
    typer.echo(
        "\n"
        + textwrap.fill(
            "Reserve in minutes at 25 A; - where no range is known. Ranges are what the trade "
            "sells, mostly common practice without a source (--sources); a block of the list "
            "of batteries is the middle of its range. Your own label and tape measure are "
            "better: posts, lids, handles and straps add to a size.",
            _WIDTH,
        )
    )


def _print_case(case: CaseSize, sources: bool, system: System) -> None:
    """Print the size of one case."""
    typer.echo(f"\n{case.case:<6}{sides(case, system)}")
    typer.echo(f"      {case.what}")
    if sources:
        _print_source("size", case.source)


def _print_block(block: Battery, range_: BlockRange, sources: bool, system: System) -> None:
    """Print what is sold of one block."""
    kg, digits = weight_unit(system)[1], 0 if system == "us" else 1
    mass = (range_.mass_low_kg / kg, range_.mass_high_kg / kg)
    reserve = "-"
    if range_.reserve_low_min is not None and range_.reserve_high_min is not None:
        reserve = f"{range_.reserve_low_min:.0f}-{range_.reserve_high_min:.0f}"
    typer.echo(
        _ROW.format(
            block.name,
            f"{block.voltage_v:g}",
            f"{range_.capacity_low_ah:g}-{range_.capacity_high_ah:g}",
            reserve,
            f"{mass[0]:.{digits}f}-{mass[1]:.{digits}f}",
        )
    )
    if range_.note:
        typer.echo(f"      {range_.note}")
    if sources:
        _print_source("Ah", range_.capacity_source)
        _print_source("reserve", range_.reserve_source)
        _print_source("mass", range_.mass_source)


def _print_source(what: str, source: str) -> None:
    """Print where one kind of number comes from, indented below it."""
    typer.echo(
        textwrap.fill(
            f"{what}: {source}", _WIDTH, initial_indent=" " * 6, subsequent_indent=" " * 8
        )
    )
