"""
The season's own maxima and slacks beside the agency's printed ones, at stations given as rows.

Stations, constants and events are those of files/noaa_stream_*.csv (NOAA CO-OPS, public
domain); a station is made a scenario and laid on its dates as `energysim season` lays them.
"""

import csv
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from energysim.constants import KNOT_MPS
from energysim.season.tide import lunar_day, streams_of

pytestmark = pytest.mark.reference

FILES = Path(__file__).parent / "files"
# An event is looked for this far from the printed one; half the shortest time between two of
# one kind, so that none stands for its neighbour.
REACH_S = 2.5 * 3600.0


def rows_of(name):
    lines = (FILES / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


STATIONS = {row["station"]: row for row in rows_of("noaa_stream_stations.csv")}
CONSTANTS = rows_of("noaa_stream_constants.csv")
PRINTED = rows_of("noaa_stream_events.csv")
WITH_EVENTS = sorted({row["station"] for row in PRINTED} & set(STATIONS))


def printed(station):
    """Return unix time and signed knots of every printed event."""
    zone = ZoneInfo(STATIONS[station]["timezone"])
    rows = [row for row in PRINTED if row["station"] == station]
    clock = [datetime.fromisoformat(row["local_time"]).replace(tzinfo=zone) for row in rows]
    at_s = np.array([one.timestamp() for one in clock])
    return at_s, np.array([float(row["speed_kn"]) for row in rows])


@pytest.fixture(scope="module")
def at_station(plain_day, load_raw):
    """From a station to a plan of its own: flood to the north, so that north is its sign."""

    def loaded(station):
        own = STATIONS[station]
        constituents = [
            {
                "name": row["name"],
                "amplitude": f"{row['amplitude']} {own['unit']}",
                "phase": f"{row['phase_lag_deg']} deg",
            }
            for row in CONSTANTS
            if row["station"] == station
        ]
        day = plain_day()
        day["day"]["timezone"] = own["timezone"]
        day["leg"] = [{"name": "the mark", "do": "hold", "start": "12:00", "for": "10 min"}]
        day["stream"] = {
            "mean": f"{own['mean']} {own['unit']}",
            "flood_toward": "0 deg",
            "ebb_toward": "180 deg",
            "constituent": constituents,
        }
        return load_raw(day)

    return loaded


def days_of(station):
    at_s, _ = printed(station)
    zone = ZoneInfo(STATIONS[station]["timezone"])
    first, last = (datetime.fromtimestamp(at, zone).date() for at in (at_s[0], at_s[-1]))
    return [first + timedelta(days=number) for number in range((last - first).days + 1)]


def season_of(loaded, days):
    """Return the stream of the season's lunar days: unix time and signed knots, in order."""
    at_s, speed_kn = [], []
    for day in days:
        start, course = lunar_day(loaded, day)
        at_s.append(start.timestamp() + course.at_s)
        speed_kn.append(course.north_mps / KNOT_MPS)
    return at_s, speed_kn


def events_of(at_s, speed_kn):
    """Return slacks (0) and turns of a curve sampled every minute."""
    zero = np.flatnonzero(speed_kn[:-1] * speed_kn[1:] < 0.0)
    share = speed_kn[zero] / (speed_kn[zero] - speed_kn[zero + 1])
    rise = np.diff(speed_kn)
    turn = np.flatnonzero(rise[:-1] * rise[1:] < 0.0) + 1
    when = np.concatenate((at_s[zero] + 60.0 * share, at_s[turn]))
    return when, np.concatenate((np.zeros(zero.size), speed_kn[turn]))


def differences(station, loaded):
    """Return label, minutes and knots off of every printed event from the season's own."""
    courses = [
        events_of(*one) for one in zip(*season_of(loaded, days_of(station)), strict=True)
    ]
    ours_s, ours_kn = (np.concatenate(part) for part in zip(*courses, strict=True))
    rows = []
    for at_s, speed_kn in zip(*printed(station), strict=True):
        # A turn too weak to print is printed as a slack.
        same = np.abs(ours_kn) < 0.05 if speed_kn == 0.0 else ours_kn * speed_kn > 0.0
        off_s = np.where(same, ours_s - at_s, np.inf)
        nearest = int(np.abs(off_s).argmin())
        label = f"{station} {datetime.fromtimestamp(at_s, UTC):%Y-%m-%d %H:%M} UTC"
        assert abs(off_s[nearest]) <= REACH_S, f"the season has no such event: {label}"
        rows.append((label, off_s[nearest] / 60.0, ours_kn[nearest] - speed_kn))
    return rows


def hold_to_the_aim(rows):
    label, off_min, off_kn = zip(*rows, strict=True)
    off_min, off_kn = np.abs(off_min), np.abs(off_kn)
    late, strong = off_min.argmax(), off_kn.argmax()
    told = (
        f"{len(rows)} events; 19 of 20 within {np.percentile(off_min, 95.0):.1f} min and "
        f"{np.percentile(off_kn, 95.0):.3f} kn; worst {off_min[late]:.1f} min at "
        f"{label[late]}, {off_kn[strong]:.3f} kn at {label[strong]}"
    )
    assert np.percentile(off_min, 95.0) <= 5.0, told
    assert np.percentile(off_kn, 95.0) <= 0.05, told
    return told


@pytest.mark.parametrize("station", WITH_EVENTS)
def test_the_seasons_maxima_and_slacks_are_the_agencys(at_station, station):
    hold_to_the_aim(differences(station, at_station(station)))


def test_the_seasons_maxima_and_slacks_are_the_agencys_at_all_stations_together(at_station):
    rows = [row for name in WITH_EVENTS for row in differences(name, at_station(name))]
    assert len(rows) >= 250
    # Found: 3.8 min and 0.044 kn for 19 of 20 events, their rounding included. The worst are
    # 16 min at PUG1744, on an ebb that stays near its strongest for two hours, and 0.051 kn at
    # PUG1702.
    hold_to_the_aim(rows)


@pytest.mark.parametrize("station", WITH_EVENTS)
def test_the_fastest_stream_of_a_date_and_its_clock_are_the_agencys(at_station, station):
    loaded = at_station(station)
    days = days_of(station)[1:-1]  # the events reach over these days' ends
    at_s, speed_kn = printed(station)
    for day, found in zip(days, streams_of(loaded, days).dates, strict=True):
        start, course = lunar_day(loaded, day)
        window = start.timestamp() + course.at_s[[0, -1]]
        inside = (at_s >= window[0]) & (at_s <= window[1])
        ours_kn = found.stream_mps / KNOT_MPS
        # Nothing printed is faster, but for its rounding to 0.1 kn.
        assert np.abs(speed_kn[inside]).max() <= ours_kn + 0.06, f"{station} {day}"
        off_min = np.abs(at_s - found.stream_at.timestamp()) / 60.0
        near = off_min.argmin()
        # At an end of the window the fastest is no turn.
        edge = min(abs(window - found.stream_at.timestamp())) < 120.0
        assert edge or off_min[near] <= 20.0, f"{station} {day}: {off_min[near]:.1f} min"
        assert edge or abs(abs(speed_kn[near]) - ours_kn) <= 0.06, f"{station} {day}"


# Mean new moon and synodic month (Meeus, Astronomical Algorithms ch. 49, from memory): the
# constituents follow the mean moon, so the true phases' 14 h to and fro do not come in.
NEW_MOON = datetime(2000, 1, 6, 14, 20, tzinfo=UTC)
HALF_MONTH_DAYS = 0.5 * 29.530589


def test_springs_follow_new_and_full_moon_at_a_station_of_the_great_tides_alone(
    plain_day, load_raw
):
    # M2 and S2 in phase at every syzygy: phase lags alike, so that springs have no age.
    day = plain_day()
    day["stream"] = {
        "flood_toward": "0 deg",
        "ebb_toward": "180 deg",
        "constituent": [
            {"name": "M2", "amplitude": "2 kn", "phase": "100 deg"},
            {"name": "S2", "amplitude": "1 kn", "phase": "100 deg"},
        ],
    }
    day["leg"] = [{"name": "the mark", "do": "hold", "start": "12:00", "for": "10 min"}]
    days = [date(2026, 1, 1) + timedelta(days=number) for number in range(180)]
    dates = streams_of(load_raw(day), days).dates
    for one, found in zip(days, dates, strict=True):
        noon = datetime(one.year, one.month, one.day, 16, tzinfo=UTC)
        since = (noon - NEW_MOON).total_seconds() / 86400.0 % HALF_MONTH_DAYS
        from_syzygy = min(since, HALF_MONTH_DAYS - since)
        # |2 + e^ia| kn runs from 1 to 3: the upper third is a within 83.6 deg of a syzygy, 3.43
        # days; the lower one within 56.3 deg of a quarter, 2.31 days. Half a day more, because
        # the fastest tide of a lunar day is not at noon, and a little for the nodes.
        if found.tide == "spring":
            assert from_syzygy <= 3.43 + 0.6, one
        if found.tide == "neap":
            assert from_syzygy >= HALF_MONTH_DAYS / 2.0 - 2.31 - 0.6, one
    assert {one.tide for one in dates} == {"spring", "neap", ""}
