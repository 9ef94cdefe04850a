"""
One day's bank by a general-purpose battery library, NREL-PySAM, stepping the same load.

    python tests/benchmarks/library.py [rounds]

The library goes into an environment of its own in a temporary folder, made here and thrown away
after; the package never needs it. It gets the amperes the loop worked out for the shipped
estuary, minute by minute, and a block whose capacities at 20 h, 10 h and 1 h are those of the
loop's two wells, from which it looks for its own. Both then hold the same model, and their ends
are printed side by side: all charge over both wells, and the available well.

Unlike work on both sides: the library is told the amperes, the loop works them out from a
power, a voltage and the motor's limits; the library also counts wear and warmth. It is compiled
code, driven step by step from Python.

Where it cannot be installed this says so and measures nothing.
"""

import json
import subprocess
import sys
import tempfile
import venv
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from measure import Spent, argument, in_turn, say
from naive import by_the_loop, planned

from energysim.physics.wells import Wells, wells_capacity_lasting_ah
from energysim.plan import DayPlan
from energysim.simulate import simulate

HERE = Path(__file__).parent
PINNED = HERE.parent / "reference" / "oracles" / "requirements.txt"
NAME = "NREL-PySAM"
RATED_H = (20.0, 10.0, 1.0)
STEP_S = 60.0
DAYS_AT_ONCE = 5  # stepped by a process of the library, the median told
PATIENCE_S = 600.0
ROUNDS = 5


class MissingLibraryError(Exception):
    """The library could not be installed or run; the message says why, in a few words."""


class BlockEnd(NamedTuple):
    """What is left in one block."""

    charge: float  # of both wells, share
    near_ah: float  # in the available one


def installed(folder: Path, name: str = NAME) -> Path:
    """Make an environment with the library in a folder; return its Python."""
    try:
        venv.create(folder, with_pip=True)
    except (OSError, subprocess.CalledProcessError) as error:
        raise MissingLibraryError("no environment could be made") from error
    python = next(path for path in folder.glob("*/python*") if path.stem == "python")
    quiet = ["--quiet", "--disable-pip-version-check", "--no-input"]
    install = [str(python), "-m", "pip", "install", *quiet, "-c", str(PINNED), name]
    try:
        done = subprocess.run(
            install, capture_output=True, text=True, check=False, timeout=PATIENCE_S
        )
    except subprocess.TimeoutExpired as error:
        raise MissingLibraryError(f"not installed within {PATIENCE_S:.0f} s") from error
    if done.returncode:
        sys.stderr.write(done.stderr)  # here, not in the table: it names places on this machine
        raise MissingLibraryError(f"pip could not install {name} here")
    return python


def load_of(plan: DayPlan) -> dict[str, Any]:
    """Return what one block of the day carries and what it is, for the library."""
    bank, demand = plan.bank, plan.demand
    if not bank.kinetic.all() or (demand.step_s != STEP_S).any() or bank.start_soc.min() < 1.0:
        raise ValueError(f"{plan.title}: only full banks by the two wells, by the minute")
    flows = simulate(demand, bank, plan.motor)
    capacities = wells_capacity_lasting_ah(RATED_H, wells=_wells(plan))
    return {
        "currents_a": (flows.current_a[:, 0] / bank.string_count[0, 0]).tolist(),
        "step_s": STEP_S,
        "ratings_ah": dict(zip(RATED_H, capacities.tolist(), strict=True)),
        "rounds": DAYS_AT_ONCE,
    }


def ours(plan: DayPlan) -> BlockEnd:
    """Return what the loop leaves in a block."""
    flows = simulate(plan.demand, plan.bank, plan.motor)
    wells = _wells(plan)
    drawn_ah = flows.drawn_ah[-1, 0] / plan.bank.string_count[0, 0]
    near_full_ah = wells.available_share * wells.total_ah
    return BlockEnd(
        float(1.0 - drawn_ah / wells.total_ah), float(flows.level[-1, 0] * near_full_ah)
    )


def _wells(plan: DayPlan) -> Wells:
    """Return the wells of one block."""
    bank = plan.bank
    return Wells(
        total_ah=bank.wells_total_ah[0, 0, 0],
        available_share=bank.wells_share[0, 0, 0],
        rate_per_h=bank.wells_rate_per_h[0, 0, 0],
    )


def stepped(python: Path, load: dict[str, Any]) -> dict[str, Any]:
    """Let the library step through the load in its own process; return what it tells."""
    done = subprocess.run(
        [str(python), str(HERE / "library_steps.py")],
        input=json.dumps(load),
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        sys.stderr.write(done.stderr)
        raise MissingLibraryError(f"{NAME} was installed and does not run here")
    told: dict[str, Any] = json.loads(done.stdout)
    return told


def one_day(python: Path, load: dict[str, Any]) -> Callable[[], Spent]:
    """Return a piece of work that tells what a day takes the library itself."""

    def work() -> Spent:
        told = stepped(python, load)
        return Spent(told["wall_s"], told["processor_s"])

    return work


def main() -> None:
    """Print how long a day takes the library and the loop, and where both end."""
    rounds = argument(1, ROUNDS)
    plan = planned({})
    with tempfile.TemporaryDirectory() as folder:
        try:
            python, load = installed(Path(folder)), load_of(plan)
            told, here = stepped(python, load), ours(plan)
        except MissingLibraryError as why:
            say(f"not measured: {why}")
            return
        works = {"library": one_day(python, load), "loop": lambda: by_the_loop(plan)}
        spent = in_turn(works, rounds)
    ratio = spent["library"].over(spent["loop"])
    say(
        f"{NAME} {told['version']} on Python {told['python']} takes {ratio.processor:.2f} times"
        f" as long as the loop ({ratio.wall:.2f} by the wall) for a day of"
        f" {np.size(load['currents_a'])} steps"
    )
    say(
        f"left in both wells {100.0 * told['charge']:.3f} %, ours {100.0 * here.charge:.3f} %;"
        f" available {told['near_ah']:.3f} Ah, ours {here.near_ah:.3f} Ah"
    )


if __name__ == "__main__":
    main()
