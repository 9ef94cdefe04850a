"""`energysim find`: the page, the document and slips."""

import json
from dataclasses import replace

import pytest

from energysim.find import QUESTIONS
from energysim.find import run as run_module

FEW = ("--members", "8", "--workers", "1")


@pytest.fixture(autouse=True)
def coarse(monkeypatch):
    """Fewer values of the grid: what is told of them is the same."""
    few = replace(QUESTIONS["best-start"], steps=9, tolerance=600.0)
    monkeypatch.setattr(run_module, "QUESTIONS", {**QUESTIONS, "best-start": few})


@pytest.mark.slow
@pytest.mark.usefixtures("day")
def test_the_page_answers_and_says_how_sure_it_is(run):
    answer = run("find", "best-start", "day.toml", "--chance", "75 %", *FEW)
    assert (answer.code, answer.err) == (0, "")
    assert "The whole plan is moved" in answer.out
    assert "8 days were run for each value" in answer.out
    assert max(len(line) for line in answer.out.splitlines()) <= 80


@pytest.mark.slow
@pytest.mark.usefixtures("day")
def test_the_document_holds_the_stretches_and_everything_tried(run):
    answer = run("find", "best-start", "day.toml", "--chance", "0.5", *FEW, "--json")
    document = json.loads(answer.out)
    assert (document["schema"], document["what"], document["wanted"]) == (1, "best-start", 0.5)
    assert document["outcome"] in {"none", "found", "throughout"}
    values = [one["value"] for one in document["tried"]]
    assert values == sorted(values)
    for one in document["intervals"]:
        assert one["low"]["chance"]["chance"] >= 0.5


@pytest.mark.parametrize(
    "options",
    [
        ("most-fish", "day.toml"),
        ("most-wind", "day.toml", "--chance", "120%"),
        ("most-wind", "day.toml", "--chance", "often"),
        ("most-wind", "day.toml", "--leg", "The pier"),
        ("longest-hold", "day.toml", "--leg", "Nowhere"),
    ],
    ids=["question", "chance", "word", "leg-of-wind", "leg"],
)
@pytest.mark.usefixtures("day")
def test_options_that_mean_nothing_are_usage(run, options):
    assert run("find", *options).code == 2
