"""
Published values of the chop's growth, and independent runs of how a boat follows it.

Rows "formula as read" and "computed" catch slips of coding, not of physics; rows "from memory"
are recalled table entries. The tolerance is half the last digit printed, or what the rounding
of the inputs leaves open; WAV-9 was worked with a rounder gravity. No measurement of a small
boat's drift or bow motion was found.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from energysim.physics.bow_motion import regular_motion_ratio
from energysim.physics.chop import (
    NARROW_WATER,
    adjusted_wind_mps,
    peak_period_s,
    significant_height_m,
    wavelength_m,
)
from energysim.physics.chop_limits import young_height_m
from energysim.physics.chop_other import (
    adjusted_wind_spm_mps,
    friction_velocity_mps,
    height_by_friction_m,
)
from energysim.physics.immersion import swinging_thrust_ratio
from energysim.physics.mooring import MooringTable, mooring_design_load_n
from energysim.physics.stopped_propeller import expanded_over_projected_area

HERE = Path(__file__).parent
DATA = HERE.parents[1] / "energysim" / "data"
MILE_PER_HOUR_MPS = 0.44704
MILE_M = 1609.344
FOOT_M = 0.3048
KNOT_MPS = 1852.0 / 3600.0
POUND_FORCE_N = 4.4482216152605
DEEP = float("inf")


def read_rows(path):
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def narrow_water(law):
    along = adjusted_wind_mps(44.0 * MILE_PER_HOUR_MPS) * np.cos(np.deg2rad(125.0 - 93.0))
    return law(along, fetch_m=26.61 * MILE_M, depth_m=DEEP, law=NARROW_WATER)


def depth_over_wavelength(depth_over_deep_wavelength):
    period = 4.0
    deep = wavelength_m(period, depth_m=DEEP)
    depth = depth_over_deep_wavelength * deep
    return depth / wavelength_m(period, depth_m=depth)


def swing(depth_m, amplitude_m):
    return swinging_thrust_ratio(depth_m, amplitude_m=amplitude_m, propeller_radius_m=0.14)


def anchor_lbf(wind_kn):
    rows = read_rows(DATA / "mooring_loads.csv")
    table = MooringTable(
        length_m=np.array([float(row["length_m"]) for row in rows]),
        beam_m=np.array([float(row["beam_m"]) for row in rows]),
        load_n=np.array([float(row["load_15kn_n"]) for row in rows]),
    )
    wind = wind_kn * KNOT_MPS
    load = mooring_design_load_n(20.0 * FOOT_M, beam_m=2.0, wind_mps=wind, table=table)
    return load / POUND_FORCE_N


COMPUTE = {
    "WAV-1": lambda: adjusted_wind_mps(46.42 * MILE_PER_HOUR_MPS) / MILE_PER_HOUR_MPS,
    "WAV-3": lambda: peak_period_s(
        67.92 * MILE_PER_HOUR_MPS, fetch_m=26.0 * MILE_M, depth_m=13.0 * FOOT_M
    ),
    "WAV-4": lambda: adjusted_wind_mps(27.71 * KNOT_MPS) / KNOT_MPS,
    "WAV-5": lambda: young_height_m(36.18 * KNOT_MPS, duration_s=10800.0) / FOOT_M,
    "WAV-7": lambda: narrow_water(significant_height_m) / FOOT_M,
    "WAV-8": lambda: narrow_water(peak_period_s),
    "WAV-9": lambda: significant_height_m(15.0, fetch_m=200e3, depth_m=DEEP),
    "WAV-11": lambda: adjusted_wind_spm_mps(10.0),
    "WAV-12": lambda: significant_height_m(
        adjusted_wind_spm_mps(10.0), fetch_m=5e3, depth_m=DEEP
    ),
    "WAV-13": lambda: height_by_friction_m(friction_velocity_mps(10.0), fetch_m=5e3),
    "LEN-1": lambda: depth_over_wavelength(0.01),
    "LEN-2": lambda: depth_over_wavelength(0.05),
    "LEN-3": lambda: depth_over_wavelength(0.1),
    "LEN-4": lambda: depth_over_wavelength(0.2),
    "SWING-1": lambda: swing(0.30, 0.2),
    "SWING-2": lambda: swing(0.30, 0.3),
    "SWING-3": lambda: swing(0.30, 0.4),
    "SWING-4": lambda: swing(0.45, 0.3),
    "SWING-5": lambda: swing(0.45, 0.4),
    "MOR-1": lambda: anchor_lbf(15.0),
    "MOR-2": lambda: anchor_lbf(30.0),
    "MOR-3": lambda: anchor_lbf(30.0) / anchor_lbf(15.0),
    "UFC-1": lambda: expanded_over_projected_area(1.0),
}
ROWS = read_rows(HERE / "published_chop.csv")
PANELS = read_rows(HERE / "files" / "bow_motion_panels.csv")


@pytest.mark.reference
@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_value(row):
    found = float(COMPUTE[row["id"]]())
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_every_row_is_computed_and_nothing_else_is():
    assert sorted(COMPUTE) == sorted(row["id"] for row in ROWS)


def test_every_row_names_its_source_and_how_far_to_trust_it():
    assert all(row["source"] and row["flag"] for row in ROWS)
    assert all(row["source"] for row in PANELS)


def set_beside_panels(hull, heading):
    """Wavelengths over the length; relative motion at the bow by the panel method, and ours."""
    cosine = {"head": 1.0, "quarter": 0.5**0.5, "beam": 0.0}[heading]
    rows = [row for row in PANELS if row["hull"] == hull]
    waves = np.array([float(row["wavelength_over_length"]) for row in rows])
    beam = float(rows[0]["beam_wl_m"]) / float(rows[0]["length_wl_m"])
    ours = regular_motion_ratio(waves, motor_ahead_ratio=0.5, beam_ratio=beam, cosine=cosine)
    return waves, np.array([float(row[heading]) for row in rows]), ours


# The bounds are what regular_motion_ratio says of itself, not what would be wished for.
@pytest.mark.reference
@pytest.mark.parametrize("heading", ["head", "quarter"])
@pytest.mark.parametrize("hull", ["skiff", "centre-console"])
def test_a_bow_moves_as_a_panel_method_has_it(hull, heading):
    waves, panels, ours = set_beside_panels(hull, heading)
    share, long = ours / panels, waves >= 0.75
    assert long.sum() == 10
    assert np.all((share[long] > 0.85) & (share[long] < 1.15))
    assert np.all((share[~long] > 0.69) & (share[~long] < 1.17))


@pytest.mark.reference
@pytest.mark.parametrize("hull", ["skiff", "centre-console"])
def test_waves_abeam_move_a_bow_less_than_we_say(hull):
    _, panels, ours = set_beside_panels(hull, "beam")
    assert np.all((ours - panels > 0.0) & (ours - panels < 0.33))
