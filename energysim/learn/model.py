"""
What a logger would have shown: days and banks of a grid of factors, computed together.

Days with other drag and wind are built together, banks of other capacity and resistance stand
beside them as members of one run. Where amperes were logged, the bank is drawn on by those and
not by the computed ones, so that what is wrong with the forces does not touch what the volts
say about the bank.

Depends on: build, plan, simulate, scenario, learn.bins, learn.table, errors.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.build import DayAsked, build_days
from energysim.errors import ScenarioError
from energysim.learn.table import CAPACITY, DRAG, RESISTANCE, WIND, Axis, Table
from energysim.plan import stack
from energysim.scenario.whatif import changed
from energysim.simulate import Demand, simulate

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.learn.bins import Means
    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario
    from energysim.simulate import Flows

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grid:
    """The factors of the days and banks that are computed."""

    drag: Axis
    wind: Axis
    capacity: Axis
    resistance: Axis
    beside: int  # every so many capacities also stand beside each day; the rest are run alone


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Computed:
    """The days of a grid, and the banks that stand beside each."""

    grid: Grid
    days: tuple[DayPlan, ...]  # drag by wind
    banks: tuple[tuple[DayPlan, ...], ...]  # capacity by resistance; only their banks differ


def compute_days(loaded: LoadedScenario, grid: Grid) -> Computed:
    """
    Build the days of a grid, all of them together.

    Parameters
    ----------
    loaded : LoadedScenario
        The scenario.
    grid : Grid
        The factors.

    Returns
    -------
    Computed
        Not run yet.

    Raises
    ------
    ScenarioError
        A day cannot be built.
    """
    changes: list[dict[str, Any]] = [
        {"boat.drag_factor": float(drag), "boat.wind_factor": float(wind)}
        for drag, wind in product(grid.drag.factors(), grid.wind.factors())
    ]
    changes += [
        {"bank.capacity_fraction": min(1.0, float(capacity))}
        for capacity in grid.capacity.factors()
    ]
    built = build_days([DayAsked(changed(loaded, one)) for one in changes], in_full=False)
    plans: list[DayPlan] = []
    for one in built:
        if isinstance(one, ScenarioError):
            raise one
        plans.append(one)
    count = grid.drag.nodes.size * grid.wind.nodes.size
    banks = tuple(
        tuple(_with_resistance(plan, factor) for factor in grid.resistance.factors())
        for plan in plans[count:]
    )
    return Computed(grid=grid, days=tuple(plans[:count]), banks=banks)


def _with_resistance(plan: DayPlan, factor: float) -> DayPlan:
    """Return a day whose bank has this many times its resistance."""
    ohm = plan.bank.resistance_full_ohm * factor
    return replace(plan, bank=replace(plan.bank, resistance_full_ohm=ohm))


def reading_of(flows: Flows, members: slice, name: str, plan: DayPlan) -> Array:
    """Return what a logger shows of some members: (steps, members), or at the edges."""
    if name == "current":
        return (flows.current_a * flows.carried_share)[:, members]
    if name == "voltage":
        return flows.bank_voltage_v[:, members]
    start = float(np.ravel(plan.bank.start_soc)[0])
    return np.asarray(start - flows.drawn_ah[:, members] / plan.ledger_capacity_ah)


def whole_days(
    computed: Computed, wanted: Sequence[Means], *, bank: DayPlan | None = None
) -> dict[str, Table]:
    """
    Run every day, and return the wanted readings.

    Parameters
    ----------
    computed : Computed
        The days.
    wanted : sequence of Means
        The readings.
    bank : DayPlan, optional
        The one whose bank every day has; left out, the banks of the grid, each in turn.
    """
    grid = computed.grid
    capacity = Axis(grid.capacity.nodes[:: grid.beside], grid.capacity.power)
    every: tuple[Axis | None, ...] = (grid.drag, grid.wind, capacity, grid.resistance)
    beside = [own for some in computed.banks[:: grid.beside] for own in some]
    axes = every if bank is None else (grid.drag, grid.wind, None, None)
    pairs = [(day, own) for day in computed.days for own in ([bank] if bank else beside)]
    demand, banks = stack([replace(day, bank=own.bank) for day, own in pairs])
    flows = simulate(demand, banks, computed.days[0].motor)
    shape = tuple(axis.nodes.size for axis in axes if axis is not None)
    tables = {}
    for means in wanted:
        rows = [
            means.weights @ reading_of(flows, slice(n, n + 1), means.name, own)[:, 0]
            for n, (_, own) in enumerate(pairs)
        ]
        tables[means.name] = Table(axes=axes, values=np.array(rows).reshape(*shape, -1))
    return tables


def one_day(loaded: LoadedScenario, logs: Array) -> DayPlan:
    """
    Build the day of some factors.

    Parameters
    ----------
    loaded : LoadedScenario
        The scenario.
    logs : ndarray, shape (4,)
        Logarithms of the factors; a capacity above the label counts as the label's.
    """
    factors = np.exp(logs)
    changes = {
        "boat.drag_factor": float(factors[DRAG]),
        "boat.wind_factor": float(factors[WIND]),
        "bank.capacity_fraction": min(1.0, float(factors[CAPACITY])),
    }
    (day,) = build_days([DayAsked(changed(loaded, changes))], in_full=False)
    if isinstance(day, ScenarioError):
        raise day
    return _with_resistance(day, float(factors[RESISTANCE]))


def computed_amperes(day: DayPlan) -> Array:
    """Return the amperes of every step of a day, (steps,)."""
    flows = simulate(day.demand, day.bank, day.motor)
    return reading_of(flows, slice(0, 1), "current", day)[:, 0]


def banks_drawn_on(
    computed: Computed, step_a: Array, wanted: Sequence[Means]
) -> dict[str, Table]:
    """
    Run the banks alone, drawn on by given amperes.

    Parameters
    ----------
    computed : Computed
        For its banks.
    step_a : ndarray, shape (steps,)
        Mean current of each step; what goes into the bank counts as none. [A]
    wanted : sequence of Means
        The readings to return.
    """
    plans = [drawn_on(plan, step_a) for some in computed.banks for plan in some]
    demand, bank = stack(plans)
    flows = simulate(demand, bank, replace(plans[0].motor, control="stepped"))
    axes = (computed.grid.capacity, computed.grid.resistance)
    shape = tuple(axis.nodes.size for axis in axes)
    tables = {}
    for means in wanted:
        rows = [
            means.weights @ reading_of(flows, slice(n, n + 1), means.name, plan)[:, 0]
            for n, plan in enumerate(plans)
        ]
        values = np.array(rows).reshape(*shape, -1)
        tables[means.name] = Table(axes=(None, None, *axes), values=values)
    return tables


def drawn_on(plan: DayPlan, step_a: Array) -> DayPlan:
    """Return a day whose bank gives these amperes and nothing else; for a stepped motor."""
    own = plan.demand
    nothing: dict[str, Any] = {
        field.name: np.zeros_like(getattr(own, field.name)) for field in fields(Demand)
    }
    # Stepped control holds a current: power over rated voltage.
    power = step_a[:, None] * plan.motor.rated_voltage_v
    demand = Demand(
        **{
            **nothing,
            "step_s": own.step_s,
            "power_w": power,
            "thrust_ratio": np.ones_like(own.thrust_ratio),
            "torque_ratio": np.ones_like(own.torque_ratio),
        }
    )
    bank = replace(
        plan.bank,
        cable_ohm=np.zeros_like(plan.bank.cable_ohm),
        cutoff_voltage_v=np.zeros_like(plan.bank.cutoff_voltage_v),
        house_load_w=np.zeros_like(plan.bank.house_load_w),
        current_limit_a=np.full_like(plan.bank.current_limit_a, np.inf),
        lowest_voltage_v=np.zeros_like(plan.bank.lowest_voltage_v),
    )
    return replace(plan, demand=demand, bank=bank)
