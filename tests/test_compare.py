"""
Bank against bank: each option is its own day to the digit, and nothing is dropped.

The other side of each comparison is the day run alone (`run_day`), the rig looked at alone, and
what is said of the plan by hand.
"""

import csv
import io
import json
import re
from dataclasses import fields, is_dataclass, replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from energysim.clock import clock_after
from energysim.comparison import compare
from energysim.comparison.expand import expand
from energysim.comparison.rank import RULES
from energysim.errors import ScenarioError
from energysim.report.compare import compare_csv, compare_document
from energysim.report.compare_page import compare_html
from energysim.report.compare_tables import compare_tables
from energysim.report.document import document_text
from energysim.rig import check_rig
from energysim.runner import run_day
from energysim.scenario.load import load_scenario
from energysim.scenario.overlay import overlay

SHOP = Path(__file__).parents[1] / "scenarios" / "shop" / "shop.toml"
CHARGED = {"charger": {"current": "10 A"}}
PRICED = {"prices": {"currency": "USD", "block": 300.0, "energy_per_kwh": 0.2}}
HARD = {"wind.speed": "22 kn", "wind.gust": "22 kn"}
LOCKED = {
    "locker": [
        {"name": "aft", "length": "24 in", "width": "15 in", "height": "11.1 in",
         "place": "stern"}
    ]
}  # fmt: skip


@pytest.fixture(scope="module")
def shop():
    """The shop's comparison."""
    return compare(load_scenario(SHOP))


@pytest.fixture
def compared(plain_day, load_raw):
    """From options and changes of the plain day to the comparison."""

    def run(options=(), table=None, changes=None, **more):
        raw = overlay(plain_day(), {"day.step": "300 s", **(changes or {})})
        raw["option"] = list(options)
        if table is not None:
            raw["options"] = table
        return compare(load_raw(raw), **more)

    return run


def named(result):
    return {row.name: row for row in result.rows}


def values(record):
    """Every number and word of a record, however deep, as printed in full: ten digits."""
    if is_dataclass(record):
        return {field.name: values(getattr(record, field.name)) for field in fields(record)}
    if isinstance(record, float):
        return float(f"{record:.10g}")
    return [values(one) for one in record] if isinstance(record, tuple) else record


def test_every_option_of_the_shop_is_its_own_day_to_the_digit(shop):
    """To each of the ten digits printed; the last bits go with the length of arrays."""
    asked = {one.name: one.loaded for one in expand(load_scenario(SHOP))}
    for row in shop.rows:
        alone, day = run_day(asked[row.name], with_changes=False), row.day
        here = (
            day.end_soc, day.off_station_s, day.energy_drawn_wh, day.peak_current_a,
            day.outcome, day.limit_soc, day.night.full_h, day.night.soc_when_ready,
        )  # fmt: skip
        there = (
            alone.end_soc, alone.off_station_s, alone.energy_drawn_wh, alone.peak_current_a,
            alone.outcome, alone.limit_soc, alone.recharge.full_h,
            alone.recharge.soc_when_ready,
        )  # fmt: skip
        assert values(here) == values(there)
        if day.money.price_per_trip is not None:
            assert values(day.money.price_per_trip) == values(alone.wear.price_per_trip)
            assert values(day.money.years) == values(alone.wear.years)


def test_every_option_of_the_shop_is_wired_as_when_looked_at_alone(shop):
    asked = {one.name: one.loaded for one in expand(load_scenario(SHOP))}
    for row in shop.rows:
        alone = check_rig(asked[row.name])
        assert row.day.wiring.verdict == alone.verdict
        assert row.day.wiring.cautions == sum(c.verdict == "caution" for c in alone.checks)


def test_an_option_is_the_same_alone_and_in_company(compared):
    options = [
        {"name": "more", "bank": {"parallel": 2}},
        {"name": "lithium", "bank": {"battery": "31-lfp"}},
        {"name": "one bad", "bank.block": [{"number": 2, "capacity_fraction": 0.7}]},
        {"name": "36 V", "motor": {"voltage": "36 V"}, "bank": {"battery": "24-agm"}},
        {"name": "longer", "leg": [{"do": "hold", "start": "05:00", "for": "7 h"}]},
    ]
    together = named(compared(options, changes=CHARGED | PRICED | LOCKED))
    for option in options:
        alone = named(compared([option], changes=CHARGED | PRICED | LOCKED))
        assert values(together[option["name"]].day) == values(alone[option["name"]].day)
        assert values(together[option["name"]].change) == values(alone[option["name"]].change)


@pytest.mark.slow
def test_two_processes_give_what_one_gives(shop):
    shared = compare(load_scenario(SHOP), workers=2)
    assert compare_document(shared) == compare_document(shop)


def test_what_cannot_be_is_listed_with_the_reason(compared):
    result = compared(
        [
            {"name": "wrong volts", "bank": {"battery": "31m-lfp-36v"}},
            {"name": "no such", "bank": {"battery": "99-agm"}},
            {"name": "too cold", "bank": {"temperature": "-39 degC"}},
        ],
        {"cases": [24, 4096], "chemistries": ["agm"]},
    )
    reasons = {one.name: one.reason for one in result.impossible}
    assert set(reasons) == {"wrong volts", "no such", "too cold", "4096-agm"}
    assert "makes a bank of 38.4 V for a motor of 24 V" in reasons["wrong volts"]
    assert reasons["no such"].startswith("no such battery on the list")
    assert "list of batteries" in reasons["4096-agm"]
    assert len(result.rows) == 2  # the file itself and 24-agm


def test_a_grid_has_every_case_chemistry_and_number_of_strings(compared):
    result = compared(
        table={"cases": [24, "27", 31], "chemistries": ["agm", "lfp"], "strings": [1, 2]}
    )
    names = {"as it is"}
    for block in ("24-agm", "24-lfp", "27-agm", "27-lfp", "31-agm", "31-lfp"):
        names |= {block, f"{block}, 2 strings"}
    assert set(named(result)) | {one.name for one in result.impossible} == names
    # The plain day's own bank is one of them.
    twin, own = named(result)["31-agm"].day, named(result)["as it is"].day
    assert values(twin) == values(own)


def test_another_battery_takes_over_nothing_of_the_old_one(compared):
    old = {"bank.capacity_fraction": 0.6, "bank.reserve": "120 min", "bank.series": 2}
    result = named(compared([{"name": "new", "bank": {"battery": "31-agm"}}], changes=old))
    new = named(compared([{"name": "same", "bank": {"battery": "31-agm"}}]))
    assert values(result["new"].day) == values(new["as it is"].day)
    assert result["as it is"].day.usable_wh < result["new"].day.usable_wh


def test_a_dotted_key_in_quotes_is_the_same_as_a_table(compared):
    result = named(
        compared(
            [
                {"name": "a", "bank.parallel": 2, "bank.battery": "24-agm"},
                {"name": "b", "bank": {"parallel": 2, "battery": "24-agm"}},
            ]
        )
    )
    assert values(result["a"].day) == values(result["b"].day)


def test_prices_belong_to_the_battery_they_were_given_for(compared):
    result = named(
        compared(
            [
                {"name": "two strings", "bank": {"parallel": 2}},
                {"name": "other", "bank": {"battery": "24-agm"}},
                {"name": "told", "bank": {"battery": "27-agm"}},
                {"name": "own", "bank": {"battery": "27-agm"}, "prices": {"bank": 111.0}},
            ],
            {"block_prices": {"27-agm": 200.0}},
            CHARGED | PRICED,
        )
    )
    prices = {name: row.day.money.bank_price for name, row in result.items()}
    assert prices == {
        "as it is": 600.0,
        "two strings": 1200.0,
        "other": None,
        "told": 400.0,
        "own": 111.0,
    }
    assert result["other"].day.money.why_not == "no price of this bank"
    assert result["other"].day.money.years is not None
    assert result["other"].change.price_per_trip is None


def test_without_prices_one_line_says_so_and_no_column_of_dashes(compared):
    result = compared([{"name": "more", "bank": {"parallel": 2}}])
    assert {row.day.money.why_not for row in result.rows} == {"no [prices]"}
    _, _, money, change = compare_tables(result, result.rows, system="us")
    assert money.table is None
    assert [note.partition(".")[0] for note in money.notes] == [
        "Not told: the file has no [prices]"
    ]
    assert "A trip" not in change.table.header
    assert "[prices]" in compare_html(result, system="us")


def test_what_is_true_of_all_options_names_none_and_blocks_are_counted(compared):
    prices = {"prices": {"currency": "USD", "energy_per_kwh": 0.2, "trips_a_year": 40}}
    options = [
        {"name": "more", "bank": {"parallel": 2}},
        {"name": "lfp", "bank.battery": "31-lfp"},
    ]
    result = compared(options, changes=CHARGED | prices)
    _, boat, money, _ = compare_tables(result, result.rows, system="us")
    assert "No price of this bank: every option." in money.notes
    place = boat.table.header.index("Batteries")
    told = {row[1]: row[place] for row in boat.table.rows}
    assert told == {"as it is": "2x 31-agm", "more": "4x 31-agm", "lfp": "2x 31-lfp"}


def test_a_used_bank_has_no_life_told_as_if_it_were_new(compared):
    result = named(
        compared(
            [{"name": "one bad", "bank.block": [{"number": 2, "capacity_fraction": 0.7}]}],
            changes=CHARGED | PRICED,
        )
    )
    assert result["one bad"].day.money.years is None
    assert result["one bad"].day.money.why_not.startswith("used blocks")
    assert result["as it is"].day.money.years is not None


def test_a_day_of_constant_load_gives_usable_energy_and_hold_that_agree(compared):
    """A hold of one strength: what is used and what is left are the usable energy."""
    result = compared(changes=HARD | {"bank.battery": "31-lfp", "leg[1].for": "2 h"},
                      options=[{"name": "x", "bank": {"parallel": 2}}])  # fmt: skip
    for row in result.rows:
        left = row.day.hold_left
        assert left.ended_by == "your limit"
        used_w = row.day.energy_drawn_wh / 2.0
        whole = used_w * (2.0 + left.seconds / 3600.0)
        assert whole == pytest.approx(row.day.usable_wh, rel=0.02)


def test_hold_left_is_when_a_longer_day_meets_its_limit(compared, plain_day, load_raw):
    base = named(
        compared([{"name": "x", "bank": {"parallel": 2}}], changes=HARD | {"leg[1].for": "2 h"})
    )["as it is"].day
    changes = HARD | {"day.step": "300 s", "leg[1].for": "13 h"}
    raw = overlay(plain_day(), changes)
    longer = run_day(load_raw(raw), with_changes=False)
    after = (longer.limit_reached_at - longer.start).total_seconds() - 2 * 3600.0
    assert base.hold_left.seconds == pytest.approx(after, rel=0.02)


def test_a_bank_below_its_limit_has_no_hold_left(compared):
    result = compared(
        [{"name": "x", "bank": {"parallel": 2}}], changes={"bank.start_soc": 0.55}
    )
    spent = named(result)["as it is"].day
    assert spent.outcome in {"deep", "empty"}
    assert spent.hold_left.seconds == 0.0


@pytest.mark.parametrize("rank", RULES)
def test_the_order_is_that_of_the_rule(compared, rank):
    result = compared(
        table={"cases": [24, 31], "chemistries": ["agm", "lfp"], "strings": [1, 2]},
        changes=CHARGED | PRICED | {"bank.battery": "24-flooded"},
        rank=rank,
    )
    days = [row.day for row in result.rows]
    home = [day for day in days if day.outcome == "holds"]
    if rank != "hold":
        assert days[: len(home)] == home
    keys = {
        "day": [-day.hold_left.seconds for day in home],
        "hold": [-day.hold_left.seconds for day in days],
        "weight": [day.load.mass_kg for day in home],
        "price": [d.money.price_per_trip.value for d in home if d.money.price_per_trip],
        "years": [-d.money.years.value for d in home],
    }
    assert keys[rank] == sorted(keys[rank])
    assert result.rule == RULES[rank]
    assert result.rows[0].name in result.reason
    assert [row.place for row in result.rows] == list(range(1, len(days) + 1))


def test_the_baseline_is_the_file_unless_one_is_named(compared):
    options = [{"name": "more", "bank": {"parallel": 2}}]
    plain, other = compared(options), compared(options, {"baseline": "more"})
    assert plain.baseline == "as it is"
    assert values(named(plain)["as it is"].change)["end_soc"] == 0.0
    assert values(named(other)["more"].change)["end_soc"] == 0.0
    gained = named(plain)["more"].change.usable_wh
    assert gained == -named(other)["as it is"].change.usable_wh > 0.0


def test_csv_json_and_tables_tell_the_same(shop):
    document = json.loads(document_text(compare_document(shop)))
    lines = list(csv.DictReader(io.StringIO(compare_csv(shop))))
    tables = [one.table for one in compare_tables(shop, shop.rows, system="metric")]
    assert len(lines) == len(document["options"]) + len(document["impossible"])
    for number, told in enumerate(document["options"]):
        line = lines[number]
        for key, text in line.items():
            value = told[key]
            if isinstance(value, float):
                assert float(text) == value
            else:
                assert text == ("" if value is None else str(value))
        day, boat, money, _ = (table.rows[number] for table in tables[:3] + tables[:1])
        assert day[1:5] == (
            told["name"],
            {"holds": "holds", "deep": "too deep"}[told["outcome"]],
            f"{told['usable_wh'] / 1000:.2f} kWh",
            f"{told['end_soc']:.0%}",
        )
        assert day[6].rstrip(" h") == f"{told['hold_left_s'] / 3600:.1f}"
        assert boat[3] == f"{told['mass_kg']:.1f} kg"
        assert boat[6] == told["fit_words"]
        if told["bank_price"] is not None:
            assert money[2] == f"{told['bank_price']:,.0f} USD"
    assert lines[-1]["cannot_be"] == document["impossible"][-1]["reason"]


def test_a_24_fits_the_shops_locker_and_a_31_does_not_stand_in_it(shop):
    found = {row.name: row.day.fit for row in shop.rows}
    assert found["24-agm"].verdict == "fits"
    assert found["31-lfp"].headline == "0.4 in too low"


def test_the_hardest_hour_over_a_clock_change_has_its_zones(shop):
    start = datetime(2026, 11, 1, 1, 24, tzinfo=ZoneInfo("America/New_York"))
    hour = replace(shop.hardest, start=start, end=clock_after(start, 3600.0))
    day = compare_tables(replace(shop, hardest=hour), shop.rows, system="us")[0]
    assert "01:24 EDT to 01:24 EST" in day.notes[1]


def test_the_sheet_has_boat_prices_rule_and_cautions_and_needs_nothing_else(shop):
    page = compare_html(shop, system="us")
    for words in ("19 ft", "console", "01 June 2026", shop.reason, shop.rule, "Cannot be",
                  "never an approval", "marine electrician"):  # fmt: skip
        assert words.replace("'", "&#39;") in page
    assert "<script" not in page
    assert "http" not in page.replace("http-equiv", "")
    for row in shop.rows:
        assert row.name in page


def test_the_sheet_is_metric_through_and_through_when_it_is_asked_for(compared):
    us, metric = (
        compared(
            [{"name": "taller", "bank": {"battery": "31-lfp"}}],
            changes=LOCKED | {"locker[1].height": "9 in"},
            system=system,
        )
        for system in ("us", "metric")
    )
    sheet = compare_html(metric, system="metric")
    taken = sheet[sheet.index("<h2>Taken for granted</h2>") :]
    assert re.search(r"kept free [\d.]+ cm at walls", taken)
    assert re.search(r"[\d.]+ cm too low", sheet)
    tables = sheet[sheet.index("<table") : sheet.rindex("</table>")]
    assert not re.search(r"\d (in|lb|ft|lbf)\b", tables)
    assert any(row.day.fit.headline.endswith(" in too low") for row in us.rows)


def test_every_slip_in_an_option_is_told_at_once_with_its_place(tmp_path):
    text = SHOP.read_text(encoding="utf-8")
    text += """
[[option]]
name = "slips"
bank.batery = "31-agm"
motor.voltage = "24"

[[option]]
name = "slips"
bank.parallel = 0
"""
    path = tmp_path / "shop.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError) as stop:
        compare(load_scenario(path))
    told = str(stop.value)
    lines = text.splitlines()
    for words, line in (
        ("batery", 'bank.batery = "31-agm"'),
        ("motor.voltage", 'motor.voltage = "24"'),
        ("bears the name of an earlier option", None),
        ("bank.parallel", "bank.parallel = 0"),
    ):
        assert words in told
        if line is not None:
            assert f"{path}:{lines.index(line) + 1}:" in told


@pytest.mark.parametrize(
    ("options", "table", "told"),
    [
        ((), None, "nothing to compare"),
        ([{"name": "x"}], {"baseline": "y"}, "is none of the options"),
        ([{"name": "as it is"}], None, "what the file itself is called"),
        (
            [{"name": "x", "bank": {"battery": "31m-lfp-36v"}}],
            {"baseline": "x"},
            "cannot be run",
        ),
    ],
    ids=["nothing", "no such baseline", "the file's name", "baseline that cannot be"],
)
def test_what_cannot_be_compared_is_refused(compared, options, table, told):
    with pytest.raises(ScenarioError, match=told):
        compared(options, table)


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ({"cases": [24]}, "is missing beside 'cases'"),
        ({"strings": [2]}, "says nothing without"),
        ({"cases": [True], "chemistries": ["agm"]}, "is not a battery case"),
        ({"prices_of": "May"}, "is not a date"),
    ],
)
def test_a_table_of_options_that_says_nothing_whole_is_refused(compared, table, told):
    with pytest.raises(ScenarioError, match=told):
        compared([{"name": "x"}], table)


def test_a_hold_longer_than_is_looked_ahead_is_told_as_more_and_not_compared(compared):
    calm = {"wind.speed": "3 kn", "wind.gust": "3 kn"}
    result = named(compared([{"name": "x", "bank": {"parallel": 4}}], changes=calm))
    assert result["x"].day.hold_left.more
    assert result["x"].change.hold_left_s is None


def test_a_day_without_the_motor_has_no_hold_and_what_is_not_told_is_not_known(compared):
    result = compared([{"name": "x", "bank": {"parallel": 2}}], changes={"leg[1].do": "rest"})
    for row in result.rows:
        assert row.day.hold_left is None
        assert row.day.night is None
        assert row.day.load.trim_m is None
        assert (row.day.load.plate, row.day.fit.verdict) == ("no plate given", "not known")
    assert result.hardest is None


def test_the_hardest_hour_is_the_one_that_asks_most(compared):
    legs = [
        {"do": "rest", "start": "06:00", "for": "1 h"},
        {"name": "easy", "do": "hold", "for": "2 h", "wind_shelter": 0.6},
        {"name": "hard", "do": "hold", "for": "90 min"},
    ]
    result = compared([{"name": "x"}], changes={"leg": legs})
    assert result.hardest.leg == "hard"
    assert (result.hardest.end - result.hardest.start).total_seconds() == 3600.0
