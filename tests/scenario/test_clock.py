"""
Clock times.

Daylight saving in the United States since 2007: clocks go forward at 02:00 on the second Sunday
of March and back at 02:00 on the first Sunday of November (Energy Policy Act of 2005, section
110): 2026-03-08 and 2026-11-01.
"""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.errors import RefusedValueError
from energysim.scenario.clock import read_clock, resolve_clock, resolve_in_order

ZONE = ZoneInfo("America/New_York")
DAY = date(2026, 5, 16)
SPRING, AUTUMN = date(2026, 3, 8), date(2026, 11, 1)


def local(text):
    """An instant on New York's clock."""
    return datetime.fromisoformat(text).replace(tzinfo=ZONE)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        pytest.param("06:30", "06:30", id="plain"),
        pytest.param("6:30", "06:30", id="short-hour"),
        pytest.param("06:30:15", "06:30:15", id="seconds"),
        pytest.param("6:30 pm", "18:30", id="afternoon"),
        pytest.param("12:05 AM", "00:05", id="after-midnight"),
        pytest.param("12:05 p.m.", "12:05", id="after-noon"),
        pytest.param("01:30 next day", "01:30 next day", id="next-day"),
        pytest.param("2026-05-15 22:10", "2026-05-15 22:10", id="dated"),
        pytest.param(time(6, 30), "06:30", id="toml-time"),
        pytest.param(datetime(2026, 5, 15, 22, 10), "2026-05-15 22:10", id="toml-datetime"),  # noqa: DTZ001
    ],
)
def test_clocks_are_read_as_people_write_them(written, expected):
    assert str(read_clock(written)) == expected


@pytest.mark.parametrize(
    ("written", "message"),
    [
        pytest.param("25:00", "'25:00' does not exist", id="no-such-hour"),
        pytest.param("24:00", "write '00:00 next day'", id="midnight"),
        pytest.param("06:70", "does not exist", id="no-such-minute"),
        pytest.param("13:00 pm", "mixes a 24-hour clock", id="both-clocks"),
        pytest.param("half past six", "is not a time of day; write a time such as", id="words"),
        pytest.param("06.30", "is not a time of day", id="point"),
        pytest.param(630, "630 is not a time of day", id="number"),
        pytest.param("2026-02-30 06:30", "does not exist", id="no-such-date"),
        pytest.param(
            "2026-05-16 06:30 next day", "keep one of the two", id="date-and-next-day"
        ),
    ],
)
def test_what_is_no_clock_is_refused(written, message):
    with pytest.raises(RefusedValueError, match=message):
        read_clock(written)


@pytest.mark.parametrize(
    ("written", "after", "expected"),
    [
        pytest.param("06:30", None, "2026-05-16 06:30", id="on-the-day"),
        pytest.param("01:30 next day", None, "2026-05-17 01:30", id="next-day"),
        pytest.param("01:30", "2026-05-16 23:00", "2026-05-17 01:30", id="over-midnight"),
        pytest.param("06:30", "2026-05-16 06:30", "2026-05-16 06:30", id="at-once"),
        pytest.param("03:00", "2026-05-15 22:10", "2026-05-16 03:00", id="after-the-eve"),
        pytest.param("2026-05-15 22:10", None, "2026-05-15 22:10", id="the-eve"),
    ],
)
def test_a_clock_lands_on_the_first_day_that_keeps_the_order(written, after, expected):
    found = resolve_clock(written, DAY, ZONE, local(after) if after else None)
    assert found == local(expected)
    assert found.tzinfo is ZONE


def test_a_dated_clock_may_not_go_back():
    with pytest.raises(RefusedValueError, match="comes before 2026-05-16 08:00"):
        resolve_clock("2026-05-16 07:00", DAY, ZONE, local("2026-05-16 08:00"))


def test_an_hour_that_is_skipped_does_not_exist():
    with pytest.raises(RefusedValueError, match="02:30 does not exist on 2026-03-08"):
        resolve_clock("02:30", SPRING, ZONE)
    assert resolve_clock("03:00", SPRING, ZONE).astimezone(UTC).hour == 7


def test_an_hour_that_comes_twice_needs_telling():
    with pytest.raises(RefusedValueError, match="'01:30-04:00' for the first or '01:30-05:00'"):
        resolve_clock("01:30", AUTUMN, ZONE)


@pytest.mark.parametrize(("written", "hour"), [("01:30-04:00", 5), ("01:30-05:00", 6)])
def test_the_offset_tells_which_of_the_two(written, hour):
    assert resolve_clock(written, AUTUMN, ZONE).astimezone(UTC).hour == hour


def test_the_order_tells_which_of_the_two():
    clocks = [read_clock(text) for text in ("00:30", "01:50-04:00", "01:10", "02:20")]
    found = [instant.astimezone(UTC) for instant in resolve_in_order(clocks, AUTUMN, ZONE)]
    assert [instant.strftime("%H:%M") for instant in found] == [
        "04:30",
        "05:50",
        "06:10",
        "07:20",
    ]


@pytest.mark.parametrize(
    ("rows", "where", "message"),
    [
        pytest.param(["06:00", "06:00"], (1, "at"), "stands here twice", id="twice"),
        pytest.param(
            ["06:00", "09:00", "08:00"], (2, "at"), "earlier than 09:00", id="swapped"
        ),
        pytest.param(
            ["2026-05-16 06:00", "2026-05-15 06:00"], (1, "at"), "comes before", id="dates"
        ),
    ],
)
def test_a_list_that_does_not_go_forward_names_its_row(rows, where, message):
    with pytest.raises(RefusedValueError, match=message) as caught:
        resolve_in_order([read_clock(row) for row in rows], DAY, ZONE)
    assert caught.value.where == where


@given(st.lists(st.integers(1, 11 * 60 + 59), min_size=1, max_size=6))
@settings(max_examples=100, deadline=None)
def test_any_forward_list_of_clocks_in_short_steps_keeps_its_steps(steps_min):
    # UTC has no clock changes, so the elapsed minutes can be added up by hand.
    minutes = [0]
    for step in steps_min:
        minutes.append(minutes[-1] + step)
    clocks = [read_clock(f"{total // 60 % 24}:{total % 60:02d}") for total in minutes]
    found = resolve_in_order(clocks, DAY, UTC)
    assert [(instant - found[0]).total_seconds() / 60 for instant in found] == minutes
