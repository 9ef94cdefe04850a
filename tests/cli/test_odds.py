"""`energysim odds`: the page, the document, and what happens when it is stopped."""

import json
import os
import signal
import subprocess
import sys
import time

import pytest

# Chop, so that there is enough to do to be interrupted in the middle of it.
CHOP = '\n[chop]\nfetch = "2 km"\n'
FEW = ("--members", "60", "--workers", "1")


@pytest.mark.usefixtures("day")
def test_the_page_says_how_many_of_100_days_come_off(run):
    answer = run("odds", "day.toml", *FEW)
    assert (answer.code, answer.err) == (0, "")
    assert "In 100 such days about" in answer.out
    assert "What the spread hangs on" in answer.out
    assert "60 days were run" in answer.out
    assert "Not drawn, and the same every day" in answer.out
    assert max(len(line) for line in answer.out.splitlines()) <= 80


@pytest.mark.usefixtures("day")
def test_the_document_holds_chances_legs_marks_and_shares_and_is_the_same_again(run):
    answer = run("odds", "day.toml", *FEW, "--seed", "4", "--json")
    document = json.loads(answer.out)
    assert document["schema"] == 1
    assert (document["members"], document["seed"]) == (60, 4)
    chance = document["whole_plan"]
    assert 0.0 <= chance["low"] <= chance["chance"] <= chance["high"] <= 1.0
    assert [leg["name"] for leg in document["legs"]] == [
        "Out to the pier", "The pier", "Along the beach",
    ]  # fmt: skip
    assert document["legs"][0]["held"] is None
    assert len({source["key"] for source in document["sources"]}) == 19
    assert not [key for key in document if key.startswith("member_")]
    assert run("odds", "day.toml", *FEW, "--seed", "4", "--json").out == answer.out
    assert run("odds", "day.toml", *FEW, "--seed", "5", "--json").out != answer.out


def test_the_scenario_says_how_many_how_old_and_how_far_out(run, day, folder):
    table = '\n[uncertainty]\nmembers = 30\nseed = 9\nlead = "30 h"\nwind_error = "0 kn"\n'
    (folder / "day.toml").write_text(day + table, encoding="utf-8")
    document = json.loads(run("odds", "day.toml", "--workers", "1", "--json").out)
    assert (document["members"], document["seed"]) == (30, 9)
    assert document["lead_s"] == 108_000.0
    spreads = {source["key"]: source for source in document["sources"]}
    assert spreads["wind_error"]["spread"] == spreads["wind_error"]["share"] == 0.0


@pytest.mark.usefixtures("day")
def test_a_key_may_be_set_for_once(run):
    plain = json.loads(run("odds", "day.toml", *FEW, "--json").out)
    more = json.loads(run("odds", "day.toml", *FEW, "--json", "--set", "bank.parallel=2").out)
    assert more["end_soc"]["p50"] > plain["end_soc"]["p50"] + 0.03


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("wind_error = 1.0", "has no unit"),
        ("motor = 1.5", "at most 1"),
        ("members = 0", "at least 1"),
        ('lead = "20 d"', "uncertainty.lead"),
        ("wind_eror = 0", "did you mean 'wind_error'"),
    ],
)
def test_a_slip_in_the_table_is_told_with_its_place(run, day, folder, line, said):
    (folder / "day.toml").write_text(day + f"\n[uncertainty]\n{line}\n", encoding="utf-8")
    answer = run("odds", "day.toml")
    assert answer.code == 3
    assert said in answer.err
    assert "day.toml:" in answer.err


@pytest.mark.parametrize(
    "options", [("--members", "0"), ("--seed", "-1"), ("--workers", "0")], ids=lambda o: o[0]
)
@pytest.mark.usefixtures("day")
def test_options_that_mean_nothing_are_usage(run, options):
    assert run("odds", "day.toml", *options).code == 2


@pytest.mark.slow
def test_ctrl_c_ends_with_130_one_line_and_nothing_on_stdout(day, folder):
    (folder / "day.toml").write_text(day + CHOP, encoding="utf-8")
    process = subprocess.Popen(
        [sys.executable, "-m", "energysim", "odds", "day.toml", "--members", "200000",
         "--workers", "1", "--json"],
        cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True,
    )  # fmt: skip
    time.sleep(2.5)  # in the middle of its work
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does, to workers as well
    out, err = process.communicate(timeout=30)
    assert process.returncode == 130
    assert out == b""
    assert err.decode().strip() == "stopped; nothing was written"
    assert [path.name for path in folder.iterdir()] == ["day.toml"]


@pytest.mark.slow
@pytest.mark.usefixtures("day")
def test_workers_change_nothing_of_the_answer(folder):
    def odds(workers):
        return subprocess.run(
            [sys.executable, "-m", "energysim", "odds", "day.toml", "--members", "300",
             "--workers", workers, "--json"],
            cwd=folder, capture_output=True, text=True, timeout=120, check=True,
        ).stdout  # fmt: skip

    assert odds("1") == odds("2")
