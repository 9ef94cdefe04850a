"""
Logs of a boat that moves: amperes of the dynamic model in tests/dynamic, fitted by ours.

The mean power of each watch is read from the table the dynamic model wrote. A log strings the
watches of one boat and one angle between wind and stream together, half an hour each. The truth
is a factor of one for both forces, so what comes out is the bias of the quasi-steady model.
"""

import csv
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from energysim.build import build_day
from energysim.learn import DayLog, learn
from energysim.results.learn import LearnResult
from energysim.scenario.load import LoadedScenario, validate
from energysim.simulate import simulate

TABLE = Path(__file__).parents[1] / "dynamic" / "table.csv"
ANGLES_DEG = (0.0, 45.0, 90.0, 135.0, 160.0, 180.0)
BOATS: dict[str, dict[str, Any]] = {
    "skiff": {
        "boat": {"hull": "skiff", "length": "17.5 ft", "beam": "7 ft", "freeboard": "20 in",
                 "people": 2, "mass": "600 kg"},
        "motor": {"voltage": "24 V", "thrust": "80 lbf", "max_current": "56 A"},
        "bank": {"battery": "31-agm", "parallel": 4},
        "kg": 900.0,
    },
    "console": {
        "boat": {"hull": "centre-console", "length": "20 ft", "beam": "8 ft",
                 "freeboard": "28 in", "people": 3, "mass": "1200 kg"},
        "motor": {"voltage": "36 V", "thrust": "112 lbf", "max_current": "52 A"},
        "bank": {"battery": "31-agm", "parallel": 4},
        "kg": 1700.0,
    },
}  # fmt: skip
"""As in tests/dynamic/conditions.py, told as a scenario tells them."""

MOST_WIND_KN, MOST_STREAM_KN = 20.0, 2.4
AMPERE_NOISE = 0.03  # of each row
MOST_SATURATED = 0.02  # share of a watch at the motor's limit


@cache
def rows(boat: str, angle_deg: float) -> tuple[dict[str, float], ...]:
    """Return the watches of a boat at an angle that its motor can hold."""
    with TABLE.open(encoding="utf-8", newline="") as stream:
        found = [row for row in csv.DictReader(stream) if row["boat"] == boat]
    numbers = [{k: float(v) for k, v in row.items() if k != "boat"} for row in found]
    return tuple(
        row
        for row in numbers
        if row["angle_deg"] == angle_deg
        and row["stream_kn"] > 0.0
        and row["twin_saturated"] < MOST_SATURATED
    )


def scenario(boat: str, angle_deg: float) -> LoadedScenario:
    """Return the day of those watches, one leg each."""
    own = BOATS[boat]
    watches = rows(boat, angle_deg)
    raw: dict[str, Any] = {
        "title": f"A {boat} in gusts, {angle_deg:.0f} deg (invented)",
        "day": {"date": "2026-05-16", "timezone": "UTC", "water": "salt",
                "air_temperature": "15 degC", "water_temperature": "15 degC"},
        "boat": dict(own["boat"]),
        "motor": dict(own["motor"]),
        "bank": dict(own["bank"]),
        "wind": {"speed": f"{MOST_WIND_KN:g} kn", "from": "0 deg", "gust": "28 kn"},
        "stream": {"point": [
            {"at": at, "speed": f"{MOST_STREAM_KN} kn",
             "toward": f"{(180.0 - angle_deg) % 360.0:.0f} deg"}
            for at in ("04:00", "12:00", "20:00")
        ]},
        "leg": [
            {"name": f"Watch {n + 1}", "do": "hold", "for": "30 min",
             "stream_scale": row["stream_kn"] / MOST_STREAM_KN,
             "wind_shelter": 1.0 - row["wind_kn"] / MOST_WIND_KN}
            for n, row in enumerate(watches)
        ],
    }  # fmt: skip
    raw["leg"][0]["start"] = "06:00"
    # Twice over, because the mass and the gust that are wanted hang on what is built.
    loaded = LoadedScenario(scenario=validate(raw), raw=raw, source_text="", path=None)
    plan = build_day(loaded)
    afloat_kg = float(np.asarray(plan.boat.hull.volume_m3 * plan.boat.water_density_kgpm3))
    mass = loaded.scenario.boat.mass_kg + own["kg"] - afloat_kg
    peak = (28.0 / MOST_WIND_KN - 1.0) / float(plan.surroundings.gust_intensity.max())
    raw["boat"]["mass"] = f"{mass:.1f} kg"
    raw["wind"]["gust"] = f"{MOST_WIND_KN * (1.0 + 0.15 * peak):.3f} kn"
    return replace(loaded, raw=raw, scenario=validate(raw))


def twin_log(loaded: LoadedScenario, boat: str, angle_deg: float, column: str) -> DayLog:
    """Return the log of a power column of the dynamic table, with noise of its own."""
    plan = build_day(loaded)
    flows = simulate(plan.demand, plan.bank, plan.motor)
    power = np.array([row[column] for row in rows(boat, angle_deg)])[plan.leg_of_step]
    rng = np.random.default_rng(7)
    current = power / flows.bus_voltage_v[:, 0]
    current = current * (1.0 + AMPERE_NOISE * rng.standard_normal(current.size))
    return DayLog(
        at_s=0.5 * (plan.edges_s[1:] + plan.edges_s[:-1]), current_a=current, voltage_v=None,
        soc=None, speed_mps=None, course_deg=None, notes=(),
    )  # fmt: skip


def learned(boat: str, angle_deg: float, column: str = "twin_power_w") -> LearnResult:
    """Return what such a log teaches."""
    loaded = scenario(boat, angle_deg)
    log = twin_log(loaded, boat, angle_deg, column)
    return learn(loaded, log, log_name=f"{boat} {angle_deg:.0f}")


def written_row(boat: str, angle_deg: float) -> tuple[float, float]:
    """Return the factors of drag and wind that table.md has."""
    for line in Path(__file__).with_name("table.md").read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.split("|")]
        if cells[1:3] == [boat, f"{angle_deg:.0f}"]:
            return float(cells[4]), float(cells[6])
    raise LookupError(f"no row of {boat} at {angle_deg:.0f} deg")


def table_lines() -> Iterator[str]:
    """Return the table of what comes out where one should, line by line."""
    yield "| boat | angle | watches | drag | 95 % | wind | 95 % | amperes off before |"
    yield "|---|---|---|---|---|---|---|---|"
    for boat in BOATS:
        for angle in ANGLES_DEG:
            result = learned(boat, angle)
            cells = [
                f"{one.value:.2f} | {one.low:.2f} to {one.high:.2f}" if one.told else "- | -"
                for one in result.factors[:2]
            ]
            logged = np.mean([leg.logged_a for leg in result.legs])
            off = np.mean([leg.before_a for leg in result.legs]) / logged - 1.0
            yield (
                f"| {boat} | {angle:.0f} | {len(result.legs)} | {' | '.join(cells)} "
                f"| {100 * off:+.1f} % |"
            )
