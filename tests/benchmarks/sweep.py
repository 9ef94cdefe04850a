"""
How many member-steps the loop carries in a second.

    python tests/benchmarks/sweep.py [rounds]

A shipped day is cut into 720 steps and laid side by side with itself: 1, 10, 100, 1,000 and
10,000 members, each with its own thrust and its own bank within some per cent, so that no two
do the same, by each law of discharge. Only `simulate` is timed, the median of the rounds; the
day is built once, before.

Aim: 10 million member-steps a second on two cores with 10,000 members. This runs on one.
"""

from dataclasses import fields, replace
from functools import partial
from pathlib import Path

import numpy as np
from measure import argument, in_turn, say

from energysim.build import build_day
from energysim.plan import DayPlan
from energysim.scenario.load import load_scenario
from energysim.simulate import Bank, Demand, simulate

SCENARIO = Path(__file__).parents[2] / "scenarios" / "estuary" / "estuary.toml"
STEPS = 720
MEMBERS = (1, 10, 100, 1_000, 10_000)
ROUNDS = 3
LAWS = ("kinetic", "peukert")


def tiled(plan: DayPlan, members: int, law: str) -> tuple[Demand, Bank]:
    """Lay a day beside itself, over and over until there are enough steps, each a bit apart."""
    rng = np.random.default_rng(1)
    steps = np.arange(STEPS) % plan.demand.step_s.shape[0]

    def wide(values: np.ndarray) -> np.ndarray:
        return np.repeat(values[..., steps, :], members, axis=-1)

    demand = Demand(
        **{
            f.name: wide(getattr(plan.demand, f.name))
            for f in fields(Demand)
            if f.name != "supply_w"
        }
    )
    harder = rng.uniform(0.8, 1.5, members)
    demand = replace(
        demand, power_w=demand.power_w * harder**1.5, thrust_n=demand.thrust_n * harder
    )
    shared = {"emf_tables_v"}
    bank = Bank(
        **{
            f.name: getattr(plan.bank, f.name)
            if f.name in shared
            else np.repeat(getattr(plan.bank, f.name), members, axis=-1)
            for f in fields(Bank)
        }
    )
    smaller = rng.uniform(0.7, 1.0, members)
    return demand, replace(
        bank,
        kinetic=np.full(members, law == "kinetic"),
        capacity_ah=bank.capacity_ah * smaller,
        wells_total_ah=bank.wells_total_ah * smaller,
    )


def main() -> None:
    """Time the loop for growing numbers of members and print the rates."""
    rounds = argument(1, ROUNDS)
    plan = build_day(load_scenario(SCENARIO))
    say(f"{STEPS} steps, median of {rounds}")
    for law in LAWS:
        for members in MEMBERS:
            demand, bank = tiled(plan, members, law)
            loop = {law: partial(simulate, demand, bank, plan.motor)}
            spent = in_turn(loop, rounds)[law]
            say(
                f"{law:8} {members:7,} members  {spent.wall:8.3f} s  "
                f"{spent.processor:8.3f} s of processor  "
                f"{STEPS * members / spent.wall / 1e6:7.2f} million a second"
            )


if __name__ == "__main__":
    main()
