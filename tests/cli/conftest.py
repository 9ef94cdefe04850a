"""A day of our own, and the command line run as the shell would run it."""

import io
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from energysim.cli.app import main

# Invented: 24 V bow motor, two batteries, a flood against the wind.
DAY = """\
title = "Off the old pier (invented)"

[day]
date = 2026-05-16
timezone = "America/New_York"

[boat]
hull = "skiff"
length = "17 ft 6 in"
beam = "7 ft"
freeboard = "20 in"
mass = "1500 lb"
people = 2

[motor]
voltage = "24 V"
thrust = "80 lbf"
max_current = "56 A"

[bank]
battery = "31-agm"

[charger]
current = "10 A"

[wind]
speed = "12 kn"
from = "SW"
gust = "16 kn"

[stream]
flood_toward = "230 deg"
ebb_toward = "050 deg"

[[stream.event]]
at = "04:50"
kind = "slack"

[[stream.event]]
at = "08:02"
kind = "flood"
speed = "1.6 kn"

[[stream.event]]
at = "11:20"
kind = "slack"

[[leg]]
name = "Out to the pier"
do = "run"
start = "06:30"
for = "30 min"

[[leg]]
name = "The pier"
do = "hold"
for = "2 h"

[[leg]]
name = "Along the beach"
do = "creep"
course = "045 deg"
speed = "1 kn"
for = "1 h"
"""

CURRENTS = """\
Date_Time (LST_LDT), Event, Speed (knots)
2026-05-16 04:50, slack, -
2026-05-16 08:02, flood, 1.6
2026-05-16 11:20, slack, -
"""

WIND = """\
time [LST_LDT],speed [kn],from [deg]
2026-05-16 06:00,10,225
2026-05-16 08:00,12,225
2026-05-16 10:30,14,225
"""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a command came to."""

    code: int
    out: str
    err: str


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    for name in ("COLUMNS", "NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


@pytest.fixture
def day(folder):
    """The day as a file; returns its text, to be changed and written again."""
    (folder / "day.toml").write_text(DAY, encoding="utf-8")
    return DAY


@pytest.fixture
def currents():
    """The day's stream as an agency's file of slacks and maxima."""
    return CURRENTS


@pytest.fixture
def hourly_wind():
    """A forecast that reaches over the day."""
    return WIND


@pytest.fixture
def run(folder, monkeypatch, capsys):
    """Run `energysim ...` and return its exit code and what it said."""

    def call(*arguments: str, stdin: str | bytes = "") -> Answer:
        assert Path.cwd() == folder
        content = stdin.encode() if isinstance(stdin, str) else stdin
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content), "utf-8"))
        monkeypatch.setattr(sys, "argv", ["energysim", *arguments])
        capsys.readouterr()
        try:
            main()
            code = 0
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else int(bool(end.code))
        said = capsys.readouterr()
        assert "Traceback" not in said.err
        return Answer(code, said.out, said.err)

    return call
