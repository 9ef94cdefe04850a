"""
Run the twin over conditions, and the quasi-steady model over the same.

The quasi-steady side is what the package would do with the mean wind: one heading and one
thrust for each wind of a gust quadrature, each charged by the motor's own law.
"""

from dataclasses import dataclass, fields, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from energysim.constants import KNOT_MPS
from energysim.physics.gusts import answering_share
from energysim.physics.motor import electrical_demand
from energysim.physics.station import Load, hold_load
from energysim.physics.unsteady import gust_nodes, mean_over_nodes

from .conditions import (
    INTENSITY,
    Condition,
    boat_named,
    craft_of,
    most_thrust_n,
    motor_named,
    motor_table,
    wind_at_boat_mps,
)
from .controller import Helm
from .gusts import ACROSS, frequencies_per_s, froya_shape, gust_pair, kaimal_shape
from .twin import Watch, Weather, keep_watch

Array = NDArray[np.float64]

WIND_FROM_DEG = 0.0
SETTLE_S, WATCH_S = 300, 1200
SEEDS = (1, 2, 3)
STARTS_DEG = (0.0, 40.0, -40.0)
"""Where each seed's boat faces at first, off the quasi-steady heading."""


def stream_toward_deg(condition: Condition) -> float:
    """Return where the stream goes when the wind comes from `WIND_FROM_DEG`."""
    return WIND_FROM_DEG - condition.angle_deg + 180.0


def twin_watches(
    rows: list[Condition],
    *,
    helm: Helm,
    intensity: float = INTENSITY,
    spectrum: str = "froya",
    spectrum_height_m: float | None = None,
    across: float = ACROSS,
    seeds: tuple[int, ...] = SEEDS,
    step_s: float = 0.1,
) -> Watch:
    """Return the watches of all conditions, arrays (seeds, conditions)."""
    lanes = [(seed, row) for seed in seeds for row in rows]
    pairs = [
        _gusts(row, seed, intensity, spectrum, spectrum_height_m, across) for seed, row in lanes
    ]
    start = np.array(
        [steady(row).heading_deg + STARTS_DEG[seed % len(STARTS_DEG)] for seed, row in lanes]
    )
    weather = Weather(
        wind_mps=np.array([wind_at_boat_mps(row.boat, row.wind_kn) for _, row in lanes]),
        wind_from_deg=np.full(len(lanes), WIND_FROM_DEG),
        stream_mps=np.array([row.stream_kn * KNOT_MPS for _, row in lanes]),
        stream_toward_deg=np.array([stream_toward_deg(row) for _, row in lanes]),
        along_mps=np.stack([pair[0] for pair in pairs], axis=1),
        across_mps=np.stack([pair[1] for pair in pairs], axis=1),
        start_heading_deg=start,
    )
    names = [row.boat for _, row in lanes]
    watch = keep_watch(
        craft_of(names),
        weather=weather,
        motor=motor_table(names),
        helm=helm,
        settle_s=SETTLE_S,
        watch_s=WATCH_S,
        step_s=step_s,
    )
    shape = (len(seeds), len(rows))
    return replace(
        watch, **{each.name: getattr(watch, each.name).reshape(shape) for each in fields(watch)}
    )


def _gusts(
    row: Condition,
    seed: int,
    intensity: float,
    spectrum: str,
    height_m: float | None,
    across: float,
) -> tuple[Array, Array]:
    """Return the gusts of one lane, told by its condition, so that a subset sees the same."""
    wind = wind_at_boat_mps(row.boat, row.wind_kn)
    if wind <= 0.0:
        return np.zeros(WATCH_S), np.zeros(WATCH_S)
    frequency = frequencies_per_s(WATCH_S)
    height = height_m or float(boat_named(row.boat).windage.height_m)
    shape = (
        froya_shape(frequency, row.wind_kn * KNOT_MPS, height)
        if spectrum == "froya"
        else kaimal_shape(frequency, wind, height)
    )
    tag = (seed, *(round(10 * x) for x in (row.wind_kn, row.stream_kn, row.angle_deg)))
    return gust_pair(
        shape,
        seconds=WATCH_S,
        sigma_mps=intensity * wind,
        across=across,
        rng=np.random.default_rng([*tag, len(row.boat)]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Steady:
    """The quasi-steady answer to one condition, no gusts."""

    thrust_n: float  # what holds the spot, whether the motor has it or not
    heading_deg: float
    off_wind_deg: float  # angle between the bow and the wind, whichever side
    power_w: float  # with the motor held at its limit
    most_thrust_n: float  # that limit


def _load(row: Condition, wind_mps: Array) -> Load:
    """Return what the package asks of the motor in each of some winds."""
    return hold_load(
        wind_mps,
        wind_from_deg=WIND_FROM_DEG,
        stream_mps=row.stream_kn * KNOT_MPS,
        stream_toward_deg=stream_toward_deg(row),
        boat=boat_named(row.boat),
    )


def _power_w(row: Condition, load: Load) -> Array:
    """Return what the package charges for a load, the motor held at its limit."""
    inflow = np.asarray(load.inflow_mps)
    thrust = np.minimum(load.thrust_n, most_thrust_n(row.boat, inflow))
    return electrical_demand(thrust, inflow_mps=inflow, motor=motor_named(row.boat)[0]).power_w


@cache
def steady(row: Condition) -> Steady:
    """Return the package's answer at the mean wind."""
    load = _load(row, np.asarray(wind_at_boat_mps(row.boat, row.wind_kn)))
    off_wind = np.mod(load.heading_deg - WIND_FROM_DEG + 180.0, 360.0) - 180.0
    return Steady(
        thrust_n=float(load.thrust_n),
        heading_deg=float(load.heading_deg),
        off_wind_deg=float(abs(off_wind)),
        power_w=float(_power_w(row, load)),
        most_thrust_n=float(most_thrust_n(row.boat, np.asarray(load.inflow_mps))),
    )


def gusty_power_w(row: Condition, *, intensity: float, count: int) -> float:
    """Return the package's mean power over the winds of a gust quadrature."""
    factor, weight = gust_nodes(intensity, count=count)
    load = _load(row, factor * wind_at_boat_mps(row.boat, row.wind_kn))
    return float(mean_over_nodes(_power_w(row, load), weight=weight))


def slow_gusts_power_w(
    row: Condition, *, intensity: float, count: int, answer_s: float
) -> float:
    """Return the same, counting only gusts slow enough for a boat to answer."""
    wind = wind_at_boat_mps(row.boat, row.wind_kn)
    share = float(answering_share(wind, slowest_answer_s=answer_s, height_m=10.0))
    return gusty_power_w(row, intensity=intensity * share**0.5, count=count)
