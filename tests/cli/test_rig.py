"""`energysim rig`: what is printed where."""

import json
import re

import pytest

SUFFIXES = ("_a", "_v", "_m", "_m2", "_n", "_w", "_s", "_wh")
RATIOS = {"schema", "drop_energy_share"}


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
def test_the_page_is_plain_80_columns_wide_and_grouped(run):
    answer = run("rig", "day.toml")
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.startswith("How 'Off the old pier (invented)' is rigged")
    assert "\x1b" not in answer.out
    assert max(len(line) for line in answer.out.splitlines()) <= 80
    headings = ["The leads", "Breaker or fuse", "The plug at the bow",
                "Where the batteries stand", "Charger, circuit and cord", "The shaft",
                "Not told, and taken on the careful side (*)", "Cautions"]  # fmt: skip
    places = [answer.out.index(f"\n{heading}\n") for heading in headings]
    assert places == sorted(places)
    assert "never an approval" in answer.out


@pytest.mark.usefixtures("day")
def test_no_page_says_that_anything_is_safe_or_complies(run):
    for arguments in (("rig", "day.toml"), ("rig", "day.toml", "--json"), ("rig", "--help")):
        out = run(*arguments).out.lower()
        assert not re.search(r"\b(un)?safe(ly|ty)?\b|\bcompl(y|ies|iant)\b", out)


@pytest.mark.usefixtures("day")
def test_the_counts_of_the_headline_are_those_of_the_lines(run):
    out = run("rig", "day.toml").out
    words = re.sub(r"\s+", " ", out)
    found = re.search(r"(\d+) cautions?, (\d+) to look at again, (\d+) within", words)
    lines = re.findall(r"^  (caution|look again|pass) ", out, flags=re.MULTILINE)
    counts = [lines.count(word) for word in ("caution", "look again", "pass")]
    assert [int(count) for count in found.groups()] == counts


@pytest.mark.usefixtures("day")
def test_units_may_be_metric(run):
    us, metric = run("rig", "day.toml").out, run("rig", "day.toml", "--units", "metric").out
    assert re.search(r"at least \d+ lbf", us)
    assert re.search(r"at least \d+\.\d in2", us)
    assert re.search(r"at least \d+ N", metric)
    assert re.search(r"at least \d+\.\d cm2", metric)
    assert re.search(r"at least \d+ cm", metric)


@pytest.mark.usefixtures("day")
def test_the_json_answer_is_one_document_whose_keys_bear_their_units(run):
    answer = run("rig", "day.toml", "--json")
    assert (answer.code, answer.err) == (0, "")
    found = json.loads(answer.out)
    assert found["schema"] == 1
    assert found["verdict"] == "caution"
    unnamed = {key for key, _ in numbers(found) if not key.endswith(SUFFIXES)}
    assert unnamed <= RATIOS
    for check in found["checks"]:
        assert {"key", "group", "name", "bound", "verdict", "why", "unknown", "source"} <= set(
            check
        )
    size = next(check for check in found["checks"] if check["key"] == "cable_size")
    assert size["number_words"] == "6 AWG"
    assert size["number_m2"] == pytest.approx(13.1e-6, rel=0.01)


@pytest.mark.usefixtures("day")
def test_a_day_that_is_not_valid_is_refused_as_everywhere(run, folder):
    text = (folder / "day.toml").read_text(encoding="utf-8")
    (folder / "day.toml").write_text(text + '\n[breaker]\nrating = "60"\n', encoding="utf-8")
    answer = run("rig", "day.toml")
    assert answer.code == 3
    assert "breaker.rating" in answer.err
    assert answer.out == ""
    assert run("rig", "nowhere.toml").code == 4


def test_the_command_has_a_help_with_an_example(run):
    assert "rig" in run("--help").out
    answer = run("rig", "--help")
    assert answer.code == 0
    assert "energysim rig estuary.toml" in answer.out


@pytest.mark.parametrize("story", ["estuary", "headland", "lake"])
def test_every_example_can_be_looked_at(run, story):
    assert run("example", story, "--into", "here").code == 0
    answer = run("rig", f"here/{story}.toml")
    assert (answer.code, answer.err) == (0, "")
    assert max(len(line) for line in answer.out.splitlines()) <= 80
