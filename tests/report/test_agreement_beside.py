"""Odds and options, told in every way, agree: they come of one result."""

import csv
import io
import json
import re
from dataclasses import replace
from functools import cache

import pytest
from rich.console import Console

from energysim.charts import numbers_csv
from energysim.comparison import compare
from energysim.odds import run_odds
from energysim.report.beside import MOST_ROWS
from energysim.report.compare import compare_csv, compare_document
from energysim.report.compare_page import compare_html
from energysim.report.document import document_text
from energysim.report.odds import odds_document
from energysim.report.text import compare_page, odds_page

from .conftest import day, loaded
from .test_agreement import number, tables

KG_PER_LB = 0.45359237  # exact: NIST SP 811


@cache
def odds():
    """The odds of the shipped day that is quickest."""
    return run_odds(loaded("lake"), members=100)


@cache
def options():
    """The shop's options."""
    return compare(loaded("shop"))


def printed(page):
    """What a page of text says, unfolded."""
    console = Console(width=400, no_color=True, highlight=False)
    with console.capture() as capture:
        console.print(page)
    return capture.get()


def headed(found, *heads):
    """The one table of several that has these columns."""
    (rows,) = (rows for rows in found if set(heads) <= set(rows[0]))
    return rows


def shown(text, value, *, digits=0):
    """Whether a text says a number as it would be rounded."""
    return number(text) == pytest.approx(value, abs=0.501 * 10.0**-digits)


@pytest.fixture(scope="module")
def told(module_page):
    """The odds in every way they are told."""
    return {
        "html": module_page(day("lake"), odds=odds(), figures=[]),
        "text": printed(odds_page(odds(), system="us")),
        "json": json.loads(document_text(odds_document(odds()))),
        "chart": list(csv.DictReader(io.StringIO(numbers_csv("odds", odds())))),
    }


@pytest.fixture(scope="module")
def offered(module_page):
    """The options in every way they are told."""
    return {
        "page": module_page(day("shop"), comparison=options(), figures=[]),
        "sheet": compare_html(options(), system="us"),
        "text": printed(compare_page(options(), system="us")),
        "json": json.loads(document_text(compare_document(options()))),
        "csv": list(csv.DictReader(io.StringIO(compare_csv(options())))),
    }


@pytest.mark.parametrize("where", ["html", "text"])
def test_the_chance_of_the_whole_plan_is_told_with_its_interval(told, where):
    chance = told["json"]["whole_plan"]
    said = re.findall(r"about (\d+) \((\d+) to (\d+)\) go as planned", told[where])
    assert len(said) == (2 if where == "html" else 1)
    for one in said:
        assert [float(part) for part in one] == pytest.approx(
            [100.0 * chance[key] for key in ("chance", "low", "high")], abs=0.501
        )


@pytest.mark.parametrize("where", ["html", "text"])
def test_the_charge_at_the_end_is_told_as_the_document_has_it(told, where):
    end = told["json"]["end_soc"]
    said = re.search(r"ten above (\d+)%, half above (\d+)%, one in ten above (\d+)%. If "
                     r"all is as planned: (\d+)%", told[where])  # fmt: skip
    assert [float(part) for part in said.groups()] == pytest.approx(
        [100.0 * end["p10"], 100.0 * end["p50"], 100.0 * end["p90"],
         100.0 * told["json"]["planned_end_soc"]], abs=0.501,
    )  # fmt: skip


def test_the_legs_of_the_page_are_held_as_often_as_in_the_document(told):
    rows = headed(tables(told["html"]), "Held, in 100")
    for row, leg in zip(rows, told["json"]["legs"], strict=True):
        assert leg["name"] in row["Leg"]
        assert leg["held"] is None or shown(row["Held, in 100"], 100.0 * leg["held"]["chance"])
        assert [float(one) for one in re.findall(r"\d+", row["Left after"])] == pytest.approx(
            [100.0 * leg["soc_after"][key] for key in ("p10", "p50", "p90")], abs=0.501
        )
        assert row["Left after"] in told["text"]


def test_the_course_of_page_and_chart_is_that_of_the_document(told):
    by_clock = {mark["at"]: mark["soc"] for mark in told["json"]["marks"]}
    assert [row["clock"] for row in told["chart"]] == list(by_clock)
    for row in told["chart"]:
        for key in ("p10", "p50", "p90"):
            expected = 100.0 * by_clock[row["clock"]][key]
            assert float(row[f"soc_{key} [%]"]) == pytest.approx(expected, rel=1e-6)
    rows = headed(tables(told["html"]), "1 in 10 below", "1 in 10 above")
    assert len(rows) > 5
    of_page = {at[11:16]: soc for at, soc in by_clock.items()}
    for row in rows:
        soc = of_page[row["Clock"]]
        heads = {"p10": "1 in 10 below", "p50": "half below", "p90": "1 in 10 above"}
        assert all(shown(row[head], 100.0 * soc[key]) for key, head in heads.items())


def test_what_drives_the_spread_has_the_shares_of_the_document(told):
    rows = headed(tables(told["html"]), "Out by about", "Share")
    shares = [100.0 * one["share"] for one in told["json"]["sources"]]
    left = 100.0 * (1.0 - told["json"]["explained"])
    expected = [share for share in shares if share >= 1.0] + [left] * (left >= 1.0)
    assert len(expected) > 3
    for row, share in zip(rows, expected, strict=True):
        assert shown(row["Share"], share)


@pytest.mark.parametrize("where", ["page", "sheet"])
def test_the_options_of_page_and_sheet_are_those_of_document_and_csv(offered, where):
    found = tables(offered[where])
    days, boats, money = (
        headed(found, "Usable", "Full again"), headed(found, "Weight", "Wiring", "Plate"),
        headed(found, "The bank", "Years"),
    )  # fmt: skip
    documents = [
        one for one in offered["json"]["options"]
        if where == "sheet" or one["place"] <= MOST_ROWS or one["name"] == "24-agm"
    ]  # fmt: skip
    for record, the_day, boat, costs in zip(documents, days, boats, money, strict=True):
        line = offered["csv"][record["place"] - 1]
        assert line["name"] == record["name"]
        assert the_day["Option"] == boat["Option"] == f"{record['place']}. {record['name']}"
        assert shown(the_day["Usable"], record["usable_wh"] / 1000.0, digits=2)
        assert shown(the_day["Left"], 100.0 * float(line["end_soc"]))
        assert shown(the_day["Limit"], 100.0 * float(line["limit_soc"]))
        assert shown(the_day["Hold left"], float(line["hold_left_s"]) / 3600.0, digits=1)
        assert shown(the_day["Off station"], float(line["off_station_s"]) / 60.0)
        assert shown(the_day["Full again"], record["full_h"], digits=1)
        assert shown(boat["Weight"], float(line["mass_kg"]) / KG_PER_LB)
        assert boat["Locker"] == record["fit_words"] == line["fit_words"]
        assert boat["Wiring"] == record["wiring"]
        if record["bank_price"] is not None:
            assert shown(costs["The bank"].replace(",", ""), float(line["bank_price"]))
        if record["price_per_trip"] is not None:
            assert shown(costs["A trip"], record["price_per_trip"], digits=2)
            assert shown(costs["Years"], record["years"])


def test_the_text_says_the_rows_of_the_sheet_word_for_word(offered):
    printed_rows = {" ".join(line.split()) for line in offered["text"].splitlines()}
    found = tables(offered["sheet"])
    rows = [row for table in found for row in table]
    assert len(found) == 4
    assert len(rows) > 40
    for row in rows:
        place, name = row["Option"].split(". ", 1)
        cells = " ".join(cell for head, cell in row.items() if head != "Option")
        assert " ".join(f"{place} {name} {cells}".split()) in printed_rows


@pytest.mark.parametrize("where", ["page", "sheet", "text"])
def test_who_wins_and_why_and_what_cannot_be_is_said_everywhere(offered, where):
    for words in (
        offered["json"]["reason"], offered["json"]["rule"],
        *(one["reason"] for one in offered["json"]["impossible"]),
    ):  # fmt: skip
        assert words.replace("'", "&#39;") in offered[where] or words in offered[where]


def test_brackets_in_the_name_of_a_leg_are_printed_as_typed():
    legs = tuple(replace(leg, name="the [red] buoy") for leg in odds().legs)
    text = printed(odds_page(replace(odds(), legs=legs), system="us"))
    assert text.count("the [red] buoy") == len(legs)


def test_the_check_of_the_options_can_fail(module_page):
    page = module_page(day("shop"), comparison=options(), figures=[])
    (first, second, *_) = headed(tables(page), "Usable", "Full again")
    assert not shown(first["Usable"], number(second["Usable"]), digits=2)
