"""
Step a general-purpose battery library through a load, in the environment `library.py` made.

It reads from standard input what to do and writes there what came of it, as JSON, and knows
nothing of the package. How the library is set: tests/reference/oracles.
"""

import json
import platform
import sys
from importlib.metadata import version
from pathlib import Path
from typing import Any

from measure import in_turn

sys.path.append(str(Path(__file__).parents[1] / "reference" / "oracles"))
from run_oracles import kinetic_library


def step_through(currents_a: list[float], step_s: float, ratings: dict[float, float]) -> Any:
    """Draw every current for a step from a full block; return it as it then is."""
    battery = kinetic_library(ratings, step_s)
    controls = battery.Controls
    for current in currents_a:
        controls.input_current = current
        battery.execute(0)
    return battery


def main() -> None:
    """Do what standard input asks for."""
    asked = json.load(sys.stdin)
    ratings = {float(hours): amount for hours, amount in asked["ratings_ah"].items()}
    load = (asked["currents_a"], asked["step_s"], ratings)
    spent = in_turn({"day": lambda: step_through(*load)}, asked["rounds"])["day"]
    battery = step_through(*load)  # kept: what it shows of itself does not outlive it
    cell = battery.StateCell
    told = {
        "wall_s": spent.wall,
        "processor_s": spent.processor,
        "charge": cell.q0 / cell.qmax_lifetime,
        "near_ah": cell.q1_0,
        "version": version("NREL-PySAM"),
        "python": platform.python_version(),
    }
    sys.stdout.write(json.dumps(told))


if __name__ == "__main__":
    main()
