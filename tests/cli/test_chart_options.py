"""`energysim chart` of the options of a file, of what a trip costs, and of a season."""

import csv
import re
from xml.etree import ElementTree as ET

import pytest

OPTIONS = """
[prices]
currency = "USD"
bank = 620
energy_per_kwh = 0.2

[[option]]
name = "lithium"
bank.battery = "31-lfp"
prices.bank = 1400

[[option]]
name = "a 36 V block"
bank.battery = "31m-lfp-36v"

[[option]]
name = "two strings"
bank.parallel = 2
prices.bank = 1240
"""


@pytest.fixture
def shop(day, folder):
    """The day with options, one of which cannot be."""
    (folder / "shop.toml").write_text(day + OPTIONS, encoding="utf-8")
    return folder


def plain(text):
    """A message without the frame that is drawn about it."""
    return " ".join(re.sub(r"[│╭╮╰╯─]", " ", text).split())


def rows_of(path):
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def test_the_options_are_drawn_with_the_numbers_of_the_comparison(run, shop):
    answer = run("chart", "options", "shop.toml", "--csv", "options.csv")
    assert (answer.code, answer.out, answer.err) == (
        0,
        "",
        "wrote options.csv\nwrote options.svg\n",
    )
    told = ET.fromstring((shop / "options.svg").read_text(encoding="utf-8"))[1].text
    assert "3 options on 16 May 2026" in told
    rows = rows_of(shop / "options.csv")
    assert run("compare", "shop.toml", "--csv", "compare.csv").code == 0
    compared = rows_of(shop / "compare.csv")
    ran = [row["name"] for row in compared if row["name"] != "a 36 V block"]
    assert [row["option"] for row in rows] == ran


def test_another_order_is_a_key_of_the_file(run, shop):
    args = ("chart", "options", "shop.toml", "--csv", "o.csv", "--force")
    assert run(*args, "--set", "options.rank=price").code == 0
    prices = [float(row["trip_price [USD]"]) for row in rows_of(shop / "o.csv")]
    assert prices == sorted(prices)


def test_hours_of_hold_are_drawn_of_each_option_and_what_cannot_be_is_said(run, shop):
    answer = run("chart", "hold", "shop.toml", "--options", "--csv", "hold.csv")
    assert (answer.code, answer.out) == (0, "")
    line, *rest = answer.err.splitlines()
    assert rest == ["wrote hold.csv", "wrote hold.svg"]
    assert line.startswith("left out: a 36 V block: ")
    by_name = {}
    for row in rows_of(shop / "hold.csv"):
        by_name.setdefault(row["option"], []).append(float(row["hours [h]"]))
    assert list(by_name) == ["as it is", "lithium", "two strings"]
    # Twice the bank holds more than twice as long: it is drawn less hard.
    assert by_name["two strings"][20] > 2.0 * by_name["as it is"][20]


def test_some_options_are_picked_by_name(run, shop):
    arguments = ("--option", "lithium", "--option", "as it is")
    answer = run("chart", "day", "shop.toml", *arguments, "--csv", "day.csv")
    assert (answer.code, answer.err) == (0, "wrote day.csv\nwrote day.svg\n")
    names = list(dict.fromkeys(row["option"] for row in rows_of(shop / "day.csv")))
    assert names == ["lithium", "as it is"]


@pytest.mark.usefixtures("shop")
def test_options_of_one_motor_are_one_line_of_its_chart(run):
    answer = run("chart", "motor", "shop.toml", "--options", "--out", "-")
    assert answer.code == 0
    # One motor: nothing stands side by side.
    assert "side by side" not in ET.fromstring(answer.out)[1].text


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        pytest.param(["hold", "--option", "lithum"], 2, "is none of the options", id="name"),
        pytest.param(["voltage", "--options"], 2, "one result at a time", id="one"),
        pytest.param(["options", "--options"], 2, "shows all options as it is", id="all"),
        pytest.param(["season"], 2, "energysim season FILE --from DATE", id="season"),
        pytest.param(
            ["hold", "--option", "a 36 V block"], 3, "makes a bank of", id="none-left"
        ),
    ],
)
@pytest.mark.usefixtures("shop")
def test_what_cannot_be_drawn_says_why(run, folder, arguments, code, reason):
    kind, *rest = arguments
    answer = run("chart", kind, "shop.toml", *rest)
    assert (answer.code, answer.out) == (code, "")
    assert reason in plain(answer.err)
    assert sorted(path.name for path in folder.iterdir()) == ["day.toml", "shop.toml"]


@pytest.mark.usefixtures("day")
def test_a_file_without_options_or_prices_says_what_to_add(run):
    answer = run("chart", "hold", "day.toml", "--options")
    assert answer.code == 3
    assert "there is nothing to compare (add [[option]] or [options]; energysim" in answer.err
    answer = run("chart", "trips", "day.toml")
    assert answer.code == 3
    assert "prices: is missing: a trip has no cost" in answer.err
    assert 'add [prices] with currency = "USD"' in answer.err


def test_energy_alone_is_no_price_of_a_trip(run, day, folder):
    only = day + '\n[prices]\ncurrency = "EUR"\nenergy_per_kwh = 0.3\n'
    (folder / "day.toml").write_text(only, encoding="utf-8")
    answer = run("chart", "trips", "day.toml")
    assert answer.code == 3
    assert "has no price of the bank" in answer.err


def test_what_a_trip_costs_is_drawn_of_each_option_that_has_a_price(run, shop):
    answer = run("chart", "trips", "shop.toml", "--options", "--csv", "trips.csv")
    assert answer.code == 0
    days = [row for row in rows_of(shop / "trips.csv") if row["part"] == "this day"]
    assert [row["option"] for row in days] == ["as it is", "lithium", "two strings"]
    depths = [float(row["depth [%]"]) for row in days]
    assert depths[2] == pytest.approx(0.5 * depths[0], rel=0.05)


@pytest.mark.parametrize(("watched", "told"), [(True, "4 of 4 options"), (False, "")])
@pytest.mark.usefixtures("shop")
def test_who_watches_is_told_how_far_it_is_and_a_pipe_is_not(run, monkeypatch, watched, told):
    monkeypatch.setattr("energysim.cli.progress.PATIENCE_S", -1.0)
    monkeypatch.setattr("sys.stderr.isatty", lambda: watched)
    answer = run("chart", "hold", "shop.toml", "--options", "--out", "-")
    assert answer.code == 0
    assert told in answer.err
    assert ("\r" in answer.err) is watched


@pytest.mark.parametrize(
    "told",
    [
        pytest.param("prices.bank = 1400\n", id="in-a-row"),
        pytest.param('[options.block_prices]\n"31-lfp" = 700\n', id="by-block"),
    ],
)
def test_prices_of_the_options_alone_are_pointed_at(run, day, folder, told):
    rows = '\n[[option]]\nname = "lithium"\nbank.battery = "31-lfp"\n'
    money = '\n[prices]\ncurrency = "EUR"\nenergy_per_kwh = 0.3\n'
    (folder / "day.toml").write_text(day + money + rows + told, encoding="utf-8")
    answer = run("chart", "trips", "day.toml")
    assert answer.code == 3
    assert "its options have prices: --options draws theirs" in answer.err
    assert run("chart", "trips", "day.toml", "--options").code == 0
