"""Hydrogen and the straps that hold what makes it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energysim.physics.restraint import (
    LARGEST_FEDERAL_PULL_N,
    POUND_FORCE_N,
    federal_pull_n,
    iso_pull_n,
)
from energysim.physics.venting import (
    DILUTION,
    SAFETY_FACTOR,
    SHIP_CLASSES,
    STANDARD_AIR_M3_PER_AH,
    STANDARD_HYDROGEN_M3_PER_AH,
    airflow_m3ps,
    hydrogen_flow_m3ps,
    ship_class,
    ship_exhaust_m3ps,
    spark_distance_m,
    time_to_explosive_s,
    vent_opening_m2,
)

HOUR_S = 3600.0


def test_an_ampere_hour_frees_the_standards_litres_at_the_ice_point():
    # EN 50272-2 rounds 0.418 L up to 0.42 L.
    volume = HOUR_S * hydrogen_flow_m3ps(1.0, cell_count=1, temperature_degc=0.0)
    assert float(volume) == pytest.approx(0.418e-3, abs=0.0005e-3)
    assert 0.0 < STANDARD_HYDROGEN_M3_PER_AH - float(volume) < 0.003e-3


def test_the_standards_round_coefficient_is_its_own_product():
    exact = DILUTION * STANDARD_HYDROGEN_M3_PER_AH * SAFETY_FACTOR
    assert exact == pytest.approx(0.0504, abs=1e-9)
    assert pytest.approx(exact, rel=0.01) == STANDARD_AIR_M3_PER_AH


def test_the_air_asked_for_keeps_hydrogen_a_fifth_of_the_way_to_burning():
    # All of the gas current into hydrogen at 0 degC, thinned by the airflow.
    air = airflow_m3ps(0.02, cell_count=18, capacity_ah=100.0)
    gas = hydrogen_flow_m3ps(2.0, cell_count=18, temperature_degc=0.0)
    assert float(gas / (gas + air)) == pytest.approx(0.04 / 5.0, rel=0.04)


@given(
    amps=st.floats(0.1, 50.0),
    cells=st.integers(3, 24),
    volume=st.floats(0.01, 3.0),
    more=st.floats(1.01, 4.0),
)
def test_more_current_or_less_room_fills_a_locker_sooner(amps, cells, volume, more):
    def minutes(current, room):
        gas = hydrogen_flow_m3ps(current, cell_count=cells, temperature_degc=20.0)
        return float(time_to_explosive_s(room, hydrogen_m3ps=gas))

    assert minutes(amps * more, volume) < minutes(amps, volume)
    assert minutes(amps, volume / more) < minutes(amps, volume)


def test_a_full_locker_has_no_time_at_all():
    assert float(time_to_explosive_s(0.0, hydrogen_m3ps=1e-5)) == 0.0


@pytest.mark.parametrize(
    ("watts", "name"),
    [(199.0, "small"), (200.0, "moderate"), (2000.0, "moderate"), (2001.0, "large")],
)
def test_a_ship_calls_chargers_small_moderate_and_large(watts, name):
    assert SHIP_CLASSES[int(ship_class(watts))] == name


def test_arrays_agree_with_scalars():
    capacities = np.array([50.0, 100.0, 200.0])
    flow = airflow_m3ps(0.008, cell_count=12, capacity_ah=capacities)
    alone = [float(airflow_m3ps(0.008, cell_count=12, capacity_ah=c)) for c in capacities]
    assert flow.tolist() == alone
    assert vent_opening_m2(flow).tolist() == [float(vent_opening_m2(f)) for f in alone]
    assert ship_class([100.0, 500.0]).tolist() == [0, 1]


def test_the_pull_of_a_light_battery_is_twice_its_weight_and_of_a_heavy_one_ninety_pounds():
    pounds_kg = 0.45359237
    assert float(federal_pull_n(26.0 * pounds_kg) / POUND_FORCE_N) == pytest.approx(52.0)
    assert float(federal_pull_n(45.0 * pounds_kg)) == pytest.approx(LARGEST_FEDERAL_PULL_N)
    assert float(federal_pull_n(70.0 * pounds_kg) / POUND_FORCE_N) == pytest.approx(90.0)
    assert float(iso_pull_n(70.0 * pounds_kg) / POUND_FORCE_N) == pytest.approx(140.0)


@given(mass=st.floats(0.0, 100.0))
def test_the_federal_pull_is_never_more_than_that_of_the_international_standard(mass):
    assert federal_pull_n(mass) <= iso_pull_n(mass)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: hydrogen_flow_m3ps(-1.0, cell_count=1, temperature_degc=0.0), "current_a"),
        (lambda: hydrogen_flow_m3ps(1.0, cell_count=0, temperature_degc=0.0), "cell_count = 0"),
        (lambda: airflow_m3ps(-0.1, cell_count=1, capacity_ah=1.0), "gas_current_a_per_ah"),
        (lambda: airflow_m3ps(0.1, cell_count=1, capacity_ah=-1.0), "capacity_ah"),
        (lambda: vent_opening_m2(-1.0), "airflow_m3ps = -1"),
        (lambda: time_to_explosive_s(1.0, hydrogen_m3ps=0.0), "hydrogen_m3ps = 0"),
        (lambda: ship_exhaust_m3ps(1.0, cell_count=0), "cell_count"),
        (lambda: ship_class(-1.0), "charger_power_w"),
        (lambda: spark_distance_m(-1.0, capacity_ah=1.0), "gas_current_a_per_ah"),
        (lambda: federal_pull_n(-1.0), "mass_kg = -1"),
    ],
)
def test_numbers_a_law_cannot_take_are_refused_by_name(call, match):
    with pytest.raises(ValueError, match=match):
        call()
