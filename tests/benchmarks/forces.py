"""
How many member-steps of holding loads can be had in a second, by the laws and from a table.

    python tests/benchmarks/forces.py [rounds]

An invented day of 720 steps: a tide that turns under a wind that veers, so that for part of
the day one runs against the other, which is where headings come and go. Every member has its
own forecast error in strength, direction and stream, and its own factors of wind and drag.

Done is what a day does: loads at every fifth step and the last, 145 of 720, at the mean wind
and in the five winds of a gusty step, each gust from the heading of the mean (one of the five
is the mean); then mean thrust and the water into the propeller are read in between, at all 720.
Rates count member-steps of the day, not loads. Each line adds to the one before: the loads at
the mean wind, those in the gusts, and the 720 steps. The last line is the motor's: the mean
power over the five winds at the instants, by its laws without bursts or limits, and that read
in between; it is no part of the force side and stands here because a sweep must pay for it too.
Members go through in lots, on one thread and on two; for the laws they are few, since those
cost the same however many there are. Not counted: making the weather and the table.

Aim, for the whole force side: 10,000 members in 0.25 s on two cores. Seen, on two cores that
others were using too: across the tide 0.33 s of one processor, about 0.25 s on two; against it
0.57 s, and 0.45 to 0.5 s on two, so there the aim is missed about twofold. What bounds it is
the traffic of some thirty passes over each load; against the tide also nodes that lie further
apart in memory, a second reading where there are two headings (one load in six), and the
search, at some 3 us, where the table still will not do (one in three hundred). Two threads
gain less than twice: each pass is short, and between passes they wait for one another. No
chop: see `energysim.physics.response`.
"""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from measure import argument, in_turn, say, spent_on

from energysim.build.boat import build_boat
from energysim.build.motor import build_motor
from energysim.physics.boat import Boat
from energysim.physics.hold import hold_load
from energysim.physics.motor import Motor, electrical_demand
from energysim.physics.response import load_from_table
from energysim.physics.response_gusts import gusty_load_from_table
from energysim.physics.response_spread import spread
from energysim.physics.response_table import HoldTable, hold_table
from energysim.physics.unsteady import gust_nodes
from energysim.scenario.load import load_scenario

SCENARIO = Path(__file__).parents[2] / "scenarios" / "estuary" / "estuary.toml"
STEPS = 720
KNOWN = np.append(np.arange(0, STEPS, 5), STEPS - 1)
WHEN_S = 60.0 * (np.arange(STEPS) + 0.5)
FRESH = np.zeros(KNOWN.size, dtype=bool)
MEMBERS = 10_000
LOT = 2_500
FEW = 10  # members for the laws
FACTOR, SHARE = gust_nodes(0.15, count=5)
ROUNDS = 3
STAGES = ("mean", "and gusts", "and every step", "and power")

own = threading.local()  # each thread's memory for the steps of a lot, used over and over


def day(lot: int, *, members: int, off_deg: float) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the weather around each of a lot, the wind so far off the line of the tide."""
    rng = np.random.default_rng(lot)
    hours = WHEN_S[KNOWN][:, None] / 3600.0
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


def by_table(
    table: HoldTable,
    motor: Motor,
    weather: dict[str, Any],
    ratios: dict[str, Any],
    *,
    stage: str,
) -> float:
    """Ask the table for every load; return the share it had to leave to the laws."""
    if stage == "mean":
        mean = load_from_table(**weather, **ratios, table=table, fresh=FRESH)
        return float(mean.exact.mean())
    load = gusty_load_from_table(**weather, **ratios, factor=FACTOR, table=table, fresh=FRESH)
    if stage != "and gusts":
        at_every_step(0, load.mean.thrust_n)
        at_every_step(1, load.mean.inflow_mps)
    if stage == "and power":
        power = np.zeros(load.mean.thrust_n.shape)
        for share, thrust, inflow in zip(SHARE, load.thrust_n, load.inflow_mps, strict=True):
            power += share * electrical_demand(thrust, inflow_mps=inflow, motor=motor).power_w
        at_every_step(2, power)
    return float(load.exact.mean())


def at_every_step(place: int, values: Any) -> None:
    """Read between the instants into this thread's memory."""
    if not hasattr(own, "memory"):
        own.memory = np.empty((3, STEPS, LOT))
    spread(values, known=KNOWN, when_s=WHEN_S, out=own.memory[place, :, : values.shape[1]])


def by_laws(boat: Boat, weather: dict[str, Any], ratios: dict[str, Any]) -> float:
    """Ask the laws for every load, in the mean and in the gusts."""
    whose = replace(
        boat,
        hull=replace(boat.hull, drag_factor=boat.hull.drag_factor * ratios["drag_ratio"]),
        windage=replace(
            boat.windage, wind_factor=boat.windage.wind_factor * ratios["wind_ratio"]
        ),
    )
    mean = hold_load(**weather, boat=whose, fresh=FRESH)
    winds = np.multiply.outer(FACTOR, weather["wind_mps"])
    hold_load(**(weather | {"wind_mps": winds}), boat=whose, near_deg=mean.heading_deg)
    return 1.0


def in_lots(work: Callable[[int], float], lots: int, *, threads: int) -> float:
    """Do the work for one lot after another, on so many threads."""
    with ThreadPoolExecutor(threads) as pool:
        return float(np.mean(list(pool.map(work, range(lots)))))


def told(name: str, work: Callable[[], float], members: int, rounds: int) -> None:
    """Time the work and print its rate."""
    exact: list[float] = []
    spent = in_turn({name: lambda: exact.append(work())}, rounds)[name]
    say(
        f"  {name:46} {spent.wall:8.3f} s  {spent.processor:8.3f} s of processor"
        f"  {STEPS * members / spent.wall / 1e6:7.2f} million a second"
        f"  {exact[-1]:6.2%} by the laws"
    )


def one_day(
    title: str, off_deg: float, *, boat: Boat, motor: Motor, table: HoldTable, rounds: int
) -> None:
    """Time one kind of day, stage by stage."""
    lots = [day(lot, members=LOT, off_deg=off_deg) for lot in range(MEMBERS // LOT)]
    few = day(0, members=FEW, off_deg=off_deg)
    say(f"{title}, {STEPS} steps, median of {rounds}")
    told(f"mean and gusts, laws, {FEW} members", partial(by_laws, boat, *few), FEW, rounds)

    def read(lot: int, *, stage: str) -> float:
        return by_table(table, motor, *lots[lot], stage=stage)

    for threads in (1, 2):
        for stage in STAGES:
            name = f"{stage}, table, {MEMBERS:,} members, threads: {threads}"
            work = partial(in_lots, partial(read, stage=stage), len(lots), threads=threads)
            told(name, work, MEMBERS, rounds)


def table_of(boat: Boat) -> HoldTable:
    """Work out the boat's table for all the streams of the day."""
    return hold_table(boat, most_stream_mps=2.0)


def main() -> None:
    """Time tables and laws, and print the rates."""
    rounds = argument(1, ROUNDS)
    scenario = load_scenario(SCENARIO).scenario
    boat = build_boat(scenario, bank_mass_kg=60.0)
    motor = build_motor(scenario).motor
    begun = spent_on(lambda: table_of(boat))
    table = table_of(boat)
    size = sum(each.nbytes for each in (table.force, table.bow, table.headings, table.finer))
    say(f"table made in {begun.wall:.2f} s, {size / 1e6:.1f} million bytes")
    for title, off_deg in (("wind across the tide", 70.0), ("wind against the tide", 0.0)):
        one_day(title, off_deg, boat=boat, motor=motor, table=table, rounds=rounds)


if __name__ == "__main__":
    main()
