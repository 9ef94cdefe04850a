"""Climates as files, and the winds drawn from them."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from energysim.build.members import plan_members
from energysim.build.members.climate import drawn_winds, evenly, in_own_winds, month_winds
from energysim.errors import ScenarioError
from energysim.odds import run_members
from energysim.scenario.wind_climate import read_climate_file

ZONE = ZoneInfo("America/New_York")
MAY = date(2026, 5, 16)
KNOT = 1852.0 / 3600.0

TABLE = """\
# Invented.
month,from [deg],speed [kn],share [%]
5,SW,8,50
5,225,16,30
5,N,12,15
5,,0,5
6,W,10,100
"""


@pytest.fixture
def climate(tmp_path):
    """From a table's text to what is read of it."""

    def read(text):
        path = tmp_path / "climate.csv"
        path.write_text(text, encoding="utf-8")
        return read_climate_file(path, timezone=ZONE)

    return read


@pytest.fixture(scope="module")
def held(plain_day, load_raw):
    """A short hold, ready for few members."""
    raw = plain_day() | {
        "leg": [{"name": "the mark", "do": "hold", "start": "06:00", "for": "30 min"}]
    }
    return replace(plan_members(load_raw(raw), seed=3, members=200), width=200)


def test_a_table_is_read_in_its_units(climate):
    rows = climate(TABLE).of_month(5)
    assert [row.wind_from_deg for row in rows] == [225.0, 225.0, 0.0, 0.0]
    assert [row.speed_mps for row in rows] == pytest.approx([8 * KNOT, 16 * KNOT, 12 * KNOT, 0])
    assert [row.share for row in rows] == pytest.approx([0.5, 0.3, 0.15, 0.05])


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        pytest.param("5,N,12,15", "5,N,12,5", "month 5 add up to 90", id="no whole"),
        pytest.param("6,W", "13,W", "not a month", id="no month"),
        pytest.param("share [%]", "hours", "not a column", id="no column"),
        pytest.param("speed [kn]", "speed", "has no unit", id="no unit"),
        pytest.param("6,W,10", "6,W,-1", "will not do", id="below nothing"),
        pytest.param("6,W,10,100", "6,W,10", "3 cells", id="short row"),
    ],
)
def test_what_a_table_may_not_say_is_refused_with_the_reason(climate, old, new, said):
    with pytest.raises(ScenarioError, match=said):
        climate(TABLE.replace(old, new))


def test_every_wind_is_drawn_as_often_as_its_share_to_within_one_member(climate, held):
    winds = month_winds(climate(TABLE), 5)
    for number in range(40):
        speed, bearing, _ = drawn_winds(held, winds, day=MAY + timedelta(days=number))
        for row, share in enumerate(winds.share):
            same = (speed[0] == winds.speed_mps[row]) & (bearing[0] == winds.wind_from_deg[row])
            assert abs(same.sum() - 200 * share) <= 1.0


def test_over_many_dates_shares_come_out_whole_and_neighbours_have_no_wind_in_common():
    # Of 7 members one row in two has 3.5: the first step is random, so the mean is its share.
    share = np.array([0.5, 0.33, 0.17])
    drawn = np.array(
        [evenly(share, 7, seed=1, day=MAY + timedelta(days=number)) for number in range(2000)]
    )
    counted = np.array([(drawn == row).mean() for row in range(3)])
    # At most half a member of 7 a date, so 0.5 / 7 / sqrt(2000) is its standard error.
    assert counted == pytest.approx(share, abs=4 * 0.5 / 7 / 2000**0.5)
    together = np.corrcoef(drawn[:-1, 0], drawn[1:, 0])[0, 1]
    assert abs(together) < 4 / 2000**0.5


def test_a_date_has_the_same_winds_whatever_season_it_stands_in_and_others_by_another_seed():
    share = np.full(10, 0.1)
    again = [evenly(share, 50, seed=1, day=MAY).tolist() for _ in range(2)]
    assert again[0] == again[1]
    assert again[0] != evenly(share, 50, seed=2, day=MAY).tolist()
    assert again[0] != evenly(share, 50, seed=1, day=MAY + timedelta(days=1)).tolist()


def test_blocks_of_one_date_have_winds_of_their_own_that_are_no_other_dates():
    share = np.full(10, 0.1)
    several = [evenly(share, 50, seed=1, day=MAY, block=block).tolist() for block in range(4)]
    others = [
        evenly(share, 50, seed=1, day=MAY + timedelta(days=number)).tolist()
        for number in range(1, 60)
    ]
    assert len({tuple(one) for one in several + others}) == 4 + 59


def test_members_have_their_own_wind_and_no_forecast_error(climate, held):
    plan = in_own_winds(held, month_winds(climate(TABLE), 5), day=MAY)
    assert plan.spreads.of["wind_error"] == plan.spreads.of["wind_bias"] == 0.0
    speed = np.hypot(plan.instants.wind_east_mps, plan.instants.wind_north_mps)
    assert speed[0].mean() == pytest.approx((8 * 0.5 + 16 * 0.3 + 12 * 0.15) * KNOT, rel=0.02)
    # A wind from the south-west blows to the north-east.
    strongest = np.argmax(speed[0])
    assert plan.instants.wind_east_mps[0, strongest] == pytest.approx(16 * KNOT / 2**0.5)


def test_the_usual_wind_is_the_middle_speed_from_where_it_blows_most(climate):
    speed, from_deg = month_winds(climate(TABLE), 5).usual()
    assert (speed, from_deg) == pytest.approx((8 * KNOT, 225.0))


def test_hours_of_a_history_are_laid_on_the_clock_of_the_plan(climate, held):
    # Knots tell the day of May, tenths the hour of the local clock.
    begin = datetime(2025, 4, 30, 0, 0)  # noqa: DTZ001 - as a file has it
    rows = ["time [LST_LDT],speed [kn],from [deg]"]
    for hour in range(24 * 33):
        when = begin + timedelta(hours=hour)
        rows.append(f"{when:%Y-%m-%d %H:%M},{when.day + when.hour / 10:.1f},{when.day * 10}")
    winds = month_winds(climate("\n".join(rows)), 5)
    speed, bearing, gust = drawn_winds(held, winds, day=MAY)
    day = np.round(bearing[0] / 10.0)
    clock_h = 6.0 + held.instants.at_s / 3600.0
    assert speed == pytest.approx((day + clock_h[:, None] / 10.0) * KNOT, rel=1e-6)
    assert np.isnan(gust).all()
    counts = np.bincount(day.astype(int), minlength=32)[1:]
    assert set(counts.tolist()) <= {6, 7}  # 200 members on 31 days


def test_few_members_are_the_first_of_the_many(held):
    few = run_members(replace(held, width=20), 20)
    many = run_members(held, 200)
    assert few.end_soc == pytest.approx(many.end_soc[:20], rel=1e-9)
    assert few.off_s == pytest.approx(many.off_s[:, :20], abs=1e-6)


def test_a_month_without_winds_has_none(climate):
    assert month_winds(climate(TABLE), 7) is None
