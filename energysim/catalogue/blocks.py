"""
Typical blocks of the trade, by name.

Depends on: catalogue.shipped.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from energysim.catalogue.shipped import data_text, known

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Battery:
    """One typical block of the trade."""

    name: str
    case: str
    chemistry: str
    voltage_v: float
    capacity_ah: float
    rated_time_h: float
    reserve_min: float | None
    mass_kg: float
    length_m: float
    width_m: float
    height_m: float
    source: str


def battery(name: str) -> Battery:
    """Return a block by name; one that is not listed is a ScenarioError."""
    listed = batteries()
    known(name, listed, path="bank.battery", what="battery")
    return listed[name]


@cache
def batteries() -> Mapping[str, Battery]:
    """Return every typical block by name, in the file's order."""
    numbers = (
        "voltage_v",
        "capacity_ah",
        "rated_time_h",
        "mass_kg",
        "length_m",
        "width_m",
        "height_m",
    )
    found = {}
    for row in csv.DictReader(data_text("batteries.csv").splitlines()):
        values: dict[str, Any] = {**row, **{key: float(row[key]) for key in numbers}}
        values["reserve_min"] = float(row["reserve_min"]) if row["reserve_min"] else None
        found[row["name"]] = Battery(**values)
    return found
