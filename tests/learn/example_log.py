"""
Write the invented log beside the estuary: `python -m tests.learn.example_log`.

A day of our own model with other factors than the scenario's, an error of the wind that
wanders, noise on every row, and a gap.
"""

from datetime import UTC
from pathlib import Path

import numpy as np

from energysim.build import build_day
from energysim.clock import clock_after
from energysim.scenario.load import load_scenario
from energysim.scenario.whatif import changed
from energysim.simulate import simulate

from .trials import wandering

HERE = Path(__file__).parents[2] / "scenarios" / "estuary"
TRUE = {"boat.drag_factor": 1.15, "boat.wind_factor": 0.9, "bank.capacity_fraction": 0.88}
GAP_S = (14400.0, 16200.0)  # the logger lost its plug

HEAD = """\
# Invented: made by this program for drag 1.15, wind 0.90 and 88 % of the capacity, with noise.
# Nobody sailed it. Try: energysim learn estuary.toml log.csv
time [UTC],current [A],voltage [V],speed [kn],course [deg]
"""


def log_text() -> str:
    """Return the log."""
    rng = np.random.default_rng(16)
    plan = build_day(changed(load_scenario(HERE / "estuary.toml"), TRUE))
    flows = simulate(plan.demand, plan.bank, plan.motor)
    start_s = plan.edges_s[:-1]
    steps = start_s.size
    error = 1.0 + 0.05 * wandering(rng, steps, 1200.0, 60.0)
    current = flows.current_a[:, 0] * error * (1.0 + 0.03 * rng.standard_normal(steps))
    current = current + 0.1 * rng.standard_normal(steps)
    volts = flows.bank_voltage_v[:, 0] + 0.03 * rng.standard_normal(steps)
    volts -= (flows.resistance_ohm[:, 0] - plan.bank.cable_ohm) * (
        current - flows.current_a[:, 0]
    )
    speeds = {"run": 18.0, "hold": 0.0, "creep": 1.2, "drift": 0.7, "rest": 0.0}
    rows = []
    for number, second in enumerate(start_s + 30.0):
        if GAP_S[0] <= second < GAP_S[1]:
            continue
        verb = plan.legs[int(plan.leg_of_step[number])].verb
        speed = abs(speeds[verb] + 0.12 * rng.standard_normal())
        course = 330.0 + 4.0 * rng.standard_normal() if verb == "creep" else None
        clock = clock_after(plan.start, float(second)).astimezone(UTC)
        rows.append(
            f"{clock:%Y-%m-%d %H:%M:%S},"
            f"{current[number]:.2f},{volts[number]:.2f},{speed:.1f},"
            f"{'' if course is None else f'{course % 360:.0f}'}"
        )
    return HEAD + "\n".join(rows) + "\n"


if __name__ == "__main__":
    (HERE / "log.csv").write_text(log_text(), encoding="utf-8")
