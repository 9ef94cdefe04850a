"""The browser, the rule engine and the pages they look at."""

import os
import sys
from pathlib import Path

import pytest

from energysim.cli.app import main

from .browser import browser_path, headless

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
AXE = HERE / "node_modules" / "axe-core" / "axe.min.js"

# Invented, and unkind: nothing holds, and names are long, foreign and full of markup.
HARD = """\
title = "Wind & water <b>beyond</b> the Grenzwertüberschreitungsversuchsfahrtenbucheintrag"

[day]
date = 2026-11-01
timezone = "America/New_York"

[boat]
hull = "skiff"
length = "17 ft 6 in"
beam = "7 ft"
freeboard = "30 in"
mass = "1500 lb"

[motor]
voltage = "12 V"
thrust = "30 lbf"
max_current = "30 A"

[bank]
chemistry = "flooded"
capacity = "40 Ah"

[wind]
speed = "24 kn"
from = "SW"
gust = "36 kn"

[stream]
flood_toward = "045 deg"
ebb_toward = "225 deg"

[[stream.event]]
at = "00:10"
kind = "slack"

[[stream.event]]
at = "04:20"
kind = "flood"
speed = "2.9 kn"

[[stream.event]]
at = "08:30"
kind = "slack"

[[leg]]
name = "Off-the-Wall-that-nobody-ever-wanted-to-hold-against-such-a-wind-and-tide-again"
do = "hold"
start = "00:30"
for = "3 h"

[[leg]]
name = "<script>alert('no')</script>"
do = "creep"
course = "225 deg"
speed = "1 kn"
for = "2 h"
# https://example.org/a/very/long/address/that/has/no/place/to/break/whatever/the/width/of/it/is
"""


def needed(found, what):
    """Return what was found; without it fail where everything must be there, skip elsewhere."""
    if found is None or (isinstance(found, Path) and not found.is_file()):
        if os.environ.get("CI", "").lower() in {"1", "true"}:
            pytest.fail(f"{what}, and under CI it must be", pytrace=False)
        pytest.skip(f"{what}; .ci/run shows how to install it")
    return found


@pytest.fixture(scope="session")
def browser():
    """One headless browser for all checks."""
    with headless(needed(browser_path(), "no headless Chromium is installed")) as running:
        yield running


@pytest.fixture(scope="session")
def axe():
    """The rule engine's own text, to be run in the page."""
    return needed(AXE, "the rule engine axe-core is not installed").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def pages(tmp_path_factory):
    """
    The pages as the command line writes them, by what is special about each.

    The report of shipped days, of an unkind one, and of one with options and odds; and the
    sheet of the options alone.
    """
    folder = tmp_path_factory.mktemp("pages")
    (folder / "hard.toml").write_text(HARD, encoding="utf-8")
    shop = ROOT / "scenarios" / "shop" / "shop.toml"
    odds = "\n[uncertainty]\nmembers = 100\n"
    (folder / "options.toml").write_text(shop.read_text(encoding="utf-8") + odds, "utf-8")
    scenarios = {name: folder / f"{name}.toml" for name in ("hard", "options")}
    for name in ("estuary", "lake"):
        scenarios[name] = ROOT / "scenarios" / name / f"{name}.toml"
    written = {name: folder / f"{name}.html" for name in [*scenarios, "sheet"]}
    commands = {
        name: ["report", str(scenario), "--out", str(written[name])]
        for name, scenario in scenarios.items()
    }
    commands["sheet"] = ["compare", str(shop), "--page", str(written["sheet"])]
    with pytest.MonkeyPatch.context() as patch:
        for name, arguments in commands.items():
            patch.setattr(sys, "argv", ["energysim", *arguments])
            with pytest.raises(SystemExit) as end:
                main()
            assert not end.value.code, f"{name}: exit code {end.value.code}"
    return written
