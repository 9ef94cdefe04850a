"""`energysim day` and `check`: what is printed where, and what the options do."""

import csv
import dataclasses
import json
import re

import pytest

from energysim.results.day import DayResult, columns

NEWTONS_PER_POUND = 4.4482216152605  # exact: 0.45359237 kg x 9.80665 m/s2 (NIST SP 811)
SUFFIXES = (
    "_mps", "_n", "_w", "_va", "_wh", "_ah", "_a", "_v", "_s", "_h", "_deg", "_degc", "_m",
)  # fmt: skip
RATIOS = {
    "schema", "end_soc", "lowest_soc", "limit_soc", "end_charge", "soc_after", "thrust_share",
    "share", "end_soc_change", "full_soc", "soc_when_ready", "spread", "harder_end_soc",
    "easier_end_soc", "running_share", "soc", "charge", "count", "slow_end_soc",
    "fast_end_soc", "rate_per_h", "slow_per_h", "fast_per_h", "even_end_soc", "soc_at_plug",
    "string", "number",
}  # fmt: skip


def document(answer):
    """Read the JSON answer, refusing what JSON does not have."""

    def refuse(word):
        raise ValueError(f"{word} is no JSON")

    assert answer.code in {0, 5}, answer.err
    return json.loads(answer.out, parse_constant=refuse)


def numbers(value, key=""):
    """Yield every number of a document with its key."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from numbers(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from numbers(inner, key)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield key, value


@pytest.mark.usefixtures("day")
def test_the_page_names_the_day_and_answers_on_stdout_alone(run):
    answer = run("day", "day.toml")
    assert answer.code == 0
    assert answer.err == ""
    assert answer.out.startswith("Off the old pier (invented), Saturday 16 May 2026")
    for heading in ("The bank", "The tightest hour", "What to change", "Cautions"):
        assert heading in answer.out


@pytest.mark.usefixtures("day")
def test_a_piped_page_is_plain_and_80_columns_wide(run):
    answer = run("day", "day.toml")
    assert "\x1b" not in answer.out
    assert max(len(line) for line in answer.out.splitlines()) <= 80


@pytest.mark.usefixtures("day")
def test_columns_may_be_asked_for_in_a_pipe(run, monkeypatch):
    monkeypatch.setenv("COLUMNS", "120")
    assert 80 < max(len(line) for line in run("day", "day.toml").out.splitlines()) <= 120


@pytest.mark.usefixtures("day")
def test_the_json_answer_has_a_key_for_every_field_of_the_result(run):
    found = document(run("day", "day.toml", "--json"))
    fields = {field.name for field in dataclasses.fields(DayResult)}
    assert set(found) == {"schema"} | fields - {"series", "leg_of_step"}
    assert found["schema"] == 1
    assert [leg["name"] for leg in found["legs"]] == [
        "Out to the pier", "The pier", "Along the beach",
    ]  # fmt: skip


@pytest.mark.usefixtures("day")
def test_every_number_of_the_json_answer_says_its_unit_or_is_a_known_ratio(run):
    found = document(run("day", "day.toml", "--json"))
    unnamed = {key for key, _ in numbers(found) if not key.endswith(SUFFIXES)} - RATIOS
    assert unnamed == set()


@pytest.mark.usefixtures("day")
def test_the_clocks_of_the_json_answer_carry_their_offset(run):
    found = document(run("day", "day.toml", "--json"))
    # Eastern daylight time in May is four hours behind UTC (IANA time zone database).
    assert found["start"] == "2026-05-16T06:30:00-04:00"
    assert found["end"] == "2026-05-16T10:00:00-04:00"


@pytest.mark.usefixtures("day")
def test_the_step_table_adds_up_to_the_answer(run, folder):
    found = document(run("day", "day.toml", "--json", "--series", "steps.csv"))
    with (folder / "steps.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    steps = [float(row["step [s]"]) for row in rows]
    assert sum(steps) == pytest.approx(3.5 * 3600.0)
    amperes = [float(row["current [A]"]) for row in rows]
    drawn_ah = sum(a * s for a, s in zip(amperes, steps, strict=True)) / 3600.0
    # Six printed digits in each of some 200 rows.
    assert drawn_ah == pytest.approx(found["charge_drawn_ah"], rel=1e-5)
    volts = [float(row["bank_voltage [V]"]) for row in rows]
    watt_hours = sum(v * a * s for v, a, s in zip(volts, amperes, steps, strict=True)) / 3600.0
    # Volts and amperes are those of a step's middle and its mean: not quite their product.
    assert watt_hours == pytest.approx(found["energy_drawn_wh"], rel=2e-3)


@pytest.mark.usefixtures("day")
def test_the_step_table_names_its_columns_and_units_as_described(run, folder):
    run("day", "day.toml", "--series", "steps.csv")
    header = (folder / "steps.csv").read_text(encoding="utf-8").splitlines()[0].split(",")
    described = {f"{key} [{column.unit}]" for key, column in columns().items()}
    assert header[:2] == ["clock", "leg"]
    assert set(header[2:]) <= described


@pytest.mark.usefixtures("day")
def test_an_existing_step_table_is_kept_unless_forced(run, folder):
    (folder / "steps.csv").write_text("mine", encoding="utf-8")
    answer = run("day", "day.toml", "--series", "steps.csv")
    assert (answer.code, answer.out) == (4, "")
    assert "steps.csv: already exists (use --force to replace it)" in answer.err
    assert (folder / "steps.csv").read_text(encoding="utf-8") == "mine"
    assert run("day", "day.toml", "--series", "steps.csv", "--force").code == 0
    assert (folder / "steps.csv").read_text(encoding="utf-8").startswith("clock,leg,")
    assert sorted(path.name for path in folder.iterdir()) == ["day.toml", "steps.csv"]


@pytest.mark.usefixtures("day")
def test_units_change_the_words_and_not_the_day(run):
    found = document(run("day", "day.toml", "--json"))
    wanted_n = found["tightest"]["thrust_n"]
    said = {}
    for system, unit in (("us", "lbf"), ("metric", "N")):
        text = " ".join(run("day", "day.toml", "--units", system).out.split())
        said[system] = float(re.search(rf"wants ([\d.]+) {unit}", text)[1])
    assert said["metric"] == pytest.approx(wanted_n, abs=0.5)
    assert said["us"] == pytest.approx(wanted_n / NEWTONS_PER_POUND, abs=0.5)


@pytest.mark.parametrize(
    ("options", "code"),
    [
        pytest.param(["--strict"], 0, id="holds"),
        pytest.param(["--strict", "--wind", "60 kn"], 5, id="fails-strict"),
        pytest.param(["--wind", "60 kn"], 0, id="fails-but-nobody-asked"),
        pytest.param(["--strict", "--json", "--wind", "60 kn"], 5, id="fails-strict-json"),
    ],
)
@pytest.mark.usefixtures("day")
def test_only_strict_turns_a_failing_plan_into_an_exit_code(run, options, code):
    answer = run("day", "day.toml", *options)
    assert answer.code == code
    assert answer.out != ""


def test_a_day_may_come_from_standard_input(run, day):
    assert run("day", "-", stdin=day) == run("day", "day.toml")


def test_a_file_from_a_word_processor_with_a_byte_order_mark_and_crlf_is_read(run, day, folder):
    marked = b"\xef\xbb\xbf" + day.replace("\n", "\r\n").encode()
    (folder / "marked.toml").write_bytes(marked)
    assert run("day", "marked.toml").out == run("day", "day.toml").out


@pytest.mark.parametrize(
    ("options", "old", "new"),
    [
        pytest.param(
            ["--wind", "18 kn NW"],
            'speed = "12 kn"\nfrom = "SW"\ngust = "16 kn"',
            'speed = "18 kn"\nfrom = "NW"',
            id="wind-and-direction",
        ),
        pytest.param(
            ["--wind", "18 kn"],
            'speed = "12 kn"\nfrom = "SW"\ngust = "16 kn"',
            'speed = "18 kn"\nfrom = "SW"',
            id="wind-keeps-its-direction",
        ),
        pytest.param(
            ["--stream-scale", "0.5"],
            'flood_toward = "230 deg"',
            'flood_toward = "230 deg"\nscale = 0.5',
            id="stream-scale",
        ),
        pytest.param(["--people", "4"], "people = 2", "people = 4", id="people"),
        pytest.param(
            ["--bank", "2x 27-agm"], '"31-agm"', '"27-agm"\nparallel = 2', id="two-strings"
        ),
        pytest.param(
            ["--set", "bank.start_soc=0.9"],
            '"31-agm"',
            '"31-agm"\nstart_soc = 0.9',
            id="set-a-ratio",
        ),
        pytest.param(
            ["--set", "boat.mass=900 kg"], '"1500 lb"', '"900 kg"', id="set-a-quantity-bare"
        ),
        pytest.param(
            ["--set", 'leg[2].for="90 min"', "--set", "leg[3].speed=1.5 kn"],
            'for = "2 h"\n\n[[leg]]\nname = "Along the beach"\ndo = "creep"\n'
            'course = "045 deg"\nspeed = "1 kn"',
            'for = "90 min"\n\n[[leg]]\nname = "Along the beach"\ndo = "creep"\n'
            'course = "045 deg"\nspeed = "1.5 kn"',
            id="set-twice",
        ),
    ],
)
def test_an_option_does_what_changing_the_file_does(run, day, folder, options, old, new):
    assert day.count(old) == 1
    (folder / "changed.toml").write_text(day.replace(old, new), encoding="utf-8")
    by_option = document(run("day", "day.toml", "--json", *options))
    by_hand = document(run("day", "changed.toml", "--json"))
    # What was left to a default is told from what was given; nothing else may differ.
    by_option.pop("assumptions")
    by_hand.pop("assumptions")
    assert by_option == by_hand
    unchanged = document(run("day", "day.toml", "--json"))
    assert by_option["energy_drawn_wh"] != unchanged["energy_drawn_wh"]


def test_another_battery_takes_nothing_over_from_the_blocks_it_replaces(run, day, folder):
    old = (
        '"31-agm"\nage = "4 yr"\ntrips_a_year = 90\nusual_depth = 0.4\nwell_rate = "1 per h"\n'
        'law = "peukert"\n[[bank.block]]\nnumber = 2\ncapacity_fraction = 0.6'
    )
    (folder / "old.toml").write_text(day.replace('"31-agm"', old), encoding="utf-8")
    (folder / "new.toml").write_text(day.replace('"31-agm"', '"27-agm"'), encoding="utf-8")
    replaced = document(run("day", "old.toml", "--json", "--bank", "27-agm"))
    fresh = document(run("day", "new.toml", "--json"))
    replaced.pop("assumptions")
    fresh.pop("assumptions")
    assert replaced == fresh


@pytest.mark.usefixtures("day")
def test_another_start_moves_the_plan_and_leaves_the_tide(run):
    found = document(run("day", "day.toml", "--json", "--start", "07:00"))
    assert found["start"] == "2026-05-16T07:00:00-04:00"
    assert found["end"] == "2026-05-16T10:30:00-04:00"
    same_tide = document(run("day", "day.toml", "--json", "--set", "leg[1].start=07:00"))
    assert found["charge_drawn_ah"] == pytest.approx(same_tide["charge_drawn_ah"], rel=1e-9)


@pytest.mark.usefixtures("day")
def test_check_says_a_day_is_fine_and_how_long_it_is(run):
    answer = run("check", "day.toml")
    assert (answer.code, answer.err) == (0, "")
    assert answer.out == "day.toml: fine. 3 legs, 06:30 to 10:00.\n"


def test_check_warns_of_a_label_no_motor_can_keep(run, day, folder):
    (folder / "strong.toml").write_text(day.replace("80 lbf", "120 lbf"), encoding="utf-8")
    answer = run("check", "strong.toml")
    assert answer.code == 0
    assert answer.err.startswith("warning: ")
    assert "more than can be believed" in answer.err


@pytest.mark.usefixtures("day")
def test_what_is_taken_for_granted_is_in_the_units_asked_for_and_in_sentences(run):
    def taken(*options):
        """The lines, those broken by the page put together again."""
        out = run("day", "day.toml", "--set", "motor.shaft_length=48 in", *options).out
        part = out.partition("Taken for granted")[2].partition("Cautions\n")[0]
        return [" ".join(line.split()) for line in part.split("\n - ")[1:]]

    us, metric = taken(), taken("--units", "metric")
    assert len(us) == len(metric) > 20
    assert not [line for line in us if re.search(r"\d (degC|kg|m)\b", line)]
    assert not [line for line in metric if re.search(r"\d (degF|lb|ft)\b", line)]
    # 30.8 kg by the definition of the pound; a freeboard of 20 in and a quarter of it.
    assert "A typical 31-agm block: 110 Ah, 68 lb (common practice)." in us
    assert "A typical 31-agm block: 110 Ah, 30.8 kg (common practice)." in metric
    assert "The bow mount is 2 ft 1 in above the water." in us
    assert "The bow mount is 0.64 m above the water." in metric
    for line in us:
        assert " = " in line or (not line[0].islower() and line.endswith("."))
