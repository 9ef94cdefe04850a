"""
The built day: everything a scenario says, turned into numbers the loop can run.

`build` makes a `DayPlan`; `stack` lays several side by side as members of one sweep.

Depends on: charge_plan, demand, simulate, physics.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from energysim.simulate import Bank, Demand

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from energysim.charge_plan import ChargePlan
    from energysim.demand import Wanted
    from energysim.physics.motor import Motor
    from energysim.physics.station import Boat, Load

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LegPlan:
    """One leg, with its clock."""

    name: str
    verb: str
    start: datetime
    end: datetime
    watch_circle_m: float | None  # of a hold in bursts; None for anything steady


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surroundings:
    """Wind and stream at the middle of each step, as the boat meets them. Arrays (steps,)."""

    wind_mps: Array  # mean, at the height of the boat's windage
    wind_from_deg: Array
    gust_mps: Array  # at the height of the boat's windage
    gust_intensity: Array  # standard deviation of the wind over its mean
    stream_mps: Array
    stream_toward_deg: Array
    wave_height_m: Array  # significant; 0 without chop
    wave_length_m: Array
    wave_from_deg: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayPlan:
    """A day, ready to run."""

    title: str
    start: datetime
    legs: tuple[LegPlan, ...]
    edges_s: Array  # (steps + 1,), seconds from the start
    leg_of_step: NDArray[np.intp]  # -1 between legs
    surroundings: Surroundings
    load: Load  # arrays (steps,)
    wanted: Wanted  # what the demand was worked out from
    gust_power_w: Array  # (steps,), what the motor would ask in the gust
    demand: Demand  # (steps, 1)
    bank: Bank  # (1,)
    motor: Motor
    rated_thrust_n: float
    rated_voltage_v: float
    boat: Boat
    ledger_capacity_ah: (
        float  # rated x age, all strings: what the ampere-hours are counted against
    )
    limit_soc: float
    parallel: int
    series: int
    charge: ChargePlan | None
    home_distance_m: float | None
    home_speed_mps: float | None  # over the ground; None takes the speed that goes furthest
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]


def stack(plans: Sequence[DayPlan]) -> tuple[Demand, Bank]:
    """
    Lay several days side by side, a member each, so that one loop runs them all.

    Shorter days are filled up with steps of no length, which change nothing.

    Parameters
    ----------
    plans : sequence of DayPlan
        Days that share one motor.

    Returns
    -------
    demand, bank : Demand, Bank
        Arrays with one member per plan.
    """
    steps = max(plan.demand.step_s.shape[0] for plan in plans)
    demand = Demand(
        **{
            field.name: np.concatenate(
                [_filled(getattr(plan.demand, field.name), steps) for plan in plans], axis=-1
            )
            for field in fields(Demand)
        }
    )
    tables = [plan.bank.emf_tables_v for plan in plans]
    first_kind = np.cumsum([0, *(len(table) for table in tables)])
    bank_values = {
        field.name: np.concatenate([getattr(plan.bank, field.name) for plan in plans])
        for field in fields(Bank)
        if field.name not in {"emf_tables_v", "emf_kind"}
    }
    kinds = [
        plan.bank.emf_kind + offset for plan, offset in zip(plans, first_kind[:-1], strict=True)
    ]
    bank = Bank(
        **bank_values, emf_tables_v=np.concatenate(tables), emf_kind=np.concatenate(kinds)
    )
    return demand, bank


def _filled(values: Array, steps: int) -> Array:
    """Lengthen (..., steps, members) to `steps` by repeating nothing: zeros."""
    missing = steps - values.shape[-2]
    if not missing:
        return values
    widths = [(0, 0)] * (values.ndim - 2) + [(0, missing), (0, 0)]
    return np.pad(values, widths)
