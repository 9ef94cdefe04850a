"""
One day's bank by a general integrator: scipy's `solve_ivp` on the equations as they stand.

    python tests/benchmarks/naive.py [rounds]

What somebody would write who has the model on one page (DEVELOPERS.md, 7 and 8) and a library
of integrators: a right-hand side in plain numbers, every rate worked out from the state of the
moment. It shares with the package what the day asks for and what the blocks are, no part of the
loop and none of its closed forms: the wells seep, the remembered current forgets and the block
warms as differential equations. What is left in the end is asked the same way, by two further
runs down to empty at the day's own current.

It is meant to be the same answer, so both ends are printed. They differ because the loop holds
rest voltage and resistance over a minute, here they are those of the moment.

Settings: the default method (RK45), rtol 1e-6, atol 1e-9, no step beyond a minute. Without
that it runs over hours of rest and misses what comes after; it is also what ends each step near
a change of the load.
"""

import math
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from measure import argument, in_turn, say
from scipy.integrate import solve_ivp

from energysim.build import build_day
from energysim.plan import DayPlan
from energysim.scenario.load import LoadedScenario, load_scenario, validate
from energysim.scenario.overlay import overlay
from energysim.simulate import is_plain, read_books, simulate

SCENARIO = Path(__file__).parents[2] / "scenarios" / "estuary" / "estuary.toml"
DAYS: dict[str, dict[str, Any]] = {
    "the estuary as shipped": {},
    "by Peukert's law with a memory": {"bank.law": "peukert"},
    "strained: half the bank, 1.3 times the tide": {
        "bank.capacity_fraction": 0.5,
        "stream.scale": 1.3,
    },
}
SETTINGS = {"rtol": 1e-6, "atol": 1e-9, "max_step": 60.0}
ROUNDS = 5


class End(NamedTuple):
    """What a day leaves in the bank."""

    soc: float  # share of today's capacity this way of drawing still lets out
    drawn_ah: float


def planned(changes: dict[str, Any]) -> DayPlan:
    """Build the estuary's day, with changes."""
    loaded = load_scenario(SCENARIO)
    raw = overlay(loaded.raw, changes)
    return build_day(
        LoadedScenario(scenario=validate(raw), raw=raw, source_text="", path=loaded.path)
    )


def by_the_loop(plan: DayPlan) -> End:
    """Carry the bank through the day as the package does."""
    flows = simulate(plan.demand, plan.bank, plan.motor)
    books = read_books(flows, plan.bank, plan.demand.step_s, edges=np.array([-1]))
    return End(float(books.soc[0, 0]), float(flows.drawn_ah[-1, 0]))


class Block:
    """What one block is; all of the bank's are alike, and carry the same current."""

    def __init__(self, plan: DayPlan) -> None:
        bank = plan.bank
        if not is_plain(bank) or plan.demand.supply_w.any() or plan.motor.control != "pwm":
            raise ValueError(f"{plan.title}: only alike blocks, no supply, a chopper")
        one = {
            name: np.ravel(getattr(bank, name))[0].item()
            for name in bank.__slots__
            if name != "emf_tables_v"
        }
        self.kinetic = one["kinetic"]
        self.strings, self.series = one["string_count"], one["block_count"]
        self.capacity_ah, self.hours = one["capacity_ah"], one["rated_time_h"]
        self.total_ah, self.share = one["wells_total_ah"], one["wells_share"]
        self.rate_per_h = one["wells_rate_per_h"]
        self.exponent, self.memory_s = one["exponent"], one["memory_s"]
        self.start_soc = one["start_soc"]
        self.rest_v = bank.emf_tables_v[one["emf_kind"]]
        self.nodes = np.linspace(0.0, 1.0, self.rest_v.size)
        self.full_ohm, self.rise = one["resistance_full_ohm"], one["resistance_rise"]
        self.fall_per_k = one["resistance_fall_per_k"]
        self.heat_j_per_k, self.loss_w_per_k = (
            one["heat_capacity_j_per_k"],
            one["heat_loss_w_per_k"],
        )
        if not (self.kinetic or self.memory_s):
            raise ValueError(f"{plan.title}: Peukert's law only with a memory")
        self.surrounds_degc, self.start_degc = one["surrounds_degc"], one["start_degc"]
        self.cable_ohm, self.house_w = one["cable_ohm"], one["house_load_w"]
        self.cutoff_v, self.lowest_v = one["cutoff_voltage_v"], one["lowest_voltage_v"]
        self.limit_a = one["current_limit_a"]

    def at_start(self) -> tuple[float, float]:
        """Return near well and all charge, in Ah; by Peukert's law level and no memory."""
        if not self.kinetic:
            return self.start_soc, 0.0
        left = self.total_ah - (1.0 - self.start_soc) * self.capacity_ah
        return self.share * left, left

    def level(self, first: float) -> float:
        """Return how full the law's own state is, 1 to 0."""
        return first / (self.share * self.total_ah) if self.kinetic else first

    def margin(self, first: float, second: float) -> float:
        """Return how far from empty: the near well, or what is left of today's capacity."""
        if not self.kinetic:
            return first
        return min(first, second - (self.total_ah - self.capacity_ah))

    def rates(self, first: float, second: float, amps: float) -> tuple[float, float]:
        """Return how fast both change, for each second."""
        if self.kinetic:
            seeps = self.rate_per_h * (self.share * second - first)
            return (seeps - amps) / 3600.0, -amps / 3600.0
        faster = max(1.0, second * self.hours / self.capacity_ah) ** (self.exponent - 1.0)
        return -amps * faster / (3600.0 * self.capacity_ah), (amps - second) / self.memory_s


def current_a(emf: float, inner: float, step: int, block: Block, demand: Any) -> float:
    """Return what motor and house draw from a rest voltage behind a resistance."""
    power = float(demand.power_w[step, 0])
    ohm = inner + block.cable_ohm
    total = power + block.house_w
    inside = emf * emf - 4.0 * ohm * total
    amps = 2.0 * total / (emf + math.sqrt(inside)) if inside > 0.0 else math.inf
    bus = emf - ohm * amps
    floor = max(float(demand.needed_voltage_v[step, 0]), block.lowest_v)
    carried = emf - inner * amps >= block.cutoff_v and power / bus <= block.limit_a
    if power == 0.0 or (carried and bus >= floor):
        return amps
    if block.house_w:
        raise ValueError("a house load beside a motor that is held down is not worked out here")
    c0, c1, c2 = demand.current_quadratic[:, step, 0]
    # Full throttle: V = E - R (c0 + c1 V + c2 V^2).
    a, b, c = ohm * c2, 1.0 + ohm * c1, ohm * c0 - emf
    full = -2.0 * c / (b + math.sqrt(b * b - 4.0 * a * c))
    ends = (
        (emf - full) / ohm,
        block.limit_a,
        (emf - block.lowest_v) / ohm,
        (emf - block.cutoff_v) / inner,
    )
    return max(min(ends), 0.0)


def by_solve_ivp(plan: DayPlan) -> End:
    """Carry the bank through the day by the integrator."""
    block, demand = Block(plan), plan.demand
    edges, last = plan.edges_s, len(plan.edges_s) - 2
    # The memory is seeded with the first load and keeps that until it comes.
    loads_w = demand.power_w[:, 0] + block.house_w
    loaded = int(np.argmax(loads_w > 0.0))

    def inside(state: Any, step: int) -> tuple[float, float]:
        """Return the amperes of a string and the resistance of the bank."""
        height = min(max(block.level(state[0]), 0.0), 1.0)
        emf = block.series * float(np.interp(height, block.nodes, block.rest_v))
        ohm = block.full_ohm * (1.0 + (block.rise - 1.0) * (1.0 - height))
        ohm *= math.exp(-block.fall_per_k * (state[2] - block.start_degc))
        inner = block.series / block.strings * ohm
        return current_a(emf, inner, step, block, demand) / block.strings, ohm

    def rates(when: float, state: Any) -> tuple[float, ...]:
        step = min(int(np.searchsorted(edges, when, side="right")) - 1, last)
        amps, ohm = inside(state, step)
        heat = amps * amps * ohm - block.loss_w_per_k * (state[2] - block.surrounds_degc)
        first, second = block.rates(state[0], state[1], amps)
        return (
            first,
            second if block.kinetic or step >= loaded else 0.0,
            heat / block.heat_j_per_k,
            amps / 3600.0,
            amps * amps / 3600.0,
        )

    def empty(_: float, state: Any) -> float:
        return block.margin(state[0], state[1])

    empty.terminal = True  # type: ignore[attr-defined]
    first, second = block.at_start()
    if not block.kinetic:
        second = inside((first, second, block.start_degc), loaded)[0]
    state = [first, second, block.start_degc, 0.0, 0.0]
    found = solve_ivp(rates, (edges[0], edges[-1]), state, events=empty, **SETTINGS)
    first, second, _, drawn, felt = found.y[:, -1]
    if found.status == 1:
        soc = 0.0
    elif block.kinetic:
        amps = max(felt / drawn, block.capacity_ah / block.hours)
        by_time = lasts_s(block, first, second, amps) / lasts_s(
            block, block.share * block.total_ah, block.total_ah, amps
        )
        soc = min(by_time, block.start_soc - drawn / block.capacity_ah)
    else:
        soc = first
    return End(float(soc), float(block.strings * drawn))


def lasts_s(block: Block, near: float, left: float, amps: float) -> float:
    """Return how long the wells carry a current."""

    def empty(_: float, state: Any) -> float:
        return float(state[0])

    empty.terminal = True  # type: ignore[attr-defined]
    longest = 3600.0 * left / amps
    found = solve_ivp(
        lambda _, state: block.rates(state[0], state[1], amps),
        (0.0, longest),
        [near, left],
        events=empty,
        rtol=SETTINGS["rtol"],
        atol=SETTINGS["atol"],
    )
    return float(found.t[-1])


def main() -> None:
    """Run each day both ways, print the ends and how much longer the integrator takes."""
    rounds = argument(1, ROUNDS)
    for name, changes in DAYS.items():
        plan = planned(changes)
        ours, theirs = by_the_loop(plan), by_solve_ivp(plan)
        spent = in_turn(
            {"loop": lambda p=plan: by_the_loop(p), "naive": lambda p=plan: by_solve_ivp(p)},
            rounds,
        )
        ratio = spent["naive"].over(spent["loop"])
        say(
            f"{name:44} solve_ivp takes {ratio.processor:6.1f} times as long"
            f" ({ratio.wall:.1f} by the wall), ends at {100.0 * theirs.soc:.3f} %"
            f" where the loop ends at {100.0 * ours.soc:.3f} %,"
            f" {theirs.drawn_ah:.3f} Ah drawn and {ours.drawn_ah:.3f}"
        )


if __name__ == "__main__":
    main()
