"""
Published and independently computed values on gusts, their spectra and unsteady thrust.

The gust table is the only measurement here, and it was measured in tropical cyclones. Rows
"formula as read" catch slips of coding, not of physics.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from energysim.physics.froya import froya_gust_ratio, froya_intensity, froya_mean_wind
from energysim.physics.gusts import (
    GustTable,
    answering_share,
    gust_factor,
    log_law_intensity,
)
from energysim.physics.spectra import (
    kaimal_density_m2ps,
    kaimal_length_m,
    npd_density_m2ps,
    ochi_shin_density_m2ps,
    sigma_from_density_mps,
)
from energysim.physics.unsteady import (
    burst_mean_power_w,
    burst_thrust_n,
    gust_nodes,
    gust_penalty,
    mean_over_nodes,
    normal_nodes,
)

DATA = Path(__file__).parents[2] / "energysim" / "data"


def read_rows(path):
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def listed_factor(exposure, period_s, gust_s):
    rows = read_rows(DATA / "gust_factors.csv")

    def column(name):
        return np.array([float(row[name]) for row in rows])

    table = GustTable(
        exposure=tuple(row["exposure"] for row in rows),
        reference_period_s=column("reference_period_s"),
        gust_duration_s=column("gust_duration_s"),
        factor=column("gust_factor"),
    )
    return gust_factor(
        exposure, reference_period_s=period_s, gust_duration_s=gust_s, table=table
    )


def sigma(law, low_per_s, high_per_s, count=2000, **arguments):
    frequency = np.geomspace(low_per_s, high_per_s, count)
    return sigma_from_density_mps(law(frequency, **arguments), frequency_per_s=frequency)


def mean_cube(intensity):
    factor, weight = gust_nodes(intensity, count=5)
    return mean_over_nodes(factor**3, weight=weight)


def mean_cube_with_forecast_error(wind_mps, error_mps):
    node, weight = normal_nodes(24)
    speed = np.hypot(wind_mps + error_mps * node[:, np.newaxis], error_mps * node)
    mean = mean_over_nodes(mean_over_nodes(speed**3, weight=weight), weight=weight)
    return mean / wind_mps**3


def burst_penalty(duty):
    on_power = burst_thrust_n(1.0, duty=duty) ** 1.5
    return burst_mean_power_w(on_power, duty=duty, idle_power_w=0.0)


COMPUTE = {
    "E47": lambda: listed_factor("at-sea", 600.0, 3.0),
    "E49": lambda: listed_factor("at-sea", 600.0, 60.0),
    "E50": lambda: froya_intensity(10.0, height_m=10.0),
    "E51": lambda: froya_gust_ratio(10.0, height_m=10.0, gust_duration_s=3.0),
    "E53": lambda: froya_mean_wind(10.0, height_m=2.0) / froya_mean_wind(10.0, height_m=10.0),
    "E54": lambda: npd_density_m2ps(0.1, wind_1h_mps=10.0, height_m=10.0),
    "E55": lambda: sigma(npd_density_m2ps, 1.0 / 3600.0, 1.0, wind_1h_mps=10.0, height_m=10.0),
    "E57": lambda: sigma(ochi_shin_density_m2ps, 1e-7, 1e4, wind_10m_mps=10.0),
    "E58": lambda: kaimal_density_m2ps(
        0.1, wind_mps=10.0, sigma_mps=1.0, length_m=kaimal_length_m(10.0)
    ),
    "E59": lambda: answering_share(10.0, slowest_answer_s=10.0, height_m=10.0),
    "E61": lambda: log_law_intensity(10.0, roughness_m=0.0002),
    "E63": lambda: mean_cube(0.1),
    "E65": lambda: mean_cube(0.3),
    "E66": lambda: gust_penalty(0.2, exponent=3.0, lateral_intensity=0.16),
    "E67": lambda: mean_cube_with_forecast_error(5.0, 1.4),
    "E71": lambda: burst_penalty(0.5),
    "E73": lambda: burst_penalty(0.1),
}
ROWS = read_rows(Path(__file__).with_name("published_gusts.csv"))


@pytest.mark.reference
@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_value(row):
    assert COMPUTE[row["id"]]() == pytest.approx(
        float(row["expected"]), rel=0.0, abs=float(row["tolerance"])
    )


def test_every_row_is_computed_and_nothing_else_is():
    assert sorted(COMPUTE) == sorted(row["id"] for row in ROWS)


def test_every_row_names_its_source_and_how_far_to_trust_it():
    assert all(row["source"] and row["flag"] for row in ROWS)
