"""
The built day: everything a scenario says, turned into numbers the loop can run.

`build` makes a `DayPlan`; `stack` lays several side by side as members of one sweep.

Depends on: charge_plan, demand, simulate, physics.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

import numpy as np

from energysim.simulate import BY_BLOCK, BY_STRING, Bank, Demand

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from energysim.charge_plan import ChargePlan, Place, TripPlan
    from energysim.demand import Wanted
    from energysim.physics.motor import Motor
    from energysim.physics.station import Boat, Load
    from energysim.results.wear import Wear

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
class HousePlan:
    """A bank of its own for everything that is not the motor. Its load is in the bank."""

    bank: Bank  # (1,), no motor on it
    ledger_capacity_ah: float
    limit_soc: float


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
    slow_bank: Bank | None = None  # the wells refitted at the lowest rate thought possible
    fast_bank: Bank | None = None  # and at the highest
    house: HousePlan | None = None
    # What each kind of block is called, and where such blocks stand: [string kind][block kind],
    # places as (string, number) from 1; nothing where all blocks are alike.
    block_names: tuple[tuple[str, ...], ...] = ()
    block_places: tuple[tuple[tuple[Place, ...], ...], ...] = ()
    trip: TripPlan | None = None
    # From the depth of the day and what the wall gave to what it costs the bank.
    wear: Callable[..., Wear | None] | None = None


def stack(plans: Sequence[DayPlan]) -> tuple[Demand, Bank]:
    """
    Lay several days side by side, a member each, so that one loop runs them all.

    Shorter days are filled up with steps of no length, which change nothing, and smaller banks
    with strings and blocks that stand for none.

    Parameters
    ----------
    plans : sequence of DayPlan
        Days that share one motor.

    Returns
    -------
    demand, bank : Demand, Bank
        Arrays with one member per plan.
    """
    return stacked_demands([plan.demand for plan in plans]), stacked_banks(
        [plan.bank for plan in plans]
    )


def stacked_demands(demands: Sequence[Demand]) -> Demand:
    """Lay demands side by side, the shorter ones filled up."""
    steps = max(demand.step_s.shape[0] for demand in demands)
    return Demand(
        **{
            field.name: np.concatenate(
                [_filled(_whole(demand, field.name), steps) for demand in demands], axis=-1
            )
            for field in fields(Demand)
        }
    )


def stacked_banks(banks: Sequence[Bank]) -> Bank:
    """Lay banks side by side, the smaller ones filled up."""
    strings = max(bank.block_count.shape[0] for bank in banks)
    blocks = max(bank.block_count.shape[1] for bank in banks)
    first_kind = np.cumsum([0, *(len(bank.emf_tables_v) for bank in banks)])
    moved = [
        replace(bank, emf_kind=bank.emf_kind + first)
        for bank, first in zip(banks, first_kind[:-1], strict=True)
    ]
    values = {
        field.name: np.concatenate(
            [_padded(getattr(bank, field.name), field.name, strings, blocks) for bank in moved],
            axis=-1,
        )
        for field in fields(Bank)
        if field.name != "emf_tables_v"
    }
    return Bank(**values, emf_tables_v=np.concatenate([bank.emf_tables_v for bank in banks]))


def _padded(values: Array, name: str, strings: int, blocks: int) -> Array:
    """Fill up with strings and blocks that stand for none, alike in all else."""
    if name in BY_BLOCK:
        missing = [(0, strings - values.shape[0]), (0, blocks - values.shape[1]), (0, 0)]
    elif name in BY_STRING:
        missing = [(0, strings - values.shape[0]), (0, 0)]
    else:
        return values
    if not any(after for _, after in missing):
        return values
    counted = name in {"string_count", "block_count"}
    return np.pad(values, missing) if counted else np.pad(values, missing, mode="edge")


def _whole(demand: Demand, name: str) -> Array:
    """Return a demand's array over all its steps, also where it is one number."""
    values: Array = getattr(demand, name)
    if name == "supply_w":
        return np.broadcast_to(values, demand.step_s.shape)
    return values


def _filled(values: Array, steps: int) -> Array:
    """Lengthen (..., steps, members) to `steps` by repeating nothing: zeros."""
    missing = steps - values.shape[-2]
    if not missing:
        return values
    widths = [(0, 0)] * (values.ndim - 2) + [(0, missing), (0, 0)]
    return np.pad(values, widths)
