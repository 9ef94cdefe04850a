"""What goes wrong while work is shared out: Ctrl-C, a full disk, a process that is killed."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from .tides import SHORT

resource = pytest.importorskip("resource", reason="limits of this kind are POSIX")

PROC = Path("/proc")
FULL_DISK = Path("/dev/full")
# Goes by the laws: no table is made before the work is shared out.
CREEP = 'do = "creep"\ncourse = "045 deg"\nspeed = "1 kn"'
COARSE = """
import sys
from dataclasses import replace
from energysim.cli.app import main
from energysim.find import run
few = replace(run.QUESTIONS["best-start"], steps=3, tolerance=3600.0)
run.QUESTIONS = {"best-start": few}
sys.argv = ["energysim", *sys.argv[1:]]
main()
"""
ODDS = ("odds", "day.toml")
FIND = ("find", "best-start", "day.toml")
SEASON = ("season", "day.toml", "--from", "2026-05-16", "--to", "2026-05-19")


@pytest.fixture(autouse=True)
def short(day, folder):
    """A short hold in a tide from harmonic constants."""
    (folder / "day.toml").write_text(day.partition("[stream]")[0] + SHORT, encoding="utf-8")


def begun(folder, *arguments, how=("-m", "energysim"), **options):
    """Start the program in a session of its own, as a terminal does."""
    return subprocess.Popen(
        [sys.executable, *how, *arguments],
        cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True, **options,
    )  # fmt: skip


def workers_of(process, count):
    """Wait until so many processes work for another, and return their numbers."""
    children = PROC / f"{process.pid}/task/{process.pid}/children"
    begin = time.monotonic()
    while len(found := children.read_text().split()) < count:
        assert process.poll() is None
        assert time.monotonic() - begin < 60.0
        time.sleep(0.02)
    return [int(one) for one in found]


@pytest.mark.slow
@pytest.mark.skipif(not PROC.exists(), reason="needs /proc")
@pytest.mark.parametrize("command", [ODDS, FIND, SEASON], ids=lambda words: words[0])
def test_ctrl_c_ends_with_130_one_line_and_no_process_left(folder, command):
    text = (folder / "day.toml").read_text(encoding="utf-8")
    creeping = text.replace('do = "hold"', CREEP)
    (folder / "day.toml").write_text(creeping, encoding="utf-8")
    process = begun(folder, *command, "--members", "100000", "--workers", "2", "--json")
    workers_of(process, 2)
    time.sleep(0.3)  # in the middle of their work
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does, to workers as well
    out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (130, "")
    assert err.strip() == "stopped; nothing was written"
    assert [path.name for path in folder.iterdir()] == ["day.toml"]
    with pytest.raises(ProcessLookupError):  # nobody of the session is left
        os.killpg(process.pid, 0)


@pytest.mark.slow
@pytest.mark.skipif(not PROC.exists(), reason="needs /proc")
@pytest.mark.parametrize(
    "command",
    [(*ODDS, "--members", "768"), (*FIND, "--members", "8"), (*SEASON, "--members", "256")],
    ids=lambda words: words[0],
)
def test_a_process_that_is_killed_costs_time_only(folder, command):
    how = ("-c", COARSE) if command[0] == "find" else ("-m", "energysim")
    asked = (*command, "--seed", "4", "--json", "--workers")
    process = begun(folder, *asked, "2", how=how)
    os.kill(workers_of(process, 2)[0], signal.SIGKILL)
    out, err = process.communicate(timeout=120)
    assert process.returncode == 0
    assert err == "a worker process has died; the rest is done without it\n"
    alone = begun(folder, *asked, "1", how=how)
    assert alone.communicate(timeout=120)[0] == out != ""


@pytest.mark.slow
@pytest.mark.skipif(not FULL_DISK.exists(), reason="needs /dev/full")
@pytest.mark.parametrize("command", [ODDS, SEASON], ids=lambda words: words[0])
def test_a_full_disk_behind_stdout_is_told(folder, command):
    with FULL_DISK.open("w", encoding="utf-8") as full:
        ended = subprocess.run(
            [sys.executable, "-m", "energysim", *command, "--members", "2", "--workers", "1"],
            cwd=folder, stdout=full, stderr=subprocess.PIPE, text=True, timeout=60, check=False,
        )  # fmt: skip
    assert ended.returncode == 4
    assert ended.stderr == "the answer cannot be written: No space left on device\n"


@pytest.mark.slow
@pytest.mark.parametrize("boats", [1, 2])
def test_a_file_that_grows_too_large_for_its_place_is_not_left_half_written(folder, boats):
    def little_room():
        resource.setrlimit(resource.RLIMIT_FSIZE, (200, 200))

    process = begun(
        folder, "season", *["day.toml"] * boats, *SEASON[2:], "--members", "2",
        "--workers", "1", "--csv", "season.csv", preexec_fn=little_room,
    )  # fmt: skip
    out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (4, "")
    assert err == "season.csv: cannot be written: File too large\n"
    assert [path.name for path in folder.iterdir()] == ["day.toml"]
