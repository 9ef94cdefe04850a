"""
Files on the stream. The samples under files/ are invented; their shape is the agency's
(column titles, keys and traps as read in stored samples of NOAA CO-OPS answers).
"""

import json
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from energysim.constants import KNOT_MPS
from energysim.errors import FileError, ScenarioError
from energysim.scenario.stream_files import read_constants_file, read_stream_file

FILES = Path(__file__).parent / "files"
NEW_YORK = ZoneInfo("America/New_York")


def written(folder: Path, text: str, name: str = "stream.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def the_problem(path: Path, timezone: ZoneInfo | None = NEW_YORK):
    with pytest.raises(ScenarioError) as caught:
        read_stream_file(path, timezone=timezone)
    return caught.value.problems[0]


def test_agency_event_table_gives_signed_speeds_in_utc():
    record = read_stream_file(FILES / "events_local.csv", timezone=NEW_YORK)
    assert record.kind == "events"
    assert record.times[0] == utc("2026-05-16 04:41")  # daylight time, four hours behind
    assert record.speed_mps[:3] == pytest.approx((-1.1 * KNOT_MPS, 0.0, 2.4 * KNOT_MPS))
    assert record.toward_deg is None
    assert record.flood_toward_deg is None
    assert record.notes == ()


def test_gmt_in_the_first_row_needs_no_zone_of_the_scenario():
    record = read_stream_file(FILES / "events_gmt.csv", timezone=None)
    assert record.times[0] == utc("2026-05-16 00:41")
    assert record == read_stream_file(FILES / "events_gmt.csv", timezone=NEW_YORK)


def test_event_json_accepts_any_order_of_events_and_keeps_the_sets():
    record = read_stream_file(FILES / "events.json", timezone=NEW_YORK)
    knots = [speed / KNOT_MPS for speed in record.speed_mps]
    assert knots == pytest.approx([2.14, 0.0, 0.0, -1.23, -0.30, -2.62])
    assert (record.flood_toward_deg, record.ebb_toward_deg) == (12.0, 201.0)
    assert record.times[0] == utc("2026-05-16 04:56")


def test_metric_currents_are_centimetres_a_second():
    record = read_stream_file(FILES / "series_signed.json", timezone=ZoneInfo("UTC"))
    assert record.kind == "series"
    assert record.speed_mps == pytest.approx((1.015, 0.602, -0.04, -0.551))
    assert record.toward_deg is None


def test_series_with_a_set_in_each_row_keeps_it():
    record = read_stream_file(FILES / "series_set.json", timezone=ZoneInfo("UTC"))
    assert record.toward_deg == (50.0, 75.0, 110.0)
    assert record.speed_mps[0] == pytest.approx(0.949 * KNOT_MPS)


def test_own_table_is_read_with_its_units_and_comments():
    record = read_stream_file(FILES / "series_own.csv", timezone=None)
    assert record.times[0] == utc("2026-05-16 06:00")
    assert record.toward_deg == (180.0, 185.0, 190.0)
    assert record.speed_mps[2] == pytest.approx(1.6 * KNOT_MPS)


def test_own_table_may_use_other_units_and_signed_speeds(tmp_path):
    path = written(
        tmp_path,
        "time,speed [m/s]\n2026-05-16T06:00+02:00,0.5\n2026-05-16T06:30+02:00,-0.25\n",
    )
    record = read_stream_file(path, timezone=None)
    assert record.speed_mps == (0.5, -0.25)
    assert record.times[0] == utc("2026-05-16 04:00")


def test_byte_order_mark_blank_lines_and_windows_line_ends_do_no_harm(tmp_path):
    path = tmp_path / "bom.csv"
    text = (FILES / "events_gmt.csv").read_text(encoding="utf-8").replace("\n", "\r\n\r\n")
    path.write_bytes(b"\xef\xbb\xbf" + text.encode())
    assert read_stream_file(path, timezone=None) == read_stream_file(
        FILES / "events_gmt.csv", timezone=None
    )


def test_ebbs_typed_without_a_sign_count_as_ebbs(tmp_path):
    rows = "time [UTC],event,speed [kn]\n2026-05-16 03:00,slack,-\n2026-05-16 06:00,ebb,1.5\n"
    record = read_stream_file(written(tmp_path, rows), timezone=None)
    assert record.speed_mps == pytest.approx((0.0, -1.5 * KNOT_MPS))


def hourly(zone_mark: str, clocks: list[str], day: str) -> str:
    rows = "".join(f"{day} {clock},0.{i}\n" for i, clock in enumerate(clocks))
    return f"time [{zone_mark}],speed [kn]\n{rows}"


def test_hour_that_comes_twice_in_autumn_is_told_apart_by_order(tmp_path):
    # United States clocks went back on 2026-11-01 at 02:00 (IANA time zone database).
    clocks = ["00:00", "00:30", "01:00", "01:30", "01:00", "01:30", "02:00"]
    path = written(tmp_path, hourly("LST_LDT", clocks, "2026-11-01"))
    times = read_stream_file(path, timezone=NEW_YORK).times
    assert times[0] == utc("2026-11-01 04:00")
    steps = {later - earlier for earlier, later in pairwise(times)}
    assert steps == {timedelta(minutes=30)}


def test_single_event_in_the_doubled_hour_is_taken_first_and_told(tmp_path):
    path = written(
        tmp_path,
        "Date_Time (LST_LDT), Event, Speed (knots)\n2026-10-31 22:00, slack,-\n"
        "2026-11-01 01:27, ebb,-0.9\n2026-11-01 03:38, slack,-\n",
    )
    record = read_stream_file(path, timezone=NEW_YORK)
    assert record.times[1] == utc("2026-11-01 05:27")
    assert record.times[2] == utc("2026-11-01 08:38")
    assert "2026-11-01 01:27 came twice" in record.notes[0]


def test_standard_time_files_keep_to_it_in_summer(tmp_path):
    path = written(tmp_path, hourly("LST", ["06:00", "07:00"], "2026-07-01"))
    assert read_stream_file(path, timezone=NEW_YORK).times[0] == utc("2026-07-01 11:00")


def test_hour_skipped_in_spring_is_an_error_that_suggests_standard_time(tmp_path):
    path = written(tmp_path, hourly("LST_LDT", ["01:00", "02:00", "03:00"], "2026-03-08"))
    problem = the_problem(path)
    assert problem.line == 3
    assert "did not exist" in problem.reason
    assert "standard time" in problem.hint


def test_bare_times_without_any_zone_are_an_error():
    problem = the_problem(FILES / "events_local.csv", timezone=None)
    assert problem.line == 2
    assert "no zone" in problem.reason
    assert "day.timezone" in problem.hint


def test_prose_after_good_rows_is_an_error_with_its_line(tmp_path):
    text = (FILES / "events_gmt.csv").read_text(encoding="utf-8")
    problem = the_problem(written(tmp_path, text + "Error: no more data for this station\n"))
    assert problem.line == 11
    assert "the row has 1 cells" in problem.reason


def test_every_bad_row_is_told_at_once(tmp_path):
    rows = "time [UTC],speed [kn]\n2026-05-16 06:00,fast\nnoon,1\n2026-05-16 08:00,nan\n"
    with pytest.raises(ScenarioError) as caught:
        read_stream_file(written(tmp_path, rows), timezone=None)
    assert [problem.line for problem in caught.value.problems] == [2, 3, 4]


def test_gap_in_a_series_names_both_times_and_the_line(tmp_path):
    path = written(tmp_path, hourly("UTC", ["06:00", "07:00", "08:00", "10:00"], "2026-05-16"))
    problem = the_problem(path)
    assert problem.line == 5
    assert problem.value == "2026-05-16 08:00 to 2026-05-16 10:00"
    assert "a gap of 2 h" in problem.reason


def test_day_missing_from_a_list_of_events_is_a_gap(tmp_path):
    rows = (FILES / "events_gmt.csv").read_text(encoding="utf-8").splitlines()
    text = "\n".join([*rows, "2026-05-18 02:30, ebb,-1.0"])
    assert "tidal day" in the_problem(written(tmp_path, text)).reason


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("time,speed\n2026-05-16 06:00,1\n", "the speed has no unit"),
        ("time,speed [kg]\n2026-05-16 06:00,1\n", "kg"),
        ("time,toward [deg]\n2026-05-16 06:00,1\n", "no column for speed"),
        ("time,speed [kn],from\n", "runs toward"),
        ("time,speed [kn],toward [magnetic]\n", "true north"),
        ("Date Time, Prediction\n2026-05-16 06:00,1.2\n", "table of heights"),
        ("time [PST],speed [kn]\n", "'PST' is not a mark"),
        ("time,event,speed [kn],toward [deg]\n", "no set in each row"),
        ("time,speed [kn],speed [kn]\n", "two columns are a speed"),
        ("", "empty"),
        ("time [UTC],speed [kn]\n2026-05-16 06:00,1\n", "1 usable rows"),
        ("time [UTC],speed [kn]\n2026-05-16,1\n", "not a date and time"),
        (
            "time [UTC],speed [kn]\n2026-05-16 07:00,1\n2026-05-16 06:00,1\n",
            "does not come after",
        ),
        (
            "time [UTC],speed [kn]\n2026-05-16 07:00,1\n2026-05-16 07:00,1\n",
            "does not come after",
        ),
        ("time [UTC],event,speed [kn]\n2026-05-16 07:00,high,1\n", "slack, flood or ebb"),
        ("time [UTC],event,speed [kn]\n2026-05-16 07:00,ebb,-\n", "not a number"),
        ("time [UTC],speed [kn],toward [deg]\n2026-05-16 07:00,-1,9\n", "zero or more"),
        ("<!DOCTYPE html><p>sign in", "web page"),
    ],
)
def test_faults_of_a_table_are_told_in_plain_words(tmp_path, text, said):
    problem = the_problem(written(tmp_path, text))
    assert said in f"{problem.value} {problem.reason}"


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ('{"current_predictions": {"units": "feet, knots", "cp": [', "not whole JSON"),
        ("[1, 2]", "bare list"),
        ('{"error": {"message": "No data was found."}}', "answered with an error"),
        ('{"predictions": [{"t": "2026-05-16 03:30", "v": "0.8"}]}', "tide heights"),
        ('{"HarmonicConstituents": []}', "harmonic constants"),
        ('{"current_predictions": {"units": "feet, knots", "cp": []}}', "no predictions"),
        (
            '{"current_predictions": {"cp": [{"Time": "2026-05-16 03:30", "Speed": "1"}]}}',
            "no unit of speed",
        ),
    ],
)
def test_faults_of_an_answer_are_told_in_plain_words(tmp_path, answer, said):
    assert said in the_problem(written(tmp_path, answer, "answer.json")).reason


def changed(name: str, row: int, **changes: object) -> str:
    answer = json.loads((FILES / name).read_text(encoding="utf-8"))
    answer["current_predictions"]["cp"][row].update(changes)
    return json.dumps(answer)


@pytest.mark.parametrize(
    ("name", "row", "change", "said"),
    [
        ("events.json", 2, {"Velocity_Major": 9, "Type": "high"}, "slack, flood or ebb"),
        ("events.json", 3, {"Velocity_Major": "fast"}, "not a number"),
        ("events.json", 0, {"meanFloodDir": 90}, "mixes places or depths"),
        ("series_set.json", 1, {"Type": "ebb"}, "without a Velocity_Major"),
        ("series_set.json", 1, {"Velocity_Major": 0.5}, "another kind"),
        ("series_set.json", 1, {"Direction": None}, "not a number"),
        ("series_set.json", 1, {"Time": "soon"}, "not a date and time"),
    ],
)
def test_faults_of_a_row_name_it(tmp_path, name, row, change, said):
    path = written(tmp_path, changed(name, row, **change), "answer.json")
    problem = the_problem(path)
    assert said in problem.reason
    if "mixes" not in said:
        assert problem.path.startswith(f"current_predictions.cp[{row + 1}]")


def test_constants_are_in_metres_a_second_without_tides_of_no_size():
    constants = read_constants_file(FILES / "constants.json")
    assert constants.name == ("M2", "S2")
    assert constants.amplitude_mps == pytest.approx((1.842 * KNOT_MPS, 0.401 * KNOT_MPS))
    assert constants.phase_lag_deg == (233.1, 251.0)
    assert constants.flood_toward_deg == 312.0
    assert constants.mean_mps == pytest.approx(-0.111 * KNOT_MPS)
    assert constants.minor_amplitude_mps == pytest.approx((0.05 * KNOT_MPS, 0.01 * KNOT_MPS))
    assert constants.minor_mean_mps == pytest.approx(0.02 * KNOT_MPS)


def altered(tmp_path: Path, **changes: object) -> Path:
    answer = json.loads((FILES / "constants.json").read_text(encoding="utf-8"))
    for key, value in changes.items():
        if key == "units":
            answer["units"] = value
        else:
            for row in answer["HarmonicConstituents"]:
                row[key] = value
    return written(tmp_path, json.dumps(answer), "constants.json")


@pytest.mark.parametrize(("units", "factor"), [("cm/s", 0.01), ("metric", 0.01)])
def test_constants_follow_the_units_they_name(tmp_path, units, factor):
    constants = read_constants_file(altered(tmp_path, units=units))
    assert constants.amplitude_mps[0] == pytest.approx(1.842 * factor)


def test_reversing_stream_has_no_minor_axis(tmp_path):
    path = altered(tmp_path, minorAmplitude="0", minorMeanSpeed=0)
    assert read_constants_file(path).minor_amplitude_mps is None


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"units": "furlongs"}, "no unit of speed"),
        ({"azi": None}, "missing"),
        ({"constituentName": ""}, "constituentName"),
        ({"majorPhaseGMT": "late"}, "not a number"),
    ],
)
def test_faults_of_constants_are_told(tmp_path, changes, said):
    with pytest.raises(ScenarioError, match=said):
        read_constants_file(altered(tmp_path, **changes))


def test_constants_of_several_depths_are_refused(tmp_path):
    answer = json.loads((FILES / "constants.json").read_text(encoding="utf-8"))
    answer["HarmonicConstituents"][1]["binNbr"] = 9
    with pytest.raises(ScenarioError, match="binnbr differs"):
        read_constants_file(written(tmp_path, json.dumps(answer), "c.json"))


def test_constants_of_water_level_are_refused(tmp_path):
    text = '{"units": "feet", "HarmonicConstituents": [{"name": "M2", "amplitude": 1.6}]}'
    with pytest.raises(ScenarioError, match="not the constants of a current"):
        read_constants_file(written(tmp_path, text, "c.json"))


def test_unreadable_files_are_named(tmp_path):
    with pytest.raises(FileError, match="no such file"):
        read_stream_file(tmp_path / "none.csv", timezone=None)
    with pytest.raises(FileError, match="folder"):
        read_stream_file(tmp_path, timezone=None)
    binary = tmp_path / "binary.csv"
    binary.write_bytes(b"\xff\xfe\x00\x80")
    with pytest.raises(FileError, match="UTF-8"):
        read_stream_file(binary, timezone=None)
