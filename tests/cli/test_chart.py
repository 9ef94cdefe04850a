"""`energysim chart`: what is written where, and what is refused before any work."""

import csv
import re
from xml.etree import ElementTree as ET

import pytest

from energysim.charts import charts

pytestmark = pytest.mark.usefixtures("day")


def test_a_chart_is_written_under_its_own_name_and_said_on_stdout(run, folder):
    answer = run("chart", "legs", "day.toml")
    assert (answer.code, answer.out, answer.err) == (0, "", "wrote legs.svg\n")
    assert (folder / "legs.svg").read_text(encoding="utf-8").startswith("<svg")
    assert sorted(path.name for path in folder.iterdir()) == ["day.toml", "legs.svg"]


@pytest.mark.parametrize(
    "kind", ["day", "voltage", "legs", "night", "motor", "hold", "endurance"]
)
def test_every_kind_is_drawn_from_a_scenario(run, kind):
    answer = run("chart", kind, "day.toml", "--out", "-")
    assert (answer.code, answer.err) == (0, "")
    root = ET.fromstring(answer.out)
    assert "Off the old pier (invented)" in root[0].text


def test_the_odds_are_drawn_of_as_many_days_as_the_scenario_says(run, folder, day):
    text = day + "\n[uncertainty]\nmembers = 30\n"
    (folder / "day.toml").write_text(text, encoding="utf-8")
    answer = run("chart", "odds", "day.toml", "--out", "-")
    assert (answer.code, answer.err) == (0, "")
    root = ET.fromstring(answer.out)
    assert root[1].text.endswith("30 were run.")


@pytest.mark.parametrize(
    ("ending", "begins"), [("svg", b"<svg"), ("pdf", b"%PDF"), ("png", b"\x89PNG\r\n")]
)
def test_the_ending_says_what_is_written(run, folder, ending, begins):
    assert run("chart", "legs", "day.toml", "--out", f"my.{ending}").code == 0
    assert (folder / f"my.{ending}").read_bytes().startswith(begins)


@pytest.mark.parametrize(
    ("width", "points"),
    [("single", 252.0), ("double", 518.4), ("120 mm", 120.0 / 25.4 * 72.0)],
)
def test_a_width_is_that_of_the_file(run, width, points):
    answer = run("chart", "legs", "day.toml", "--out", "-", "--width", width)
    box = ET.fromstring(answer.out).get("viewBox").split()
    assert float(box[2]) == pytest.approx(points, abs=0.01)


def test_grey_and_editable_letters_are_options(run):
    coloured = run("chart", "legs", "day.toml", "--out", "-").out
    grey = run("chart", "legs", "day.toml", "--out", "-", "--grey").out

    def is_coloured(text):
        found = {colour.lower() for colour in re.findall(r"#([0-9a-fA-F]{6})\b", text)}
        return any(len({one[:2], one[2:4], one[4:]}) > 1 for one in found)

    assert is_coloured(coloured)
    assert not is_coloured(grey)
    assert "<text" not in coloured
    editable = run("chart", "legs", "day.toml", "--out", "-", "--text", "editable").out
    assert "What each leg costs</text>" in editable


def test_the_numbers_stand_beside_the_chart_on_request(run, folder):
    answer = run("chart", "legs", "day.toml", "--csv", "legs.csv")
    assert (answer.code, answer.err) == (0, "wrote legs.csv\nwrote legs.svg\n")
    with (folder / "legs.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [row["leg"] for row in rows] == ["Out to the pier", "The pier", "Along the beach"]
    assert all(float(row["charge [Ah]"]) >= 0.0 for row in rows)


@pytest.mark.parametrize("there", ["legs.svg", "legs.csv"])
def test_what_exists_is_kept_and_nothing_is_half_done_unless_forced(run, folder, there):
    (folder / there).write_text("mine", encoding="utf-8")
    answer = run("chart", "legs", "day.toml", "--csv", "legs.csv")
    assert (answer.code, answer.out) == (4, "")
    assert f"{there}: already exists (use --force to replace it)" in answer.err
    assert sorted(path.name for path in folder.iterdir()) == ["day.toml", there]
    assert run("chart", "legs", "day.toml", "--csv", "legs.csv", "--force").code == 0
    assert (folder / there).read_text(encoding="utf-8") != "mine"


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        pytest.param(["dya", "day.toml"], "did you mean 'day'", id="kind"),
        pytest.param(["day", "day.toml", "--out", "day.jpg"], ".svg, .pdf, .png", id="ending"),
        pytest.param(["day", "day.toml", "--width", "1 in"], "cannot be drawn", id="width"),
        pytest.param(["day", "day.toml", "--width", "3.5"], "no unit", id="bare-width"),
        pytest.param(
            ["endurance", "day.toml", "--angle", "200 deg"], "between 0 deg", id="angle"
        ),
    ],
)
def test_a_mistaken_option_is_a_mistake_of_usage(run, folder, arguments, reason):
    answer = run("chart", *arguments)
    assert (answer.code, answer.out) == (2, "")
    assert reason in " ".join(re.sub(r"[│╭╮╰╯─]", " ", answer.err).split())
    assert sorted(path.name for path in folder.iterdir()) == ["day.toml"]


def test_a_night_without_a_charger_is_a_problem_of_the_scenario(run, day, folder):
    without = day.replace('[charger]\ncurrent = "10 A"\n', "")
    (folder / "bare.toml").write_text(without, encoding="utf-8")
    answer = run("chart", "night", "bare.toml")
    assert answer.code == 3
    assert "charger: is missing: there is no night to draw" in answer.err


def numbers(run, folder, *arguments):
    """Draw a chart and read its numbers."""
    assert run("chart", *arguments, "--out", "x.svg", "--csv", "x.csv", "--force").code == 0
    with (folder / "x.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def test_what_ifs_change_what_is_drawn(run, folder):
    plain = numbers(run, folder, "hold", "day.toml")
    larger = numbers(run, folder, "hold", "day.toml", "--bank", "2x 31-agm")
    half = numbers(run, folder, "hold", "day.toml", "--set", "bank.start_soc=0.75")
    middle = len(plain) // 2
    hours = [float(rows[middle]["hours [h]"]) for rows in (half, plain, larger)]
    assert hours == sorted(hours)
    assert hours[0] < 0.7 * hours[1]
    legs = numbers(run, folder, "legs", "day.toml", "--start", "07:00")
    assert legs[0]["start"] == "2026-05-16T07:00:00-04:00"


def test_an_angle_between_wind_and_stream_is_chosen_or_the_days_own(run, folder):
    def hours(angle):
        arguments = ("hold", "day.toml", "--against", "wind", "--angle", angle)
        return sum(float(row["hours [h]"]) for row in numbers(run, folder, *arguments))

    assert hours("0 deg") == hours("with")
    assert hours("180 deg") == hours("against")
    assert hours("with") < hours("against")


def test_hours_of_hold_go_over_thrust_or_over_wind(run, folder):
    assert "wind [kn]" not in numbers(run, folder, "hold", "day.toml")[0]
    rows = numbers(run, folder, "hold", "day.toml", "--against", "wind")
    winds = [float(row["wind [kn]"]) for row in rows]
    assert winds == sorted(winds)
    assert winds[-1] == pytest.approx(20.0)


def test_the_list_of_charts_names_every_kind(run):
    answer = run("list", "charts")
    assert answer.code == 0
    for kind in charts():
        assert f"\n{kind} " in answer.out
