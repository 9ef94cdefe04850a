"""
Reading a log: clocks, units and gaps, and every slip at once with its place.

What a clock time means in UTC is told by the standard library's zones; unit factors are exact
by definition.
"""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from numpy.testing import assert_allclose

from energysim.errors import FileError, ScenarioError
from energysim.learn import read_log

ZONE = ZoneInfo("America/New_York")
DAY = date(2026, 5, 16)
START = datetime(2026, 5, 16, 6, 0, tzinfo=ZONE)  # 10:00 in UTC


@pytest.fixture
def read(tmp_path):
    """Read a text as a log of that day."""

    def call(text, *, start=START, day=DAY, encoding="utf-8"):
        path = tmp_path / "log.csv"
        path.write_bytes(text.encode(encoding))
        return read_log(path, start=start, day=day, timezone=ZONE)

    return call


CLOCKS = {
    "local": ("time", "2026-05-16 06:10:30"),
    "local-with-a-t": ("time", "2026-05-16T06:10:30"),
    "offset": ("time", "2026-05-16T11:10:30+01:00"),
    "zulu": ("time", "2026-05-16T10:10:30Z"),
    "utc-column": ("time [UTC]", "2026-05-16 10:10:30"),
    "another-zone": ("clock [Europe/London]", "2026-05-16 11:10:30"),
    "standard-time": ("time [LST]", "2026-05-16 05:10:30"),
    "clock-only": ("clock", "6:10:30"),
    "clock-only-in-utc": ("clock [UTC]", "10:10:30"),
    "unix": ("unix", "1778926230"),
    "elapsed-s": ("elapsed [s]", "630"),
    "elapsed-min": ("elapsed [min]", "10.5"),
}


@pytest.mark.parametrize(("title", "text"), CLOCKS.values(), ids=CLOCKS)
def test_the_same_moment_is_read_from_any_clock(read, title, text):
    log = read(f"{title},current [A]\n{text},12.5\n")
    assert_allclose(log.at_s, [630.0])
    assert_allclose(log.current_a, [12.5])


UNITS = {
    "milliamperes": ("current [mA]", "12500", "current_a", 12.5),
    "millivolts": ("voltage [mV]", "25400", "voltage_v", 25.4),
    "percent": ("state of charge [%]", "83", "soc", 0.83),
    "share": ("SOC [1]", "0.83", "soc", 0.83),
    "knots": ("speed [kn]", "1.5", "speed_mps", 1.5 * 1852 / 3600),
    "miles-an-hour": ("speed [mph]", "10", "speed_mps", 4.4704),
    "metres-a-second": ("sog [m/s]", "0.4", "speed_mps", 0.4),
    "block": ("block voltage [V]", "12.6", "voltage_v", 12.6),
    "km-an-hour": ("SOG [km/h]", "3.6", "speed_mps", 1.0),
    "course": ("COG", "214", "course_deg", 214.0),
    "round-brackets": ("amps (A)", "9", "current_a", 9.0),
}


@pytest.mark.parametrize(("title", "text", "name", "value"), UNITS.values(), ids=UNITS)
def test_readings_come_in_the_units_of_their_titles(read, title, text, name, value):
    beside = "soc [1]" if name != "soc" else "current [A]"
    log = read(f"elapsed [s],{title},{beside}\n60,{text},1\n")
    assert_allclose(getattr(log, name), [value])


def test_semicolons_and_decimal_commas_are_read(read):
    log = read("time;current [A];voltage [V]\n06:10:00;12,5;25,40\n")
    assert_allclose((log.current_a[0], log.voltage_v[0]), (12.5, 25.4))


def test_cells_without_a_reading_are_gaps(read):
    log = read("elapsed [s],current [A],voltage [V]\n0,1,\n60,-,25\n120,n/a,25\n180,4,25\n")
    assert np.isnan(log.current_a).tolist() == [False, True, True, False]
    assert np.isnan(log.voltage_v).tolist() == [True, False, False, False]


def test_comments_blank_lines_and_other_columns_are_passed_over_and_said(read):
    log = read("# a logger\n\nelapsed [s],current [A],hatch temperature [degC]\n\n0,1,20\n")
    assert log.at_s.size == 1
    assert log.notes == ("columns passed over: hatch temperature [degC]",)


def test_a_clock_without_a_date_passes_midnight(read):
    late = datetime(2026, 5, 16, 22, 0, tzinfo=ZONE)
    log = read("clock,current [A]\n23:30,1\n00:30,1\n01:00,1\n", start=late)
    assert_allclose(log.at_s, [5400.0, 9000.0, 10800.0])


def test_a_log_that_begins_after_midnight_of_a_night_plan_is_placed_there(read):
    late = datetime(2026, 5, 16, 22, 0, tzinfo=ZONE)
    assert_allclose(read("clock,current [A]\n00:30,1\n", start=late).at_s, [9000.0])


def test_the_hour_that_comes_twice_is_told_by_the_order_of_rows(read):
    # Clocks go back at 02:00 on 1 November 2026 in New York.
    start = datetime(2026, 11, 1, 0, 30, tzinfo=ZONE)
    text = "time,current [A]\n" + "".join(
        f"2026-11-01 {clock},1\n" for clock in ("00:30", "01:30", "01:30", "02:30")
    )
    seconds = read(text, start=start, day=date(2026, 11, 1)).at_s
    assert_allclose(seconds[[0, 1, 3]], [0.0, 3600.0, 10800.0])
    with_minutes = "time,current [A]\n2026-11-01 01:40,1\n2026-11-01 01:10,1\n"
    assert_allclose(np.diff(read(with_minutes, start=start).at_s), [1800.0])


def test_a_reading_that_never_changes_is_not_used_and_said(read):
    rows = "".join(f"{60 * n},{n % 7},25.0\n" for n in range(30))
    log = read("elapsed [s],current [A],voltage [V]\n" + rows)
    assert log.voltage_v is None
    assert log.notes == ("voltage [V] not used: it never changes",)
    with pytest.raises(ScenarioError, match=r"is the same in all 30 rows \(was the shunt"):
        read("elapsed [s],current [A]\n" + "".join(f"{60 * n},3.5\n" for n in range(30)))


def test_columns_stand_in_any_order(read):
    log = read("voltage [V],current [A],clock\n25.4,7,06:10\n")
    assert_allclose((log.at_s[0], log.current_a[0], log.voltage_v[0]), (600.0, 7.0, 25.4))


def test_rows_at_the_same_second_are_taken(read):
    assert read("elapsed [s],current [A]\n60,1\n60,2\n").at_s.size == 2


WRONG = {
    "empty": ("", ["the file is empty", "time,current [A]"]),
    "no-rows": ("time,current [A]\n", ["holds no rows"]),
    "no-clock": ("current [A]\n1\n", ["no column is a clock"]),
    "no-reading": ("time,speed [kn]\n06:00,1\n", ["no column gives amperes, volts or state"]),
    "no-unit": ("time,current\n06:00,1\n", ["'current'", "has no unit", "write 'current [A]'"]),
    "unit-of-another-kind": ("time,current [V]\n06:00,1\n", ["'V' is a voltage"]),
    "unknown-unit": ("time,current [amperage]\n06:00,1\n", ["'amperage'", "electric current"]),
    "share-in-volts": ("time,soc [V]\n06:00,1\n", ["'V' is not a unit of a state of charge"]),
    "unknown-zone": ("time [Mars],current [A]\n06:00,1\n", ["'Mars' is not a time zone"]),
    "magnetic": ("time,current [A],course [deg M]\n06:00,1,2\n", ["magnetic", "true north"]),
    "two-clocks": ("time,unix,current [A]\n06:00,1,1\n", ["is a second clock"]),
    "column-twice": ("time,amps [A],current [A]\n06:00,1,1\n", ["second column of current"]),
    "word": ("time,current [A]\n06:00,12 A\n", [":2:", "'12 A'", "is not a number"]),
    "too-much": ("time,current [A]\n06:00,12500\n", ["is not believed", "-1000 to 1000"]),
    "share-above-one": ("time,soc [1]\n06:00,85\n", ["'85'", "0 to 1"]),
    "short-row": ("time,current [A]\n06:00\n", ["the row has 1 cells and the first row 2"]),
    "no-time": ("unix,current [A]\n,1\n", ["the row has no time"]),
    "date-alone": ("time,current [A]\n2026-05-16,1\n", ["is not a time"]),
    "backwards": ("time,current [A]\n06:10,1\n06:00,1\n", [":3:", "earlier than the row"]),
    "backwards-unix": ("unix,current [A]\n9,1\n5,1\n", [":3:", "earlier than the row"]),
    "skipped-hour": (
        "time,current [A]\n2026-03-08 02:30,1\n",
        ["did not exist: clocks went forward", "in UTC"],
    ),
}  # fmt: skip


@pytest.mark.parametrize(("text", "said"), WRONG.values(), ids=WRONG)
def test_a_log_that_cannot_be_read_says_where_and_why(read, text, said):
    with pytest.raises(ScenarioError) as caught:
        read(text)
    for words in said:
        assert words in str(caught.value)


def test_all_that_is_wrong_is_said_at_once(read):
    with pytest.raises(ScenarioError) as caught:
        read("time,current [A],voltage [V]\n06:00,x,25\nnoon,1,250\n06:05,1\n")
    lines = [(problem.line, problem.path) for problem in caught.value.problems]
    assert sorted(lines) == [(2, "current [A]"), (3, "time"), (3, "voltage [V]"), (4, "row")]


def test_a_thousand_rows_wrong_alike_are_counted(read):
    with pytest.raises(ScenarioError) as caught:
        read("elapsed [s],current [A]\n" + "".join(f"{n},x\n" for n in range(1000)))
    assert len(caught.value.problems) == 21
    assert "980 more rows: is not a number" in str(caught.value.problems[-1])


@pytest.mark.parametrize(
    ("encoding", "said"),
    [("utf-16", "UTF-16"), ("latin-1", "UTF-8")],
    ids=["utf-16", "latin-1"],
)
def test_text_in_another_encoding_says_so(read, encoding, said):
    with pytest.raises(FileError, match=said):
        read("time,current [A]\n# caf\u00e9\n06:00,1\n", encoding=encoding)


def test_no_file_a_folder_and_bytes_say_so(tmp_path):
    about = {"start": START, "day": DAY, "timezone": ZONE}
    with pytest.raises(FileError, match="there is no such file"):
        read_log(tmp_path / "none.csv", **about)
    with pytest.raises(FileError, match="is a folder"):
        read_log(tmp_path, **about)
    (tmp_path / "bytes.csv").write_bytes(b"time\0current")
    with pytest.raises(FileError, match="not a text file"):
        read_log(tmp_path / "bytes.csv", **about)
