"""
How the build reads gusts: the WMO table by exposure, and five winds that stand for them all.

The table's numbers: WMO/TD-No. 1555 (Harper, Kepert and Ginger 2010), table 1.1, strongest 3 s
of 10 min and of an hour, as transcribed in a public test file; the hourly intensities that go
with them are from memory. Means over normal gusts are closed forms (textbook).
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from energysim.build import build_day
from energysim.build.gusts import gust_intensity, gusty_winds, usual_gust_factor
from energysim.errors import ScenarioError
from energysim.physics.unsteady import mean_over_nodes
from energysim.scenario.load import validate
from energysim.scenario.overlay import overlay

# exposure: strongest 3 s of 10 min, of an hour, and the intensity of the hour
CLASSES = {
    "at-sea": (1.23, 1.30, 0.10),
    "off-sea": (1.38, 1.45, 0.15),
    "off-land": (1.52, 1.60, 0.20),
    "in-land": (1.66, 1.75, 0.25),
}
every_class = pytest.mark.parametrize("exposure", CLASSES)


def day(plain_day, exposure, **changes):
    return overlay(plain_day(), {"wind.exposure": exposure} | changes)


def without_gust(raw):
    raw["wind"].pop("gust")
    return raw


@every_class
def test_a_wind_forecast_without_gusts_takes_those_of_its_exposure(
    plain_day, load_raw, exposure
):
    in_ten_minutes, _, intensity = CLASSES[exposure]
    raw = without_gust(day(plain_day, exposure))
    assert usual_gust_factor(validate(raw)) == pytest.approx(in_ten_minutes, abs=1e-12)
    around = build_day(load_raw(raw)).surroundings
    assert_allclose(around.gust_mps / around.wind_mps, in_ten_minutes, rtol=1e-9)
    assert_allclose(around.gust_intensity, intensity, rtol=1e-9)


@every_class
def test_a_forecast_gust_is_read_by_how_far_its_exposure_says_gusts_reach(plain_day, exposure):
    in_ten_minutes, in_an_hour, _ = CLASSES[exposure]
    # Strongest 3 s of an hour: three deviations; of 10 min: as much less as the table says.
    deviations = 3.0 * (in_ten_minutes - 1.0) / (in_an_hour - 1.0)
    intensity = gust_intensity(
        validate(day(plain_day, exposure)), wind_mps=np.array([10.0]), gust_mps=np.array([14.0])
    )
    assert intensity[0] == pytest.approx(0.4 / deviations, rel=1e-12)


def test_the_note_says_which_class_was_taken(plain_day, load_raw):
    notes = build_day(load_raw(without_gust(day(plain_day, "in-land")))).assumptions
    assert any("1.66 times the wind" in note and "in-land exposure" in note for note in notes)


@pytest.mark.parametrize(
    ("gust_mps", "expected"),
    [(5.0, 0.05), (5.05, 0.05), (30.0, 0.35)],
    ids=["no-gust", "hardly-any", "a-squall"],
)
def test_intensity_stays_within_what_a_wind_can_be(plain_day, gust_mps, expected):
    scenario = validate(plain_day())
    intensity = gust_intensity(
        scenario, wind_mps=np.array([5.0]), gust_mps=np.array([gust_mps])
    )
    assert intensity[0] == pytest.approx(expected)


def test_a_calm_has_an_intensity_and_no_wind(plain_day):
    scenario = validate(plain_day())
    intensity = gust_intensity(scenario, wind_mps=np.zeros(3), gust_mps=np.zeros(3))
    assert_allclose(intensity, 0.05)
    winds, _, _ = gusty_winds(np.zeros(3), intensity)
    assert not winds.any()


@given(intensity=st.floats(0.05, 0.35), wind=st.floats(0.1, 40.0))
def test_the_winds_have_the_mean_the_spread_and_the_cube_of_normal_gusts(intensity, wind):
    # An ideal signed cube costs 1 + 3 I^2 times its mean's; 0.35 is the last that is not cut.
    winds, share, deviation = gusty_winds(np.array([wind]), np.array([intensity]))
    mean = mean_over_nodes(winds, weight=share)[0]
    square = mean_over_nodes(winds**2, weight=share)[0]
    cube = mean_over_nodes(winds * np.abs(winds) ** 2, weight=share)[0]
    assert mean == pytest.approx(wind, rel=1e-12)
    assert square / wind**2 == pytest.approx(1.0 + intensity**2, abs=1e-6)
    assert cube / wind**3 == pytest.approx(1.0 + 3.0 * intensity**2, abs=1e-6)
    assert share.sum() == pytest.approx(1.0)
    assert_allclose(winds[:, 0], wind * (1.0 + intensity * deviation), rtol=1e-9, atol=1e-12)


def test_the_five_winds_are_those_of_gauss_and_hermite():
    # Their published nodes and weights for a normal error (textbook).
    inner, outer = (math.sqrt(5.0 - s * math.sqrt(10.0)) for s in (1.0, -1.0))
    heavy, light = ((7.0 + s * 2.0 * math.sqrt(10.0)) / 60.0 for s in (1.0, -1.0))
    _, share, deviation = gusty_winds(np.ones(1), np.full(1, 0.2))
    assert_allclose(deviation, [-outer, -inner, 0.0, inner, outer], atol=1e-12)
    assert_allclose(share, [light, heavy, 8.0 / 15.0, heavy, light], atol=1e-12)


def test_each_step_has_its_own_gusts():
    wind, intensity = np.array([4.0, 8.0, 12.0]), np.array([0.05, 0.2, 0.35])
    together = gusty_winds(wind, intensity)[0]
    for step in range(3):
        alone = gusty_winds(wind[step : step + 1], intensity[step : step + 1])[0]
        assert_allclose(together[:, step], alone[:, 0])


def test_an_exposure_nobody_lists_is_refused(plain_day):
    with pytest.raises(ScenarioError, match=r"wind\.exposure = .open-sea"):
        validate(day(plain_day, "open-sea"))


@pytest.mark.parametrize("pair", list(zip(CLASSES, list(CLASSES)[1:], strict=False)), ids=str)
def test_a_gustier_place_takes_more_out_of_the_bank(plain_day, load_raw, pair):
    power = [
        build_day(
            load_raw(without_gust(day(plain_day, exposure, **{"leg[1].heading": "wind"})))
        ).demand.power_w.mean()
        for exposure in pair
    ]
    assert power[1] > power[0]
