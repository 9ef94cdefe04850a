"""
How long whole processes take, against importing the libraries alone.

    python tests/benchmarks/start_up.py [rounds]

Each command is a fresh process, timed from outside. The yardstick imports the libraries the
package rests on and does nothing else; every command is printed as its share of that, so that
the figures of two machines can be compared. All are run in turn, round after round, so that a
machine that slows down slows all of them, and the median of each is taken. One round before the
first compiles the modules, as an installer would, warms the disk cache and is not counted.

Aims: help no more than 0.18, a day as JSON 0.35 and a report 1.5 of the yardstick. Nothing here
fails: the time of a process is not a fact about the program alone.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
SCENARIO = str(ROOT / "scenarios" / "estuary" / "estuary.toml")
YARDSTICK = "import numpy, pandas, scipy.optimize, matplotlib.pyplot, typer, pydantic"
ROUNDS = 9

COMMANDS = {
    "the libraries alone": ["-c", YARDSTICK],
    "python alone": ["-c", "pass"],
    "--version": ["-m", "energysim", "--version"],
    "--help": ["-m", "energysim", "--help"],
    "day --json": ["-m", "energysim", "day", SCENARIO, "--json"],
    "day": ["-m", "energysim", "day", SCENARIO],
    "chart day": ["-m", "energysim", "chart", "day", SCENARIO, "--out", "-"],
    "report": ["-m", "energysim", "report", SCENARIO, "--out", "-"],
}
AIMS = {"--help": 0.18, "day --json": 0.35, "chart day": 0.75, "report": 1.5}


def seconds(arguments: list[str], environment: dict[str, str]) -> float:
    """Return the time one process takes, its output thrown away."""
    begin = time.perf_counter()
    subprocess.run(
        [sys.executable, *arguments],
        check=True,
        stdout=subprocess.DEVNULL,
        cwd=ROOT,
        env=environment,
    )
    return time.perf_counter() - begin


def as_installed(cache: str) -> dict[str, str]:
    """Return an environment in which modules are compiled once, as an installer leaves them."""
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": cache}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    return environment


def main() -> None:
    """Time every command in turn and print the medians."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    taken: dict[str, list[float]] = {name: [] for name in COMMANDS}
    with tempfile.TemporaryDirectory() as cache:
        environment = as_installed(cache)
        for number in range(rounds + 1):
            for name, arguments in COMMANDS.items():
                spent = seconds(arguments, environment)
                if number:
                    taken[name].append(spent)
    yardstick = statistics.median(taken["the libraries alone"])
    sys.stdout.write(f"{rounds} rounds, medians\n")
    for name, all_spent in taken.items():
        median = statistics.median(all_spent)
        aim = f"   aim {AIMS[name]:.2f}" if name in AIMS else ""
        sys.stdout.write(
            f"{name:20} {1000.0 * median:7.0f} ms   {median / yardstick:5.2f}"
            f"   ({1000.0 * min(all_spent):.0f} to {1000.0 * max(all_spent):.0f}){aim}\n"
        )


if __name__ == "__main__":
    main()
