"""
How far each part of the model may be out.

Depends on: catalogue.shipped.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from energysim.catalogue.shipped import data_text

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Uncertainty:
    """How far one part of the model may be out."""

    part: str
    spread: float  # one standard deviation or a judged equal of it, in the unit
    key: str  # of the [uncertainty] table; "-" where nothing is drawn
    distribution: str  # "lognormal", "normal", "truncated", "series"; "judged" is not drawn
    unit: str  # "1" for a relative one
    memory_h: float  # of a series; 0 for what lasts all day
    what_it_is_of: str
    source: str


@cache
def uncertainties() -> Mapping[str, Uncertainty]:
    """Return how far each part of the model may be out, by name, in the file's order."""
    rows = csv.DictReader(data_text("uncertainty.csv").splitlines())
    return {
        row["part"]: Uncertainty(
            part=row["part"],
            spread=float(row["spread"]),
            key=row["key"],
            distribution=row["distribution"],
            unit=row["unit"],
            memory_h=float(row["memory_h"]),
            what_it_is_of=row["what_it_is_of"],
            source=row["source"],
        )
        for row in rows
    }
