"""Panel and engine aboard: what they have, what load and bank take of it."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim import catalogue
from energysim.physics.alternator import converter_power_w
from energysim.physics.charge import accepted_current_a, kept_share
from energysim.physics.solar import FULLEST_SUN, noon_sun, solar_energy_wh, solar_power_w
from energysim.physics.supply import acceptance_of_empty_a, supplied_current_a

FLOODED = catalogue.chemistry("flooded").charge_law
LFP = catalogue.chemistry("lfp").charge_law
BANK = {"voltage_v": 12.5, "capacity_ah": 100.0, "temperature_degc": 25.0}


def test_a_bank_at_rest_takes_what_the_law_of_charge_says():
    levels = np.linspace(0.0, 0.98, 41)  # above, a charger calls it full
    taken = supplied_current_a(levels, supply_w=125.0, **BANK, law=FLOODED)
    by_law = accepted_current_a(
        levels, charger_current_a=10.0, capacity_ah=100.0, temperature_degc=25.0, law=FLOODED
    )
    np.testing.assert_allclose(taken, by_law, rtol=1e-12)


def test_a_full_bank_lets_the_panel_carry_the_load_and_no_more():
    load = np.array([0.0, 3.0, 30.0])
    taken = supplied_current_a(1.0, supply_w=125.0, **BANK, law=FLOODED, load_current_a=load)
    np.testing.assert_allclose(taken, [0.0, 3.0, 10.0])


def test_lithium_below_freezing_lets_nothing_in_even_under_load():
    # Common practice, from memory: no charging below freezing.
    cold = BANK | {"temperature_degc": [-0.1, 0.0]}
    taken = supplied_current_a(0.5, supply_w=125.0, **cold, law=LFP, load_current_a=20.0)
    np.testing.assert_allclose(taken, [0.0, 10.0])
    lead = supplied_current_a(0.5, supply_w=125.0, **cold, law=FLOODED)
    assert np.all(lead > 0.0)


@given(
    level=st.floats(0.0, 1.0),
    power=st.floats(0.0, 500.0),
    load=st.floats(0.0, 60.0),
    celsius=st.floats(-30.0, 45.0),
    law=st.sampled_from([FLOODED, LFP]),
)
@settings(max_examples=100, deadline=None)
def test_never_more_than_the_source_has_nor_than_load_and_bank_take(
    level, power, load, celsius, law
):
    bank = BANK | {"temperature_degc": celsius}
    given_a = float(
        supplied_current_a(level, supply_w=power, **bank, law=law, load_current_a=load)
    )
    empty = float(acceptance_of_empty_a(100.0, temperature_degc=celsius, law=law))
    assert 0.0 <= given_a * 12.5 <= power * (1.0 + 1e-12) + 1e-300
    assert given_a <= load + empty * (1.0 - level) + 1e-12


def test_arrays_equal_one_by_one():
    levels = np.array([[0.2], [0.95], [0.999]])
    loads = np.array([0.0, 2.0, 40.0])
    together = supplied_current_a(
        levels, supply_w=150.0, **BANK, law=FLOODED, load_current_a=loads
    )
    assert together.shape == (3, 3)
    for row, level in enumerate(levels[:, 0]):
        for column, load in enumerate(loads):
            alone = supplied_current_a(
                level, supply_w=150.0, **BANK, law=FLOODED, load_current_a=load
            )
            assert together[row, column] == float(alone)


def test_what_stays_of_a_charge_changes_at_the_edges_of_its_bands():
    edges, shares = FLOODED.band_edges, FLOODED.band_efficiency
    below = kept_share(np.array(edges) - 1e-9, law=FLOODED)
    np.testing.assert_array_equal(below, shares[:-1])
    np.testing.assert_array_equal(kept_share(edges, law=FLOODED), shares[1:])


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"supply_w": -1.0}, "supply_w = -1"),
        ({"voltage_v": 0.0}, "voltage_v = 0"),
        ({"load_current_a": -2.0}, "load_current_a = -2"),
        ({"capacity_ah": 0.0}, "capacity_ah = 0"),
    ],
)
def test_a_supply_that_makes_no_sense_is_refused(change, message):
    with pytest.raises(ValueError, match=message):
        supplied_current_a(0.5, **({"supply_w": 100.0} | BANK | {"law": FLOODED} | change))


# The panel

HOUR_S = 3600.0


def test_half_a_sine_of_light_worked_by_hand():
    # 337.5 Wh between 06:00 and 18:00: a twelfth of pi over two times that at noon, 44.18 W;
    # a quarter of the light by 10:00, since 1 - cos 60 deg is a half.
    day = {"sunrise_s": 6 * HOUR_S, "sunset_s": 18 * HOUR_S, "energy_wh": 337.5}
    noon = solar_power_w(12 * HOUR_S - 1.0, end_s=12 * HOUR_S + 1.0, **day)
    assert noon == pytest.approx(337.5 * math.pi / 24.0, rel=1e-6)
    morning = solar_power_w(6 * HOUR_S, end_s=10 * HOUR_S, **day)
    assert morning * 4.0 == pytest.approx(337.5 / 4.0, rel=1e-12)
    assert solar_power_w(1 * HOUR_S, end_s=5 * HOUR_S, **day) == 0.0


@given(
    edges=st.lists(st.floats(0.0, 86400.0), min_size=3, max_size=30, unique=True),
    rise=st.floats(10000.0, 40000.0),
    light=st.floats(20000.0, 40000.0),
)
@settings(max_examples=60, deadline=None)
def test_the_day_adds_up_whatever_the_steps(edges, rise, light):
    # From midnight to midnight; a step of a rounding's length is no step.
    marks = np.unique(np.round(np.array([0.0, *edges, 86400.0]), 1))
    day = {"sunrise_s": rise, "sunset_s": rise + light, "energy_wh": 300.0}
    power = solar_power_w(marks[:-1], end_s=marks[1:], **day)
    assert np.all(power >= 0.0)
    assert float(np.sum(power * np.diff(marks))) / HOUR_S == pytest.approx(300.0, rel=1e-9)


def test_noon_is_no_brighter_than_a_day_of_that_length_allows():
    # Twelve hours of half a sine that peaks at full sun are 24/pi hours of it.
    assert noon_sun(24.0 / math.pi, daylight_h=12.0) == pytest.approx(1.0, rel=1e-12)
    assert noon_sun(10.0, daylight_h=12.0) > FULLEST_SUN


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: solar_energy_wh(100.0, sun_hours_h=4.0, derating=75.0), "derating = 75"),
        (lambda: noon_sun(4.0, daylight_h=0.0), "daylight_h = 0"),
        (
            lambda: solar_power_w(5.0, end_s=5.0, sunrise_s=0.0, sunset_s=9.0, energy_wh=1.0),
            "end_s must be after begin_s",
        ),
        (
            lambda: solar_power_w(0.0, end_s=5.0, sunrise_s=9.0, sunset_s=9.0, energy_wh=1.0),
            "sunset_s = 9",
        ),
    ],
    ids=["per-cent", "no-day", "no-stretch", "no-light"],
)
def test_a_panel_that_makes_no_sense_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()


# The engine

ENGINE = {"spare_share": 0.34, "alternator_voltage_v": 13.8, "converter_efficiency": 0.9}


def test_a_converter_worked_by_hand():
    # 35 A x 0.34 = 11.9 A at 13.8 V and 0.9: 147.8 W, 6.2 A at 24 V.
    power = converter_power_w(35.0, **ENGINE, bank_voltage_v=24.0)
    assert power == pytest.approx(35.0 * 0.34 * 13.8 * 0.9, rel=1e-12)


def test_a_small_converter_is_its_own_limit():
    powers = converter_power_w(
        [5.0, 35.0], **ENGINE, bank_voltage_v=24.0, converter_limit_a=5.0
    )
    np.testing.assert_allclose(powers, [5.0 * 0.34 * 13.8 * 0.9, 120.0])


def test_an_idling_alternator_leaves_between_ten_and_fifteen_amperes_of_thirty_five():
    # As read: a 35 A unit gave 12 A at idle. At 13.8 V and before the converter's loss.
    before = converter_power_w(
        35.0, **(ENGINE | {"converter_efficiency": 1.0}), bank_voltage_v=12.0
    )
    assert float(before) / 13.8 == pytest.approx(12.0, abs=0.2)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"spare_share": 34.0}, "spare_share = 34"),
        ({"converter_efficiency": 0.0}, "converter_efficiency = 0"),
        ({"converter_limit_a": math.nan}, "converter_limit_a = nan"),
    ],
)
def test_an_engine_that_makes_no_sense_is_refused(change, message):
    with pytest.raises(ValueError, match=message):
        converter_power_w(35.0, **(ENGINE | {"bank_voltage_v": 24.0} | change))
