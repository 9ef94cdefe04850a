"""`--cluster`: a real scheduler and two workers give this process's answer, to the bit."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import energysim

from .tides import SHORT

ROOT = str(Path(energysim.__file__).parents[1])
SEASON = ("season", "--from", "2026-05-16", "--to", "2026-05-17", "--members", "4")
COARSE = """
import sys
from dataclasses import replace
from energysim.cli.app import main
from energysim.find import run
few = replace(run.QUESTIONS["most-wind"], steps=3, tolerance=0.3)
run.QUESTIONS = {"most-wind": few}
sys.argv = ["energysim", *sys.argv[1:]]
main()
"""
HASTY = """
import sys
from energysim.cli import cluster
from energysim.cli.app import main
cluster.ANSWERS_WITHIN_S = 0.5
main()
"""
KILLING = """
import os, signal, sys
from energysim.cli.cluster import cluster
from energysim.odds import run_odds
from energysim.report.document import document_text
from energysim.report.odds import odds_document
from energysim.scenario.load import load_scenario

def tell(done, of):
    if done == 256:
        os.kill(int(sys.argv[2]), signal.SIGKILL)

with cluster(sys.argv[1]) as executor:
    odds = run_odds(
        load_scenario("day.toml"), members=1024, seed=4, executor=executor, progress=tell
    )
print(document_text(odds_document(odds)), end="")
"""


def started(role, *arguments, path=ROOT):
    """Start a part of a cluster as its own command does, with a package of our choice."""
    return subprocess.Popen(
        [sys.executable, "-m", f"distributed.cli.dask_{role}", *arguments],
        env={**os.environ, "PYTHONPATH": path},
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip


def worker(address, path=ROOT):
    return started(
        "worker", address, "--no-nanny", "--nthreads", "1", "--no-dashboard", path=path
    )


def stop(*processes):
    for process in processes:
        process.kill()
        process.wait(timeout=30)


@pytest.fixture(scope="module")
def scheduler(tmp_path_factory):
    """Where a scheduler answers; it has no workers yet."""
    told = tmp_path_factory.mktemp("cluster") / "scheduler.json"
    process = started(
        "scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard",
        "--scheduler-file", str(told),
    )  # fmt: skip
    try:
        until(told.exists)
        until(lambda: told.read_text().rstrip().endswith("}"))
        yield json.loads(told.read_text())["address"]
    finally:
        stop(process)


@pytest.fixture(scope="module")
def two(scheduler):
    """Two workers of one thread each."""
    both = [worker(scheduler) for _ in range(2)]
    try:
        yield both
    finally:
        stop(*both)


def until(so, seconds=60.0):
    begin = time.monotonic()
    while not so():
        assert time.monotonic() - begin < seconds
        time.sleep(0.05)


def energysim_in(folder, *arguments, how=("-m", "energysim")):
    return subprocess.run(
        [sys.executable, *how, *arguments],
        cwd=folder, capture_output=True, text=True, timeout=120, check=False,
        env={**os.environ, "PYTHONPATH": ROOT},
    )  # fmt: skip


@pytest.fixture
def tidal(day, folder):
    """A short hold in a tide from harmonic constants."""
    (folder / "day.toml").write_text(day.partition("[stream]")[0] + SHORT, encoding="utf-8")
    return folder


@pytest.mark.slow
@pytest.mark.usefixtures("two")
@pytest.mark.parametrize(
    "command",
    [
        ("odds", "day.toml", "--members", "300"),
        ("find", "most-wind", "day.toml", "--members", "8"),
        (*SEASON, "day.toml", "day.toml"),
    ],
    ids=["odds", "find", "season-of-two-boats"],
)
def test_two_workers_of_a_cluster_give_the_answer_of_one_process(tidal, scheduler, command):
    how = ("-c", COARSE) if command[0] == "find" else ("-m", "energysim")
    here, there = (
        energysim_in(tidal, *command, "--seed", "4", "--json", *who, how=how)
        for who in (("--workers", "1"), ("--cluster", scheduler))
    )
    assert (there.returncode, there.stderr) == (0, "")
    assert here.stdout == there.stdout != ""


@pytest.mark.slow
def test_a_worker_of_the_cluster_that_is_killed_costs_time_only(run, tidal, scheduler, two):
    ended = subprocess.run(
        [sys.executable, "-c", KILLING, scheduler, str(two[0].pid)],
        cwd=tidal, capture_output=True, text=True, timeout=120, check=False,
        env={**os.environ, "PYTHONPATH": ROOT},
    )  # fmt: skip
    assert (ended.returncode, ended.stderr) == (0, "")
    assert two[0].wait(timeout=30) == -signal.SIGKILL
    asked = ("odds", "day.toml", "--members", "1024", "--seed", "4", "--workers", "1", "--json")
    assert run(*asked).out == ended.stdout


@pytest.mark.slow
@pytest.mark.usefixtures("tidal", "two")
@pytest.mark.parametrize(
    ("package", "said"),
    [
        ("__version__ = '0.0.9'\n", "runs energysim 0.0.9; install"),
        ("raise ImportError('none here')\n", "energysim is not installed at the worker"),
    ],
    ids=["another", "none"],
)
def test_a_worker_that_runs_something_else_is_told_before_any_work(
    folder, scheduler, package, said
):
    (folder / "other/energysim").mkdir(parents=True)
    (folder / "other/energysim/__init__.py").write_text(package, encoding="utf-8")
    odd = worker(scheduler, path=str(folder / "other"))
    try:
        answers = []

        def told():
            answers.append(
                energysim_in(
                    folder, "odds", "day.toml", "--members", "2", "--cluster", scheduler
                )
            )
            return answers[-1].returncode  # until it has joined the others all is well

        until(told)
    finally:
        stop(odd)
    assert answers[-1].returncode == 4
    assert said in answers[-1].stderr
    assert "Traceback" not in answers[-1].stderr
    assert answers[-1].stderr.count("\n") == 1


@pytest.mark.slow
@pytest.mark.usefixtures("day")
def test_where_nobody_answers_it_is_told_after_the_time_a_scheduler_is_given(folder):
    asked = ("odds", "day.toml", "--members", "2", "--cluster", "tcp://127.0.0.1:9")
    answer = energysim_in(folder, *asked, how=("-c", HASTY))
    assert answer.returncode == 4
    assert "no scheduler answers there" in answer.stderr
    assert answer.stderr.count("\n") == 1


@pytest.mark.usefixtures("day")
def test_without_the_extra_it_is_told_how_to_install_it(run, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    answer = run("odds", "day.toml", "--members", "2", "--cluster", "tcp://127.0.0.1:9")
    assert answer.code == 4
    assert 'pip install ".[cluster]"' in answer.err


@pytest.mark.usefixtures("day")
def test_processes_and_a_cluster_are_not_both_asked_for(run):
    answer = run("odds", "day.toml", "--workers", "2", "--cluster", "tcp://127.0.0.1:9")
    assert answer.code == 2
    assert "--workers or --cluster" in answer.err


def test_nothing_of_the_cluster_is_imported_before_it_is_asked_for():
    code = (
        "import sys, energysim.cli.app, energysim.odds, energysim.season, energysim.find\n"
        "sys.exit(bool({'distributed', 'dask'} & set(sys.modules)))"
    )
    env = {**os.environ, "PYTHONPATH": ROOT}
    assert subprocess.run([sys.executable, "-c", code], env=env, check=False).returncode == 0
