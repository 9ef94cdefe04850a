"""The plan on every date: what springs cost, what is refused, one answer in three shapes."""

import csv
import io
import json
from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from energysim.errors import ScenarioError
from energysim.odds import run_odds, table
from energysim.report.document import document_text
from energysim.report.fleet import (
    boat_line,
    fleet_csv,
    fleet_csv_head,
    fleet_document,
    fleet_page,
)
from energysim.report.season import season_csv, season_document, season_page
from energysim.scenario.whatif import changed
from energysim.scenario.wind_climate import ClimateRow, WindClimate, read_climate_file
from energysim.season import run_fleet, run_season
from energysim.season.boat import Question, made_ready

# Invented: the two great tides alone, springs three times the neaps, 14.77 days apart.
CONSTITUENTS = [
    {"name": "M2", "amplitude": "2.4 kn", "phase": "40 deg"},
    {"name": "S2", "amplitude": "1.2 kn", "phase": "75 deg"},
]
STREAM = {"flood_toward": "45 deg", "ebb_toward": "225 deg", "constituent": CONSTITUENTS}
# All through a tide, so that no date is spared the strength of it.
LEGS = [{"name": "the mark", "do": "hold", "start": "06:00", "for": "7 h"}]
FIRST, LAST = date(2026, 5, 10), date(2026, 5, 25)
STEADY = WindClimate((ClimateRow(5, 225.0, 5.0, 1.0),), None)


@pytest.fixture(scope="module")
def tidal(plain_day, load_raw):
    """A held tide, loaded, with tables changed."""

    def loaded(**tables):
        day = plain_day()
        day["day"]["step"] = "600 s"
        bank = {"battery": "31-agm", "parallel": 2}
        raw = day | {"stream": STREAM, "leg": LEGS, "bank": bank} | tables
        return load_raw({key: value for key, value in raw.items() if value is not None})

    return loaded


@pytest.fixture(scope="module")
def fortnight(tidal):
    """Springs and neaps at one wind."""
    return run_season(tidal(), first=FIRST, last=LAST, climate=STEADY, members=16, seed=4)


def test_springs_are_harder_than_neaps_at_equal_wind(fortnight):
    by_tide = {
        tide: [one.odds for one in fortnight.dates if one.tide == tide]
        for tide in ("spring", "neap")
    }
    assert min(len(some) for some in by_tide.values()) >= 3
    spring, neap = (
        np.array([[o.whole_plan.chance, o.end_soc.p50, o.planned_end_soc] for o in some])
        for some in by_tide.values()
    )
    assert (spring.mean(axis=0) < neap.mean(axis=0) - 0.05).all()
    assert spring[:, 1:].max() < neap[:, 1:].min()
    assert len({one.odds.wind_mps for one in fortnight.dates}) == 1


def test_the_fastest_day_is_where_both_tides_run_together(fortnight):
    stream = np.array([one.stream_mps for one in fortnight.dates])
    knots = stream * 3600.0 / 1852.0
    # Node factors of M2 stay within 4 % (Schureman, from memory); S2 has none.
    assert knots.max() == pytest.approx(2.4 + 1.2, rel=0.04)
    # Before an hour's change of phase the weakest day still has a little above the difference.
    assert knots.min() == pytest.approx(2.4 - 1.2, abs=0.2)
    # Half the 14.765 days from spring to spring lies between fastest and slowest.
    assert abs(int(np.argmax(stream)) - int(np.argmin(stream))) in {7, 8}


def test_the_clock_of_the_fastest_stream_is_within_a_lunar_day_of_the_plan(fortnight):
    for one in fortnight.dates:
        middle = one.odds.start + (one.odds.end - one.odds.start) / 2
        assert abs((one.stream_at - middle).total_seconds()) <= 12.43 * 3600.0


def test_a_start_that_is_tried_is_never_worse_than_the_planned_one(fortnight):
    order = ["holds", "short", "deep", "empty"]
    for one in fortnight.dates:
        odds = one.odds
        worse = order.index(odds.best_outcome) - order.index(odds.planned_outcome)
        assert worse <= 0
        if worse == 0 and odds.planned_off_station_s == 0.0:
            assert odds.best_end_soc >= odds.planned_end_soc - 0.01
        shift_s = (odds.best_start - odds.start).total_seconds()
        assert shift_s in fortnight.tried_starts_s


@pytest.mark.parametrize(
    ("stream", "key"),
    [
        pytest.param(
            {
                "flood_toward": "45 deg",
                "ebb_toward": "225 deg",
                "event": [
                    {"at": "04:50", "kind": "slack"},
                    {"at": "08:02", "kind": "flood", "speed": "1.6 kn"},
                    {"at": "14:20", "kind": "slack"},
                ],
            },
            "stream.event",
            id="a printed table",
        ),
        pytest.param(
            {
                "point": [
                    {"at": "05:00", "speed": "1 kn", "toward": "45 deg"},
                    {"at": "15:00", "speed": "1 kn", "toward": "45 deg"},
                ]
            },
            "stream.point",
            id="a series",
        ),
        pytest.param({"file": "currents.csv"}, "stream.file", id="a file of predictions"),
    ],
)
def test_a_stream_of_its_own_dates_is_refused_and_constants_are_asked_for(tidal, stream, key):
    with pytest.raises(ScenarioError, match="harmonic constants") as caught:
        run_season(tidal(stream=stream), first=FIRST, last=LAST)
    assert [problem.path for problem in caught.value.problems] == [key]


def test_a_forecast_in_a_file_needs_a_climate_beside_it(tidal):
    with pytest.raises(ScenarioError, match="--climate"):
        run_season(tidal(wind={"file": "wind.csv"}), first=FIRST, last=LAST)


def test_a_leg_with_a_date_a_month_without_wind_and_a_season_backwards_are_refused(tidal):
    dated = [LEGS[0] | {"start": "2026-05-16 06:00"}]
    with pytest.raises(ScenarioError, match="has a date of its own"):
        run_season(tidal(leg=dated), first=FIRST, last=LAST)
    with pytest.raises(ScenarioError, match="no wind for June"):
        run_season(tidal(), first=FIRST, last=date(2026, 6, 1), climate=STEADY)
    with pytest.raises(ScenarioError, match="is not within"):
        run_season(tidal(), first=LAST, last=FIRST)


def test_without_a_tide_there_are_no_springs(tidal):
    for stream in (None, {"speed": "1 kn", "toward": "45 deg"}):
        season = run_season(tidal(stream=stream), first=FIRST, last=FIRST, members=2)
        assert season.dates[0].tide == ""
        assert season.wind == "own"


def test_a_date_the_clock_does_not_have_is_told_and_the_others_stand(tidal):
    # The clocks go forward over 02:30 in New York on 8 March 2026.
    night = tidal(leg=[LEGS[0] | {"start": "02:30", "for": "30 min"}])
    season = run_season(night, first=date(2026, 3, 7), last=date(2026, 3, 8), members=2)
    assert [one.odds is None for one in season.dates] == [False, True]
    assert "clocks go forward" in season.dates[1].skipped


def test_the_same_seed_gives_the_same_season_whoever_works_and_a_date_stands_alone(tidal):
    gusty = WindClimate(tuple(ClimateRow(5, 225.0, 2.0 + i, 0.125) for i in range(8)), None)
    first, last = date(2026, 5, 17), date(2026, 5, 18)
    asked = {"climate": gusty, "members": 24, "seed": 4}
    one = run_season(tidal(), first=first, last=last, **asked)
    with ThreadPoolExecutor(2) as executor:
        two = run_season(tidal(), first=first, last=last, executor=executor, **asked)
    assert document_text(season_document(one)) == document_text(season_document(two))
    alone = run_season(tidal(), first=last, last=last, **asked)
    assert season_csv(alone).splitlines()[1] == season_csv(one).splitlines()[2]
    other = run_season(tidal(), first=last, last=last, **(asked | {"seed": 5}))
    assert season_csv(other) != season_csv(alone)


def test_more_members_than_one_block_each_have_a_wind_and_any_number_will_do(tidal):
    gusty = WindClimate(tuple(ClimateRow(5, 225.0, 2.0 + i, 0.125) for i in range(8)), None)
    short = tidal(leg=[LEGS[0] | {"for": "20 min"}])
    asked = {"first": FIRST, "last": FIRST, "climate": gusty, "seed": 4}
    many = run_season(short, members=300, **asked)
    (one,) = many.dates
    assert many.members == 300
    # Every wind has its eighth of both blocks to within one member: 256 is a multiple of 8.
    assert one.odds.wind_mps == pytest.approx(5.5, abs=7.0 * 8 / 300)
    with pytest.raises(ValueError, match="members"):
        run_season(short, members=0, **asked)


def test_a_date_without_a_climate_has_the_odds_of_that_day(tidal):
    short = tidal(leg=[LEGS[0] | {"for": "20 min"}])
    (one,) = run_season(short, first=FIRST, last=FIRST, members=300, seed=4).dates
    odds = run_odds(changed(short, {"day.date": FIRST.isoformat()}), members=300, seed=4)
    assert one.odds.whole_plan.chance == odds.whole_plan.chance
    for percent in ("p10", "p50", "p90"):
        there = getattr(one.odds.end_soc, percent)
        assert there == pytest.approx(getattr(odds.end_soc, percent), rel=1e-9)
    assert one.odds.planned_end_soc == pytest.approx(odds.planned_end_soc, rel=1e-9)


def test_one_table_is_made_for_all_dates_where_it_pays_and_holds_the_fastest_of_them(
    tidal, monkeypatch
):
    # That days read from a table end where the laws end them is shown in tests/odds.
    made = []
    monkeypatch.setattr(
        table, "hold_table", lambda _boat, **given: made.append(given["most_stream_mps"])
    )
    days = tuple(FIRST + timedelta(days=number) for number in range(16))
    boat = tidal(leg=[LEGS[0] | {"stream_scale": 1.5}], uncertainty={"stream_strength": 0.1})
    made_ready(Question(days, None, 1, 4), boat)
    assert made == []
    made_ready(Question(days, None, 2000, 4), boat)
    (most,) = made
    # Springs of 3.6 kn at this spot, half as fast again, and the strongest draw: e^(4 x 0.1).
    springs_mps = 3.6 * 1852.0 / 3600.0
    assert most > 1.5 * 0.96 * springs_mps * np.exp(0.4)
    assert most < 1.5 * 1.04 * 1.01 * springs_mps * np.exp(0.4) + 2.0


def test_the_seasons_of_many_boats_are_those_of_each_alone(tidal):
    boats = [tidal(wind={"speed": speed, "from": "SW"}) for speed in ("8 kn", "14 kn")]
    asked = {"first": FIRST, "last": date(2026, 5, 11), "members": 4, "seed": 4}
    with ThreadPoolExecutor(2) as executor:
        fleet = list(run_fleet(boats, executor=executor, **asked))
    for boat, season in zip(boats, fleet, strict=True):
        alone = document_text(season_document(run_season(boat, **asked)))
        assert document_text(season_document(season)) == alone
    rows = list(csv.DictReader(io.StringIO(fleet_csv_head() + fleet_csv("a.toml", fleet[1]))))
    assert [row.pop("file") for row in rows] == ["a.toml"] * 2
    assert rows == list(csv.DictReader(io.StringIO(season_csv(fleet[1]))))
    out = io.StringIO()
    lines = [boat_line(f"{name}.toml", one) for name, one in zip("ab", fleet, strict=True)]
    Console(file=out, width=80).print(fleet_page(lines, fleet[0]))
    for line in lines:
        assert f"{line.good} of 2" in out.getvalue()
    document = fleet_document(zip("ab", fleet, strict=True))
    assert [one["file"] for one in document["boats"]] == ["a", "b"]


def test_what_is_wrong_with_many_boats_is_told_at_once(tidal):
    dated = tidal(leg=[LEGS[0] | {"start": "2026-05-16 06:00"}])
    with pytest.raises(ScenarioError) as caught:
        next(run_fleet([dated, tidal(), dated], first=FIRST, last=LAST))
    assert len(caught.value.problems) == 2


def test_the_table_the_document_and_the_csv_say_the_same(fortnight):
    document = json.loads(document_text(season_document(fortnight)))
    assert document["schema"] == 1
    rows = list(csv.DictReader(io.StringIO(season_csv(fortnight))))
    out = io.StringIO()
    Console(file=out, width=80, color_system=None).print(
        season_page(fortnight, system="metric")
    )
    lines = out.getvalue().splitlines()
    assert max(map(len, lines)) <= 80
    assert len(rows) == len(document["dates"]) == 16
    for row, one in zip(rows, document["dates"], strict=True):
        odds = one["odds"]
        assert row["date"] == one["date"]
        assert row["tide"] == one["tide"]
        assert float(row["whole_plan [1]"]) == odds["whole_plan"]["chance"]
        assert float(row["end_soc_p50 [1]"]) == odds["end_soc"]["p50"]
        assert float(row["stream [m/s]"]) == one["stream_mps"]
        assert row["stream_at"] == one["stream_at"]
        day = date.fromisoformat(one["date"])
        (line,) = [text for text in lines if text.startswith(f"{day.day:2d} {day:%a}")]
        sign = {"spring": "S", "neap": "n"}.get(one["tide"])
        assert (line.split()[2] == sign) if sign else line.split()[2] not in {"S", "n"}
        chance = odds["whole_plan"]["chance"]
        plain = "++" if chance >= 0.9 else "+" if chance >= 0.6 else "-"
        assert f" {100 * chance:.0f}  {plain} " in line
        assert f"{odds['end_soc']['p50']:.0%}" in line
        assert f"{odds['planned_end_soc']:.0%}" in line


def test_the_invented_headland_has_a_climate_of_whole_months():
    path = Path(__file__).parents[2] / "scenarios/headland/wind_climate.csv"
    climate = read_climate_file(path, timezone=None)
    assert {row.month for row in climate.rows} == set(range(1, 13))
