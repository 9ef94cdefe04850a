"""`energysim compare`: what is printed where, and what is written."""

import json
import re

import pytest

from energysim.cli.progress import telling

OPTIONS = """
[options]
cases = [24, 31]
chemistries = ["agm", "lfp"]

[[option]]
name = "a name so long that no column of the table could ever hold it in a line"
bank.battery = "27-agm"

[[option]]
name = "36 V on 24 V"
bank.battery = "31m-lfp-36v"
"""


@pytest.fixture
def shop(day, folder):
    """The day with options."""
    del day
    text = (folder / "day.toml").read_text(encoding="utf-8")
    (folder / "day.toml").write_text(text + OPTIONS, encoding="utf-8")


@pytest.mark.usefixtures("shop")
def test_the_page_is_plain_80_columns_wide_and_has_every_table(run):
    answer = run("compare", "day.toml")
    assert (answer.code, answer.err) == (0, "")
    assert "\x1b" not in answer.out
    assert max(len(line) for line in answer.out.splitlines()) <= 80
    headings = ["The day", "In the boat", "What it costs", "Against the boat as it is",
                "Cannot be", "Cautions"]  # fmt: skip
    places = [answer.out.index(f"\n{heading}\n") for heading in headings]
    assert places == sorted(places)
    assert "--csv FILE or --json has everything" in re.sub(r"\s+", " ", answer.out)
    assert "…" not in answer.out  # nothing is cut


@pytest.mark.usefixtures("shop")
def test_no_answer_says_that_anything_is_safe_or_complies(run, folder):
    page = str(folder / "page.html")
    for arguments in ((), ("--json",), ("--page", page), ("--help",)):
        out = run("compare", "day.toml", *arguments).out.lower()
        assert not re.search(r"\b(un)?safe(ly|ty)?\b|\bcompl(y|ies|iant)\b", out)
    sheet = (folder / "page.html").read_text(encoding="utf-8").lower()
    sheet = sheet[sheet.index("<title>") :]  # a policy for browsers stands before it
    assert not re.search(r"\b(un)?safe(ly|ty)?\b|\bcompl(y|ies|iant)\b", sheet)


@pytest.mark.usefixtures("shop")
def test_rank_changes_the_order_and_the_rule_is_printed(run):
    by_day = json.loads(run("compare", "day.toml", "--json").out)
    by_weight = json.loads(run("compare", "day.toml", "--json", "--rank", "weight").out)
    assert (by_day["rank"], by_weight["rank"]) == ("day", "weight")
    assert by_weight["options"][0]["name"] == "24-lfp"
    page = re.sub(r"\s+", " ", run("compare", "day.toml", "--rank", "weight").out)
    assert f"In order by 'weight': {by_weight['rule']}" in page
    assert run("compare", "day.toml", "--rank", "beauty").code == 2


@pytest.mark.usefixtures("shop")
def test_files_are_written_and_not_over_others(run, folder):
    done = run("compare", "day.toml", "--csv", "all.csv", "--page", "sheet.html")
    assert done.code == 0
    assert (folder / "all.csv").read_text(encoding="utf-8").startswith("place,name,bank,")
    assert (folder / "sheet.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert run("compare", "day.toml", "--csv", "all.csv").code == 4
    assert run("compare", "day.toml", "--csv", "all.csv", "--force").code == 0


@pytest.mark.usefixtures("shop")
def test_units_may_be_metric(run):
    assert re.search(r"\d lb", run("compare", "day.toml").out)
    metric = run("compare", "day.toml", "--units", "metric").out
    assert re.search(r"\d kg", metric)
    assert " lb" not in metric


@pytest.mark.usefixtures("day")
def test_a_day_without_options_is_refused(run):
    answer = run("compare", "day.toml")
    assert answer.code == 3
    assert "nothing to compare" in answer.err


@pytest.mark.usefixtures("shop")
def test_a_long_comparison_shows_twenty_and_says_what_it_leaves_out(run, folder):
    text = (folder / "day.toml").read_text(encoding="utf-8")
    text = text.replace("cases = [24, 31]", "cases = [24, 27, 31]\nstrings = [1, 2, 3, 4]")
    (folder / "day.toml").write_text(text, encoding="utf-8")
    out = run("compare", "day.toml").out
    told = len(json.loads(run("compare", "day.toml", "--json").out)["options"])
    assert told == 26
    assert "and 6 more options, not shown here." in out
    assert re.search(r"^20 ", out, flags=re.MULTILINE)
    assert not re.search(r"^21 ", out, flags=re.MULTILINE)


def test_progress_is_told_on_a_terminal_after_a_second_only(monkeypatch, capsys):
    clock = iter([0.0, 0.5, 1.5, 2.0])
    monkeypatch.setattr("time.monotonic", lambda: next(clock))
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    tell = telling("options")
    tell(1, 3)
    assert capsys.readouterr().err == ""
    tell(2, 3)
    tell(3, 3)
    assert capsys.readouterr().err == "\r2 of 3 options\r3 of 3 options\r\x1b[K"
    monkeypatch.setattr("sys.stderr.isatty", lambda: False)
    assert telling("options") is None
