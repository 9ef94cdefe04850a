"""`energysim new`: questions to a file that runs, or to nothing at all."""

import os
import re
import tomllib
from datetime import date
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.cli.new import interview as questions
from energysim.cli.new.document import scenario_text
from energysim.cli.new.phrases import (
    bearing,
    picked,
    read_event,
    read_leg,
    read_steady_stream,
    read_wind,
    whole_number,
)
from energysim.errors import RefusedValueError
from energysim.scenario.load import load_scenario

# One answer to a line, in the order of the questions.
ANSWERS = {
    "title": "Slack to slack",
    "date": "2026-05-16",
    "zone": "America/New_York",
    "hull": "bay-boat",
    "length": "18 ft 2 in",
    "beam": "2.3 m",
    "freeboard": "22 in",
    "mass": "930 kg",
    "people": "3",
    "voltage": "24 V",
    "thrust": "356 N",
    "max_current": "56 A",
    "battery": "2x 27-agm",
    "age": "new",
    "charger": "15 A",
    "start": "5:45 am",
    "plan": "run 30 min\nhold 2 h at the channel edge\ncreep NW 1.2 kn 1 h\nrest until 11:00\n"
    "drift 0.7 kn 1 h\nrun 35 min\n",
    "wind": "11 kn SW gusting 15 kn",
    "stream": "table",
    "flood": "320",
    "ebb": "SSE",
    "table": "04:52 slack\n07:41 flood 1.9 kn\n10:37 slack\n13:58 ebb -2.4 kn\n",
}


def typed(**changes):
    """Put the answers together, some of them otherwise."""
    return "".join(f"{answer}\n" for answer in (ANSWERS | changes).values())


def written(folder):
    return sorted(path.name for path in folder.iterdir())


def test_the_answers_become_the_scenario(run, folder):
    answer = run("new", stdin=typed())
    assert answer.code == 0
    assert (answer.out, "wrote slack-to-slack.toml\n" in answer.err) == ("", True)
    assert written(folder) == ["slack-to-slack.toml"]
    raw = tomllib.loads((folder / "slack-to-slack.toml").read_text(encoding="utf-8"))
    assert raw["title"] == "Slack to slack"
    assert raw["day"] == {"date": date(2026, 5, 16), "timezone": "America/New_York"}
    assert raw["boat"] == {
        "hull": "bay-boat", "length": "18 ft 2 in", "beam": "2.3 m", "freeboard": "22 in",
        "mass": "930 kg", "people": 3,
    }  # fmt: skip
    assert raw["motor"] == {"voltage": "24 V", "thrust": "356 N", "max_current": "56 A"}
    assert raw["bank"] == {"battery": "27-agm", "parallel": 2}
    assert raw["charger"] == {"current": "15 A"}
    assert raw["wind"] == {"speed": "11 kn", "from": "SW", "gust": "15 kn"}
    assert raw["leg"] == [
        {"do": "run", "start": "5:45 am", "for": "30 min"},
        {"name": "the channel edge", "do": "hold", "for": "2 h"},
        {"do": "creep", "for": "1 h", "course": "NW", "speed": "1.2 kn"},
        {"do": "rest", "until": "11:00"},
        {"do": "drift", "for": "1 h", "drift_speed": "0.7 kn"},
        {"do": "run", "for": "35 min"},
    ]
    assert raw["stream"] == {
        "flood_toward": "320 deg",
        "ebb_toward": "SSE",
        "event": [
            {"at": "04:52", "kind": "slack"},
            {"at": "07:41", "kind": "flood", "speed": "1.9 kn"},
            {"at": "10:37", "kind": "slack"},
            {"at": "13:58", "kind": "ebb", "speed": "2.4 kn"},
        ],
    }


def test_the_file_runs_and_the_next_command_is_told(run):
    answer = run("new", stdin=typed())
    assert "  energysim day slack-to-slack.toml\n" in answer.err
    assert run("check", "slack-to-slack.toml").code == 0
    assert run("day", "slack-to-slack.toml").code == 0


def test_every_key_is_explained_once(run, folder):
    run("new", stdin=typed())
    lines = (folder / "slack-to-slack.toml").read_text(encoding="utf-8").splitlines()
    explained = set()
    table = ""
    for line in lines:
        header = re.match(r"\[+([a-z.]+)\]+", line)
        table = header[1] if header else table
        key = re.match(r"([a-z_]+) = ", line)
        if key and (table, key[1]) not in explained:
            assert re.search(r"\S\s*# \S", line), line
            explained.add((table, key[1]))
        elif key:
            assert "#" not in line
    assert ("leg", "course") in explained


def test_enter_all_the_way_makes_a_day_that_runs(run, folder):
    answer = run("new", stdin="\n" * 19)
    assert (answer.code, answer.out) == (0, "")
    assert "wrote a-day-on-the-water.toml\n" in answer.err
    assert written(folder) == ["a-day-on-the-water.toml"]
    assert run("day", "a-day-on-the-water.toml", "--strict").code == 0


def test_the_batteries_own_label_may_stand_in_for_the_list(run, folder):
    own = "label\n2\n6 V\n220 Ah\nnone"
    assert run("new", "own.toml", stdin=typed(battery=own)).code == 0
    raw = tomllib.loads((folder / "own.toml").read_text(encoding="utf-8"))
    assert raw["bank"] == {"chemistry": "agm", "capacity": "220 Ah", "block_voltage": "6 V"}


@pytest.mark.parametrize(
    ("answer", "kept"),
    [
        ("3 yr", {"age": "3 yr"}),
        ("85 %", {"capacity_fraction": 0.85}),
        ("NEW", {}),
        ("none", {}),
    ],
)
def test_used_batteries_are_told_by_their_age_or_by_what_is_left(run, folder, answer, kept):
    assert run("new", "used.toml", stdin=typed(age=answer)).code == 0
    raw = tomllib.loads((folder / "used.toml").read_text(encoding="utf-8"))
    assert raw["bank"] == {"battery": "27-agm", "parallel": 2, **kept}


def test_no_charger_no_stream_and_a_calm_leave_their_tables_out(run, folder):
    text = typed(charger="none", wind="calm", stream="none", flood="", ebb="", table="")
    assert run("new", "still.toml", stdin=text).code == 0
    raw = tomllib.loads((folder / "still.toml").read_text(encoding="utf-8"))
    assert set(raw) == {"title", "day", "boat", "motor", "bank", "wind", "leg"}
    assert raw["wind"]["speed"] == "0 kn"


def test_a_steady_stream_is_a_speed_and_a_set(run, folder):
    text = typed(stream="steady", flood="1.4 kn toward 045", ebb="", table="")
    assert run("new", "river.toml", stdin=text).code == 0
    raw = tomllib.loads((folder / "river.toml").read_text(encoding="utf-8"))
    assert raw["stream"] == {"speed": "1.4 kn", "toward": "045 deg"}


STRAIGHT = []


def straight_through(run, folder):
    """Return the file and the talk of answers that are right at once; asked for only once."""
    if not STRAIGHT:
        answer = run("new", "straight.toml", stdin=typed())
        text = (folder / "straight.toml").read_text(encoding="utf-8")
        STRAIGHT.append((text, answer.err))
    return STRAIGHT[0]


@pytest.mark.parametrize(
    ("question", "bad", "said"),
    [
        ("date", "16/5", "is not a date (write it as 2026-05-16)"),
        ("zone", "new york", "did you mean 'America/New_York'?"),
        ("hull", "bay", "did you mean bay-boat?"),
        ("hull", "99", "'99' is not on the list"),
        ("length", "18", "'18' has no unit"),
        ("length", "18 kg", "'kg' is a mass"),
        ("length", "-5 m", "is less than the least allowed, 2 m"),
        ("beam", "nan m", "is not a number one can use"),
        ("mass", "\u201c930 kg\u201d", "cannot be read as a mass"),
        ("people", "2.5", "'2.5' is not a whole number"),
        ("people", "0", "must be at least 1"),
        ("thrust", "356", "has no unit"),
        ("battery", "31", "did you mean 31-flooded or 31-agm"),
        ("battery", "0x 31-agm", "must be at least 1"),
        ("age", "old", "'old' has no number"),
        ("age", "3", "has no unit"),
        ("age", "120 %", "bank.capacity_fraction: must be at most 1"),
        (
            "battery",
            "31-lfp-36v\nnew",
            "bank.series: makes a bank of 38.4 V for a motor of 24 V",
        ),
        ("charger", "15 V", "'V' is a voltage"),
        ("start", "25:00", "does not exist"),
        ("plan", "hoover 2 h", "a leg begins with one of run, hold, creep, drift, rest"),
        ("plan", "hold 2 kg", "'kg' is a mass"),
        ("plan", "creep 1.2 kn 1 h", "write it as 'creep 045 1.2 kn 1 h'"),
        ("plan", "hold 30 h", "is more than the most allowed, 24 h"),
        ("wind", "11 kn", "is not a wind"),
        ("wind", "11 kn SW gusting 9 kn", "is less than the wind itself"),
        ("stream", "maybe", "is not one of none, steady, table"),
        ("flood", "320 deg M", "is a magnetic bearing"),
        ("table", "07:41 flood", "a maximum (flood) has a speed"),
        ("table", "07:41 flood 1.9 kg", "'kg' is a mass"),
        ("table", "07:41 high water", "is not a line of a current table"),
        ("table", "25:10 slack", "does not exist"),
    ],
)
def test_a_bad_answer_is_asked_again_with_the_reason(run, folder, question, bad, said):
    plain = run("new", "plain.toml", stdin=typed())
    answer = run("new", "again.toml", stdin=typed(**{question: f"{bad}\n{ANSWERS[question]}"}))
    assert (plain.code, answer.code) == (0, 0)
    assert said not in plain.err
    assert said in answer.err
    files = [
        (folder / name).read_text(encoding="utf-8") for name in ("plain.toml", "again.toml")
    ]
    assert files[0] == files[1]


def test_a_table_too_short_for_the_plan_asks_for_the_lines_that_lack(run, folder):
    forgotten = "07:41 flood 1.9 kn\n10:37 slack\n13:58 ebb 2.4 kn\n\n04:52 slack\n"
    answer = run("new", "short.toml", stdin=typed(table=forgotten))
    assert answer.code == 0
    assert "add the slack or maximum before the first leg" in answer.err
    raw = tomllib.loads((folder / "short.toml").read_text(encoding="utf-8"))
    assert [event["at"] for event in raw["stream"]["event"]] == [
        "04:52", "07:41", "10:37", "13:58",
    ]  # fmt: skip


def test_a_line_after_midnight_is_the_next_days_and_says_so(run, folder):
    night = "19:00 slack\n22:10 flood 1.2 kn\n01:20 slack\n04:30 ebb 1.4 kn\n"
    plan = "run 30 min\nhold until 03:30\n"
    answer = run("new", "night.toml", stdin=typed(start="21:00", plan=plan, table=night))
    assert answer.code == 0
    raw = tomllib.loads((folder / "night.toml").read_text(encoding="utf-8"))
    assert [event["at"] for event in raw["stream"]["event"]] == [
        "19:00", "22:10", "01:20 next day", "04:30 next day",
    ]  # fmt: skip
    assert run("check", "night.toml").code == 0


def test_questions_and_the_name_of_the_file_go_to_stderr(run):
    answer = run("new", stdin=typed())
    assert (answer.out, "wrote slack-to-slack.toml\n" in answer.err) == ("", True)
    assert answer.err.count("Kind of boat") == 1


@pytest.mark.parametrize("lines", range(0, 30, 3))
def test_answers_that_end_too_early_write_nothing_and_exit_with_2(run, folder, lines):
    text = "".join(line + "\n" for line in typed().splitlines()[:lines])
    answer = run("new", stdin=text)
    assert (answer.code, answer.out) == (2, "")
    assert re.search(r"the answers end at ['\"].+['\"]; nothing is written", answer.err)
    assert written(folder) == []


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        pytest.param(b"caf\xe9\n" * 40, "is not UTF-8 text", id="latin-1"),
        pytest.param(b"x" * 600 + b"\n", "is too long", id="a-file-poured-in"),
    ],
)
def test_answers_that_are_no_answers_write_nothing(run, folder, answers, said):
    answer = run("new", stdin=answers)
    assert (answer.code, answer.out) == (2, "")
    assert said in answer.err
    assert written(folder) == []


@pytest.mark.parametrize(
    ("arguments", "stands", "said"),
    [
        pytest.param(["mine.toml"], "mine.toml", "already exists (use --force", id="named"),
        pytest.param([], "slack-to-slack.toml", "already exists (use --force", id="by-title"),
        pytest.param(["no/such/day.toml"], None, "there is no folder no/such", id="no-folder"),
        pytest.param(["."], None, "is a folder", id="a-folder"),
    ],
)
def test_a_place_that_cannot_be_written_is_told_before_the_questions(
    run, folder, arguments, stands, said
):
    if stands:
        (folder / stands).write_text("mine", encoding="utf-8")
    answer = run("new", *arguments, stdin=typed())
    assert (answer.code, answer.out) == (4, "")
    assert said in answer.err
    assert "Kind of boat" not in answer.err
    assert written(folder) == ([stands] if stands else [])
    if stands:
        assert (folder / stands).read_text(encoding="utf-8") == "mine"


def test_force_replaces_a_file(run, folder):
    (folder / "mine.toml").write_text("mine", encoding="utf-8")
    assert run("new", "mine.toml", "--force", stdin=typed()).code == 0
    assert load_scenario(folder / "mine.toml").scenario.title == "Slack to slack"
    assert written(folder) == ["mine.toml"]


def test_a_name_with_blanks_is_quoted_in_the_next_command(run):
    answer = run("new", "my day.toml", stdin=typed())
    assert "  energysim day 'my day.toml'\n" in answer.err


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Saturday's Tide!", "saturday-s-tide.toml"),
        ("Élan au môle", "elan-au-mole.toml"),
        ("\u6f6e", "day.toml"),
        ("../../etc/passwd", "etc-passwd.toml"),
        ("w" * 100, f"{'w' * 40}.toml"),
    ],
)
def test_the_file_is_named_after_the_day(run, folder, title, name):
    answer = run("new", stdin=typed(title=title))
    assert f"wrote {name}\n" in answer.err
    assert load_scenario(folder / name).scenario.title == title


def test_what_is_doubtful_is_told_with_the_file(run):
    answer = run("new", stdin=typed(thrust="120 lbf"))
    assert answer.code == 0
    assert "warning: " in answer.err
    assert "more than can be believed" in answer.err


@pytest.mark.parametrize("zone", ["Europe/Dublin", "Pacific/Auckland"])
def test_the_machines_own_zone_is_offered(run, monkeypatch, zone):
    monkeypatch.setenv("TZ", zone)
    assert f"[{zone}]: " in run("new", stdin="\n\n").err


@pytest.mark.parametrize("zone", ["UTC", "Etc/UTC", "/etc/hosts", "Mars/Olympus", "../../etc"])
def test_a_machine_without_a_zone_of_its_own_is_offered_the_usual_one(
    run, folder, monkeypatch, zone
):
    monkeypatch.setenv("TZ", zone)
    monkeypatch.setattr(questions, "LOCAL_TIME_FILE", str(folder / "localtime"))
    assert "[America/New_York]: " in run("new", stdin="\n\n").err


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="needs links")
def test_the_zone_is_found_behind_the_machines_link(run, folder, monkeypatch):
    target = folder / "share" / "zoneinfo" / "Asia" / "Tokyo"
    target.parent.mkdir(parents=True)
    target.touch()
    (folder / "localtime").symlink_to(target)
    monkeypatch.delenv("TZ", raising=False)
    monkeypatch.setattr(questions, "LOCAL_TIME_FILE", str(folder / "localtime"))
    assert "[Asia/Tokyo]: " in run("new", stdin="\n\n").err
    assert ZoneInfo("Asia/Tokyo").key == "Asia/Tokyo"


# --- the words of an answer ---


@pytest.mark.parametrize(
    ("words", "leg"),
    [
        ("hold 2 h", {"do": "hold", "for": "2 h"}),
        ("HOLD for 90 minutes", {"do": "hold", "for": "90 minutes"}),
        ("hold till 13:30", {"do": "hold", "until": "13:30"}),
        ("hold until 1:30 pm at Mark 4", {"name": "Mark 4", "do": "hold", "until": "1:30 pm"}),
        ("hold 1 h 30 min on the bar", {"name": "the bar", "do": "hold", "for": "1 h 30 min"}),
        ("run 30min", {"do": "run", "for": "30min"}),
        (
            "creep 045 deg 1.2kn 1 h",
            {"do": "creep", "course": "045 deg", "speed": "1.2kn", "for": "1 h"},
        ),
        (
            "creep south west at 2 km/h until 12:00",
            {"do": "creep", "course": "south west", "speed": "2 km/h", "until": "12:00"},
        ),
        ("drift at 0.7 kn 1 h", {"do": "drift", "drift_speed": "0.7 kn", "for": "1 h"}),
        ("drift 0.7 kn, for 1 h", {"do": "drift", "drift_speed": "0.7 kn", "for": "1 h"}),
    ],
)
def test_a_leg_is_read_from_its_words(words, leg):
    assert read_leg(words) == leg


@pytest.mark.parametrize(
    "words", ["hold", "hold the mark", "creep 1 h", "drift 1 h", "run home"]
)
def test_a_leg_that_is_not_whole_is_refused_with_an_example(words):
    with pytest.raises(RefusedValueError, match=r"is not a whole leg; write it as '"):
        read_leg(words)


@pytest.mark.parametrize(
    ("words", "wind"),
    [
        ("14 kn SW", {"speed": "14 kn", "from": "SW"}),
        ("14kn from 225", {"speed": "14kn", "from": "225 deg"}),
        ("7 m/s, south west, gusts to 11 m/s",
         {"speed": "7 m/s", "from": "south west", "gust": "11 m/s"}),
        ("14 mph 225 deg gust 20 mph",
         {"speed": "14 mph", "from": "225 deg", "gust": "20 mph"}),
    ],
)  # fmt: skip
def test_a_wind_is_read_from_its_words(words, wind):
    assert read_wind(words) == wind


@pytest.mark.parametrize(
    ("words", "event"),
    [
        ("04:50 slack", {"at": "04:50", "kind": "slack"}),
        ("8:02 am Flood 1.9 kn", {"at": "8:02 am", "kind": "flood", "speed": "1.9 kn"}),
        ("01:10 next day, max ebb, -2.1 kn",
         {"at": "01:10 next day", "kind": "ebb", "speed": "2.1 kn"}),
    ],
)  # fmt: skip
def test_a_line_of_a_table_is_read_from_its_words(words, event):
    assert read_event(words) == event


@pytest.mark.parametrize(
    "words", ["1.2 kn 045", "1.2 kn to 045", "1.2 kn, sets 045", "1.2 kn sets to 045"]
)
def test_a_steady_stream_is_read_from_its_words(words):
    assert read_steady_stream(words) == {"speed": "1.2 kn", "toward": "045 deg"}


def test_a_negative_flood_is_left_for_the_scenario_to_refuse():
    assert read_event("08:02 flood -1.9 kn")["speed"] == "-1.9 kn"


def test_a_bearing_without_a_unit_is_degrees_and_nothing_else_changes():
    assert [bearing(text) for text in ("7", "045", "359.5", "NNW", "0.5 rad", "1234")] == [
        "7 deg", "045 deg", "359.5 deg", "NNW", "0.5 rad", "1234",
    ]  # fmt: skip


def test_a_row_is_picked_by_name_in_any_case_or_by_number():
    rows = [("skiff", ""), ("bay-boat", "")]
    assert [picked(answer, rows) for answer in ("2", "SKIFF", "bay-boat")] == [
        "bay-boat", "skiff", "bay-boat",
    ]  # fmt: skip
    for answer in ("0", "3", "-1", "boat", "\u0662"):
        with pytest.raises(RefusedValueError, match="is not on the list"):
            picked(answer, rows)


@pytest.mark.parametrize("answer", ["2.0", "two", "1e3", "", "\u0663", "9" * 30])
def test_only_plain_digits_are_a_whole_number(answer):
    with pytest.raises(RefusedValueError, match="is not a whole number"):
        whole_number(answer)


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\r"), max_size=30))
@settings(max_examples=200)
def test_any_text_comes_back_from_the_file_as_it_was_typed(title):
    # Against the standard library's TOML parser. Line ends are the reader's to normalise.
    raw = {"title": title, "leg": [{"name": title}]}
    read = tomllib.loads(scenario_text(raw))
    assert read == raw


def test_any_listed_battery_is_taken_by_name_but_only_the_usual_cases_shown(run, folder):
    answer = run("new", "marine.toml", stdin=typed(battery="2x 31M-agm"))
    assert answer.code == 0
    raw = tomllib.loads((folder / "marine.toml").read_text(encoding="utf-8"))
    assert raw["bank"] == {"battery": "31m-agm", "parallel": 2}
    assert "31-agm" in answer.err
    assert "8d-flooded" not in answer.err
    assert "More cases, by name: energysim list cases" in answer.err
