"""Published and independently computed values on the bank, each with its source in the CSV."""

import csv
import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import energysim
from energysim.physics.cable import (
    COPPER_RISE_PER_DEGC,
    STRANDED,
    awg_area_m2,
    awg_diameter_m,
    conductor_resistance_ohm,
    copper_resistivity_ohm_m,
    feed_resistance_ohm,
)
from energysim.physics.charge import (
    ChargeLaw,
    accepted_current_a,
    charge_input_ah,
    charge_time_h,
    charge_voltage_v,
)
from energysim.physics.charger import (
    apparent_power_va,
    continuous_circuit_power_w,
    mains_power_w,
)
from energysim.physics.discharge import (
    capacity_lasting_ah,
    peukert_effective_current_a,
    peukert_runtime_h,
)
from energysim.physics.ratings import reserve_capacity_ah, reserve_min_from_exponent
from energysim.physics.temperature import capacity_factor
from energysim.physics.voltage import (
    constant_power_current_a,
    maximum_power_w,
    power_at_voltage_w,
    rest_voltage_from_density_v,
    rest_voltage_v,
)
from energysim.physics.wells import Wells, wells_after, wells_runtime_h, wells_time_left_h
from energysim.physics.wells_fit import wells_from_ratings

pytestmark = pytest.mark.reference

DATA = Path(energysim.__file__).parent / "data"
CHEMISTRIES = tomllib.loads((DATA / "chemistries.toml").read_text(encoding="utf-8"))
with (Path(__file__).parent / "published_battery.csv").open(encoding="utf-8", newline="") as _f:
    ROWS = {row["id"]: row for row in csv.DictReader(_f)}

LABEL = {"capacity_ah": 100.0, "rated_time_h": 20.0, "exponent": 1.2}
IDEAL = LABEL | {"exponent": 1.0}
FOOT_M = 0.3048
CIRCULAR_MIL_M2 = np.pi / 4.0 * (0.0254 / 1000.0) ** 2
STEPPED_HOUR = ((3, 45.0), (12, 0.0), (10, 12.0), (5, 25.0), (10, 5.0), (3, 35.0), (17, 0.0))


def law(name: str, **change: object) -> ChargeLaw:
    """Return a shipped law of charge, with some of it changed."""
    row = {key: entry["value"] for key, entry in CHEMISTRIES[name].items() if "value" in entry}
    fields = {
        "acceptance_per_h": row["charge_acceptance_per_h"],
        "acceptance_rise_per_degc": row["acceptance_rise_per_degc"],
        "band_edges": tuple(row["charge_band_edges"]),
        "band_efficiency": tuple(row["charge_band_efficiency"]),
        "full_soc": row["full_soc"],
        "charge_voltage_v": row["charge_voltage_v"],
        "voltage_rise_per_degc": row["charge_voltage_rise_per_degc"],
        "lowest_charge_degc": row.get("lowest_charge_degc"),
        "largest_charge_rate": row["largest_charge_rate"],
    }
    return ChargeLaw(**(fields | change))  # type: ignore[arg-type]


# The rows B086 to B092 state their own parameters; the shipped flooded law is the same, which
# the rows would show if it were not.
FLOODED = law("flooded")
LFP = law("lfp")


def balance(efficiency: float) -> ChargeLaw:
    """Return a law without a taper to speak of: plain charge balance."""
    return law(
        "flooded",
        acceptance_per_h=1e6,
        band_edges=(0.5,),
        band_efficiency=(efficiency, efficiency),
        full_soc=0.9999999,
    )


def charging(start: float, target: float, amps: float, of: ChargeLaw) -> float:
    return float(
        charge_time_h(
            start,
            target_soc=target,
            charger_current_a=amps,
            capacity_ah=100.0,
            temperature_degc=25.0,
            law=of,
        )
    )


def taper_start(amps: float, of: ChargeLaw) -> float:
    """Return the state of charge where the accepted current first falls below the charger's."""
    soc = np.linspace(0.0, 1.0, 200_001)[:-1]
    soc = soc[soc < of.full_soc]
    current = accepted_current_a(
        soc, charger_current_a=amps, capacity_ah=100.0, temperature_degc=25.0, law=of
    )
    full = soc[current >= amps * (1.0 - 1e-12)]
    return float(full[-1])


def lead_rest(soc: float) -> float:
    row = CHEMISTRIES["flooded"]
    return float(
        rest_voltage_v(
            soc,
            soc_nodes=row["rest_soc"]["value"],
            voltage_nodes_v=row["rest_voltage_v"]["value"],
        )
    )


def capacity_share(name: str, celsius: float) -> float:
    """Return the table's capacity share, without the planner's cap on warmth."""
    row = CHEMISTRIES[name]
    return float(
        capacity_factor(
            celsius,
            temperature_nodes_degc=row["capacity_temperature_degc"]["value"],
            factor_nodes=row["capacity_temperature_factor"]["value"],
            largest_factor=9.0,
        )
    )


def cell_size(fahrenheit: float) -> float:
    return 1.0 / capacity_share("flooded", (fahrenheit - 32.0) / 1.8)


def power_current(power: float, emf: float, ohm: float) -> float:
    current, carried = constant_power_current_a(power, emf_v=emf, resistance_ohm=ohm)
    assert carried
    return float(current)


def bare_stepped_day_h() -> float:
    """Return the hours until the repeated stepped hour has spent 100 effective Ah."""
    minutes = np.array([minutes for minutes, _ in STEPPED_HOUR], dtype=float)
    drain = np.array([peukert_effective_current_a(amps, **LABEL) for _, amps in STEPPED_HOUR])
    spent = np.concatenate(([0.0], np.cumsum(np.tile(drain * minutes / 60.0, 12))))
    clock = np.concatenate(([0.0], np.cumsum(np.tile(minutes / 60.0, 12))))
    last = int(np.argmax(spent >= 100.0))
    pace = (spent[last] - spent[last - 1]) / (clock[last] - clock[last - 1])
    return float(clock[last - 1] + (100.0 - spent[last - 1]) / pace)


def jobs_min(amperes: tuple[float, ...], rest_min: float) -> float:
    """Return the minutes a small kinetic battery serves one-minute jobs, taken in turn."""
    total_ah = 5.5 / 60.0
    wells = Wells(total_ah=total_ah, available_share=0.166, rate_per_h=0.122 * 60.0)
    state = (0.166 * total_ah, total_ah)
    for job in range(200):
        amps = amperes[job % len(amperes)]
        left = 60.0 * float(wells_time_left_h(*state, current_a=amps, wells=wells))
        if left <= 1.0:
            return job * (1.0 + rest_min) + left
        state = wells_after(*state, current_a=amps, step_h=1.0 / 60.0, wells=wells)
        state = wells_after(*state, current_a=0.0, step_h=rest_min / 60.0, wells=wells)
    raise AssertionError("the battery outlasts two hundred jobs")


# B035 to B044: ratings by Peukert's law with an exponent of 1.2, printed to five digits.
BY_HOURS = wells_from_ratings([20.0, 10.0, 1.0], [100.0, 89.090, 60.696])
BY_RESERVE = wells_from_ratings(
    [20.0, 173.95 / 60.0, 1.0], [100.0, reserve_capacity_ah(173.95), 60.696]
)


def rested_ah() -> float:
    wells = Wells(total_ah=114.9, available_share=0.4851, rate_per_h=0.356)
    return float(wells_after(10.0, 60.0, current_a=0.0, step_h=1.0, wells=wells)[0])


def unbalanced_ah() -> float:
    wells = Wells(total_ah=110.0, available_share=0.5, rate_per_h=0.4)
    state, drawn = (np.asarray(55.0), np.asarray(110.0)), 0.0
    for minutes, amps in STEPPED_HOUR * 6:
        state = wells_after(*state, current_a=amps, step_h=minutes / 60.0, wells=wells)
        drawn += amps * minutes / 60.0
    return drawn - (110.0 - float(state[1]))


def per_1000_ft(gauge: int, celsius: float, lay: float) -> float:
    return float(
        conductor_resistance_ohm(
            1000.0 * FOOT_M,
            area_m2=awg_area_m2(gauge),
            temperature_degc=celsius,
            lay_factor=lay,
        )
    )


def feed_drop_v() -> float:
    ohm = feed_resistance_ohm(
        20.0 * FOOT_M,
        area_m2=awg_area_m2(6),
        temperature_degc=75.0,
        lay_factor=STRANDED,
        contact_resistance_ohm=0.0,
    )
    return 52.0 * float(ohm)


def mil_foot(celsius: float) -> float:
    return float(copper_resistivity_ohm_m(celsius)) * FOOT_M / CIRCULAR_MIL_M2


def coefficient_at_75() -> float:
    here, warmer = copper_resistivity_ohm_m([75.0, 76.0])
    return float((warmer - here) / here)


def mains_w(outputs: int) -> float:
    return float(
        mains_power_w(10.0, outputs=outputs, charge_voltage_v=14.4, charger_efficiency=0.85)
    )


CALLS: dict[str, Callable[[], object]] = {
    "B001": lambda: peukert_runtime_h(5.0, **LABEL),
    "B002": lambda: peukert_runtime_h(10.0, **LABEL),
    "B003": lambda: peukert_runtime_h(25.0, **LABEL),
    "B005": lambda: peukert_runtime_h(25.0, **IDEAL),
    "B006": lambda: 25.0 * peukert_runtime_h(25.0, **LABEL),
    "B007": lambda: peukert_effective_current_a(25.0, **LABEL),
    "B009": lambda: peukert_runtime_h(1.0, **LABEL),
    "B010": lambda: capacity_lasting_ah(1.0, **LABEL),
    "B011": lambda: capacity_lasting_ah(5.0, **LABEL),
    "B018": lambda: reserve_min_from_exponent(1.2, capacity_ah=100.0, rated_time_h=20.0),
    "B019": lambda: jobs_min((0.25,), 0.0),
    "B020": lambda: jobs_min((0.5,), 0.0),
    "B022": lambda: jobs_min((0.25,), 1.0),
    "B023": lambda: jobs_min((0.5,), 1.0),
    "B024": lambda: jobs_min((0.5, 0.25), 1.0),
    "B026": lambda: jobs_min((0.5,), 2.0),
    "B035": lambda: BY_HOURS.total_ah,
    "B036": lambda: BY_HOURS.available_share,
    "B038": lambda: wells_runtime_h(10.0, wells=BY_HOURS),
    "B039": lambda: wells_runtime_h(25.0, wells=BY_HOURS),
    "B040": lambda: wells_runtime_h(50.0, wells=BY_HOURS),
    "B042": lambda: BY_RESERVE.available_share,
    "B043": lambda: BY_RESERVE.rate_per_h,
    "B044": lambda: BY_RESERVE.total_ah,
    "B046": rested_ah,
    "B047": lambda: power_current(300.0, 12.5, 0.012),
    "B048": lambda: power_current(600.0, 12.5, 0.012),
    "B050": lambda: power_current(600.0, 12.1, 0.015),
    "B051": lambda: maximum_power_w(12.5, resistance_ohm=0.012),
    "B052": lambda: power_at_voltage_w(12.2, resistance_ohm=0.012, voltage_v=10.5),
    "B055": lambda: rest_voltage_from_density_v(1.265, cells=6),
    "B056": lambda: lead_rest(1.0),
    "B058": lambda: lead_rest(0.5),
    "B059": lambda: lead_rest(0.25),
    "B060": lambda: lead_rest(0.5),
    "B062": lambda: cell_size(40.0),
    "B063": lambda: cell_size(50.0),
    "B064": lambda: cell_size(60.0),
    "B066": lambda: cell_size(77.0),
    "B067": lambda: cell_size(90.0),
    "B068": lambda: cell_size(110.0),
    "B070": lambda: capacity_share("lfp", -20.0),
    "B071": lambda: capacity_share("lfp", 0.0),
    "B072": lambda: capacity_share("lfp", 10.0),
    "B074": lambda: capacity_share("lfp", 45.0),
    "B075": lambda: charge_voltage_v(10.0, law=FLOODED) - charge_voltage_v(25.0, law=FLOODED),
    "B076": lambda: accepted_current_a(
        0.5, charger_current_a=20.0, capacity_ah=100.0, temperature_degc=-1.0, law=LFP
    ),
    "B086": lambda: charging(0.5, 0.95, 10.0, FLOODED),
    "B087": lambda: charging(0.5, 0.98, 10.0, FLOODED),
    "B088": lambda: charging(0.5, 0.8, 20.0, FLOODED),
    "B090": lambda: charging(0.5, 0.98, 20.0, FLOODED),
    "B091": lambda: (
        charge_input_ah(0.5, target_soc=0.98, capacity_ah=100.0, law=FLOODED) / 48.0
    ),
    "B092": lambda: taper_start(20.0, FLOODED),
    "B094": lambda: taper_start(20.0, law("lfp", full_soc=0.9999)),
    "B096": lambda: mains_w(1),
    "B096va": lambda: apparent_power_va(mains_w(1), power_factor=0.65),
    "B100": lambda: peukert_runtime_h(
        25.0, **(LABEL | {"capacity_ah": np.array([100.0, 80.0])})
    ).min(),
    "B112": bare_stepped_day_h,
    "B115": unbalanced_ah,
    "R01": lambda: awg_diameter_m(6) / 0.0254,
    "R02": lambda: awg_diameter_m(-3) / 0.0254,
    "R03": lambda: awg_area_m2(10) / CIRCULAR_MIL_M2,
    "R05": lambda: mil_foot(20.0),
    "R06": lambda: per_1000_ft(10, 20.0, 1.0),
    "R07": lambda: copper_resistivity_ohm_m(25.0) / copper_resistivity_ohm_m(20.0),
    "R09": coefficient_at_75,
    "R10": lambda: per_1000_ft(6, 75.0, STRANDED),
    "R11": lambda: STRANDED,
    "R13": lambda: mil_foot(75.0),
    "R26": feed_drop_v,
    "R27": lambda: feed_drop_v() / 36.0 * 100.0,
    "R57": lambda: reserve_capacity_ah(100.0),
    "R63": lambda: 52.0 * peukert_runtime_h(52.0, **LABEL),
    "R64": lambda: mains_w(3),
    "R66": lambda: continuous_circuit_power_w(30.0, mains_voltage_v=120.0),
    "R67": lambda: charging(0.4, 0.9, 10.0, balance(1.0 / 1.15)),
    "R68": lambda: charging(0.1, 0.9, 20.0, balance(0.99)),
}


def test_every_row_is_computed_and_nothing_else_is():
    assert set(ROWS) == set(CALLS)


@pytest.mark.parametrize("row_id", CALLS)
def test_agrees_with(row_id):
    row = ROWS[row_id]
    expected = float(row["expected"])
    tolerance = float(row["tolerance"].removesuffix(" rel"))
    if row["tolerance"].endswith(" rel"):
        tolerance *= abs(expected)
    value = float(CALLS[row_id]())  # type: ignore[arg-type]
    assert abs(value - expected) <= tolerance + 1e-12, f"{row['quantity']}: {row['source']}"


def test_the_temperature_coefficient_is_referred_to_20_degrees():
    at_20 = copper_resistivity_ohm_m([20.0, 21.0])
    assert at_20[1] / at_20[0] - 1.0 == pytest.approx(COPPER_RISE_PER_DEGC)
