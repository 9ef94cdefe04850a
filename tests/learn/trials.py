"""
Logged days of our own model, with errors of which every number is known, fitted many times.

The amperes are those of a table of days, of which other tests say that it meets the days
themselves. The wind wanders about the scenario's by an error that fades over a given time, so
its push is wrong for a while; every row has noise of its own; the meters' zeros are out.

`python -m tests.learn.table` writes how often the intervals held the truth.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from energysim.build import DayAsked, build_day, build_days
from energysim.learn.bins import Means, bin_log
from energysim.learn.fit import Fitted
from energysim.learn.log import DayLog
from energysim.learn.model import (
    Computed,
    banks_drawn_on,
    compute_days,
    drawn_on,
    whole_days,
)
from energysim.learn.search import (
    CHARGE_ZERO,
    VOLT_ZERO,
    Question,
    fit_computed,
    grid_about,
    spreads_before,
)
from energysim.learn.table import Table
from energysim.plan import DayPlan, stack
from energysim.scenario.load import LoadedScenario, load_scenario
from energysim.scenario.whatif import changed
from energysim.simulate import simulate

Array = NDArray[np.float64]

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LEAST_CAPACITY = 0.45
WIND_ERROR = 0.08  # of the wind's speed, one standard deviation
STREAM_ERROR = 0.04  # of the stream's
ROW_NOISE = (0.02, 0.2)  # of the amperes, and amperes
VOLT_NOISE, CHARGE_NOISE = 0.03, 0.005
SPREADS = (0.2, 0.2, None, 0.15)  # of the logarithms of the true factors
FADES_S = (1200.0, 21600.0)  # over which those errors fade, evenly spread by logarithm
CAPACITIES = (0.7, 1.0)  # of the scenario's own, evenly spread


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bench:
    """A scenario and the days its logs are made and fitted with."""

    loaded: LoadedScenario
    plan: DayPlan
    before: Array
    computed: Computed
    amperes: Table  # of every step

    @property
    def middles_s(self) -> Array:
        """Middle of each step."""
        return 0.5 * (self.plan.edges_s[1:] + self.plan.edges_s[:-1])


@cache
def bench(name: str, strings: int = 1) -> Bench:
    """Return a shipped scenario, with its table of days."""
    path = SCENARIOS / name / f"{name}.toml"
    loaded = changed(load_scenario(path), {"bank.parallel": strings})
    plan = build_day(loaded)
    boat, bank = loaded.scenario.boat, loaded.scenario.bank
    before = np.log([boat.drag_factor, boat.wind_factor, bank.capacity_fraction, 1.0])
    grid = grid_about(before[:2], np.full(2, 0.16), count=9, least=LEAST_CAPACITY)
    computed = compute_days(loaded, grid)
    steps = plan.leg_of_step.size
    middles = 0.5 * (plan.edges_s[1:] + plan.edges_s[:-1])
    every = Means(
        name="current",
        values=np.zeros(steps),
        at_s=middles,
        leg=plan.leg_of_step,
        weights=np.eye(steps),
    )
    amperes = whole_days(computed, [every], bank=plan)["current"]
    return Bench(loaded=loaded, plan=plan, before=before, computed=computed, amperes=amperes)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trials:
    """How often the intervals held the truth. Arrays (seeds, 4), in the order of factors."""

    inside: NDArray[np.bool_]
    told: NDArray[np.bool_]
    error: Array  # fitted over true, as logarithms
    spread: Array

    def held(self) -> list[tuple[int, int]]:
        """Return of each factor in how many logs the interval held, and how many told it."""
        both = zip(self.inside.T, self.told.T, strict=True)
        return [(int((inside & told).sum()), int(told.sum())) for inside, told in both]


def wandering(rng: np.random.Generator, steps: int, fade_s: float, step_s: float) -> Array:
    """Return an error of unit spread that fades exponentially (exact for its step)."""
    keep = np.exp(-step_s / fade_s)
    fresh = rng.standard_normal(steps) * np.sqrt(1.0 - keep * keep)
    error = np.empty(steps)
    error[0] = rng.standard_normal()
    for number in range(1, steps):
        error[number] = keep * error[number - 1] + fresh[number]
    return error


def truths(on: Bench, seeds: int) -> Array:
    """Return the true factors of each seed, (seeds, 4), as logarithms."""
    rng = np.random.default_rng(20260516)
    drawn = rng.standard_normal((seeds, 4)) * [sd or 0.0 for sd in SPREADS]
    drawn[:, 2] = np.log(rng.uniform(*CAPACITIES, seeds))
    return on.before + drawn


def run(on: Bench, *, seeds: int, readings: str, fades_s: tuple[float, float]) -> Trials:
    """Make and fit so many logs; `readings` holds the letters a, v and s."""
    low, high = np.log(fades_s)
    fades = np.exp(np.random.default_rng(1977).uniform(low, high, seeds))
    true = truths(on, seeds)
    steps = on.plan.leg_of_step.size
    step_s = float(np.median(np.diff(on.plan.edges_s)))
    rngs = [np.random.default_rng([1, seed]) for seed in range(seeds)]
    amperes = np.stack(
        [
            _amperes(
                on,
                row,
                WIND_ERROR * wandering(rng, steps, fade_s, step_s),
                STREAM_ERROR * wandering(rng, steps, fade_s, step_s),
            )
            for row, rng, fade_s in zip(true, rngs, fades, strict=True)
        ],
        axis=1,
    )
    days = [
        DayAsked(
            changed(on.loaded, {"bank.capacity_fraction": min(1.0, float(np.exp(row[2])))})
        )
        for row in true
    ]
    plans: list[Any] = build_days(days, in_full=False)
    banks = [
        drawn_on(_stiffer(plan, float(np.exp(row[3]))), amperes[:, n])
        for n, (plan, row) in enumerate(zip(plans, true, strict=True))
    ]
    demand, bank = stack(banks)
    flows = simulate(demand, bank, replace(on.plan.motor, control="stepped"))
    start = float(np.ravel(on.plan.bank.start_soc)[0])
    fits = []
    for n, (plan, rng) in enumerate(zip(plans, rngs, strict=True)):
        own, flat = ROW_NOISE
        volt_zero = VOLT_ZERO * plan.rated_voltage_v * rng.standard_normal()
        charge_zero = CHARGE_ZERO * rng.standard_normal()
        a = amperes[:, n] * (1.0 + own * rng.standard_normal(steps))
        a = a + flat * rng.standard_normal(steps)
        v = flows.bank_voltage_v[:, n] + volt_zero + VOLT_NOISE * rng.standard_normal(steps)
        s = start - flows.drawn_ah[1:, n] / plan.ledger_capacity_ah
        s = s + charge_zero + CHARGE_NOISE * rng.standard_normal(steps)
        fits.append(
            fit_one(on, a, v if "v" in readings else None, s if "s" in readings else None)
        )
    return Trials(
        inside=np.array(
            [
                [
                    low <= np.exp(row[k]) <= high
                    for k, (low, high) in enumerate(map(fitted.fit.interval, range(4)))
                ]
                for row, fitted in zip(true, fits, strict=True)
            ]
        ),
        told=np.array([fitted.told for fitted in fits]),
        error=np.array([fitted.fit.logs for fitted in fits]) - true,
        spread=np.array([[fitted.fit.spread(k) for k in range(4)] for fitted in fits]),
    )


def fit_one(on: Bench, a: Array, v: Array | None, s: Array | None) -> Fitted:
    """Fit one log with the bench's own table."""
    log = DayLog(
        at_s=on.middles_s, current_a=a, voltage_v=v, soc=s, speed_mps=None, course_deg=None,
        notes=(),
    )  # fmt: skip
    binned = bin_log(log, on.plan, on.loaded.scenario.legs)
    assert binned.current is not None
    others = [means for means in (binned.voltage, binned.soc) if means is not None]
    tables = {} if not others else banks_drawn_on(on.computed, a, others)
    values = np.einsum("dws,bs->dwb", on.amperes.values, binned.current.weights)
    tables["current"] = Table(axes=on.amperes.axes, values=values)
    question = Question(
        before=on.before,
        known=spreads_before(on.loaded),
        rated_voltage_v=on.plan.rated_voltage_v,
        least=LEAST_CAPACITY,
        with_prior=False,
    )
    return fit_computed(tables, binned, question)


def _amperes(on: Bench, true: Array, wind_error: Array, stream_error: Array) -> Array:
    """Return the amperes of a day whose wind and stream wander; a push goes with the square."""
    drag, wind = on.computed.grid.drag, on.computed.grid.wind
    drags = np.array([drag.shares(true[0] + 2.0 * np.log1p(e))[0] for e in stream_error])
    winds = np.array([wind.shares(true[1] + 2.0 * np.log1p(e))[0] for e in wind_error])
    return np.asarray(np.einsum("sd,sw,dws->s", drags, winds, on.amperes.values))


def _stiffer(plan: DayPlan, factor: float) -> DayPlan:
    ohm = plan.bank.resistance_full_ohm * factor
    return replace(plan, bank=replace(plan.bank, resistance_full_ohm=ohm))


def table_lines() -> Iterator[str]:
    """Return how often the intervals hold, day by day, line by line."""
    yield "| day | errors last | drag | wind | capacity | resistance |"
    yield "|---|---|---|---|---|---|"
    spans = {"20 min": (1200.0, 1200.0), "6 h": (21600.0, 21600.0)}
    for name, strings, more in (("estuary", 1, spans), ("lake", 1, {}), ("headland", 2, spans)):
        for span, fades_s in {"20 min to 6 h": FADES_S, **more}.items():
            found = run(bench(name, strings), seeds=200, fades_s=fades_s, readings="av")
            cells = [f"{held} of {told}" for held, told in found.held()]
            yield f"| {name} | {span} | {' | '.join(cells)} |"
