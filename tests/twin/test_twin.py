"""
The shipped days, and the same days under strain, beside a second working of them.

The twin in this folder is the outside here: plain loops and bisections written from
DEVELOPERS.md and the docstrings, sharing data files with the package but no code. It cannot
vouch for the laws themselves (tests/reference does that), only for how they are put together:
a sign, a unit, a factor taken twice, a step read at the wrong end.

Each strain drives the day into a corner the shipped ones never reach: each limit of the motor
and the bank, an empty bank, wind against stream, a slow drift, other propellers, cold, a calm,
open water of every kind, shafts too short, headings insisted on, bursts that do not reach.
"""

import ast
import tomllib
from pathlib import Path

import numpy as np
import pytest

from energysim.build import build_day
from energysim.plan import stack
from energysim.runner import run_day
from energysim.scenario.load import load_scenario
from energysim.scenario.overlay import overlay
from energysim.simulate import BOARD_OPENED, CARRIED, EMPTY, LIVES, RAN_EMPTY, simulate

from .day import work_out
from .strains import STRAINS

HERE = Path(__file__).parent
SCENARIOS = HERE.parents[1] / "scenarios"
DAYS = ("estuary", "headland", "lake")

# The same steps leave only the package's fits (0.001 %), the twin's midpoint for a mean, and
# how far the bow swings, which the package reads from a table good to 2 % (some 0.01 % of the
# power on a shaft that chop just reaches).
SAME_STEP_SOC = 0.0001
# What DEVELOPERS.md promises; full throttle is fitted to 0.4 % and only strained days meet it.
PROMISED_SOC = 0.001
FIVE_MINUTES_H = 5.0 / 60.0
STEP_S = 60.0
STRINGS_END = {
    "a string that gives up at noon": {RAN_EMPTY},
    "a board that opens": {BOARD_OPENED},
    "a gale, and a block that is tapped": {BOARD_OPENED},
}


def raw_day(name):
    path = SCENARIOS / name / f"{name}.toml"
    return tomllib.loads(path.read_text(encoding="utf-8")), path.parent


def assert_books_agree(twin, result, *, soc):
    assert abs(twin.end_soc - result.end_soc) < soc
    assert twin.charge_drawn_ah == pytest.approx(result.charge_drawn_ah, rel=0.01)
    # A strain may leave a step on either side of "short" that the other calls enough.
    assert abs(twin.off_station_s - result.off_station_s) <= 2.0 * STEP_S
    assert abs(twin.full_h - result.recharge.full_h) < FIVE_MINUTES_H


def assert_thrusts_agree(twin, result):
    # The package takes a tide up from its new year by listed speeds, the twin from the sun
    # and moon of the moment: some 0.01 N on a day of tides. A drift let go slower is pushed
    # along by up to a thousandth of the thrust.
    np.testing.assert_allclose(
        result.series["thrust_wanted"], twin.thrust_n, atol=0.05, rtol=0.002
    )


def assert_powers_agree(twin, plan):
    # Over the day: a wind on one side of the motor's end may lie on the other for the twin.
    power = plan.demand.power_w[:, 0]
    assert np.abs(power - twin.watts).sum() < 0.001 * power.sum()


@pytest.mark.slow
@pytest.mark.reference
@pytest.mark.parametrize("name", DAYS)
def test_the_twin_works_a_shipped_day_to_the_same_thrusts_and_books(name):
    raw, folder = raw_day(name)
    loaded = load_scenario(folder / f"{name}.toml")
    result = run_day(loaded, with_changes=False)
    twin = work_out(raw, folder, STEP_S)
    assert_thrusts_agree(twin, result)
    assert_powers_agree(twin, build_day(loaded))
    assert_books_agree(twin, result, soc=SAME_STEP_SOC)
    assert max(twin.thrust_n) > 10.0  # a day of nothing would agree as well


@pytest.mark.slow
@pytest.mark.reference
@pytest.mark.parametrize("name", DAYS)
def test_the_twin_at_half_the_step_ends_the_day_alike(name):
    raw, folder = raw_day(name)
    result = run_day(load_scenario(folder / f"{name}.toml"), with_changes=False)
    assert_books_agree(work_out(raw, folder, 30.0), result, soc=PROMISED_SOC)


@pytest.mark.slow
@pytest.mark.reference
@pytest.mark.parametrize("strain", STRAINS)
def test_the_twin_follows_a_strained_day_into_its_corner(strain, load_raw):
    name, changes, wanted_limits = STRAINS[strain]
    raw, folder = raw_day(name)
    strained = overlay(raw, changes)
    loaded = load_raw(strained, folder)
    plan = build_day(loaded)
    flows = simulate(*stack([plan]), plan.motor)
    met = set(np.unique(flows.limit)) - {CARRIED, EMPTY}
    # Without these the strain would not test what its name says.
    assert met == wanted_limits
    ended = set() if flows.blocks is None else set(flows.blocks.string_end[:, 0]) - {LIVES}
    assert ended == STRINGS_END.get(strain, set())
    if "motor.shaft_length" in changes and "short" in strain:
        assert plan.demand.thrust_ratio.min() < 0.95
    result = run_day(loaded, with_changes=False)
    twin = work_out(strained, folder, STEP_S)
    assert_thrusts_agree(twin, result)
    assert_powers_agree(twin, plan)
    assert_books_agree(twin, result, soc=PROMISED_SOC)


@pytest.mark.slow
def test_a_slip_of_a_hundredth_in_one_number_would_be_seen():
    """The tolerance is only worth something if a small slip is well outside it."""
    raw, folder = raw_day("lake")
    as_it_is = work_out(raw, folder).end_soc
    slips = (
        {"boat.beam": "60.6 in"},
        {"bank.capacity_fraction": 0.8415},
        {"wind.gust": "14.14 kn"},
    )
    for slip in slips:
        change = work_out(overlay(raw, slip), folder).end_soc - as_it_is
        assert abs(change) > 2.0 * SAME_STEP_SOC, slip


@pytest.mark.parametrize(
    "path",
    sorted(set(HERE.glob("*.py")) - {Path(__file__), HERE / "strains.py"}),
    ids=lambda path: path.stem,
)
def test_the_twin_shares_no_code_with_the_package(path):
    allowed = {
        "ast", "bisect", "copy", "csv", "datetime", "functools", "itertools", "json", "math",
        "pathlib", "re", "tomllib", "types", "zoneinfo",
    }  # fmt: skip
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            names = [node.module]
        for imported in names:
            assert imported.split(".")[0] in allowed, f"{path.name} imports {imported}"
