"""Design loads of ground tackle, and the drag of a stopped propeller."""

import csv
from pathlib import Path

import numpy as np
import pytest

from energysim.constants import KNOT_MPS
from energysim.physics.mooring import MooringTable, mooring_design_load_n
from energysim.physics.stopped_propeller import (
    expanded_over_projected_area,
    stopped_propeller_drag_n,
)
from energysim.physics.windage import wind_forces_n

DATA = Path(__file__).parents[2] / "energysim" / "data" / "mooring_loads.csv"
with DATA.open(encoding="utf-8", newline="") as _handle:
    ROWS = list(csv.DictReader(_handle))
TABLE = MooringTable(
    length_m=np.array([float(row["length_m"]) for row in ROWS]),
    beam_m=np.array([float(row["beam_m"]) for row in ROWS]),
    load_n=np.array([float(row["load_15kn_n"]) for row in ROWS]),
)


def load(length_m=6.096, *, beam_m=2.0, wind_kn=15.0, table=TABLE):
    return mooring_design_load_n(
        length_m, beam_m=beam_m, wind_mps=np.multiply(wind_kn, KNOT_MPS), table=table
    )


def test_every_row_has_its_source_and_its_load_in_both_units():
    for row in ROWS:
        assert len(row["source"]) > 20
        pounds = float(row["load_15kn_lbf"])
        assert float(row["load_15kn_n"]) == pytest.approx(pounds * 4.4482216, abs=0.005)


def test_twice_the_wind_four_times_the_load():
    # ABYC H-40 as transcribed: 90 lbf at 15 kn, 360 at 30
    assert load(wind_kn=[0.0, 15.0, 30.0]) / 4.4482216 == pytest.approx(
        [0.0, 90.0, 360.0], abs=0.01
    )


def test_between_two_rows_half_way_is_half_way():
    assert load(0.5 * (6.096 + 7.62)) == pytest.approx(0.5 * (400.34 + 556.03))


def test_a_beamy_boat_is_rated_by_its_beam():
    assert load(beam_m=2.7432) == pytest.approx(556.03)


@pytest.mark.parametrize("wind_kn", [10.0, 15.0, 25.0])
def test_the_steady_push_of_the_wind_stays_well_below(wind_kn, console_boat):
    # an upper bound: the surges of a boat at anchor are in it, and not in ours
    surge, _ = wind_forces_n(
        wind_kn * KNOT_MPS,
        angle_off_bow_deg=0.0,
        windage=console_boat.windage,
        air_density_kgpm3=1.225,
    )
    assert 3.0 < load(wind_kn=wind_kn) / -surge < 9.0


def test_a_stopped_propeller_by_hand():
    # half of 1000 x 0.03 m2 x 1.5^2
    drag = stopped_propeller_drag_n(
        [0.0, 1.5], expanded_area_m2=0.03, water_density_kgpm3=1000.0
    )
    assert drag == pytest.approx([0.0, 33.75])


def test_more_pitch_hides_more_of_the_blade():
    # 1 / 1.067 without pitch; UFC 4-159-03 eq. 22
    ratio = expanded_over_projected_area([0.0, 0.5, 1.0])
    assert ratio[0] == pytest.approx(0.93721, abs=1e-5)
    assert np.all(np.diff(ratio) > 0.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: load(2.0), r"length_m = 2; .* at least 3\.048"),
        (lambda: load(beam_m=4.0), r"beam_m = 4; .* at most 3\.3528"),
        (lambda: load(wind_kn=-1.0), "wind_mps = -0"),
        (
            lambda: MooringTable(length_m=TABLE.length_m, beam_m=[2.0], load_n=TABLE.load_n),
            "beam_m must rise from row to row",
        ),
        (lambda: expanded_over_projected_area(3.0), "pitch_ratio = 3"),
        (
            lambda: stopped_propeller_drag_n(
                1.0, expanded_area_m2=0.0, water_density_kgpm3=1e3
            ),
            "expanded_area_m2 = 0",
        ),
    ],
)
def test_impossible_numbers_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
