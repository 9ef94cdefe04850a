"""
How far a bank and a motor reach, apart from one day's plan: frozen tables with units.

Depends on: results.recharge, results.wear.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    import numpy as np
    from numpy.typing import NDArray

    from energysim.results.recharge import Recharge
    from energysim.results.wear import Estimate

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HoldHours:
    """How long a bank holds a steady push, from the day's first charge to the plan's limit."""

    title: str
    over: str  # "thrust": at a steady thrust; "wind": held in that wind, gusts and chop with it
    thrust_n: Array  # (points,), at the mean wind
    wind_mps: Array  # (points,), at the forecast's height; zero over thrust
    power_w: Array  # (points,), what the motor asks for, mean over the gusts
    hours: Array  # (points,); 0 where it cannot be held
    ended_by: tuple[str, ...]  # "limit", "short" of thrust, "longest": longer than is told
    stream_mps: float
    angle_deg: float  # between the ways wind and stream push; 0 together, 180 opposed
    wind_height_m: float
    start_soc: float
    limit_soc: float
    longest_h: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeldLeg:
    """Where one hold of the day lies among winds and streams."""

    name: str
    number: int  # of the leg, from 1
    wind_mps: float  # mean over the leg, at the forecast's height
    stream_mps: float
    angle_deg: float  # between the ways they push


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HoldMap:
    """Hours of hold over wind and stream. Arrays (streams, winds) unless said."""

    title: str
    wind_mps: Array  # (winds,), at the forecast's height
    stream_mps: Array  # (streams,)
    hours: Array  # to the plan's limit; 0 where it cannot be held
    thrust_n: Array  # wanted at the mean wind
    lasting_h: Array  # to the plan's limit, also where there is less thrust than wanted
    available_n: Array  # the most the motor can give at the start
    available_at_limit_n: Array  # and with the bank at the plan's limit
    gust_short_share: Array  # of the time a gust asks for more than that
    angle_deg: float  # between the ways wind and stream push; 0 together, 180 opposed
    wind_height_m: float
    start_soc: float
    limit_soc: float
    longest_h: float
    legs: tuple[HeldLeg, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MotorLine:
    """Current over thrust at one water speed, and how the most thrust falls with voltage."""

    water_speed_mps: float
    thrust_n: Array  # (points,), up to the most at rated voltage and within the current limit
    current_a: Array  # (points,), at rated voltage
    voltage_v: Array  # (voltages,), at the motor's terminals
    most_thrust_n: Array  # (voltages,), by full throttle and by the current limit
    most_current_a: Array  # (voltages,), then


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MotorPoint:
    """One reading the curve was fitted to, the boat tied up."""

    thrust_n: float
    current_a: float
    voltage_v: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MotorCurve:
    """The motor as the day uses it."""

    title: str
    lines: tuple[MotorLine, ...]
    points: tuple[MotorPoint, ...]
    from_bench: bool  # the owner's own test; else the one point of the label
    rated_voltage_v: float
    lowest_voltage_v: float
    current_limit_a: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NightCourse:
    """The state of charge through the night. Arrays (points,)."""

    title: str
    hours: Array  # from the plug
    soc: Array  # by ampere-hours
    plugged_in_at: datetime
    recharge: Recharge


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TripCosts:
    """What a trip costs over how deep it takes the bank. Arrays (points,)."""

    title: str
    kind: str  # of battery, as its chemistry is called
    currency: str
    bank_price: float  # of the whole bank
    trips_a_year: float
    depth: Array  # share of the full charge a trip takes, by ampere-hours
    price: Array  # of a trip, bank and energy, as expected
    price_low: Array
    price_high: Array
    energy_price: Array  # of the recharge, within `price`; 0 without a price or a charger
    trips: Array  # until the bank is worn out, or too old
    trips_low: Array
    trips_high: Array
    day_depth: float
    day_price: Estimate
    note: str  # what this leaves out; empty when nothing
