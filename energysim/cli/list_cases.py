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

INCH_M: Final = 0.0254
POUND_KG: Final = 0.45359237
_ROW: Final = "  {:<15}{:>5}{:>9}{:>11}{:>13}{:>11}"
_WIDTH: Final = 80


def show_cases(sources: bool) -> None:
    """Print every case with its blocks: ampere-hours, reserve minutes and weight as ranges."""
    from energysim.cases import block_ranges, case_sizes
    from energysim.catalogue import batteries

    ranges = block_ranges()
    typer.echo(_ROW.format("name", "V", "Ah", "reserve", "kg", "lb"))
    for case in case_sizes().values():
        _print_case(case, sources)
        for block in batteries().values():
            if block.case == case.case:
                _print_block(block, ranges[block.name], sources)
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


def _print_case(case: CaseSize, sources: bool) -> None:
    """Print the size of one case."""
    sides = (case.length_m, case.width_m, case.height_m)
    metric = " x ".join(f"{1000 * side:.0f}" for side in sides)
    inches = " x ".join(f"{side / INCH_M:.1f}" for side in sides)
    typer.echo(f"\n{case.case:<6}{metric} mm, {inches} in")
    typer.echo(f"      {case.what}")
    if sources:
        _print_source("size", case.source)


def _print_block(block: Battery, range_: BlockRange, sources: bool) -> None:
    """Print what is sold of one block."""
    mass = (range_.mass_low_kg, range_.mass_high_kg)
    reserve = "-"
    if range_.reserve_low_min is not None and range_.reserve_high_min is not None:
        reserve = f"{range_.reserve_low_min:.0f}-{range_.reserve_high_min:.0f}"
    typer.echo(
        _ROW.format(
            block.name,
            f"{block.voltage_v:g}",
            f"{range_.capacity_low_ah:g}-{range_.capacity_high_ah:g}",
            reserve,
            f"{mass[0]:.1f}-{mass[1]:.1f}",
            f"{mass[0] / POUND_KG:.0f}-{mass[1] / POUND_KG:.0f}",
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
