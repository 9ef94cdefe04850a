"""Rest voltage, internal resistance and the current of a constant power."""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import energysim
from energysim.physics.discharge import peukert_runtime_h
from energysim.physics.voltage import (
    block_resistance_ohm,
    constant_power_current_a,
    maximum_power_w,
    power_at_voltage_w,
    rest_voltage_from_density_v,
    rest_voltage_v,
)

DATA = Path(energysim.__file__).parent / "data"
CHEMISTRIES = tomllib.loads((DATA / "chemistries.toml").read_text(encoding="utf-8"))


def number(chemistry: str, key: str):
    return CHEMISTRIES[chemistry][key]["value"]


def test_power_current_worked_by_hand():
    # 12 V, 10 mohm, 275 W: I^2 0.01 - 12 I + 275 = 0 has the roots 23.377 and 1176.6; check by
    # putting the answer back: 23.3772 A x (12 - 0.233772) V = 275.06 W for the rounded root.
    current, carried = constant_power_current_a(275.0, emf_v=12.0, resistance_ohm=0.01)
    assert bool(carried)
    assert current == pytest.approx((12.0 - np.sqrt(144.0 - 11.0)) / 0.02, rel=1e-12)


@given(emf=st.floats(5.0, 60.0), resistance=st.floats(0.0, 0.2), share=st.floats(0.0, 1.0))
@settings(max_examples=80, deadline=None)
def test_the_current_times_the_sagged_voltage_is_the_power(emf, resistance, share):
    power = share * min(float(maximum_power_w(emf, resistance_ohm=resistance)), 1e4)
    current, carried = constant_power_current_a(power, emf_v=emf, resistance_ohm=resistance)
    if carried:  # at the very edge rounding may say no
        delivered = float(current) * (emf - float(current) * resistance)
        assert delivered == pytest.approx(power, rel=1e-9, abs=1e-12)
        assert current * resistance <= emf / 2.0 * (1.0 + 1e-12)
    else:
        assert share == pytest.approx(1.0, abs=1e-9)


def test_without_resistance_the_current_is_power_over_voltage():
    current, carried = constant_power_current_a(600.0, emf_v=12.0, resistance_ohm=0.0)
    assert float(current) == 50.0
    assert bool(carried)


def test_no_power_draws_no_current():
    current, carried = constant_power_current_a(0.0, emf_v=12.0, resistance_ohm=0.02)
    assert float(current) == 0.0
    assert bool(carried)


def test_a_tiny_power_keeps_its_digits():
    # The schoolbook root loses every digit here.
    current, _ = constant_power_current_a(1e-12, emf_v=12.0, resistance_ohm=0.01)
    assert current == pytest.approx(1e-12 / 12.0, rel=1e-12)


def test_a_power_beyond_the_bank_is_flagged_and_gives_the_current_of_the_largest():
    current, carried = constant_power_current_a(
        [3600.0, 3601.0, 1e6], emf_v=12.0, resistance_ohm=0.01
    )
    np.testing.assert_array_equal(carried, [True, False, False])
    np.testing.assert_allclose(current, [600.0, 600.0, 600.0])


def test_flagged_members_do_not_disturb_the_others():
    emf = np.array([12.0, 12.6])
    ohm = np.array([0.5, 0.0])
    current, carried = constant_power_current_a(
        np.full((3, 1), 200.0), emf_v=emf, resistance_ohm=ohm
    )
    assert current.shape == carried.shape == (3, 2)
    np.testing.assert_array_equal(carried[0], [False, True])
    np.testing.assert_allclose(current[2], [12.0, 200.0 / 12.6])


def test_an_array_of_powers_equals_one_by_one():
    powers = np.linspace(0.0, 4000.0, 9)
    together, carried = constant_power_current_a(powers, emf_v=12.3, resistance_ohm=0.011)
    for index, power in enumerate(powers):
        alone, alone_carried = constant_power_current_a(power, emf_v=12.3, resistance_ohm=0.011)
        assert together[index] == float(alone)
        assert carried[index] == bool(alone_carried)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"power_w": -1.0}, "power_w = -1"),
        ({"emf_v": 0.0}, "emf_v = 0"),
        ({"resistance_ohm": -0.01}, "resistance_ohm = -0.01"),
        ({"emf_v": np.nan}, "emf_v = nan"),
    ],
    ids=["negative-power", "no-voltage", "negative-resistance", "nan"],
)
def test_a_load_that_makes_no_sense_is_refused(change, message):
    given_values = {"power_w": 100.0, "emf_v": 12.0, "resistance_ohm": 0.01} | change
    power = given_values.pop("power_w")
    with pytest.raises(ValueError, match=message):
        constant_power_current_a(power, **given_values)


def test_largest_power_is_at_half_the_voltage():
    most = float(maximum_power_w(12.0, resistance_ohm=0.01))
    assert most == pytest.approx(3600.0)
    for voltage in (5.9, 6.1):
        assert power_at_voltage_w(12.0, resistance_ohm=0.01, voltage_v=voltage) < most
    assert maximum_power_w(12.0, resistance_ohm=0.0) == np.inf


def test_power_at_a_voltage_carries_that_voltage():
    power = power_at_voltage_w(12.2, resistance_ohm=0.012, voltage_v=10.5)
    current, _ = constant_power_current_a(power, emf_v=12.2, resistance_ohm=0.012)
    assert 12.2 - current * 0.012 == pytest.approx(10.5, rel=1e-12)


def test_below_its_cut_off_a_bank_gives_no_power():
    assert power_at_voltage_w(10.4, resistance_ohm=0.012, voltage_v=10.5) == 0.0


def test_rest_voltage_meets_its_nodes_and_goes_straight_between():
    table = {"soc_nodes": [0.0, 0.5, 1.0], "voltage_nodes_v": [11.0, 12.0, 12.8]}
    np.testing.assert_allclose(
        rest_voltage_v([0.0, 0.25, 0.5, 1.0], **table), [11.0, 11.5, 12.0, 12.8]
    )


@pytest.mark.parametrize(
    ("share", "nodes", "message"),
    [
        (1.2, [0.0, 1.0], "availability = 1.2"),
        (-0.1, [0.0, 1.0], "availability = -0.1"),
        (0.5, [1.0, 0.0], "soc_nodes is"),
        (0.5, [0.0, 0.5, 1.0], "soc_nodes is"),
    ],
    ids=["above", "below", "falling", "lengths"],
)
def test_a_bad_rest_voltage_question_is_refused(share, nodes, message):
    with pytest.raises(ValueError, match=message):
        rest_voltage_v(share, soc_nodes=nodes, voltage_nodes_v=[11.0, 12.8])


def test_heavier_acid_stands_higher():
    # 6 x (1.265 + 0.84): the handbook rule (from memory), for a full block about 12.6 V.
    assert rest_voltage_from_density_v(1.265, cells=6) == pytest.approx(12.63)
    with pytest.raises(ValueError, match="relative_density = 1265"):
        rest_voltage_from_density_v(1265.0, cells=6)


def test_resistance_falls_with_size_and_rises_as_the_charge_falls():
    block = {
        "resistance_ohm_per_100ah": 0.008,
        "rise_when_empty": 2.0,
        "temperature_factor": 1.0,
    }
    full = block_resistance_ohm(1.0, capacity_ah=100.0, **block)
    assert full == pytest.approx(0.008)
    assert block_resistance_ohm(1.0, capacity_ah=200.0, **block) == pytest.approx(0.004)
    np.testing.assert_allclose(
        block_resistance_ohm([0.5, 0.0], capacity_ah=100.0, **block), [0.012, 0.016]
    )
    with pytest.raises(ValueError, match=r"rise_when_empty = 0\.5"):
        block_resistance_ohm(1.0, capacity_ah=100.0, **(block | {"rise_when_empty": 0.5}))


# The shipped tables


def share_delivered_at_cutoff(chemistry: str, current_a: float, capacity_ah: float) -> float:
    """Return the share of the label's charge given when the loaded block meets its cut-off."""
    availability = np.linspace(1.0, 0.0, 100_001)
    emf = rest_voltage_v(
        availability,
        soc_nodes=number(chemistry, "rest_soc"),
        voltage_nodes_v=number(chemistry, "rest_voltage_v"),
    )
    ohm = block_resistance_ohm(
        availability,
        capacity_ah=capacity_ah,
        resistance_ohm_per_100ah=number(chemistry, "resistance_ohm_per_100ah"),
        rise_when_empty=number(chemistry, "resistance_rise_when_empty"),
        temperature_factor=1.0,
    )
    below = emf - current_a * ohm <= number(chemistry, "cutoff_voltage_v")
    return 1.0 - float(availability[np.argmax(below)])


@pytest.mark.parametrize("current_a", [5.0, 25.0])
@pytest.mark.parametrize("chemistry", sorted(CHEMISTRIES))
def test_capacity_and_cut_off_end_together(chemistry, current_a):
    # A rating runs to the cut-off under load (BCI's definition of the reserve; 1.75 V a cell),
    # so at the rated current and at 25 A the block must meet it with the label's charge out:
    # within 2 %, or capacity, rest voltage and cut-off would be counted twice.
    share = share_delivered_at_cutoff(chemistry, current_a, 100.0)
    assert 0.98 <= share <= 1.0
    label = {"capacity_ah": 100.0, "rated_time_h": 20.0}
    hours = peukert_runtime_h(
        current_a, **label, exponent=number(chemistry, "peukert_exponent")
    )
    assert current_a * float(hours) * share <= 100.0


@pytest.mark.parametrize("chemistry", sorted(CHEMISTRIES))
def test_shipped_rest_voltages_rise_and_lie_within_their_own_spread(chemistry):
    soc = np.array(number(chemistry, "rest_soc"))
    assert soc[0] == 0.0
    assert soc[-1] == 1.0
    row = CHEMISTRIES[chemistry]["rest_voltage_v"]
    for column in ("low", "value", "high"):
        assert np.all(np.diff(row[column]) > 0.0)
    assert np.all(np.array(row["low"]) <= row["value"])
    assert np.all(np.array(row["high"]) >= row["value"])
