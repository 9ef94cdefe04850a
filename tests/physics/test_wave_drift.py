"""The steady push of chop. Nothing measured on a small boat was found to hold it to."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.wave_drift import (
    DriftTable,
    drift_forces,
    wave_drift_from_cosines_n,
    wave_drift_n,
)

COLUMNS = ("head_surge", "quarter_surge", "quarter_sway", "beam_sway")
DATA = Path(__file__).parents[2] / "energysim" / "data" / "wave_drift.csv"
with DATA.open(encoding="utf-8", newline="") as _handle:
    ROWS = list(csv.DictReader(_handle))
HULLS = sorted({row["hull"] for row in ROWS})
BOAT = {"length_m": 5.0, "beam_m": 2.0, "water_density_kgpm3": 1000.0}


def column(hull, name):
    return [float(row[name]) for row in ROWS if row["hull"] == hull]


def drift_table(*hulls):
    """The table of one hull, or the mean of several."""
    columns = {
        name: np.mean(
            [[float(row[name]) for row in ROWS if row["hull"] == hull] for hull in hulls],
            axis=0,
        )
        for name in ("wavelength_over_length", *COLUMNS)
    }
    return DriftTable(wavelength_ratio=columns.pop("wavelength_over_length"), **columns)


TABLE = drift_table(*HULLS)


def drift(height_m=0.3, *, ratio=1.0, angle_deg=0.0, table=TABLE):
    return wave_drift_n(
        height_m,
        wavelength_m=np.multiply(ratio, 5.0),
        angle_off_bow_deg=angle_deg,
        table=table,
        **BOAT,
    )


def test_every_row_has_its_source_and_no_push_beyond_a_whole_reflection():
    # Maruo 1960, from memory: waves turned back whole push with a coefficient of 1
    assert HULLS == ["centre-console", "skiff"]
    for row in ROWS:
        assert len(row["source"]) > 20
        assert 0.0 < float(row["head_surge"]) < 1.0
        assert 0.0 < float(row["beam_sway"]) < 1.0


def test_head_waves_as_long_as_the_boat_by_hand():
    # the mean of 0.227 and 0.256 is 0.2415; 0.2415 x 1000 x 9.80665 x 0.09 / 16 x 2
    surge, sway = drift()
    assert surge == pytest.approx(-0.2415 * 110.3248, rel=1e-4)
    assert sway == pytest.approx(0.0, abs=1e-12)


def test_waves_abeam_by_hand():
    # from starboard, half a length: the mean of 0.726 and 0.767 is 0.7465, on 5 m
    surge, sway = drift(ratio=0.5, angle_deg=90.0)
    assert sway == pytest.approx(-0.7465 * 55.16241 * 5.0, rel=1e-4)
    assert surge == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("hull", HULLS)
@pytest.mark.parametrize(
    ("angle_deg", "along", "across"),
    [
        (0.0, "head_surge", None),
        (45.0, "quarter_surge", "quarter_sway"),
        (90.0, None, "beam_sway"),
    ],
    ids=["ahead", "quartering", "abeam"],
)
def test_the_computed_headings_are_met_at_every_wavelength(hull, angle_deg, along, across):
    table = drift_table(hull)
    surge, sway = drift(ratio=table.wavelength_ratio, angle_deg=angle_deg, table=table)
    unit = 1000.0 * 9.80665 * 0.3**2 / 16.0
    zero = np.zeros_like(surge)
    assert -surge / (unit * 2.0) == pytest.approx(getattr(table, along) if along else zero)
    assert -sway / (unit * 5.0) == pytest.approx(getattr(table, across) if across else zero)


def test_long_chop_hardly_pushes():
    surge, _ = drift(ratio=[1.0, 4.0, 8.0, 80.0])
    assert surge[1] / surge[0] < 0.1
    # beyond the table, with the square of the wavelength
    assert surge[2:] / surge[1] == pytest.approx([0.25, 0.0025])


def test_chop_shorter_than_the_table_pushes_like_its_shortest():
    surge, _ = drift(ratio=[0.0, 0.1, 0.25])
    assert surge == pytest.approx(np.full(3, surge[2]))


def test_flat_water_does_not_push():
    assert [float(part) for part in drift(0.0, ratio=0.0, angle_deg=30.0)] == [0.0, 0.0]


@settings(max_examples=80)
@given(ratio=st.floats(0.05, 20.0), angle=st.floats(-360.0, 360.0), height=st.floats(0.01, 1.0))
def test_chop_pushes_away_from_where_it_comes_and_with_the_square_of_its_height(
    ratio, angle, height
):
    surge, sway = drift(height, ratio=ratio, angle_deg=angle)
    off = np.deg2rad(angle)
    assert surge * np.cos(off) <= 1e-12
    assert sway * np.sin(off) <= 1e-12
    assert drift(2.0 * height, ratio=ratio, angle_deg=angle)[0] == pytest.approx(4.0 * surge)


@settings(max_examples=60)
@given(ratio=st.floats(0.05, 20.0), angle=st.floats(0.0, 180.0))
def test_port_mirrors_starboard_and_astern_mirrors_ahead(ratio, angle):
    surge, sway = drift(ratio=ratio, angle_deg=angle)
    port = drift(ratio=ratio, angle_deg=-angle)
    astern = drift(ratio=ratio, angle_deg=180.0 - angle)
    assert port[0] == pytest.approx(surge, abs=1e-9)
    assert port[1] == pytest.approx(-sway, abs=1e-9)
    assert astern[0] == pytest.approx(-surge, abs=1e-9)
    assert astern[1] == pytest.approx(sway, abs=1e-9)


def test_turning_the_boat_in_the_same_chop_is_the_same_thing():
    rng = np.random.default_rng(3)
    height, wave = rng.uniform(0.0, 0.5, (2, 7, 3))
    angle = rng.uniform(-180.0, 180.0, (7, 3))
    forces = drift_forces(height, wavelength_m=9.0 * wave, table=TABLE, **BOAT)
    turned = wave_drift_from_cosines_n(
        np.cos(np.deg2rad(angle)), sine=np.sin(np.deg2rad(angle)), forces=forces
    )
    whole = wave_drift_n(
        height, wavelength_m=9.0 * wave, angle_off_bow_deg=angle, table=TABLE, **BOAT
    )
    np.testing.assert_allclose(turned, whole)
    one = wave_drift_n(
        height[4, 1],
        wavelength_m=9.0 * wave[4, 1],
        angle_off_bow_deg=angle[4, 1],
        table=TABLE,
        **BOAT,
    )
    np.testing.assert_allclose(one, (whole[0][4, 1], whole[1][4, 1]))


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"wavelength_ratio": [0.5, 0.5]}, "wavelength_ratio must be a rising row"),
        ({"head_surge": [0.1, 0.1, 0.1]}, "head_surge has 3 numbers for 2 wavelengths"),
        ({"beam_sway": [0.1, -0.1]}, r"beam_sway = -0\.1"),
    ],
)
def test_a_table_that_is_none_is_refused(changes, message):
    sound = {"wavelength_ratio": [0.5, 1.0]} | {key: [0.2, 0.1] for key in COLUMNS}
    with pytest.raises(ValueError, match=message):
        DriftTable(**{name: np.array(row) for name, row in (sound | changes).items()})


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"significant_height_m": -0.1}, r"significant_height_m = -0\.1; .* at least 0"),
        ({"wavelength_m": np.nan}, "wavelength_m = nan"),
        ({"beam_m": 0.0}, "beam_m = 0; .* above 0"),
        ({"angle_off_bow_deg": np.inf}, "angle_off_bow_deg = inf"),
    ],
)
def test_impossible_numbers_are_refused(changes, message):
    arguments = {
        "significant_height_m": 0.3,
        "wavelength_m": 4.0,
        "angle_off_bow_deg": 0.0,
        "table": TABLE,
    } | BOAT
    with pytest.raises(ValueError, match=message):
        wave_drift_n(**(arguments | changes))
