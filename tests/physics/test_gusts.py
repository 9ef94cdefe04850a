"""Gust factors from the shipped table, and the intensities behind gusts."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import energysim
from energysim.physics.froya import froya_gust_ratio, froya_intensity, froya_mean_wind
from energysim.physics.gusts import (
    HOURLY_PEAK_FACTOR,
    GustTable,
    answering_share,
    gust_factor,
    intensity_from_gust_factor,
    log_law_intensity,
    peak_factor,
)
from energysim.physics.spectra import npd_density_m2ps, sigma_from_density_mps
from energysim.physics.wind import wind_at_height

FILE = Path(energysim.__file__).parent / "data" / "gust_factors.csv"
with FILE.open(encoding="utf-8", newline="") as _handle:
    ROWS = list(csv.DictReader(_handle))
TABLE = GustTable(
    exposure=tuple(row["exposure"] for row in ROWS),
    reference_period_s=np.array([float(row["reference_period_s"]) for row in ROWS]),
    gust_duration_s=np.array([float(row["gust_duration_s"]) for row in ROWS]),
    factor=np.array([float(row["gust_factor"]) for row in ROWS]),
)
EXPOSURES = ("at-sea", "off-sea", "off-land", "in-land")
EVERY_EXPOSURE = pytest.mark.parametrize("exposure", EXPOSURES)
PERIODS = {60.0, 120.0, 180.0, 600.0, 3600.0}


def factor(exposure, period, gust):
    return gust_factor(exposure, reference_period_s=period, gust_duration_s=gust, table=TABLE)


# The shipped rows.


def test_the_table_is_whole_and_every_row_has_a_source():
    assert set(ROWS[0]) == {
        "exposure",
        "reference_period_s",
        "gust_duration_s",
        "gust_factor",
        "source",
    }
    assert all(row["source"] for row in ROWS)
    found = {
        (row["exposure"], float(row["reference_period_s"]), float(row["gust_duration_s"]))
        for row in ROWS
    }
    # Five gusts in an hour, as many in ten minutes, then one fewer each time.
    wanted = {
        (exposure, period, gust)
        for exposure in EXPOSURES
        for period in PERIODS
        for gust in (3.0, 60.0, 120.0, 180.0, 600.0)
        if gust <= period
    }
    assert found == wanted
    assert len(ROWS) == len(wanted) == 76


@EVERY_EXPOSURE
def test_a_period_that_is_its_own_gust_stands_in_the_table_as_one(exposure):
    own = [
        float(row["gust_factor"])
        for row in ROWS
        if row["exposure"] == exposure and row["reference_period_s"] == row["gust_duration_s"]
    ]
    assert own == [1.0] * 4


def test_rougher_ground_upwind_is_never_less_gusty():
    # The order of the four exposures by roughness; common practice, no source.
    by_times = {}
    for row in ROWS:
        times = (row["reference_period_s"], row["gust_duration_s"])
        by_times.setdefault(times, {})[row["exposure"]] = float(row["gust_factor"])
    for values in by_times.values():
        assert np.all(np.diff([values[exposure] for exposure in EXPOSURES]) >= 0.0)


def test_the_longest_conversion_follows_from_its_two_halves_to_a_few_per_cent():
    # 3 s in an hour against 3 s in ten minutes times ten minutes in an hour: not the same
    # gust, but close. Guards a row against a slip of a digit.
    for exposure in EXPOSURES:
        through = factor(exposure, 600.0, 3.0) * factor(exposure, 3600.0, 600.0)
        assert through == pytest.approx(factor(exposure, 3600.0, 3.0), rel=0.03)


# Looking factors up.


@pytest.mark.reference
@pytest.mark.parametrize("row", ROWS, ids=["/".join(list(row.values())[:3]) for row in ROWS])
def test_a_listed_pair_gives_the_listed_factor(row):
    # WMO/TD-No. 1555, table 1.1, as transcribed in a public test file: printed to 0.01, and
    # nothing is to be lost in looking it up.
    found = factor(
        row["exposure"], float(row["reference_period_s"]), float(row["gust_duration_s"])
    )
    assert found == pytest.approx(float(row["gust_factor"]), abs=1e-12)


@EVERY_EXPOSURE
@settings(max_examples=60, deadline=None)
@given(
    period=st.floats(60.0, 3600.0),
    shares=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)),
)
def test_a_longer_gust_is_never_stronger(exposure, period, shares):
    short, long = (3.0 * (period / 3.0) ** share for share in sorted(shares))
    short, long = min(short, period), min(long, period)
    assert factor(exposure, period, short) >= factor(exposure, period, long) - 1e-12
    assert factor(exposure, period, long) >= 1.0


@EVERY_EXPOSURE
@settings(max_examples=60, deadline=None)
@given(
    periods=st.tuples(st.floats(60.0, 3600.0), st.floats(60.0, 3600.0)),
    gust=st.floats(3.0, 60.0),
)
def test_a_longer_wait_finds_a_gust_no_weaker(exposure, periods, gust):
    # Between listed periods the reading is ours, so a hair of slack: it may dip by 0.01.
    short, long = sorted(periods)
    assert factor(exposure, long, gust) >= factor(exposure, short, gust) - 0.01


@pytest.mark.parametrize("period", [60.0, 75.0, 480.0, 1800.0, 3600.0])
def test_a_mean_is_its_own_gust(period):
    assert factor("in-land", period, period) == pytest.approx(1.0, abs=1e-12)


def test_an_unlisted_period_lies_between_its_neighbours_by_hand():
    # 3 s of 8 min off the sea: 1.31 for 3 min and 1.38 for 10 min, by the logarithm.
    part = np.log(480.0 / 180.0) / np.log(600.0 / 180.0)
    assert factor("off-sea", 480.0, 3.0) == pytest.approx(1.31 + part * 0.07, abs=1e-12)


def test_many_times_at_once_are_each_alone():
    periods, gusts = np.array([[120.0], [480.0], [3600.0]]), np.array([3.0, 8.0, 60.0, 120.0])
    together = factor("off-land", periods, gusts)
    assert together.shape == (3, 4)
    alone = [[factor("off-land", p, g) for g in gusts] for p in periods[:, 0]]
    assert np.array_equal(together, np.array(alone))
    assert factor("off-land", 600.0, 3.0).shape == ()


def test_rows_may_stand_in_any_order():
    turned = GustTable(
        exposure=TABLE.exposure[::-1],
        reference_period_s=TABLE.reference_period_s[::-1],
        gust_duration_s=TABLE.gust_duration_s[::-1],
        factor=TABLE.factor[::-1],
    )
    times = {"reference_period_s": [90.0, 700.0], "gust_duration_s": [5.0, 77.0]}
    assert np.array_equal(
        gust_factor("at-sea", **times, table=turned),
        gust_factor("at-sea", **times, table=TABLE),
    )


@pytest.mark.parametrize(
    ("exposure", "period", "gust", "says"),
    [
        pytest.param("harbour", 600.0, 3.0, "must be one of at-sea, off-sea", id="exposure"),
        pytest.param("at-sea", 30.0, 3.0, "reference_period_s = 30; .*60", id="short-period"),
        pytest.param("at-sea", 7200.0, 3.0, "reference_period_s = 7200", id="long-period"),
        pytest.param("at-sea", 600.0, 1.0, "gust_duration_s = 1; .*3", id="short-gust"),
        pytest.param("at-sea", 60.0, 120.0, "gust_duration_s = 120; .*at most", id="too-long"),
        pytest.param("at-sea", np.nan, 3.0, "reference_period_s = nan", id="nan"),
    ],
)
def test_what_the_table_cannot_answer_is_refused(exposure, period, gust, says):
    with pytest.raises(ValueError, match=says):
        factor(exposure, period, gust)


# Intensity.


@pytest.mark.parametrize(
    ("exposure", "intensity"), list(zip(EXPOSURES, [0.10, 0.15, 0.20, 0.25], strict=True))
)
def test_the_hourly_gusts_of_the_table_give_the_intensities_of_its_exposures(
    exposure, intensity
):
    # The four classes are from memory; the peak factor of 3 was inferred from them.
    hourly = factor(exposure, 3600.0, 3.0)
    found = intensity_from_gust_factor(hourly, peak_factor=HOURLY_PEAK_FACTOR)
    assert found == pytest.approx(intensity, abs=1e-12)


@EVERY_EXPOSURE
@pytest.mark.parametrize("times", [(120.0, 3.0), (480.0, 5.0), (600.0, 3.0), (3600.0, 60.0)])
def test_a_forecast_gust_of_any_kind_leads_back_to_the_same_intensity(exposure, times):
    period, gust = times
    peak = peak_factor(exposure, reference_period_s=period, gust_duration_s=gust, table=TABLE)
    assert 0.0 < peak <= HOURLY_PEAK_FACTOR
    found = intensity_from_gust_factor(factor(exposure, period, gust), peak_factor=peak)
    hourly = intensity_from_gust_factor(factor(exposure, 3600.0, 3.0), peak_factor=3.0)
    assert found == pytest.approx(hourly, abs=1e-12)


def test_no_gusts_are_needed_to_get_from_a_mean_to_itself():
    assert peak_factor(
        "at-sea", reference_period_s=600.0, gust_duration_s=600.0, table=TABLE
    ) == pytest.approx(0.0, abs=1e-12)


def test_an_intensity_is_kept_within_what_a_wind_can_be():
    found = intensity_from_gust_factor([1.0, 1.1, 1.3, 2.05, 2.5], peak_factor=3.0)
    assert found == pytest.approx([0.05, 0.05, 0.1, 0.35, 0.35], abs=1e-12)


def test_the_logarithmic_profile_by_hand():
    # ln 1000 = 6.9078.
    assert log_law_intensity(3.0, roughness_m=0.003) == pytest.approx(0.144765, abs=1e-6)
    rougher = log_law_intensity([10.0, 10.0, 1.0], roughness_m=[0.0002, 0.03, 0.0002])
    assert np.all(np.diff(rougher[:2]) > 0.0)
    assert rougher[2] > rougher[0]


@pytest.mark.parametrize(
    ("call", "says"),
    [
        pytest.param(
            lambda: intensity_from_gust_factor(0.9, peak_factor=3.0),
            "gust_factor = 0.9; .*at least 1",
            id="gust-below-mean",
        ),
        pytest.param(
            lambda: intensity_from_gust_factor(1.3, peak_factor=0.0),
            "peak_factor = 0; .*above 0",
            id="no-peak",
        ),
        pytest.param(
            lambda: log_law_intensity(0.1, roughness_m=0.03), "at least 10", id="too-low"
        ),
        pytest.param(
            lambda: log_law_intensity(1.0, roughness_m=0.0), "roughness_m = 0", id="smooth"
        ),
        pytest.param(
            lambda: answering_share(5.0, slowest_answer_s=0.0, height_m=2.0),
            "slowest_answer_s = 0",
            id="at-once",
        ),
        pytest.param(
            lambda: answering_share(-1.0, slowest_answer_s=9.0, height_m=2.0),
            "wind_mps = -1",
            id="negative-wind",
        ),
        pytest.param(
            lambda: froya_gust_ratio(5.0, height_m=2.0, gust_duration_s=4000.0),
            "gust_duration_s = 4000",
            id="longer-than-an-hour",
        ),
        pytest.param(
            lambda: froya_mean_wind(5.0, height_m=0.1), "height_m = 0.1", id="in-the-waves"
        ),
        pytest.param(
            lambda: froya_intensity(70.0, height_m=2.0), "wind_1h_mps = 70", id="hurricane"
        ),
    ],
)
def test_what_the_laws_cannot_answer_is_refused(call, says):
    with pytest.raises(ValueError, match=says):
        call()


# What a boat answers.


@pytest.mark.parametrize(
    ("answer_s", "share"),
    [(60.0, 0.26), (30.0, 0.40), (10.0, 0.63), (3.0, 0.81)],
    ids=["1 min", "30 s", "10 s", "3 s"],
)
def test_a_quicker_boat_answers_more_of_the_gusts(answer_s, share):
    # 1 - (1 + 6 x 56.7 / (10 t))^(-2/3) by hand, to two digits.
    found = answering_share(10.0, slowest_answer_s=answer_s, height_m=10.0)
    assert found == pytest.approx(share, abs=0.005)


def test_the_share_answered_goes_from_all_to_nothing():
    assert answering_share(0.0, slowest_answer_s=30.0, height_m=1.0) == 1.0
    assert answering_share(10.0, slowest_answer_s=1e-6, height_m=1.0) > 0.999
    assert answering_share(10.0, slowest_answer_s=1e7, height_m=1.0) < 1e-3
    wind = np.linspace(0.0, 25.0, 26)
    share = answering_share(wind, slowest_answer_s=15.0, height_m=1.5)
    assert np.all(np.diff(share) < 0.0)


# The laws of the open sea.


def test_the_laws_of_the_open_sea_by_hand():
    # 20 m/s: sqrt(1 + 0.15 x 20) = 2, and ln(z / 10) = 1 at 27.18 m.
    assert froya_mean_wind(20.0, height_m=10.0 * np.e) == pytest.approx(
        20.0 * (1.0 + 2.0 * 0.0573), rel=1e-12
    )
    # 20 m/s at 1 m: 0.06 x 1.86 x 10^0.22, which is 1.65959.
    assert froya_intensity(20.0, height_m=1.0) == pytest.approx(0.1116 * 1.65959, rel=1e-5)
    # A gust of 3600 / e seconds: the logarithm is -1.
    assert froya_gust_ratio(
        20.0, height_m=10.0, gust_duration_s=3600.0 / np.e
    ) == pytest.approx(1.0 + 0.41 * 0.1116, rel=1e-12)


def test_at_ten_metres_the_mean_of_the_hour_is_itself():
    wind = np.array([0.0, 3.0, 12.0, 40.0])
    assert np.array_equal(froya_mean_wind(wind, height_m=10.0), wind)


def test_the_gust_of_an_hour_over_the_hour_is_its_mean():
    assert froya_gust_ratio(12.0, height_m=1.0, gust_duration_s=3600.0) == 1.0


def test_wind_rises_and_gustiness_falls_with_height():
    height = np.geomspace(0.2, 100.0, 40)
    for wind in (1.0, 10.0, 60.0):
        assert np.all(np.diff(froya_mean_wind(wind, height_m=height)) > 0.0)
        assert np.all(froya_mean_wind(wind, height_m=height) > 0.0)
        assert np.all(np.diff(froya_intensity(wind, height_m=height)) < 0.0)


def test_the_profile_of_the_storms_is_near_the_one_the_days_are_worked_with():
    # Another set of measurements: 2 m over 10 m, within 3 % from a breeze to a gale.
    wind = np.array([5.0, 10.0, 15.0, 20.0])
    ours = wind_at_height(wind, reference_height_m=10.0, height_m=2.0)
    assert froya_mean_wind(wind, height_m=2.0) == pytest.approx(ours, rel=0.03)


def test_gusts_over_the_open_sea_are_near_those_of_the_gust_table():
    # Two sources that share no numbers; the table is for cyclones, so its winds are strong.
    storm = froya_gust_ratio(20.0, height_m=10.0, gust_duration_s=[3.0, 60.0, 600.0])
    table = factor("at-sea", 3600.0, [3.0, 60.0, 600.0])
    assert storm == pytest.approx(table, rel=0.12)


def test_the_intensity_of_the_storms_is_near_that_of_their_spectrum():
    # The law of the intensity and the spectrum were fitted apart: at 10 m, hour to second.
    frequency = np.geomspace(1.0 / 3600.0, 1.0, 300)
    wind = np.array([10.0, 15.0, 20.0])
    density = npd_density_m2ps(frequency[:, np.newaxis], wind_1h_mps=wind, height_m=10.0)
    sigma = sigma_from_density_mps(density, frequency_per_s=frequency)
    assert sigma / wind == pytest.approx(froya_intensity(wind, height_m=10.0), rel=0.2)


def test_many_winds_at_once_are_each_alone():
    wind, height = np.array([[2.0], [9.0], [17.0]]), np.array([0.5, 2.0])
    for law, arguments in (
        (froya_mean_wind, {}),
        (froya_intensity, {}),
        (froya_gust_ratio, {"gust_duration_s": 3.0}),
        (answering_share, {"slowest_answer_s": 20.0}),
    ):
        together = law(wind, height_m=height, **arguments)
        alone = [[law(w, height_m=h, **arguments) for h in height] for w in wind[:, 0]]
        assert together == pytest.approx(np.array(alone), rel=1e-15)
