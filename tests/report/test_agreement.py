"""One result, told four ways: page, text, JSON document and step table agree."""

import csv
import itertools
import json
import re

import pytest

from energysim.report.document import day_document, document_text, series_csv
from energysim.report.hours import EVERY_MIN, MOST_ROWS, hours_table
from energysim.report.text import day_page

from .conftest import day

NEWTONS_PER_POUND = 4.4482216152605  # exact: 0.45359237 kg x 9.80665 m/s2 (NIST SP 811)
METRES_PER_MILE = 1852.0  # exact: the international nautical mile (NIST SP 811)
MPS_PER_KNOT = METRES_PER_MILE / 3600.0


def number(text):
    """The first number of a text."""
    return float(re.search(r"[-+]?\d+(?:\.\d+)?", text)[0])


def tables(html):
    """Every table of a page as its caption's rows of cells."""
    found = []
    for table in re.findall(r"<table.*?</table>", html, re.DOTALL):
        rows = re.findall(r"<tr.*?</tr>", table, re.DOTALL)
        cells = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL) for row in rows]
        found.append([dict(zip(cells[0], row, strict=True)) for row in cells[1:]])
    return found


@pytest.fixture
def told(shipped, page):
    """One day on the page, as text, as JSON and as a step table."""
    result, _ = shipped
    html = page(result)
    changes, hours, legs = tables(html)
    return {
        "html": html,
        "changes": changes,
        "hours": hours,
        "legs": legs,
        "json": json.loads(document_text(day_document(result))),
        "csv": list(csv.DictReader(series_csv(result).splitlines())),
    }


def test_the_verdict_is_word_for_word_the_same(shipped, told):
    assert told["json"]["verdict"] in told["html"]
    pieces = day_page(shipped[0], system="us").renderables
    assert told["json"]["verdict"] in [str(getattr(p, "renderable", "")) for p in pieces]


def test_the_legs_of_the_page_are_those_of_the_document(told):
    legs = told["legs"]
    assert len(legs) == len(told["json"]["legs"]) + 1
    for row, leg in zip(legs, told["json"]["legs"], strict=False):
        assert leg["name"] in row["Leg"]
        assert row["Clock"] == f"{leg['start'][11:16]}-{leg['end'][11:16]}"
        assert number(row["Used"]) == pytest.approx(leg["charge_ah"], abs=0.0501)
        assert number(row["Left"]) == pytest.approx(100.0 * leg["soc_after"], abs=0.501)
        if row["Thrust"]:
            pounds, share = re.match(r"(\d+) lbf (\d+)%", row["Thrust"]).groups()
            assert float(pounds) * NEWTONS_PER_POUND == pytest.approx(
                leg["mean_thrust_n"], abs=0.501 * NEWTONS_PER_POUND
            )
            assert float(share) == pytest.approx(100.0 * leg["thrust_share"], abs=0.501)
    whole = legs[-1]
    assert number(whole["Used"]) == pytest.approx(told["json"]["charge_drawn_ah"], abs=0.0501)
    assert number(whole["Left"]) == pytest.approx(100.0 * told["json"]["end_soc"], abs=0.501)
    assert number(whole["Peak"]) == pytest.approx(told["json"]["peak_current_a"], abs=0.501)


def test_what_to_change_is_that_of_the_document(told):
    for row, change in zip(told["changes"], told["json"]["changes"], strict=True):
        if change["skipped"]:
            assert change["skipped"] in row["The day"]
            continue
        assert number(row["Ends at"]) == pytest.approx(100.0 * change["end_soc"], abs=0.501)
        assert number(row["Change"]) == pytest.approx(
            100.0 * change["end_soc_change"], abs=0.501
        )


def test_the_day_in_numbers_is_read_off_the_step_table(told):
    by_clock = {row["clock"][11:16]: row for row in told["csv"]}
    assert len(told["hours"]) > 8
    for row in told["hours"]:
        step = by_clock[row["Clock"]]
        assert row["Leg"] == step["leg"]
        assert number(row["Left"]) == pytest.approx(100.0 * float(step["soc [1]"]), abs=0.501)
        wanted_n = float(step["thrust_wanted [N]"])
        if row["Wanted"] == "off":
            assert wanted_n == 0.0
        else:
            assert number(row["Wanted"]) == pytest.approx(
                wanted_n / NEWTONS_PER_POUND, abs=0.501
            )
        assert number(row["Available"]) == pytest.approx(
            float(step["thrust_available [N]"]) / NEWTONS_PER_POUND, abs=0.501
        )
        assert number(row["Current"]) == pytest.approx(float(step["current [A]"]), abs=0.0501)
        knots, bearing = re.match(r"(\d+) kn from (\d{3})", row["Wind"]).groups()
        assert float(knots) == pytest.approx(
            float(step["wind [m/s]"]) / MPS_PER_KNOT, abs=0.501
        )
        assert float(bearing) == pytest.approx(float(step["wind_from [deg]"]), abs=0.501)
        assert number(row["Stream"]) == pytest.approx(
            float(step["stream [m/s]"]) / MPS_PER_KNOT, abs=0.0501
        )


def test_the_last_row_of_the_day_ends_where_the_document_ends(told):
    assert number(told["hours"][-1]["Left"]) == pytest.approx(
        100.0 * told["json"]["end_soc"], abs=0.501
    )
    assert float(told["csv"][-1]["soc [1]"]) == pytest.approx(told["json"]["end_soc"], rel=1e-5)


def test_the_bank_the_night_and_the_way_home_carry_the_numbers_of_the_document(told):
    found = told["json"]
    html = told["html"]
    left = re.search(r"Left at the end: ([\d.]+)% at the rate you draw, ([\d.]+)% by", html)
    assert float(left[1]) == pytest.approx(100.0 * found["end_soc"], abs=0.0501)
    assert float(left[2]) == pytest.approx(100.0 * found["end_charge"], abs=0.0501)
    out = re.search(r"Out of the bank: ([\d.]+) Ah, (\d+) Wh; lowest voltage ([\d.]+) V", html)
    assert float(out[1]) == pytest.approx(found["charge_drawn_ah"], abs=0.0501)
    assert float(out[2]) == pytest.approx(found["energy_drawn_wh"], abs=0.501)
    assert float(out[3]) == pytest.approx(found["lowest_voltage_v"], abs=0.0501)
    full = re.search(r"after ([\d.]+) h, at (\d\d:\d\d)\.", html)
    assert float(full[1]) == pytest.approx(found["recharge"]["full_h"], abs=0.0501)
    assert full[2] == found["recharge"]["full_at"][11:16]
    home = re.search(r"ground and (\d+) A: ([\d.]+) nmi", html)
    assert float(home[1]) == pytest.approx(found["way_home"]["current_a"], abs=0.501)
    assert float(home[2]) * METRES_PER_MILE == pytest.approx(
        found["way_home"]["range_start_m"], abs=0.0501 * METRES_PER_MILE
    )


def test_the_day_in_numbers_stays_short_and_keeps_its_first_and_last_step(shipped):
    result, _ = shipped
    table, every_min = hours_table(result, system="us")
    assert every_min in EVERY_MIN
    assert len(table.rows) <= MOST_ROWS
    assert table.rows[0][0] == f"{result.start:%H:%M}"
    minutes = [int(row[0][:2]) * 60 + int(row[0][3:]) for row in table.rows[1:-1]]
    assert all(minute % every_min == 0 for minute in minutes)
    assert all((b - a) % 1440 == every_min for a, b in itertools.pairwise(minutes))


def test_the_check_of_agreement_can_fail(page):
    # A page of one day against the document of another: nothing here fits by accident.
    legs = tables(page(day("estuary")))[2]
    other = json.loads(document_text(day_document(day("headland"))))
    assert number(legs[-1]["Used"]) != pytest.approx(other["charge_drawn_ah"], abs=0.0501)
