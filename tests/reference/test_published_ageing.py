"""Published and independently computed values on ageing, each with its source in the CSV."""

import csv
import math
from collections.abc import Callable
from pathlib import Path

import pytest

from energysim.catalogue import chemistry
from energysim.physics.ageing import (
    aged_capacity_fraction,
    cycle_wear,
    cycles_to_end,
    years_to_end,
)
from energysim.physics.spread import expected_weakest
from energysim.physics.storage import DAYS_PER_MONTH, STORAGE_DEGC, soc_after_storage

pytestmark = pytest.mark.reference

with (Path(__file__).parent / "published_ageing.csv").open(encoding="utf-8", newline="") as _f:
    ROWS = {row["id"]: row for row in csv.DictReader(_f)}

DAYS_A_YEAR = 365.25
Range = tuple[float, float, float]


def laws(name: str):
    """A chemistry's life: low, as expected, high."""
    kind = chemistry(name)
    return kind.life_law_low, kind.life_law, kind.life_law_high


def cycles(name: str, percent: float) -> Range:
    low, value, high = (float(cycles_to_end(percent / 100.0, law=law)) for law in laws(name))
    return low, value, high


def sealed(percent: float) -> float:
    """Both sealed kinds together; published tables do not tell them apart."""
    return math.sqrt(cycles("agm", percent)[1] * cycles("gel", percent)[1])


def days(percent: float) -> Range:
    """Days until a lithium block cycled once a day is worn out, by use or by the calendar."""
    low, value, high = (
        DAYS_A_YEAR
        * float(years_to_end(cycle_wear(percent / 100.0, trips=DAYS_A_YEAR, law=law), law=law))
        for law in laws("lfp")
    )
    return low, value, high


def lost(years: float) -> float:
    return 1.0 - float(aged_capacity_fraction(years, wear=0.0, law=laws("lfp")[1]))


def month(name: str) -> float:
    kind = chemistry(name)
    return 1.0 - float(
        soc_after_storage(
            1.0,
            days=DAYS_PER_MONTH,
            per_month=kind.self_discharge_per_month,
            temperature_degc=STORAGE_DEGC,
            doubling_degc=kind.self_discharge_doubling_degc,
        )
    )


def behind(count: int) -> float:
    return -float(expected_weakest(count, mean=0.0, deviation=1.0))


def depth_and_kind(row_id: str) -> tuple[str, float]:
    """Read "agm, depth 50 %" out of a row's inputs."""
    name, _, depth = ROWS[row_id]["inputs"].partition(", depth ")
    return name, float(depth.split()[0])


CALLS: dict[str, Callable[[], float | Range]] = {
    "B078": lambda: sealed(50.0),
    "B079": lambda: sealed(60.0),
    "B080": lambda: sealed(100.0),
    "B082": lambda: days(80.0),
    "B083": lambda: days(50.0),
    "B084": lambda: 0.5 * sealed(50.0),
    "B098": lambda: behind(3),
    "B099": lambda: behind(4),
    "LIFE-large-50": lambda: days(50.0),
    "LIFE-large-80": lambda: days(80.0),
    "LIFE-warm-80": lambda: days(80.0),
    "LIFE-warm-50": lambda: days(50.0),
    "LIFE-warm-30": lambda: days(30.0),
    "LIFE-ratio": lambda: days(50.0)[1] / days(80.0)[1],
    "LIFE-year-1": lambda: lost(1.0),
    "LIFE-year-5": lambda: lost(5.0),
    "WEAKEST-3": lambda: float(expected_weakest(3, mean=1.0, deviation=0.05)),
    "STAND-flooded": lambda: month("flooded"),
    "STAND-agm": lambda: month("agm"),
    "STAND-gel": lambda: month("gel"),
    "STAND-lfp": lambda: month("lfp"),
}
# The rows of curves say what they are of themselves.
CURVES = [row_id for row_id in ROWS if row_id.startswith(("SEALED-", "USUAL-", "OTHER-"))]
CALLS |= {row_id: lambda at=row_id: cycles(*depth_and_kind(at)) for row_id in CURVES}


def test_every_row_is_computed_and_nothing_else_is():
    assert set(ROWS) == set(CALLS)


@pytest.mark.parametrize("row_id", CALLS)
def test_agrees_with(row_id):
    row, found = ROWS[row_id], CALLS[row_id]()
    expected = float(row["expected"])
    words = f"{row['quantity']}, {row['inputs']}: {row['source']}"
    if row["tolerance"] == "range":
        assert isinstance(found, tuple)
        low, _, high = found
        assert low * (1.0 - 1e-9) <= expected <= high * (1.0 + 1e-9), words
        return
    value = found[1] if isinstance(found, tuple) else found
    tolerance = float(row["tolerance"].removesuffix(" rel"))
    if row["tolerance"].endswith(" rel"):
        tolerance *= expected
    assert abs(value - expected) <= tolerance + 1e-12, words


@pytest.mark.parametrize("name", ["flooded", "agm", "gel", "lfp"])
def test_a_range_is_no_wider_than_what_is_published(name):
    # A range that held everything would make the rows above prove nothing: from low to high a
    # factor of two is usual among published curves, four where a life model joins them.
    for percent in (30.0, 50.0, 80.0):
        low, value, high = cycles(name, percent)
        assert high / low <= (4.0 if name == "lfp" else 2.5)
        assert low <= value <= high
