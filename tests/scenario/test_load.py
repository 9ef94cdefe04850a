"""From a file to a scenario, or to problems a person can act on."""

import contextlib
import io
import subprocess
import sys
import tomllib
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.errors import EnergysimError, FileError, Problem, ScenarioError
from energysim.scenario.load import load_scenario, located, overlay, validate


@pytest.fixture
def write(tmp_path):
    """Write a scenario file and return its path."""

    def writer(content, name="day.toml"):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return writer


def listed(path):
    """Every problem of a file, as (line, column, path, reason, hint)."""
    with pytest.raises(ScenarioError) as caught:
        load_scenario(path)
    assert all(one.file == str(path) for one in caught.value.problems)
    return [
        (one.line, one.column, one.path, one.reason, one.hint) for one in caught.value.problems
    ]


def test_a_good_file_loads_with_its_text_and_its_folder(write, day_text):
    path = write(day_text)
    loaded = load_scenario(path)
    assert loaded.scenario.title == "Two marks off the point"
    assert loaded.raw == tomllib.loads(day_text)
    assert (loaded.source_text, loaded.path, loaded.folder) == (day_text, path, path.parent)


def test_a_path_may_be_text(write, day_text):
    assert load_scenario(str(write(day_text))).scenario.day.water == "salt"


@pytest.mark.parametrize("mark", [b"\xef\xbb\xbf", b""], ids=["with-mark", "without"])
@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["unix", "windows"])
def test_what_windows_editors_add_does_no_harm(write, day_text, mark, end):
    path = write(mark + day_text.replace("\n", end).encode())
    assert load_scenario(path).scenario == load_scenario(write(day_text, "plain.toml")).scenario
    assert load_scenario(path).source_text == day_text


def test_standard_input_is_read_for_a_dash(monkeypatch, day_text):
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(day_text.encode())))
    loaded = load_scenario("-")
    assert loaded.path is None
    assert loaded.scenario.bank.series == 2


def test_a_problem_on_standard_input_says_so(monkeypatch):
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(b"a = ")))
    with pytest.raises(ScenarioError, match=r"^standard input:1:"):
        load_scenario("-")


def test_every_problem_shows_at_once_at_its_own_place_in_the_order_of_the_file(write, day_text):
    path = write(
        day_text.replace('beam = "7 ft"', 'beam = "7 kn"\nlenght = "3 m"')
        .replace('thrust = "80 lbf"\n', "")
        .replace("series = 2", 'series = "two"')
        .replace('course = "300 deg"', "course = 300")
    )
    lines = path.read_text().split("\n")
    found = [(line, column, key) for line, column, key, _, _ in listed(path)]
    expected = [
        ('beam = "7 kn"', '"7 kn"', "boat.beam"),
        ('lenght = "3 m"', "lenght", "boat.lenght"),
        ("[motor]", "[", "motor.thrust"),
        ('series = "two"', '"two"', "bank.series"),
        ("course = 300", "300", "leg[2].course"),
    ]
    assert found == [
        (lines.index(line) + 1, line.index(part) + 1, key) for line, part, key in expected
    ]


def test_a_missing_table_is_reported_on_the_first_line(write, day_text):
    path = write(day_text.replace("[wind]", "[window]"))
    assert (1, None, "wind") in [one[:3] for one in listed(path)]


def test_the_printed_problem_shows_place_key_value_reason_and_hint(write, day_text):
    path = write(day_text.replace('"12 kn"', '"12 KN"'))
    with pytest.raises(ScenarioError) as caught:
        load_scenario(path)
    assert str(caught.value) == (
        f"{path}:24:9: wind.speed = '12 KN': 'KN' is not a unit of speed "
        "(did you mean 'kn', of kn, m/s, km/h, mph, cm/s, ft/s?)"
    )


@pytest.mark.parametrize(
    ("good", "bad", "message"),
    [
        pytest.param(
            '"24 V"', "24 V", 'a value without quotes; write voltage = "24 V"', id="bare"
        ),
        pytest.param(
            '"06:30"', "6:30  # early", 'without quotes; write start = "6:30"', id="bare-clock"
        ),
        pytest.param('"7 ft"', "“7 ft”", "a curly quote", id="curly"),
        pytest.param('"7 ft"', "‘7 ft’", "a curly quote", id="single-curly"),
        pytest.param('beam = "', 'beam : "', 'write beam = "7 ft"', id="colon"),
        pytest.param('"7 ft"', '"7 ft', 'not closed; end the value with "', id="unclosed"),
        pytest.param('beam = "7 ft"', "beam =", "a key without a value", id="no-value"),
        pytest.param("[wind]", "wind", "write [wind] for a table", id="no-brackets"),
        pytest.param('"17 ft 6 in"', '"17\'6""', 'write "17 ft 6 in"', id="inch-marks"),
        pytest.param('"7 ft"', '"7 \\ft"', "", id="backslash"),
        pytest.param("series = 2", "series = 2\nseries = 3", "stands here twice", id="twice"),
        pytest.param("[wind]", "[boat]", "this table stands here twice", id="table-twice"),
    ],
)
def test_slips_of_spelling_are_named_in_plain_words(write, day_text, good, bad, message):
    assert good in day_text
    text = day_text.replace(good, bad, 1)
    expected = text[: text.rindex(bad)].count("\n") + 1 + bad.count("\n")
    found = listed(write(text))
    assert [one[0] for one in found] == [expected]
    assert message in f"{found[0][3]}; {found[0][4]}"


def test_slips_of_spelling_on_several_lines_show_together(write, day_text):
    text = (
        day_text.replace('"24 V"', "24 V")
        .replace('"7 ft"', "“7 ft”")
        .replace("series = 2", "series: 2")
    )
    lines = text.split("\n")
    wrong = [number for number, line in enumerate(lines, 1) if line in WRONG_LINES]
    assert len(wrong) == 3
    assert [one[0] for one in listed(write(text))] == wrong


WRONG_LINES = {"voltage = 24 V", "beam = “7 ft”", "series: 2"}


@pytest.mark.parametrize("content", ["", "  \n\n", "\ufeff"], ids=["empty", "blank", "mark"])
def test_an_empty_file_says_how_to_begin(write, content):
    assert listed(write(content))[0][3:] == ("is empty", "a day begins with [day]")


@pytest.mark.parametrize(
    ("content", "message"),
    [
        pytest.param(b"\x89PNG\r\n\x1a\n", "is not UTF-8 text", id="picture"),
        pytest.param(b"title = 'a'\n\0\0", "is not a text file", id="zeros"),
        pytest.param("title = 'é'".encode("latin-1"), r"not UTF-8 text \(line 1\)", id="latin"),
        pytest.param(
            "title = 'a'".encode("utf-16"), "saved as UTF-16; save it as UTF", id="utf16"
        ),
        pytest.param(b"#" * 5_000_001, "too large", id="huge"),
    ],
)
def test_what_is_no_text_is_a_file_error(write, content, message):
    with pytest.raises(FileError, match=message):
        load_scenario(write(content))


@pytest.mark.parametrize(
    ("name", "message"),
    [("none.toml", "there is no such file"), (".", "is a folder"), ("a\0b", "cannot be read")],
)
def test_what_cannot_be_opened_is_a_file_error(tmp_path, name, message):
    with pytest.raises(FileError, match=message):
        load_scenario(tmp_path / name)


@given(st.text(max_size=60))
@settings(max_examples=100, deadline=None)
def test_no_text_does_anything_worse_than_being_refused(tmp_path_factory, text):
    path = tmp_path_factory.mktemp("any") / "day.toml"
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    with pytest.raises(EnergysimError):
        load_scenario(path)


def all_keys(value, path=()):
    """Every way to a key or row."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield (*path, key)
            yield from all_keys(inner, (*path, key))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield from all_keys(inner, (*path, place))


ANYTHING = st.sampled_from(
    ["", "15", "kn", "-1 kn", "99 kg", 0, -1, 2.5, True, float("inf"), [], [1], {}, {"a": 1}]
)


@given(st.data())
@settings(max_examples=150, deadline=None)
def test_any_value_at_any_key_does_nothing_worse_than_being_refused(data):
    raw = tomllib.loads(DAY)
    path = data.draw(st.sampled_from(list(all_keys(raw))))
    place = raw
    for part in path[:-1]:
        place = place[part]
    place[path[-1]] = data.draw(ANYTHING)
    with contextlib.suppress(ScenarioError):
        validate(raw)


DAY = """
day = { date = 2026-05-16, timezone = "UTC" }
boat = { hull = "skiff", length = "5 m", beam = "2 m", freeboard = "0.5 m", mass = "600 kg" }
motor = { voltage = "24 V", thrust = "80 lbf", max_current = "56 A" }
bank = { chemistry = "agm", capacity = "100 Ah", series = 2 }
wind = { hour = [{ at = "06:00", speed = "9 kn", from = "S" }] }
cable = { gauge = "6 AWG", length = "4 m" }
charger = { current = "15 A", ready_by = "05:00" }
stream = { speed = "1 kn", toward = "N" }
leg = [{ do = "hold", start = "06:00", for = "2 h" }]
"""


def test_that_day_is_a_good_one():
    validate(tomllib.loads(DAY))


def test_later_layers_can_ask_for_the_place_of_a_key(write, day_text):
    loaded = load_scenario(write(day_text))
    found = loaded.locate(Problem(path="boat.hull", value="skif", reason="no such hull"))
    assert (found.file, found.line, found.column) == (str(loaded.path), 8, 8)
    header = loaded.locate(Problem(path="leg[2].name", reason="has no name"))
    assert day_text.split("\n")[header.line - 1] == "[[leg]]"
    assert loaded.positions["leg", 1].key.line == header.line


def test_problems_of_other_files_keep_their_own_place():
    inner = Problem(file="wind.csv", line=7, reason="no wind")
    outer = Problem(path="boat.hull", reason="no such hull")
    text = '[boat]\nhull = "x"\n'
    found = located(ScenarioError([inner, outer]), source_text=text, name="day.toml").problems
    assert found[1] == inner
    assert (found[0].file, found[0].line) == ("day.toml", 2)


@pytest.mark.parametrize(
    ("changes", "check"),
    [
        pytest.param({"bank.parallel": 2}, lambda day: day.bank.parallel == 2, id="a-key"),
        pytest.param(
            {"leg[2].for": "30 min"}, lambda day: day.legs[1].duration_s == 1800.0, id="a-row"
        ),
        pytest.param(
            {"charger.current": "15 A"},
            lambda day: day.charger.current_a == 15.0,
            id="new-table",
        ),
        pytest.param(
            {"bank": {"series": 3}},
            lambda day: day.bank.battery == "31-agm",
            id="a-table-laid-over",
        ),
        pytest.param({"stream": None}, lambda day: day.stream is None, id="taken-away"),
        pytest.param(
            {"bank.battery": None, "bank.chemistry": "lfp", "bank.capacity": "100 Ah"},
            lambda day: day.bank.chemistry == "lfp",
            id="another-way",
        ),
        pytest.param(
            {"leg": [{"do": "run", "start": "06:00", "for": "1 h"}]},
            lambda day: len(day.legs) == 1,
            id="a-list-replaced",
        ),
    ],
)
def test_an_option_is_laid_over_the_day(raw_day, changes, check):
    before = str(raw_day)
    assert check(validate(overlay(raw_day, changes)))
    assert str(raw_day) == before


def test_a_typo_in_an_option_is_caught_like_one_in_the_file(raw_day):
    with pytest.raises(ScenarioError, match=r"bank\.paralel = 2: .*did you mean 'parallel'"):
        validate(overlay(raw_day, {"bank.paralel": 2}))


@pytest.mark.parametrize(
    ("path", "message"),
    [
        pytest.param("leg[3].for", r"leg has 2 rows, so there is no 3", id="row-too-far"),
        pytest.param("title.x", "title is no table", id="through-a-value"),
        pytest.param("wind[1]", "wind is no list", id="table-as-list"),
        pytest.param("leg.for", "leg is no table", id="list-as-table"),
        pytest.param("new[1].x", "new has 0 rows", id="row-of-nothing"),
        pytest.param("wind..speed", "not the way to a key", id="misspelt-path"),
    ],
)
def test_an_option_that_leads_nowhere_is_named(raw_day, path, message):
    with pytest.raises(ScenarioError, match=message) as caught:
        overlay(raw_day, {path: "1 h", "boat.people": 3})
    assert [one.path for one in caught.value.problems] == [path]


def test_an_option_shares_nothing_with_the_day(raw_day):
    rows = [{"do": "run", "start": "06:00", "for": "1 h"}]
    changed = overlay(raw_day, {"leg": rows})
    changed["leg"][0]["do"] = "rest"
    changed["boat"]["people"] = 9
    assert rows[0]["do"] == "run"
    assert "people" not in raw_day["boat"]


def test_reading_a_scenario_wakes_no_heavy_library():
    code = (
        "import sys, energysim.scenario.load; "
        "print([name for name in ('numpy', 'pandas', 'scipy', 'matplotlib', 'rich', 'typer')"
        " if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_names_on_no_list_are_told_with_all_else_and_with_their_places(tmp_path, day_text):
    text = day_text.replace('"31-agm"', '"31-agn"').replace('"skiff"', '"skif"')
    text = text.replace('"1500 lb"', '"1500 lbx"')
    file = tmp_path / "day.toml"
    file.write_text(
        text + '\n[house_bank]\nchemistry = "agn"\ncapacity = "80 Ah"\nload = "9 W"\n'
    )
    with pytest.raises(ScenarioError) as caught:
        load_scenario(file)
    found = {problem.path: problem for problem in caught.value.problems}
    assert set(found) == {"boat.hull", "boat.mass", "bank.battery", "house_bank.chemistry"}
    lines = text.splitlines()
    for path, written in (("bank.battery", '"31-agn"'), ("boat.hull", '"skif"')):
        place = found[path]
        assert lines[place.line - 1][place.column - 1 :] == written
    hint = found["bank.battery"].hint
    assert hint.startswith("did you mean '31-agm'? ")
    assert "energysim list batteries" in hint
    assert len(hint) < 110  # not the whole list


def test_a_refused_kind_of_battery_is_left_to_its_reason(tmp_path, day_text):
    file = tmp_path / "day.toml"
    label = 'chemistry = "cranking"\ncapacity = "80 Ah"'
    file.write_text(day_text.replace('battery = "31-agm"', label))
    assert load_scenario(file).scenario.bank.chemistry == "cranking"
