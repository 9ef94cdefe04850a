"""
Types of hull: what turns an owner's few dimensions into a hull and its windage.

Depends on: physics, catalogue.shipped.
"""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.catalogue.shipped import data_text, known
from energysim.physics.hull_form import HullForm
from energysim.physics.windage_form import WindageForm

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HullType:
    """What turns an owner's few dimensions into a hull and its windage."""

    key: str
    label: str
    outboard_drag_area_m2: float
    form: HullForm
    windage: WindageForm


def hull_type(name: str) -> HullType:
    """Return a type of hull by name; one that is not listed is a ScenarioError."""
    listed = hull_tables()["types"]
    known(name, listed, path="boat.hull", what="hull")
    defaults, own = hull_tables()["defaults"], listed[name]

    def values(part: str) -> dict[str, float]:
        rows = {**defaults[part], **own.get(part, {})}
        return {key: float(row["value"]) for key, row in rows.items()}

    def value(key: str) -> Any:
        return own.get(key, defaults[key])["value"]

    froude, per_weight = _residuary(value("residuary"))
    return HullType(
        key=name,
        label=own["label"],
        outboard_drag_area_m2=float(value("outboard_drag_area_m2")),
        form=HullForm(
            **values("hull"), residuary_froude=froude, residuary_per_weight=per_weight
        ),
        windage=WindageForm(**values("windage")),
    )


@cache
def hull_tables() -> Mapping[str, Any]:
    """Return data/hulls.toml as it stands: values with their spread and source."""
    return tomllib.loads(data_text("hulls.toml"))


@cache
def _residuary(hull: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return one hull's residuary resistance per weight over the Froude number."""
    rows = csv.DictReader(data_text("residuary.csv").splitlines())
    points = [
        (float(row["froude"]), float(row["residuary_per_weight"]))
        for row in rows
        if row["hull"] == hull
    ]
    table = np.array(points)
    return table[:, 0], table[:, 1]
