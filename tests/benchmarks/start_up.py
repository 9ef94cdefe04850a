"""
How long whole processes take, against importing the libraries alone.

    python tests/benchmarks/start_up.py [rounds]

Each command is a fresh process, timed from outside. The yardstick imports the libraries the
package rests on and does nothing else; every command is printed as its share of that, by the
wall and by processor time, so that the figures of two machines can be compared. All are run in
turn, round after round, and the median of each is taken. One round before the first compiles
the modules, as an installer would, warms the disk cache and is not counted.

Aims: help no more than 0.18, a day as JSON 0.35 and a report 1.5 of the yardstick. Nothing here
fails: the time of a process is not a fact about the program alone.
"""

import os
import subprocess
import sys
import tempfile
from functools import partial
from pathlib import Path

from measure import argument, in_turn, say

ROOT = Path(__file__).parents[2]
SCENARIO = str(ROOT / "scenarios" / "estuary" / "estuary.toml")
IMPORTS = "import numpy, pandas, scipy.optimize, matplotlib.pyplot, typer, pydantic"
ROUNDS = 9

YARDSTICK = "the libraries alone"
COMMANDS = {
    YARDSTICK: ["-c", IMPORTS],
    "python alone": ["-c", "pass"],
    "--version": ["-m", "energysim", "--version"],
    "--help": ["-m", "energysim", "--help"],
    "day --json": ["-m", "energysim", "day", SCENARIO, "--json"],
    "day": ["-m", "energysim", "day", SCENARIO],
    "chart day": ["-m", "energysim", "chart", "day", SCENARIO, "--out", "-"],
    "report": ["-m", "energysim", "report", SCENARIO, "--out", "-"],
}
AIMS = {"--help": 0.18, "day --json": 0.35, "chart day": 0.75, "report": 1.5}


def run(arguments: list[str], environment: dict[str, str]) -> None:
    """Run one process, its output thrown away."""
    subprocess.run(
        [sys.executable, *arguments],
        check=True,
        stdout=subprocess.DEVNULL,
        cwd=ROOT,
        env=environment,
    )


def as_installed(cache: str) -> dict[str, str]:
    """Return an environment in which modules are compiled once, as an installer leaves them."""
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": cache}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    return environment


def main() -> None:
    """Time every command in turn and print the medians."""
    rounds = argument(1, ROUNDS)
    with tempfile.TemporaryDirectory() as cache:
        environment = as_installed(cache)
        works = {name: partial(run, what, environment) for name, what in COMMANDS.items()}
        spent = in_turn(works, rounds)
    say(f"{rounds} rounds, medians; of the yardstick by the wall and by processor time")
    for name, one in spent.items():
        share = one.over(spent[YARDSTICK])
        aim = f"   aim {AIMS[name]:.2f}" if name in AIMS else ""
        say(
            f"{name:20} {1000.0 * one.wall:7.0f} ms   {share.wall:5.2f}"
            f"   {1000.0 * one.processor:7.0f} ms   {share.processor:5.2f}{aim}"
        )


if __name__ == "__main__":
    main()
