"""
The lists of boat cable and of charger cord the package ships.

Each is a file under data/ whose rows carry their sources; each is read once, when first asked
for.

Depends on: physics.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

import numpy as np

from energysim.physics.conductor import CIRCULAR_MIL_M2, Conductors

if TYPE_CHECKING:
    from collections.abc import Mapping

INSULATIONS_DEGC = (60, 75, 80, 90, 105)


@cache
def conductors() -> Conductors:
    """Return every size of boat cable listed, thinnest first."""
    rows = _rows("conductors.csv")
    columns = [f"ampacity_{degc}degc_a" for degc in INSULATIONS_DEGC]
    return Conductors(
        name=tuple(row["name"] for row in rows),
        awg=np.array([int(row["awg"]) for row in rows], dtype=np.intp),
        least_area_m2=CIRCULAR_MIL_M2
        * np.array([float(row["least_area_cmil"]) for row in rows]),
        insulation_degc=np.array(INSULATIONS_DEGC, dtype=np.float64),
        free_ampacity_a=np.array([[float(row[key]) for key in columns] for row in rows]),
    )


@cache
def cord_ampacities_a() -> Mapping[int, float]:
    """Return what a charger's cord may carry, by its American gauge, thinnest first."""
    return {int(row["awg"]): float(row["ampacity_a"]) for row in _rows("cords.csv")}


def _rows(name: str) -> list[dict[str, str]]:
    text = (files("energysim") / "data" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
