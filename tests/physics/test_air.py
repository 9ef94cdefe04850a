import numpy as np
import pytest

from energysim.physics.air import air_density_kgpm3

STANDARD_PA = 101325.0


def test_standard_air_at_15_degc_has_the_density_of_the_standard_atmosphere():
    # US Standard Atmosphere 1976, sea level: 1.2250 kg/m3 (printed digits).
    density = air_density_kgpm3(15.0, pressure_pa=STANDARD_PA)
    assert density == pytest.approx(1.2250, abs=5e-5)


@pytest.mark.parametrize(
    ("temperature_degc", "expected"),
    [(0.0, 1.293), (30.0, 1.165)],
    ids=["freezing", "hot"],
)
def test_cold_air_is_heavier_than_warm(temperature_degc, expected):
    # Handbook densities of dry air at one atmosphere, from memory. Handbooks differ by one
    # unit of the last digit among themselves, so twice that.
    density = air_density_kgpm3(temperature_degc, pressure_pa=STANDARD_PA)
    assert density == pytest.approx(expected, abs=1e-3)


def test_density_goes_with_pressure():
    low, high = air_density_kgpm3(10.0, pressure_pa=[60e3, 90e3])
    assert high / low == pytest.approx(1.5, rel=1e-12)


def test_an_array_gives_what_its_numbers_give():
    temperatures = np.array([-10.0, 5.0, 35.0])
    together = air_density_kgpm3(temperatures, pressure_pa=STANDARD_PA)
    alone = [float(air_density_kgpm3(t, pressure_pa=STANDARD_PA)) for t in temperatures]
    assert together == pytest.approx(alone, rel=0.0)


@pytest.mark.parametrize(
    ("temperature_degc", "pressure_pa", "name"),
    [
        (100.0, 1e5, "temperature_degc = 100"),
        (np.nan, 1e5, "temperature_degc"),
        (15.0, 1013.0, "pressure_pa = 1013"),
    ],
    ids=["too-hot", "not-a-number", "hectopascals"],
)
def test_wild_air_is_refused(temperature_degc, pressure_pa, name):
    with pytest.raises(ValueError, match=name):
        air_density_kgpm3(temperature_degc, pressure_pa=pressure_pa)
