"""
Published and independently computed values on rigging, each with its source in the CSV.

Weight and fit have files of their own. The 935 cells of the E-11 drop tables against which the
areas were once chosen are not shipped, so what was found there is not repeated here.
"""

import csv
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from energysim.conductors import conductors
from energysim.physics.cable import (
    COPPER_RESISTIVITY_OHM_M,
    COPPER_RISE_PER_DEGC,
    INCH_M,
    STRANDED,
    awg_area_m2,
    awg_diameter_m,
    conductor_resistance_ohm,
    copper_resistivity_ohm_m,
)
from energysim.physics.conductor import (
    CIRCULAR_MIL_M2,
    FOOT_M,
    ampacity_a,
    area_for_drop_m2,
    required_size,
)
from energysim.physics.discharge import peukert_runtime_h
from energysim.physics.protection import CAUTION, overcurrent_ceiling_a, overcurrent_verdict
from energysim.physics.ratings import reserve_capacity_ah
from energysim.physics.restraint import POUND_FORCE_N, federal_pull_n, iso_pull_n
from energysim.physics.venting import (
    DILUTION,
    SAFETY_FACTOR,
    SHIP_CLASSES,
    STANDARD_HYDROGEN_M3_PER_AH,
    airflow_m3ps,
    hydrogen_flow_m3ps,
    ship_class,
    ship_exhaust_m3ps,
    time_to_explosive_s,
    vent_opening_m2,
)
from energysim.rig.shaft import wanted_shaft_m

pytestmark = pytest.mark.reference

with (Path(__file__).parent / "published_rigging.csv").open(encoding="utf-8", newline="") as _f:
    ROWS = {row["id"]: row for row in csv.DictReader(_f)}

TABLE = conductors()
KILOFOOT_M = 1000.0 * FOOT_M
POUND_KG = 0.45359237
HOUR_S = 3600.0
MIL_FOOT_OHM_M = CIRCULAR_MIL_M2 / FOOT_M


def copper(gauge: int, length_m: float, degc: float, lay: float) -> float:
    return float(
        conductor_resistance_ohm(
            length_m, area_m2=awg_area_m2(gauge), temperature_degc=degc, lay_factor=lay
        )
    )


def circular_mils(amps: float, feet: float, volts: float) -> float:
    area = area_for_drop_m2(amps, round_trip_m=feet * FOOT_M, allowed_drop_v=volts)
    return float(area / CIRCULAR_MIL_M2)


def size(volts: float, amps: float, feet: float, share: float) -> str:
    """Return the size by the drop alone, as the tables of E-11 have it."""
    wanted = required_size(
        amps,
        round_trip_m=feet * FOOT_M,
        allowed_drop_v=share * volts,
        size_ampacity_a=np.full(len(TABLE.name), 1e6),
        conductors=TABLE,
    )
    return TABLE.name[int(wanted.size)]


def carries(name: str, degc: float, *, together: int = 1, engine: bool = False) -> float:
    listed = ampacity_a(
        TABLE, insulation_degc=degc, conductor_count=together, in_engine_space=engine
    )
    return float(listed[TABLE.name.index(name)])


def within_the_ceiling() -> str:
    wire = carries("8 AWG", 105.0, together=2)
    verdict = overcurrent_verdict(60.0, load_a=52.0, ampacity_a=wire)
    return str(bool(verdict != CAUTION and overcurrent_ceiling_a(wire) >= 60.0))


STRAND_6 = copper(6, KILOFOOT_M, 75.0, STRANDED)
AT_75 = float(copper_resistivity_ohm_m(75.0)) / COPPER_RESISTIVITY_OHM_M
DROP_6 = 52.0 * copper(6, 40.0 * FOOT_M, 75.0, STRANDED)

COMPUTED: dict[str, Callable[[], float | str]] = {
    "R01": lambda: float(awg_diameter_m(6)) / INCH_M,
    "R02": lambda: float(awg_diameter_m(-3)) / INCH_M,
    "R03": lambda: float(awg_area_m2(10)) / CIRCULAR_MIL_M2,
    "R05": lambda: COPPER_RESISTIVITY_OHM_M / MIL_FOOT_OHM_M,
    "R06": lambda: copper(10, KILOFOOT_M, 20.0, 1.0),
    "R07": lambda: float(copper_resistivity_ohm_m(25.0)) / COPPER_RESISTIVITY_OHM_M,
    "R09": lambda: COPPER_RISE_PER_DEGC / AT_75,
    "R10": lambda: STRAND_6,
    "R11": lambda: STRAND_6 / copper(6, KILOFOOT_M, 75.0, 1.0),
    "R13": lambda: float(copper_resistivity_ohm_m(75.0)) / MIL_FOOT_OHM_M,
    "R14": lambda: circular_mils(10.0, 21.0, 0.36),
    "R15": lambda: circular_mils(52.0, 40.0, 1.08),
    "R17": lambda: circular_mils(52.0, 40.0, 3.6),
    "R18": lambda: circular_mils(56.0, 40.0, 0.72),
    "R19": lambda: size(24.0, 56.0, 40.0, 0.03),
    "R21": lambda: size(24.0, 50.0, 40.0, 0.03),
    "R22": lambda: size(32.0, 60.0, 40.0, 0.03),
    "R23": lambda: size(12.0, 50.0, 40.0, 0.10),
    "R26": lambda: DROP_6,
    "R27": lambda: 100.0 * DROP_6 / 36.0,
    "R29": lambda: carries("6 AWG", 105.0),
    "R30": lambda: carries("8 AWG", 75.0),
    "R31": lambda: carries("4 AWG", 60.0),
    "R33": lambda: carries("10 AWG", 75.0, engine=True),
    "R34": lambda: carries("6 AWG", 105.0, together=3),
    "R35": lambda: carries("8 AWG", 105.0, together=3),
    "R37": lambda: float(overcurrent_ceiling_a(carries("6 AWG", 105.0))),
    "R38": within_the_ceiling,
    "R41": lambda: float(federal_pull_n(70.0 * POUND_KG)) / POUND_FORCE_N,
    "R42": lambda: float(federal_pull_n(26.0 * POUND_KG)) / POUND_FORCE_N,
    "R43": lambda: float(iso_pull_n(32.0)),
    "R45": lambda: (
        1000.0 * HOUR_S * float(hydrogen_flow_m3ps(1.0, cell_count=1, temperature_degc=25.0))
    ),
    "R46": lambda: DILUTION * STANDARD_HYDROGEN_M3_PER_AH * SAFETY_FACTOR,
    "R47": lambda: DILUTION,
    "R49": lambda: HOUR_S * float(airflow_m3ps(0.008, cell_count=18, capacity_ah=100.0)),
    "R50": lambda: 1e4 * float(vent_opening_m2(1.8 / HOUR_S)),
    "R51": lambda: HOUR_S * float(airflow_m3ps(0.06, cell_count=18, capacity_ah=100.0)),
    "R53": lambda: float(time_to_explosive_s(0.30, hydrogen_m3ps=75.6e-3 / HOUR_S)) / 60.0,
    "R54": lambda: HOUR_S * float(ship_exhaust_m3ps(10.0, cell_count=18)) / FOOT_M**3,
    "R55": lambda: SHIP_CLASSES[int(ship_class(10.0 * 36.0))],
    "R57": lambda: float(reserve_capacity_ah(100.0)),
    "R63": lambda: (
        52.0
        * float(peukert_runtime_h(52.0, capacity_ah=100.0, rated_time_h=20.0, exponent=1.2))
    ),
    "R81": lambda: wanted_shaft_m(22.0 * INCH_M) / INCH_M,
    "R84": lambda: (
        52.0
        * float(
            conductor_resistance_ohm(12.2, area_m2=16e-6, temperature_degc=20.0, lay_factor=1.0)
        )
    ),
}


def test_no_row_lacks_a_callable_and_no_callable_a_row():
    assert set(ROWS) == set(COMPUTED)


@pytest.mark.parametrize("name", sorted(COMPUTED))
def test_a_published_value_is_met(name):
    row, found = ROWS[name], COMPUTED[name]()
    if row["tolerance"] == "exact":
        assert str(found) == row["expected"]
    else:
        tolerance = float(row["tolerance"])
        assert found == pytest.approx(float(row["expected"]), rel=0.0, abs=tolerance + 1e-12)


@pytest.mark.parametrize("row", ROWS.values(), ids=list(ROWS))
def test_a_row_says_where_it_is_from(row):
    assert len(row["source"]) > 3
    assert row["flag"] in {
        "read",
        "formula read",
        "from memory",
        "computed",
        "common practice, no source",
    }
