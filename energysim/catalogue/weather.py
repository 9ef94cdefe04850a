"""
Gust factors, and the push of chop on a hull.

Depends on: physics, catalogue.shipped.
"""

from __future__ import annotations

import csv
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from energysim.catalogue.shipped import data_text
from energysim.physics.gusts import GustTable
from energysim.physics.wave_drift import DriftTable

if TYPE_CHECKING:
    from numpy.typing import NDArray


@cache
def gust_table() -> GustTable:
    """Return the gust factors by exposure and averaging times."""
    rows = list(csv.DictReader(data_text("gust_factors.csv").splitlines()))

    def column(key: str) -> NDArray[np.float64]:
        return np.array([float(row[key]) for row in rows])

    return GustTable(
        exposure=tuple(row["exposure"] for row in rows),
        reference_period_s=column("reference_period_s"),
        gust_duration_s=column("gust_duration_s"),
        factor=column("gust_factor"),
    )


@cache
def drift_table(hull: str) -> DriftTable:
    """Return the push of chop on a type of hull; the mean of those listed for any other."""
    rows = list(csv.DictReader(data_text("wave_drift.csv").splitlines()))
    listed = sorted({row["hull"] for row in rows})
    chosen = [hull] if hull in listed else listed

    def column(key: str) -> NDArray[np.float64]:
        parts = [[float(row[key]) for row in rows if row["hull"] == name] for name in chosen]
        return np.asarray(np.mean(np.array(parts), axis=0))

    return DriftTable(
        wavelength_ratio=column("wavelength_over_length"),
        head_surge=column("head_surge"),
        quarter_surge=column("quarter_surge"),
        quarter_sway=column("quarter_sway"),
        beam_sway=column("beam_sway"),
    )
