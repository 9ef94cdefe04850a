"""
How many member-steps of holding loads can be had in a second, by the laws and from a table.

    python tests/benchmarks/forces.py [rounds]

An invented day of 720 steps: a tide that turns under a wind that veers, so that for part of
the day one runs against the other, which is where headings come and go. Every member has its
own forecast error in strength, direction and stream, and its own factors of wind and drag.
Timed are the loads at the mean wind of every step and, on top of that, those in the five winds
of a gusty step at every fifth step, as a day does, each gust starting from the heading of the
mean. The members go through in lots, on one thread and on two; for the laws they are few, since
the laws cost the same however many there are.

Aim, for the whole force side: 10,000 members in 0.25 s on two cores. Not met: on two cores that
others were using too, the loads at the mean wind took 0.44 s across the tide and 2 s against
it, with gusts 0.9 s and 2 to 4 s. What bounds it is the traffic of some forty passes over
numbers in memory, and near opposition the places where a heading appears or vanishes (one load
in thirteen here), each of which is searched for all its headings at some 3 us. No chop: see
`energysim.physics.response`.
"""

import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from energysim.build.boat import build_boat
from energysim.physics.boat import Boat
from energysim.physics.hold import hold_load
from energysim.physics.response import load_from_table
from energysim.physics.response_table import HoldTable, hold_table
from energysim.physics.unsteady import gust_nodes
from energysim.scenario.load import load_scenario

SCENARIO = Path(__file__).parents[2] / "scenarios" / "estuary" / "estuary.toml"
STEPS = 720
MEMBERS = 10_000
LOT = 1_000
FEW = 10  # members for the laws
EVERY = 5  # steps from one gusty step to the next
WINDS = 5
INTENSITY = 0.15
ROUNDS = 3


def day(lot: int, *, members: int, off_deg: float) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the weather around each of a lot, the wind so far off the line of the tide."""
    rng = np.random.default_rng(lot)
    hours = np.linspace(0.0, 12.0, STEPS)[:, None]
    stream = 0.9 * np.sin(2.0 * np.pi * hours / 12.4) * rng.lognormal(0.0, 0.1, members)
    weather = {
        "wind_mps": (6.0 + 1.5 * np.sin(0.5 * hours)) * rng.lognormal(0.0, 0.15, members),
        "wind_from_deg": 45.0 + off_deg + 2.0 * (hours - 3.0) + rng.normal(0.0, 8.0, members),
        "stream_mps": np.abs(stream),
        "stream_toward_deg": np.where(stream > 0.0, 45.0, 228.0),
    }
    ratios = {
        "wind_ratio": rng.lognormal(0.0, 0.15, members),
        "drag_ratio": rng.lognormal(0.0, 0.2, members),
    }
    return weather, ratios


def in_gusts(weather: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Return the weather of every fifth step, in each of its winds."""
    rare = {key: value[::EVERY] for key, value in weather.items()}
    for factor in gust_nodes(INTENSITY, count=WINDS)[0]:
        yield rare | {"wind_mps": rare["wind_mps"] * factor}


def by_table(
    table: HoldTable, weather: dict[str, Any], ratios: dict[str, Any], *, gusts: bool
) -> float:
    """Ask the table for every load; return the share it had to leave to the laws."""
    fresh = np.zeros(STEPS, dtype=bool)
    mean = load_from_table(**weather, **ratios, table=table, fresh=fresh)
    exact = [float(mean.exact.mean())]
    if gusts:
        heading = mean.at_steps(slice(None, None, EVERY)).heading_deg
        for gusty in in_gusts(weather):
            load = load_from_table(**gusty, **ratios, table=table, near_deg=heading)
            exact.append(float(load.exact.mean()))
    return float(np.mean(exact))


def by_laws(
    boat: Boat, weather: dict[str, Any], ratios: dict[str, Any], *, gusts: bool
) -> float:
    """Ask the laws for every load."""
    own = replace(
        boat,
        hull=replace(boat.hull, drag_factor=boat.hull.drag_factor * ratios["drag_ratio"]),
        windage=replace(
            boat.windage, wind_factor=boat.windage.wind_factor * ratios["wind_ratio"]
        ),
    )
    mean = hold_load(**weather, boat=own, fresh=np.zeros(STEPS, dtype=bool))
    if gusts:
        for gusty in in_gusts(weather):
            hold_load(**gusty, boat=own, near_deg=mean.heading_deg[::EVERY])
    return 1.0


def in_lots(work: Callable[[int], float], lots: int, *, threads: int) -> float:
    """Do the work for one lot after another, on so many threads."""
    with ThreadPoolExecutor(threads) as pool:
        return float(np.mean(list(pool.map(work, range(lots)))))


def told(name: str, work: Callable[[], float], members: int, rounds: int) -> None:
    """Time the work and print its rate."""
    spent = []
    for _ in range(rounds):
        begin = time.perf_counter()
        exact = work()
        spent.append(time.perf_counter() - begin)
    rate = STEPS * members / min(spent)
    sys.stdout.write(
        f"  {name:46} {min(spent):8.3f} s  {rate / 1e6:7.2f} million a second"
        f"  {exact:6.1%} by the laws\n"
    )


def one_day(title: str, off_deg: float, *, boat: Boat, table: HoldTable, rounds: int) -> None:
    """Time one kind of day, with and without gusts."""
    lots = [day(lot, members=LOT, off_deg=off_deg) for lot in range(MEMBERS // LOT)]
    few = day(0, members=FEW, off_deg=off_deg)
    sys.stdout.write(f"{title}, {STEPS} steps, best of {rounds}\n")

    def read(lot: int, *, gusts: bool) -> float:
        return by_table(table, *lots[lot], gusts=gusts)

    for gusts in (False, True):
        what = "mean and gusts" if gusts else "mean"
        work = partial(by_laws, boat, *few, gusts=gusts)
        told(f"{what}, laws, {FEW} members", work, FEW, rounds)
        for threads in (1, 2):
            name = f"{what}, table, {MEMBERS:,} members, threads: {threads}"
            work = partial(in_lots, partial(read, gusts=gusts), len(lots), threads=threads)
            told(name, work, MEMBERS, rounds)


def main() -> None:
    """Time tables and laws, and print the rates."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    boat = build_boat(load_scenario(SCENARIO).scenario, bank_mass_kg=60.0)
    begin = time.perf_counter()
    table = hold_table(boat, most_stream_mps=2.0)
    sys.stdout.write(f"table made in {time.perf_counter() - begin:.2f} s\n")
    for title, off_deg in (("wind across the tide", 70.0), ("wind against the tide", 0.0)):
        one_day(title, off_deg, boat=boat, table=table, rounds=rounds)


if __name__ == "__main__":
    main()
