"""
The one figure on cases in a locker that was worked out beforehand.

It counts whole rows and columns, which proves nothing about mixed arrangements; the search may
find more but not fewer, and here area forbids a seventh: 7 x 13 x 6.8125 > 42 x 14.75 in.
"""

import csv
from pathlib import Path

import pytest

from energysim.physics.stowage import stow
from energysim.physics.stowage_pose import Case, Gaps, Room

INCH_M = 0.0254
TEXT = (Path(__file__).parent / "published_stowage.csv").read_text(encoding="utf-8")
ROWS = list(csv.DictReader(TEXT.splitlines()))


def group_31_on_42_by_15():
    case = Case(
        length_m=13 * INCH_M,
        width_m=6.8125 * INCH_M,
        height_m=9.4375 * INCH_M,
        may_lie=False,
        may_tip=False,
    )
    room = Room(
        length_m=42 * INCH_M,
        width_m=15 * INCH_M,
        height_m=12 * INCH_M,
        hatch_length_m=None,
        hatch_width_m=None,
        hatch_in_side=False,
        gaps=Gaps(wall_m=0.0, case_m=0.5 * INCH_M, terminal_m=0.0, box_m=0.0, hatch_m=0.0),
    )
    found = stow([case], counts=[12], rooms=[room])
    assert found.most_proved
    return found.most


WORKED = {"R82": group_31_on_42_by_15}


@pytest.mark.reference
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_the_count_is_the_published_one(row):
    assert row["tolerance"] == "exact"
    assert WORKED[row["id"]]() == int(row["expected"])


def test_every_row_is_worked_and_every_worked_value_has_a_row():
    assert {row["id"] for row in ROWS} == set(WORKED)
