"""
Run two general-purpose battery libraries over a set of loads and write what they delivered.

Neither library is needed by the package or its tests: this runs in an environment of its own
(README.md beside it) and its tables are committed. Neither knows anything of our code.

    python tests/reference/oracles/run_oracles.py [kinetic] [porous]
"""

import csv
import importlib
import os
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from importlib.metadata import version
from itertools import count
from pathlib import Path
from typing import Any, NamedTuple

HERE = Path(__file__).parent
COLUMNS = (
    "library", "version", "model", "label", "load", "part", "delivered_ah", "ended_h", "run_on",
)  # fmt: skip
CAPACITY_AH = 100.0
RATED_TIME_H = 20.0
KINETIC_STEP_S = 1.0
LONGEST_H = 60.0  # longer than any load here lasts: a part until empty runs no further


class Part(NamedTuple):
    """One stretch of a load at a steady current; `until_s` is None where it runs to empty."""

    number: int
    until_s: float | None
    current_a: float


class Spell(NamedTuple):
    """What a battery did with one part."""

    delivered_ah: float
    lasted_s: float
    emptied: bool


# Draws one part from the battery it was made for, from where the last part left it.
Draw = Callable[[Part], Spell]


def rows(name: str) -> list[dict[str, str]]:
    """Return the lines of a table beside this file."""
    with (HERE / name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def loads() -> dict[str, list[Part]]:
    """Return every load by its name."""
    found: dict[str, list[Part]] = {}
    for row in rows("loads.csv"):
        until = None if row["until"] == "empty" else 60.0 * float(row["until"].split()[0])
        part = Part(int(row["part"]), until, float(row["current_a"]))
        found.setdefault(row["load"], []).append(part)
    return found


def follow(parts: list[Part], draw: Draw) -> Iterator[tuple[int, float, float]]:
    """Yield part, ampere-hours since last empty and hours, each time the battery is empty."""
    ends = any(part.until_s is None for part in parts)
    elapsed_s = delivered_ah = 0.0
    for place in count():
        part = parts[place % len(parts)]
        spell = draw(part)
        elapsed_s += spell.lasted_s
        delivered_ah += spell.delivered_ah
        if spell.emptied:
            yield part.number, delivered_ah, elapsed_s / 3600.0
            delivered_ah = 0.0
        if spell.emptied and (part is parts[-1] or not ends):
            return
        if elapsed_s > 3600.0 * LONGEST_H:
            raise RuntimeError(f"nothing emptied the battery within {LONGEST_H:g} h: {parts}")


def kinetic_library(ratings: dict[float, float], step_s: float) -> Any:
    """Return the kinetic library's lead-acid battery, full, with three ratings of our own."""
    (third_h,) = set(ratings) - {20.0, 10.0}
    battery = importlib.import_module("PySAM.BatteryStateful").default("LeadAcid")
    cell, pack = battery.ParamsCell, battery.ParamsPack
    cell.Qfull = cell.leadacid_q20 = ratings[20.0]
    cell.leadacid_q10 = ratings[10.0]
    cell.leadacid_qn, cell.leadacid_tn = ratings[third_h], third_h
    cell.initial_SOC, cell.minimum_SOC, cell.maximum_SOC = 100.0, 0.0, 100.0
    # Six cells in one string; neither warmth nor wear may touch the capacity.
    pack.nominal_voltage, pack.nominal_energy = 12.0, ratings[20.0] * 12.0 / 1000.0
    pack.cap_vs_temp = [[-20.0, 100.0], [50.0, 100.0]]
    cell.cycling_matrix = [[d, n, 100.0] for d in (100.0, 50.0) for n in (0.0, 1e5)]
    cell.calendar_choice = 0
    battery.Controls.control_mode = 0  # told a current, not a power
    battery.Controls.dt_hr = step_s / 3600.0
    battery.Controls.input_current = 0.0
    battery.setup()
    return battery


def kinetic_battery(ratings: dict[float, float]) -> Draw:
    """Return a way to draw on the kinetic library's battery."""
    battery = kinetic_library(ratings, KINETIC_STEP_S)

    def draw(part: Part) -> Spell:
        battery.Controls.input_current = part.current_a
        most = round((part.until_s or 3600.0 * LONGEST_H) / KINETIC_STEP_S)
        delivered_as = 0.0
        for step in range(most):
            battery.execute(0)
            given_a = battery.StatePack.I  # less than asked for in the step that empties it
            delivered_as += given_a * KINETIC_STEP_S
            if given_a < part.current_a - 1e-9:
                lasted_s = (step + given_a / part.current_a) * KINETIC_STEP_S
                return Spell(delivered_as / 3600.0, lasted_s, emptied=True)
        return Spell(delivered_as / 3600.0, most * KINETIC_STEP_S, emptied=False)

    return draw


def kinetic() -> Iterator[dict[str, Any]]:
    """Yield a row for each label and load of the kinetic library."""
    labels: dict[str, dict[float, float]] = {}
    for row in rows("ratings.csv"):
        labels.setdefault(row["label"], {})[float(row["time_h"])] = float(row["capacity_ah"])
    for label, ratings in labels.items():
        for load, parts in loads().items():
            for part, delivered_ah, hours in follow(parts, kinetic_battery(ratings)):
                yield {
                    "library": "NREL-PySAM", "model": "BatteryStateful, lead-acid (kinetic)",
                    "label": label, "load": load, "part": part,
                    "delivered_ah": delivered_ah, "ended_h": hours,
                }  # fmt: skip


def porous_simulation(model: Any, values: Any, lowest_v: float) -> Any:
    """Return a fresh simulation of one cell that ends at its lowest voltage."""
    pybamm = importlib.import_module("pybamm")
    values.update({"Lower voltage cut-off [V]": lowest_v, "Current function [A]": "[input]"})
    solver = pybamm.IDAKLUSolver(rtol=1e-6, atol=1e-6)
    return pybamm.Simulation(model, parameter_values=values, solver=solver)


def porous_cell(kind: str) -> Any:
    """Return a full cell with porous electrodes, lead-acid or lithium iron phosphate."""
    pybamm = importlib.import_module("pybamm")
    if kind == "lead-acid":
        model = pybamm.lead_acid.Full()
        return porous_simulation(model, model.default_parameter_values, 10.5 / 6.0)
    values = pybamm.ParameterValues("Prada2013")
    values.set_initial_state(1.0)
    return porous_simulation(pybamm.lithium_ion.DFN(), values, 10.0 / 4.0)


def porous_draw(kind: str, cell_share: float) -> Draw:
    """Return a way to draw a battery's current from a full cell, scaled by `cell_share`."""
    simulation = porous_cell(kind)
    solver_error = importlib.import_module("pybamm").SolverError

    def draw(part: Part) -> Spell:
        begun_s = simulation.solution.t[-1] if simulation.solution else 0.0
        most_s = part.until_s or 3600.0 * LONGEST_H
        inputs = {"Current function [A]": part.current_a * cell_share}
        # A grid of a minute: the cut-off is looked for between its moments.
        grid_s = [most_s * n / (most_s // 60.0) for n in range(int(most_s // 60.0) + 1)]
        try:
            simulation.step(most_s, t_eval=grid_s, inputs=inputs)
        except solver_error as error:
            if "are non-positive at initial conditions" not in str(error):
                raise
            return Spell(0.0, 0.0, emptied=True)  # sags below its lowest voltage at once
        lasted_s = float(simulation.solution.t[-1] - begun_s)
        emptied = "event" in simulation.solution.termination
        simulation.solution.termination = "final time"  # or no later part would be run
        return Spell(part.current_a * lasted_s / 3600.0, lasted_s, emptied=emptied)

    return draw


def cell_share(kind: str) -> float:
    """Return the share of the battery's current for which the cell lasts its rated time."""
    rated_a = CAPACITY_AH / RATED_TIME_H
    share = 0.1
    for _ in range(20):  # settles quickly: the runtime is nearly as 1/I
        spell = porous_draw(kind, share)(Part(1, None, rated_a))
        longer = spell.lasted_s / (3600.0 * RATED_TIME_H)
        if abs(longer - 1.0) < 1e-6:
            return share
        share *= longer
    raise RuntimeError(f"no size of cell found that lasts {RATED_TIME_H:g} h: {kind}")


def porous() -> Iterator[dict[str, Any]]:
    """Yield a row for each chemistry and load of the physics-based library."""
    models = {
        "lead-acid": "lead_acid.Full, Sulzer2019, to 10.5 V",
        "lithium iron phosphate": "lithium_ion.DFN, Prada2013, to 10.0 V",
    }
    for kind, model in models.items():
        share = cell_share(kind)
        for load, parts in loads().items():
            for part, delivered_ah, hours in follow(parts, porous_draw(kind, share)):
                yield {
                    "library": "pybamm", "model": model, "label": kind, "load": load,
                    "part": part, "delivered_ah": delivered_ah, "ended_h": hours,
                }  # fmt: skip


def main(wanted: list[str]) -> None:
    """Write the tables asked for, both where none is named."""
    os.environ["PYBAMM_DISABLE_TELEMETRY"] = "true"
    run_on = datetime.now(tz=UTC).date().isoformat()
    for name, table in (("kinetic", kinetic), ("porous", porous)):
        if wanted and name not in wanted:
            continue
        written = [
            {
                **row,
                "delivered_ah": f"{row['delivered_ah']:.3f}",
                "ended_h": f"{row['ended_h']:.5f}",
                "version": version(row["library"]),
                "run_on": run_on,
            }
            for row in table()
        ]
        with (HERE / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(written)


if __name__ == "__main__":
    main(sys.argv[1:])
