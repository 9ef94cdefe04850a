"""Copper leads: gauge, area, temperature, stranding."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.cable import (
    STRANDED,
    STRANDED_TINNED,
    awg_area_m2,
    awg_diameter_m,
    conductor_resistance_ohm,
    copper_resistivity_ohm_m,
    feed_resistance_ohm,
)

FOOT_M = 0.3048
# NEC chapter 9 table 8, stranded uncoated copper at 75 degC, ohm per 1000 ft (as read).
NEC_STRANDED_75C = {6: 0.491, 4: 0.308, 2: 0.194, 1: 0.154, 0: 0.122, -1: 0.0967, -3: 0.0608}


def test_the_gauges_meet_their_two_anchors():
    # ASTM B258: 36 is 0.0050 in and 4/0 is 0.4600 in by definition.
    np.testing.assert_allclose(awg_diameter_m([36, -3]) / 0.0254, [0.0050, 0.4600], rtol=1e-12)


def test_three_gauges_double_the_area():
    # A rule of the trade; 92^(6/39) = 2.005.
    assert awg_area_m2(3) / awg_area_m2(6) == pytest.approx(2.0, rel=0.003)


def test_resistance_worked_by_hand():
    # 6 m of 16 mm2 at 20 degC: 6 / (58 x 16) ohm = 6.466 mohm.
    wire = {"area_m2": 16e-6, "temperature_degc": 20.0, "lay_factor": 1.0}
    assert conductor_resistance_ohm(6.0, **wire) == pytest.approx(6.0 / (58.0 * 16.0))


@pytest.mark.parametrize(("gauge", "ohm_per_kft"), NEC_STRANDED_75C.items())
def test_stranded_cable_agrees_with_the_electrical_code(gauge, ohm_per_kft):
    # Within 0.6 %: the table's own lay varies from 1.018 to 1.025 between sizes, ours is 1.02.
    ohm = conductor_resistance_ohm(
        1000.0 * FOOT_M,
        area_m2=awg_area_m2(gauge),
        temperature_degc=75.0,
        lay_factor=STRANDED,
    )
    assert ohm == pytest.approx(ohm_per_kft, rel=0.006)


def test_tinned_cable_agrees_with_the_electrical_code():
    # 6 AWG tinned, 0.510 ohm per 1000 ft at 75 degC (NEC chapter 9 table 8, from memory).
    ohm = conductor_resistance_ohm(
        1000.0 * FOOT_M,
        area_m2=awg_area_m2(6),
        temperature_degc=75.0,
        lay_factor=STRANDED_TINNED,
    )
    assert ohm == pytest.approx(0.510, rel=0.01)


def test_the_feed_counts_both_leads_and_the_contacts():
    wire = {"area_m2": 16e-6, "temperature_degc": 40.0, "lay_factor": STRANDED}
    lead = conductor_resistance_ohm(5.0, **wire)
    feed = feed_resistance_ohm(5.0, **wire, contact_resistance_ohm=0.003)
    assert feed == pytest.approx(2.0 * float(lead) + 0.003)
    bare = feed_resistance_ohm(0.0, **wire, contact_resistance_ohm=0.0)
    assert bare == 0.0


@given(celsius=st.floats(-50.0, 190.0), area=st.floats(1e-6, 2e-4))
@settings(max_examples=50, deadline=None)
def test_warmer_or_thinner_always_resists_more(celsius, area):
    wire = {"area_m2": area, "temperature_degc": celsius, "lay_factor": STRANDED}
    here = conductor_resistance_ohm(5.0, **wire)
    assert conductor_resistance_ohm(5.0, **(wire | {"temperature_degc": celsius + 10})) > here
    assert conductor_resistance_ohm(5.0, **(wire | {"area_m2": area * 0.9})) > here


def test_an_array_of_gauges_equals_one_by_one():
    gauges = np.array([10, 8, 6, 4, 2, 0, -1])
    np.testing.assert_array_equal(
        awg_area_m2(gauges), [float(awg_area_m2(gauge)) for gauge in gauges]
    )
    celsius = np.array([0.0, 20.0, 75.0])
    np.testing.assert_array_equal(
        copper_resistivity_ohm_m(celsius), [float(copper_resistivity_ohm_m(t)) for t in celsius]
    )


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"area_m2": 0.0}, "area_m2 = 0"),
        ({"temperature_degc": 400.0}, "temperature_degc = 400"),
        ({"lay_factor": 0.9}, r"lay_factor = 0\.9"),
        ({"contact_resistance_ohm": -1.0}, "contact_resistance_ohm = -1"),
    ],
    ids=["no-metal", "molten", "shorter-than-straight", "negative-contact"],
)
def test_a_feed_that_makes_no_sense_is_refused(change, message):
    feed = {
        "area_m2": 16e-6,
        "temperature_degc": 20.0,
        "lay_factor": 1.02,
        "contact_resistance_ohm": 0.002,
    }
    with pytest.raises(ValueError, match=message):
        feed_resistance_ohm(5.0, **(feed | change))


def test_a_gauge_that_does_not_exist_is_refused():
    with pytest.raises(ValueError, match="gauge = -4"):
        awg_area_m2(-4)
