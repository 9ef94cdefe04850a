"""Slips of every kind: a message that says what to do, the right exit code, nothing written."""

import re

import pytest

STREAM = re.compile(r"\[stream\].*?(?=\[\[leg\]\])", re.DOTALL)
WIND = re.compile(r"\[wind\].*?(?=\[stream\])", re.DOTALL)

# id -> what stands in the day, what is put there, and what the message must say
SLIPS = {
    "curly-quotes": ('"12 kn"', "\u201c12 kn\u201d", ["curly quote", "type plain ones"]),
    "no-quotes": ('"12 kn"', "12 kn", ["a value without quotes", 'write speed = "12 kn"']),
    "no-unit": ('"12 kn"', '"12"', ["wind.speed", "has no unit", "15 kn"]),
    "bare-number": ('"12 kn"', "12", ["wind.speed = 12", "has no unit"]),
    "unit-of-another-kind": ('"12 kn"', '"12 kg"', ["'kg' is a mass", "a speed is wanted"]),
    "unknown-unit": ('"12 kn"', '"12 KN"', ["is not a unit of speed", "'kn'"]),
    "nan-quantity": ('"12 kn"', '"nan kn"', ["wind.speed", "is not a number one can use"]),
    "nan-number": ("people = 2", "people = nan", ["boat.people", "whole number"]),
    "infinite": ('"1500 lb"', '"inf lb"', ["boat.mass", "is not a number one can use"]),
    "negative-length": ('"17 ft 6 in"', '"-17 ft"', ["boat.length", "least allowed, 2 m"]),
    "slipped-point": ('"17 ft 6 in"', '"175 ft"', ["boat.length", "most allowed, 15 m"]),
    "decimal-comma": ('"7 ft"', '"2,1 m"', ["boat.beam", "with a point"]),
    "date-that-is-not": ("2026-05-16", '"2026-02-30"', ["day.date", "does not exist"]),
    "zone-that-is-not": ("New_York", "New_Yrok", ["did you mean 'America/New_York'?"]),
    "misspelt-key": ("beam =", "baem =", ["did you mean 'beam'?", "boat.beam: is missing"]),
    "unknown-hull": ('"skiff"', '"skif"', ["no such hull", "did you mean 'skiff'?"]),
    "unknown-battery": ('"31-agm"', '"31-amg"', ["no such battery", "did you mean '31-agm'?"]),
    "gust-below-wind": ('"16 kn"', '"6 kn"', ["wind.gust", "is less than the wind itself"]),
    "no-legs": ("[[leg]]", "[[lag]]", ["lag: is not a key", "(add [[leg]])"]),
    "unknown-verb": ('"creep"', '"crawl"', ["is not one of the choices", "'creep'"]),
    "hour-24": ('"06:30"', '"24:30"', ["leg[1].start", "00:00 next day"]),
    "leg-of-no-time": ('for = "2 h"', 'for = "0 min"', ["leg[2].for", "must be more than 0 s"]),
    "leg-backwards": ('for = "2 h"', 'for = "-2 h"', ["leg[2].for", "must be more than 0 s"]),
    "legs-overlap": (
        'for = "2 h"',
        'start = "06:45"\nfor = "2 h"',
        ["leg[2].start", "06:45 is before 07:00, when the leg before it ends"],
    ),
    "leg-ends-before-it-begins": (
        'for = "2 h"',
        'until = "06:00"',
        ["leg[2].until", "put them in order, or write '06:00 next day'"],
    ),
    "legs-leave-the-day": (
        'for = "2 h"',
        'for = "24 h"\n[[leg]]\ndo = "rest"\nfor = "20 h"',
        ["leg[3].for", "more than 36 h after the plan begins"],
    ),
    "stream-events-too-short": (
        '[[stream.event]]\nat = "11:20"\nkind = "slack"\n',
        "",
        ["stream", "the plan", "add the slack or maximum"],
    ),
    "stream-without-sets": ('ebb_toward = "050 deg"', "", ["stream.ebb_toward", "is missing"]),
    "slack-with-a-speed": (
        'at = "04:50"\nkind = "slack"',
        'at = "04:50"\nkind = "slack"\nspeed = "1 kn"',
        ["stream.event[1].speed", "has no meaning at a slack"],
    ),
    "motor-of-another-voltage": (
        'voltage = "24 V"',
        'voltage = "20 V"',
        ["bank.series", "makes a bank of 24 V for a motor of 20 V"],
    ),
    "boat-that-sinks": ('"1500 lb"', '"9 t"', ["boat.mass", "would sink this hull"]),
    "label-of-a-battery-at-odds": (
        'battery = "31-agm"',
        'chemistry = "agm"\ncapacity = "100 Ah"\nreserve = "400 min"',
        ["bank.reserve", "check the label"],
    ),
    "battery-that-cranks": (
        'battery = "31-agm"',
        'chemistry = "cranking"\ncapacity = "70 Ah"',
        ["bank.chemistry", "to crank an engine for seconds", "bank.insist = true"],
    ),
    "ratings-at-odds": (
        'battery = "31-agm"',
        'battery = "31-agm"\n[[bank.rating]]\ntime = "5 h"\ncapacity = "120 Ah"',
        ["bank.rating[1]", "a gentler discharge cannot give less"],
    ),
    "block-the-bank-has-not": (
        'battery = "31-agm"',
        'battery = "31-agm"\n[[bank.tapped]]\nload = "10 W"\nnumber = 3',
        ["bank.tapped[1].number = 3", "the bank has 2 blocks to a string"],
    ),
    "house-on-two-banks": (
        'battery = "31-agm"',
        'battery = "31-agm"\nhouse_load = "9 W"\n[house_bank]\nbattery = "24-agm"\n'
        'load = "9 W"',
        ["bank.house_load", "which carries the house"],
    ),
    "age-of-a-house-bank": (
        'battery = "31-agm"',
        'battery = "31-agm"\n[house_bank]\nbattery = "24-agm"\nload = "9 W"\nage = "25 yr"',
        ["house_bank.age", "several lives"],
    ),
}


@pytest.mark.parametrize("slip", SLIPS)
@pytest.mark.parametrize("command", ["day", "check"])
def test_a_slip_in_the_scenario_is_explained(run, day, folder, command, slip):
    old, new, said = SLIPS[slip]
    assert old in day
    (folder / "day.toml").write_text(day.replace(old, new), encoding="utf-8")
    series = ["--series", "steps.csv"] if command == "day" else []
    answer = run(command, "day.toml", *series)
    assert (answer.code, answer.out) == (3, "")
    for words in said:
        assert words in answer.err
    assert re.search(r"^day\.toml:\d+", answer.err, re.MULTILINE)
    assert re.search(r"^\d+ problems? found\.$", answer.err, re.MULTILINE)
    assert [path.name for path in folder.iterdir()] == ["day.toml"]


def test_every_slip_of_a_file_is_told_at_once_in_its_order(run, day, folder):
    text = day.replace('"7 ft"', '"7"').replace("people = 2", "people = 0")
    (folder / "day.toml").write_text(text.replace('"12 kn"', '"12 kg"'), encoding="utf-8")
    answer = run("day", "day.toml")
    assert answer.code == 3
    told = [line.split(": ")[1].split(" =")[0] for line in answer.err.splitlines()[:-1]]
    assert told == ["boat.beam", "boat.people", "wind.speed"]
    assert answer.err.endswith("3 problems found.\n")


def test_the_place_is_the_line_and_column_of_the_value(run, day, folder):
    (folder / "day.toml").write_text(day.replace('"7 ft"', '"7"'), encoding="utf-8")
    lines = day.splitlines()
    line = lines.index('beam = "7 ft"') + 1
    assert run("day", "day.toml").err.startswith(f"day.toml:{line}:8: boat.beam = '7'")


@pytest.mark.parametrize(
    ("content", "code", "said"),
    [
        pytest.param(b"", 3, "day.toml: is empty", id="empty"),
        pytest.param(b" \n\n", 3, "day.toml: is empty", id="blank"),
        pytest.param(b"# only a remark\n", 3, "this table is missing", id="only-a-comment"),
        pytest.param(b"\xff\xfet\0", 4, "saved as UTF-16; save it as UTF-8", id="utf-16"),
        pytest.param(b'title = "\xe9"\n', 4, "is not UTF-8 text (line 1)", id="latin-1"),
        pytest.param(b"\x89PNG\r\n\x1a\n", 4, "is not UTF-8 text", id="a-picture"),
        pytest.param(b"a = 1\0", 4, "is not a text file", id="a-null"),
        pytest.param(b"#" * 5_000_001, 4, "too large for a scenario", id="too-large"),
    ],
)
def test_a_file_that_holds_no_scenario_is_told(run, folder, content, code, said):
    (folder / "day.toml").write_bytes(content)
    for answer in (run("day", "day.toml"), run("check", "day.toml")):
        assert (answer.code, answer.out) == (code, "")
        assert said in answer.err


@pytest.mark.parametrize(
    ("name", "said"),
    [
        pytest.param("nowhere.toml", "nowhere.toml: there is no such file", id="missing"),
        pytest.param(".", "is a folder, not a scenario file", id="folder"),
        pytest.param("a" * 300, "cannot be read", id="name-too-long"),
        pytest.param("a\0b", "cannot be read", id="null-in-the-name"),
    ],
)
def test_a_file_that_cannot_be_read_exits_with_4(run, name, said):
    for command in ("day", "check"):
        answer = run(command, name)
        assert (answer.code, answer.out) == (4, "")
        assert said in answer.err


def test_an_hour_the_clocks_skip_is_not_guessed_at(run, day, folder):
    # Daylight saving time began in the United States at 2:00 on 8 March 2026
    # (15 U.S.C. 260a: the second Sunday of March).
    text = day.replace("2026-05-16", "2026-03-08").replace('"06:30"', '"02:30"')
    (folder / "day.toml").write_text(text, encoding="utf-8")
    answer = run("day", "day.toml")
    assert answer.code == 3
    assert "02:30 does not exist on 2026-03-08: the clocks go forward over it" in answer.err


def test_nothing_on_standard_input_is_an_empty_scenario(run):
    answer = run("day", "-")
    assert (answer.code, answer.out) == (3, "")
    assert answer.err.startswith("standard input: is empty")


# --- files beside the scenario ---


def with_file(day, table, pattern, name):
    """Let the day read its stream or its wind from a file."""
    sets = '\nflood_toward = "230 deg"\nebb_toward = "050 deg"' if table == "stream" else ""
    text, count = pattern.subn(f'[{table}]\nfile = "{name}"{sets}\n\n', day)
    assert count == 1
    return text


def test_files_beside_the_scenario_are_found_from_another_folder(
    run, day, folder, currents, hourly_wind
):
    (folder / "trip").mkdir()
    text = with_file(with_file(day, "stream", STREAM, "c.csv"), "wind", WIND, "w.csv")
    (folder / "trip" / "day.toml").write_text(text, encoding="utf-8")
    (folder / "trip" / "c.csv").write_text(currents, encoding="utf-8")
    (folder / "trip" / "w.csv").write_text(hourly_wind, encoding="utf-8")
    assert run("day", "trip/day.toml").code == 0


@pytest.mark.parametrize(
    ("table", "old", "new", "code", "said"),
    [
        pytest.param("stream", None, None, 4, "there is no such file", id="stream-missing"),
        pytest.param("stream", None, "", 3, "is empty", id="stream-empty"),
        pytest.param(
            "stream", "2026-05-16 11:20", "2026-05-18 11:20", 3, "a gap of", id="stream-gap"
        ),
        pytest.param(
            "stream", "2026-05-16 11:20, slack, -\n", "", 3, "the plan", id="stream-too-short"
        ),
        pytest.param("stream", "1.6", "nan", 3, "is not a number", id="stream-nan"),
        pytest.param("stream", "(knots)", "", 3, "the speed has no unit", id="stream-no-unit"),
        pytest.param("stream", "flood,", "flod,", 3, "'flod' is not an event", id="event"),
        pytest.param(
            "stream", "Speed (knots)", "Prediction", 3, "table of heights", id="heights"
        ),
        pytest.param("wind", None, None, 4, "there is no such file", id="wind-missing"),
        pytest.param("wind", None, "", 3, "is empty", id="wind-empty"),
        pytest.param("wind", "10:30,14", "14:30,14", 3, "a gap of 6.5 h", id="wind-gap"),
        pytest.param("wind", "06:00", "07:00", 3, "add the hours", id="wind-too-late"),
        pytest.param("wind", ",12,", ",-12,", 3, "will not do for the speed", id="negative"),
        pytest.param("wind", ",12,", ",inf,", 3, "will not do for the speed", id="infinite"),
        pytest.param("wind", "[kn]", "[kg]", 3, "is a mass", id="wind-in-kilograms"),
    ],
)
def test_a_file_beside_the_scenario_that_will_not_do_is_explained(
    run, day, folder, currents, hourly_wind, table, old, new, code, said
):
    pattern, content = (STREAM, currents) if table == "stream" else (WIND, hourly_wind)
    (folder / "day.toml").write_text(
        with_file(day, table, pattern, "beside.csv"), encoding="utf-8"
    )
    if new is not None:
        assert old is None or old in content
        changed = new if old is None else content.replace(old, new)
        (folder / "beside.csv").write_text(changed, encoding="utf-8")
    answer = run("day", "day.toml", "--series", "steps.csv")
    assert (answer.code, answer.out) == (code, "")
    assert said in answer.err
    assert "beside.csv" in answer.err or "day.toml:" in answer.err
    assert not (folder / "steps.csv").exists()


# --- more than there is ---


def test_a_thrust_no_motor_of_that_power_gives_is_doubted_on_the_page(run, day, folder):
    (folder / "day.toml").write_text(day.replace("80 lbf", "120 lbf"), encoding="utf-8")
    answer = run("day", "day.toml")
    assert answer.code == 0
    told = " ".join(answer.out.split())
    assert "Warnings - 120 lbf from 56 A at 24 V" in told
    assert "That is more than can be believed" in told


def test_a_thrust_beyond_the_ideal_propeller_is_refused(run, day, folder):
    (folder / "day.toml").write_text(day.replace("80 lbf", "250 lbf"), encoding="utf-8")
    answer = run("day", "day.toml")
    assert answer.code == 3
    assert "motor.thrust" in answer.err
    assert "times what an ideal propeller of this size could make of it" in answer.err


def test_a_stream_that_has_lost_its_maximum_is_refused(run, day, folder):
    lost = '[[stream.event]]\nat = "08:02"\nkind = "flood"\nspeed = "1.6 kn"\n'
    assert lost in day
    (folder / "day.toml").write_text(day.replace(lost, ""), encoding="utf-8")
    answer = run("day", "day.toml")
    assert answer.code == 3
    assert "two slacks follow each other 6.5 h apart" in answer.err
    assert "with no maximum between" in answer.err


@pytest.mark.usefixtures("day", "folder")
def test_a_folder_is_no_place_for_a_step_table(run):
    answer = run("day", "day.toml", "--series", ".", "--force")
    assert answer.code == 4
    assert ".: is a folder; name a file" in answer.err


def test_a_hold_of_ten_minutes_is_not_cut_by_fifteen(run, day, folder):
    (folder / "day.toml").write_text(day.replace('"2 h"', '"10 min"'), encoding="utf-8")
    answer = run("day", "day.toml")
    assert answer.code == 0
    assert "What to change" in answer.out
    assert "min less, and rest" not in answer.out


def test_a_hold_the_motor_cannot_give_is_counted_as_off_station(run, day, folder):
    (folder / "day.toml").write_text(day.replace("80 lbf", "3 lbf"), encoding="utf-8")
    answer = run("day", "day.toml", "--strict")
    assert answer.code == 5
    assert "The pier" in answer.out
    assert re.search(r"cannot hold for|Does not last|Too deep", answer.out)


def test_a_load_the_bank_cannot_carry_ends_the_bank_and_says_when(run, day, folder):
    text = day.replace('"31-agm"', '"31-agm"\nhouse_load = "8 kW"')
    (folder / "day.toml").write_text(text, encoding="utf-8")
    answer = run("day", "day.toml", "--strict")
    assert answer.code == 5
    assert "Does not last: the bank gives out at 06:" in answer.out


# --- options ---


@pytest.mark.parametrize(
    ("options", "code", "said"),
    [
        pytest.param(["--wind", "20"], 2, 'for example "18 kn SW"', id="wind-no-unit"),
        pytest.param(["--wind", "-5 kn SW"], 2, "is not a wind", id="wind-negative"),
        pytest.param(["--wind", "nan kn SW"], 2, "is not a wind", id="wind-nan"),
        pytest.param(["--wind", "20 kg SW"], 3, "'kg' is a mass", id="wind-in-kilograms"),
        pytest.param(["--wind", "20 kn SWS"], 3, "wind.from", id="wind-from-nowhere"),
        pytest.param(["--stream-scale", "nan"], 3, "stream.scale", id="scale-nan"),
        pytest.param(["--stream-scale", "-1"], 3, "must be at least 0", id="scale-negative"),
        pytest.param(["--stream-scale", "much"], 2, "--stream-scale", id="scale-a-word"),
        pytest.param(["--start", "25:00"], 2, "write a time such as", id="start"),
        pytest.param(["--start", "12:00"], 3, "add the slack or maximum", id="start-too-late"),
        pytest.param(["--bank", "a few"], 2, "is not a battery of the list", id="bank-words"),
        pytest.param(["--bank", "31-amg"], 3, "did you mean '31-agm'?", id="bank-misspelt"),
        pytest.param(["--bank", "0x 31-agm"], 3, "bank.parallel = 0", id="no-strings"),
        pytest.param(["--bank", "31-lfp-36v"], 3, "for a motor of 24 V", id="bank-voltage"),
        pytest.param(["--people", "0"], 3, "boat.people = 0", id="nobody"),
        pytest.param(["--people", "2.5"], 2, "--people", id="half-a-person"),
        pytest.param(["--set", "nothing"], 2, "is not KEY=VALUE", id="set-no-value"),
        pytest.param(["--set", "boat.bean=7 ft"], 3, "did you mean 'beam'?", id="set-misspelt"),
        pytest.param(["--set", "boat.mass=nan"], 3, "has no unit", id="set-nan"),
        pytest.param(["--set", "leg[9].for=1 h"], 3, "there is no 9", id="set-no-such-leg"),
        pytest.param(["--set", "boat..mass=1 kg"], 3, "not the way to a key", id="set-path"),
        pytest.param(["--units", "furlong"], 2, "'furlong' is not one of", id="units"),
        pytest.param(["--nonsense"], 2, "No such option", id="unknown-option"),
        pytest.param(["--series", "no/such/steps.csv"], 4, "cannot be written", id="series"),
    ],
)
@pytest.mark.usefixtures("day")
def test_an_option_that_will_not_do_is_explained(run, folder, options, code, said):
    answer = run("day", "day.toml", *options)
    assert (answer.code, answer.out) == (code, "")
    assert said in " ".join(answer.err.split())
    assert [path.name for path in folder.iterdir()] == ["day.toml"]


@pytest.mark.usefixtures("day")
def test_a_problem_an_option_made_is_not_blamed_on_a_line_of_the_file(run):
    assert "day.toml:" not in run("day", "day.toml", "--set", "boat.mass=1").err
    assert "day.toml:" not in run("day", "day.toml", "--bank", "31-amg").err


def test_a_problem_of_the_file_keeps_its_line_beside_an_option(run, day, folder):
    (folder / "day.toml").write_text(day.replace('"skiff"', '"skif"'), encoding="utf-8")
    assert "day.toml:8:8: boat.hull" in run("day", "day.toml", "--people", "3").err


def test_a_refused_answer_leaves_an_old_step_table_alone(run, day, folder):
    (folder / "steps.csv").write_text("mine", encoding="utf-8")
    (folder / "day.toml").write_text(day.replace('"7 ft"', '"7"'), encoding="utf-8")
    assert run("day", "day.toml", "--series", "steps.csv", "--force").code == 3
    assert (folder / "steps.csv").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    "arguments",
    [[], ["nonsense"], ["day"], ["check"], ["list"], ["list", "boats"], ["day", "a", "b"]],
    ids=" ".join,
)
def test_a_command_that_is_not_whole_exits_with_2(run, arguments):
    answer = run(*arguments)
    assert answer.code == 2
    assert "Usage" in answer.out + answer.err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["day", "day.toml", "--units", "si"], "'si' is not one of 'us', 'metric'"),
        (["day", "day.toml", "--people", "two"], "'two' is not a whole number"),
        (["day", "day.toml", "--stream-scale", "x"], "'x' is not a number"),
        (["report", "day.toml", "--members", "0"], "0 is less than the least allowed, 1"),
        (["compare", "day.toml", "--workers", "99"], "99 is more than the most allowed, 64"),
        (["list", "boats"], "'boats' is not one of 'batteries', 'cases'"),
    ],
)
@pytest.mark.usefixtures("day")
def test_a_usage_error_is_in_our_words_and_not_in_a_librarys(run, arguments, said):
    answer = run(*arguments)
    assert (answer.code, answer.out) == (2, "")
    told = " ".join(answer.err.replace("│", " ").split())
    assert said in told
    assert not re.search(r"Value error|Input should|unable to parse", told)
