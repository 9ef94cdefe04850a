"""
Published and independently computed values of the wind, water and hull laws.

None of these is a force measured on a small boat: no such figure was found. Rows "formula as
read" catch slips of coding, not of physics.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from energysim.physics.blendermann import blendermann_coefficients
from energysim.physics.manoeuvring import drift_derivatives
from energysim.physics.resistance import (
    hoerner_cross_flow_coefficient,
    ittc57_friction_coefficient,
    residuary_per_weight,
    shallow_water_coefficient,
    wetted_area_round_m2,
)
from energysim.physics.water import water_density_kgpm3
from energysim.physics.wind import (
    neutral_drag_coefficient,
    velocity_pressure_pa,
    wind_at_height,
    wind_at_height_power_law,
)

DATA = Path(__file__).parents[2] / "energysim" / "data"
MILE_PER_HOUR_MPS = 0.44704
POUND_PER_CUBIC_FOOT_KGPM3 = 0.45359237 / 0.3048**3
POUND_FORCE_PER_SQUARE_FOOT_PA = 4.4482216152605 / 0.3048**2
SPEED_BOAT = {
    "side_coefficient": 0.9,
    "bow_coefficient": 0.55,
    "stern_coefficient": 0.6,
    "cross_force_parameter": 0.6,
}
FISHING_VESSEL = {
    "side_coefficient": 0.95,
    "bow_coefficient": 0.7,
    "stern_coefficient": 0.7,
    "cross_force_parameter": 0.4,
}


def read_rows(path):
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def pressure_psf(speed_mph, *, air_lb_per_ft3=0.0765):
    pressure = velocity_pressure_pa(
        speed_mph * MILE_PER_HOUR_MPS,
        air_density_kgpm3=air_lb_per_ft3 * POUND_PER_CUBIC_FOOT_KGPM3,
    )
    return pressure / POUND_FORCE_PER_SQUARE_FOOT_PA


def wind_coefficient(which, angle_deg, vessel):
    return blendermann_coefficients(angle_deg, area_ratio=0.5, **vessel)[which]


def frigate_force_mn(draft_over_depth):
    # Salt water as of the manual's tables; draft 4.387 m from the same table.
    draft = 4.387
    coefficient = shallow_water_coefficient(
        0.85, draft_m=draft, depth_m=draft / draft_over_depth
    )
    return 0.5 * 1025.0 * 1.5**2 * 124.4 * draft * coefficient / 1e6


def cross_flow(ratio):
    rows = read_rows(DATA / "hoerner_crossflow.csv")
    return hoerner_cross_flow_coefficient(
        ratio,
        ratio_nodes=[float(row["beam_over_two_drafts"]) for row in rows],
        coefficient_nodes=[float(row["coefficient"]) for row in rows],
    )


def drift_lever():
    sway, yaw = drift_derivatives(4.85, beam_m=1.85, draft_m=0.192, block_coefficient=0.52)
    return yaw / sway


def residuary_per_mille(froude):
    rows = [row for row in read_rows(DATA / "residuary.csv") if row["hull"] == "yacht-lb2.76"]
    return 1000.0 * residuary_per_weight(
        froude,
        froude_nodes=[float(row["froude"]) for row in rows],
        per_weight_nodes=[float(row["residuary_per_weight"]) for row in rows],
    )


def one_metre_over_ten(law, **arguments):
    return law(10.0, reference_height_m=10.0, height_m=1.0, **arguments) / 10.0


COMPUTE = {
    "ITTC-1": lambda: ittc57_friction_coefficient(1e6),
    "ITTC-2": lambda: ittc57_friction_coefficient(1e7),
    "ITTC-3": lambda: ittc57_friction_coefficient(1e8),
    "ITTC-5": lambda: ittc57_friction_coefficient(1297790111.0),
    "BLN-1": lambda: wind_coefficient(0, 0.0, SPEED_BOAT),
    "BLN-2": lambda: wind_coefficient(1, 90.0, SPEED_BOAT),
    "BLN-4": lambda: wind_coefficient(1, 45.0, SPEED_BOAT),
    "BLN-5": lambda: wind_coefficient(0, 30.0, FISHING_VESSEL),
    "BLN-6": lambda: wind_coefficient(1, 30.0, FISHING_VESSEL),
    "AIR-1": lambda: pressure_psf(100.0),
    "AIR-2": lambda: pressure_psf(1.0),
    "AIR-3": lambda: 0.85 * 0.85 * pressure_psf(115.0),
    "WPR-1": lambda: neutral_drag_coefficient(10.0),
    "WPR-2": lambda: one_metre_over_ten(wind_at_height),
    "WPR-3": lambda: one_metre_over_ten(wind_at_height_power_law, exponent=1.0 / 7.0),
    "ISO-3": lambda: 0.6 / velocity_pressure_pa(1.0, air_density_kgpm3=1.225),
    "SHL-1": lambda: frigate_force_mn(0.096),
    "SHL-2": lambda: frigate_force_mn(0.288),
    "SHL-3": lambda: frigate_force_mn(0.576),
    "SHL-5": lambda: frigate_force_mn(0.960),
    "WSA-1": lambda: wetted_area_round_m2(4.85, draft_m=0.192, volume_m3=0.9),
    "HOE-1": lambda: cross_flow(1.0),
    "HOE-2": lambda: cross_flow([4.1, 5.7]),
    "CLK-1": drift_lever,
    "DEL-1": lambda: residuary_per_mille(0.225),
    "DEL-2": lambda: residuary_per_mille(0.300),
    "E77": lambda: water_density_kgpm3(35.0, temperature_degc=15.0),
    "E78": lambda: water_density_kgpm3(35.0, temperature_degc=5.0),
    "E79": lambda: water_density_kgpm3(20.0, temperature_degc=15.0),
    "E81": lambda: water_density_kgpm3(0.0, temperature_degc=5.0),
    "E82": lambda: water_density_kgpm3(35.0, temperature_degc=25.0),
}
ROWS = read_rows(Path(__file__).with_name("published_forces.csv"))


@pytest.mark.reference
@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_value(row):
    found = np.asarray(COMPUTE[row["id"]]())
    assert found == pytest.approx(
        np.full(found.shape, float(row["expected"])), rel=0.0, abs=float(row["tolerance"])
    )


def test_every_row_is_computed_and_nothing_else_is():
    assert sorted(COMPUTE) == sorted(row["id"] for row in ROWS)


def test_every_row_names_its_source_and_how_far_to_trust_it():
    assert all(row["source"] and row["flag"] for row in ROWS)
