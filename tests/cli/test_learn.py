"""`energysim learn`: the page, the document, the files it writes, and what is refused."""

import json
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest

ESTUARY = Path(__file__).parents[2] / "scenarios" / "estuary"
ARGUMENTS = ("learn", "estuary.toml", "log.csv")


@pytest.fixture
def estuary(folder):
    """The shipped estuary and its log, copied, in long steps."""
    for name in ("wind.csv", "currents.csv", "log.csv"):
        shutil.copy(ESTUARY / name, folder / name)
    text = (ESTUARY / "estuary.toml").read_text(encoding="utf-8")
    quick = text.replace("[day]\n", '[day]\nstep = "300 s"\n')
    (folder / "estuary.toml").write_text(quick, encoding="utf-8")
    return folder


@pytest.mark.slow
def test_the_page_ends_in_a_command_that_runs_as_it_stands_and_costs_more(run, estuary):
    answer = run(*ARGUMENTS, "--out", "learned.toml", "--scenario", "mine.toml")
    assert answer.code == 0, answer.err
    assert "wrote learned.toml" in answer.err
    assert "Drag of the water" in answer.out
    assert max(map(len, answer.out.splitlines())) <= 80
    command = answer.out[answer.out.index("energysim day") :].replace("\\\n", " ")
    told = run(*shlex.split(command)[1:], "--json")
    assert told.code == 0, told.err
    # The log was made with more drag and a smaller bank: the day ends lower than was planned,
    # and the written scenario is the same day as the command.
    days = [run("day", "estuary.toml", "--json"), told, run("day", "mine.toml", "--json")]
    before, after, mine = (json.loads(one.out) for one in days)
    assert after["end_soc"] < before["end_soc"] - 0.02
    assert mine["end_soc"] == pytest.approx(after["end_soc"], abs=1e-9)
    keys = tomllib.loads((estuary / "learned.toml").read_text())
    assert keys["bank"]["capacity_fraction"] == pytest.approx(0.88, abs=0.03)


@pytest.mark.slow
def test_the_document_names_every_factor_with_its_interval(run, estuary):
    assert estuary.exists()
    answer = run(*ARGUMENTS, "--json")
    assert (answer.code, answer.err) == (0, "")
    document = json.loads(answer.out)
    assert document["schema"] == 1
    assert [one["key"] for one in document["factors"]] == [
        "boat.drag_factor", "boat.wind_factor", "bank.capacity_fraction", "bank.resistance",
    ]  # fmt: skip
    for one in document["factors"]:
        assert one["low"] < one["value"] < one["high"]
        assert one["low_as_forecast"] <= one["low"]


@pytest.mark.parametrize("option", ["--out", "--scenario"])
def test_a_file_that_exists_is_left_alone_and_nothing_else_is_written(run, estuary, option):
    (estuary / "old.toml").write_text("kept")
    other = "--scenario" if option == "--out" else "--out"
    answer = run(*ARGUMENTS, option, "old.toml", other, "new.toml")
    assert answer.code == 4
    assert "old.toml: already exists (use --force" in answer.err
    assert (estuary / "old.toml").read_text() == "kept"
    assert not (estuary / "new.toml").exists()


def test_one_file_for_both_is_a_slip_of_usage(run, estuary):
    answer = run(*ARGUMENTS, "--out", "new.toml", "--scenario", "new.toml")
    assert answer.code == 2
    assert not (estuary / "new.toml").exists()


def test_a_log_that_is_missing_is_said(run, estuary):
    assert estuary.exists()
    answer = run("learn", "estuary.toml", "none.csv")
    assert answer.code == 4
    assert "none.csv: there is no such file" in answer.err
    assert run("learn", "estuary.toml").code == 2


WRONG = {
    "word": ("2026-05-16 09:45:30,0.11,25.79", "2026-05-16 09:45:30,full,25.79", "log.csv:4:"),
    "other-day": ("2026-05-16", "2026-05-17", "the log runs from 17 May 2026"),
    "one-block": (",25.", ",12.", "name the column 'block voltage [V]'"),
}


@pytest.mark.parametrize(("old", "new", "said"), WRONG.values(), ids=WRONG)
def test_a_wrong_log_is_refused_with_its_place_and_nothing_is_written(
    run, estuary, old, new, said
):
    log = estuary / "log.csv"
    text = log.read_text()
    if "block" in said:
        text = text.replace(",24.", new)
    log.write_text(text.replace(old, new))
    answer = run(*ARGUMENTS, "--out", "new.toml")
    assert (answer.code, answer.out) == (3, "")
    assert said in answer.err.replace("\n", " ")
    assert not (estuary / "new.toml").exists()
