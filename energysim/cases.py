"""
The trade's battery cases: outer size of each, and what is sold in it, as a range.

A block of the catalogue is the middle of its range. Nothing here rests on one maker or seller;
each range says where it comes from, and most are common practice without a source.

Depends on: block_file, data/case_sizes.csv, data/case_ranges.csv.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from energysim.block_file import read_blocks

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["BlockRange", "CaseSize", "block_ranges", "case_sizes", "read_blocks"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseSize:
    """The outer size of one case, upright, terminals or posts included where it says so."""

    case: str  # the trade's designation: "31"
    length_m: float
    width_m: float
    height_m: float
    what: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockRange:
    """The least and the most that is commonly sold in one case with one chemistry."""

    name: str  # as in the list of batteries: "31-agm"
    capacity_low_ah: float
    capacity_high_ah: float
    reserve_low_min: float | None  # None, both: no range known
    reserve_high_min: float | None
    mass_low_kg: float
    mass_high_kg: float
    capacity_source: str
    reserve_source: str
    mass_source: str
    note: str  # empty for most


@cache
def case_sizes() -> Mapping[str, CaseSize]:
    """Return the outer size of every case by its designation, in the file's order."""
    sides = ("length_m", "width_m", "height_m")
    return {
        row["case"]: CaseSize(
            case=row["case"],
            what=row["what"],
            source=row["source"],
            **{side: float(row[side]) for side in sides},
        )
        for row in _rows("case_sizes.csv")
    }


@cache
def block_ranges() -> Mapping[str, BlockRange]:
    """Return what is sold of every listed block, by the block's name, in the file's order."""
    return {
        row["name"]: BlockRange(
            name=row["name"],
            capacity_low_ah=float(row["capacity_low_ah"]),
            capacity_high_ah=float(row["capacity_high_ah"]),
            reserve_low_min=_known(row["reserve_low_min"]),
            reserve_high_min=_known(row["reserve_high_min"]),
            mass_low_kg=float(row["mass_low_kg"]),
            mass_high_kg=float(row["mass_high_kg"]),
            capacity_source=row["capacity_source"],
            reserve_source=row["reserve_source"],
            mass_source=row["mass_source"],
            note=row["note"],
        )
        for row in _rows("case_ranges.csv")
    }


def _known(cell: str) -> float | None:
    """Return a number, or None where the file has none."""
    return float(cell) if cell else None


def _rows(name: str) -> list[dict[str, str]]:
    """Return the rows of one shipped file."""
    text = (files("energysim") / "data" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
