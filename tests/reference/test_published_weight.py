"""Published and worked values on weight and trim, each with its source in the CSV."""

import csv
from pathlib import Path

import pytest

from energysim.physics.trim import (
    heel_deg,
    immersion_kg_per_m,
    persons_equivalent,
    trim_change_m,
    trim_stiffness_kg,
    waterplane_area_m2,
)

pytestmark = pytest.mark.reference

with (Path(__file__).parent / "published_weight.csv").open(encoding="utf-8", newline="") as _f:
    ROWS = {row["id"]: row for row in csv.DictReader(_f)}

PLANE = {"beam_wl_m": 1.9, "waterplane_coefficient": 0.75}
FRESH = {"water_density_kgpm3": 1000.0}
CENTIMETRES = 100.0


def stiffness_kg():
    return trim_stiffness_kg(5.2, **PLANE, **FRESH)


CALLS = {
    "R76": lambda: immersion_kg_per_m(waterplane_area_m2(5.2, **PLANE), **FRESH) / CENTIMETRES,
    "R77": lambda: stiffness_kg() / CENTIMETRES,
    "R78": lambda: (
        trim_change_m(84.0, arm_m=4.0, trim_stiffness_kg=stiffness_kg()) * CENTIMETRES
    ),
    "W01": lambda: heel_deg(
        28.0, off_centre_m=0.6, displacement_kg=750.0, metacentric_height_m=2.0
    ),
    "R80": lambda: persons_equivalent(84.0),
}


def test_every_row_is_computed_and_nothing_else_is():
    assert set(ROWS) == set(CALLS)


@pytest.mark.parametrize("row_id", CALLS)
def test_agrees_with(row_id):
    row = ROWS[row_id]
    found = float(CALLS[row_id]())
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"])), row[
        "source"
    ]
