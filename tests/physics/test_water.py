import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.water import water_density_kgpm3, water_viscosity_m2ps


@pytest.mark.parametrize(
    ("salinity_psu", "temperature_degc", "expected"),
    [
        (0.0, 5.0, 999.96675),
        (0.0, 25.0, 997.04796),
        (35.0, 5.0, 1027.67547),
        (35.0, 25.0, 1023.34306),
    ],
)
def test_density_meets_the_check_values_of_its_standard(
    salinity_psu, temperature_degc, expected
):
    # UNESCO Technical papers in marine science 44, 1983, table of check values at one
    # atmosphere (from memory); printed digits.
    density = water_density_kgpm3(salinity_psu, temperature_degc=temperature_degc)
    assert density == pytest.approx(expected, abs=5e-6)


def test_fresh_water_is_densest_near_four_degrees():
    # Common knowledge: 3.98 degC.
    temperatures = np.linspace(0.0, 10.0, 1001)
    density = water_density_kgpm3(0.0, temperature_degc=temperatures)
    assert temperatures[density.argmax()] == pytest.approx(3.98, abs=0.05)


@pytest.mark.parametrize(
    ("salinity_psu", "temperature_degc", "expected_m2ps"),
    [
        (0.0, 10.0, 1.306e-6),
        (0.0, 20.0, 1.004e-6),
        (0.0, 30.0, 0.801e-6),
        (35.0, 10.0, 1.354e-6),
        (35.0, 20.0, 1.054e-6),
        (35.0, 30.0, 0.849e-6),
    ],
)
def test_viscosity_meets_a_handbook_table(salinity_psu, temperature_degc, expected_m2ps):
    # Tupper, Introduction to Naval Architecture, table 5.1. The formula's authors claim
    # 1.5 %; 1 % of viscosity is 0.15 % of friction.
    viscosity = water_viscosity_m2ps(salinity_psu, temperature_degc=temperature_degc)
    assert viscosity == pytest.approx(expected_m2ps, rel=0.01)


@given(
    st.floats(0.0, 41.0),
    st.floats(0.0, 39.0),
)
@settings(max_examples=50)
def test_salt_makes_water_heavier_and_warmth_makes_it_thinner(salinity_psu, temperature_degc):
    fresher, saltier = water_density_kgpm3(
        [salinity_psu, salinity_psu + 1.0], temperature_degc=temperature_degc
    )
    cold, warm = water_viscosity_m2ps(
        salinity_psu, temperature_degc=[temperature_degc, temperature_degc + 1.0]
    )
    assert saltier > fresher
    assert warm < cold


def test_arrays_give_what_their_numbers_give():
    salinity = np.array([0.0, 20.0, 35.0])
    for law in (water_density_kgpm3, water_viscosity_m2ps):
        together = law(salinity, temperature_degc=12.0)
        assert together.tolist() == [float(law(s, temperature_degc=12.0)) for s in salinity]


@pytest.mark.parametrize("law", [water_density_kgpm3, water_viscosity_m2ps])
@pytest.mark.parametrize(
    ("salinity_psu", "temperature_degc", "name"),
    [(-1.0, 10.0, "salinity_psu = -1"), (35.0, 60.0, "temperature_degc = 60")],
    ids=["negative-salt", "too-hot"],
)
def test_wild_water_is_refused(law, salinity_psu, temperature_degc, name):
    with pytest.raises(ValueError, match=name):
        law(salinity_psu, temperature_degc=temperature_degc)
