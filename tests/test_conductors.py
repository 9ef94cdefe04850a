"""The shipped lists of boat cable and cord."""

import csv
from pathlib import Path

import numpy as np
import pytest

import energysim
from energysim.conductors import conductors, cord_ampacities_a
from energysim.physics.cable import awg_area_m2
from energysim.physics.conductor import CIRCULAR_MIL_M2

DATA = Path(energysim.__file__).parent / "data"


@pytest.mark.parametrize("name", ["conductors.csv", "cords.csv"])
def test_every_row_is_whole_and_says_its_source(name):
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert rows
    assert len({row["name"] for row in rows}) == len(rows)
    for row in rows:
        assert all(row.values())
        assert any(word in row["source"] for word in ("read", "from memory"))
        assert any(standard in row["source"] for standard in ("33 CFR", "NEC"))


def test_sizes_stand_thinnest_first_and_carry_more_as_they_thicken():
    table = conductors()
    assert np.all(np.diff(table.awg) < 0)
    assert np.all(np.diff(table.least_area_m2) > 0.0)
    assert np.all(np.diff(table.free_ampacity_a, axis=0) > 0.0)
    assert np.all(np.diff(table.free_ampacity_a, axis=1) >= 0.0)


def test_a_name_is_its_gauge():
    table = conductors()
    for name, number in zip(table.name, table.awg.tolist(), strict=True):
        text = name.removesuffix(" AWG")
        assert number == (1 - int(text[0]) if "/" in text else int(text))


def test_the_least_metal_of_six_gauge_lies_where_the_tables_of_drops_place_it():
    # Cells of ABYC E-11 (2008) Tables IX and X allow 25 382 to 26 875 circular mils (read);
    # the gauge itself has 26 251.
    table = conductors()
    least = table.least_area_m2[table.name.index("6 AWG")] / CIRCULAR_MIL_M2
    assert 25382.0 < least < 26875.0
    assert least < awg_area_m2(6) / CIRCULAR_MIL_M2


def test_a_thicker_cord_carries_more_and_far_less_than_boat_cable():
    cords, table = cord_ampacities_a(), conductors()
    assert list(cords) == [16, 14, 12]
    assert np.all(np.diff(list(cords.values())) > 0.0)
    for gauge, amps in cords.items():
        place = int(np.flatnonzero(table.awg == gauge)[0])
        assert amps <= table.free_ampacity_a[place].min()
