"""
Read the flows of a run and say what they mean: legs, limits, the tightest hour, the night.

Depends on: simulate, demand, plan, results, clock, physics.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from energysim.clock import clock_after
from energysim.demand import running_share
from energysim.physics.burst import burst_cycle_s
from energysim.physics.drive import wet_motor
from energysim.physics.exceedance import share_of_time_above
from energysim.results import LegResult, TightestHour
from energysim.simulate import (
    CURRENT_LIMIT,
    CUT_OFF,
    DROP_OUT,
    EMPTY,
    FULL_THROTTLE,
    draw_on_bank,
    full_throttle_bus_v,
    thrust_at_current_n,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.plan import DayPlan
    from energysim.simulate import Flows

    Array = NDArray[np.float64]

THRUST_TOLERANCE = 0.005  # a half per cent short is on station: far inside the model's error
TIGHT_WINDOW_S = 3600.0
SAG_TOLERANCE_V = 0.01  # where the motor's own end is the cut-off, the sums meet to rounding


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """A day's flows, read step by step. Arrays are (steps,) unless said."""

    step_s: Array
    motor_on: NDArray[np.bool_]
    off_s: Array  # seconds of the step off station
    available_n: Array  # the most thrust the motor could give at that moment
    peak_current_a: Array  # in the gust
    running_share: Array  # of the time, below 1 in bursts
    gust_short_s: Array
    limit_reached_s: float | None
    cutoff_reached_s: float | None


def read_flows(plan: DayPlan, flows: Flows) -> Reading:
    """
    Read a one-member run: who was off station when, and when the limits came.

    Parameters
    ----------
    plan, flows : DayPlan, Flows
        A day and what happened in it; arrays of one member.

    Returns
    -------
    Reading
        Per-step readings and the two end times, in seconds from the start.
    """
    step_s = plan.demand.step_s[:, 0]
    wanted = plan.demand.thrust_n[:, 0]
    delivered = flows.thrust_n[:, 0]
    motor_on = wanted > 0.0
    limited = motor_on & (delivered < wanted * (1.0 - THRUST_TOLERANCE))
    # Where the bank ran out inside the step, only the rest of the step is lost.
    ran_out = flows.carried_share[:, 0] < 1.0
    held_before = flows.limit[:, 0] == 0
    off_s = np.where(
        limited,
        np.where(ran_out & held_before, step_s * (1.0 - flows.carried_share[:, 0]), step_s),
        0.0,
    )
    available = available_thrust_n(plan, flows)
    peak = _peak_current_a(plan, flows)
    gusty = share_of_time_above(
        plan.wanted.node_thrust_n, deviation=plan.wanted.node_deviation, limit_n=available
    )
    gust_short = np.where(motor_on & ~limited, step_s * gusty, 0.0)
    off_s = off_s + gust_short
    return Reading(
        step_s=step_s,
        motor_on=motor_on,
        off_s=off_s,
        available_n=available,
        peak_current_a=peak,
        running_share=running_share(
            plan.wanted, plan.motor, current_limit_a=float(plan.bank.current_limit_a[0])
        )
        if (plan.wanted.duty < 1.0).any()
        else plan.wanted.duty,
        gust_short_s=gust_short,
        limit_reached_s=_falls_to(flows.availability[:, 0], plan.edges_s, plan.limit_soc),
        cutoff_reached_s=_cutoff_s(plan, flows),
    )


def available_thrust_n(plan: DayPlan, flows: Flows) -> Array:
    """Return the most thrust in N the motor could give in each step, the bank as it stood."""
    emf, ohm = flows.emf_v[:, 0], flows.resistance_ohm[:, 0]
    bank = plan.bank
    inflow = plan.demand.inflow_mps[:, 0]
    current_quadratic = plan.demand.current_quadratic[:, :, 0]
    house_w = bank.house_load_w[0]
    house = house_w / np.maximum(emf, 1.0)
    bus = full_throttle_bus_v(emf - ohm * house, ohm, current_quadratic)
    c0, c1, c2 = current_quadratic
    bank_ohm = ohm - bank.cable_ohm[0]
    # The house is served first, at the voltage of each end.
    cutoff, drop_out = bank.cutoff_voltage_v[0], bank.lowest_voltage_v[0]
    at_cutoff = (emf - cutoff) / np.maximum(bank_ohm, 1e-9) - house_w / np.maximum(cutoff, 1.0)
    at_drop_out = (emf - drop_out) / np.maximum(ohm, 1e-9) - house_w / np.maximum(drop_out, 1.0)
    full = c0 + c1 * bus + c2 * bus * bus
    current = np.minimum.reduce(
        [full, np.broadcast_to(bank.current_limit_a[0], full.shape), at_cutoff, at_drop_out]
    )
    current = np.maximum(current, 0.0)
    bus = emf - ohm * (current + house)
    t0, t1, t2 = plan.demand.thrust_quadratic[:, :, 0]
    most = np.maximum(t0 + t1 * bus + t2 * bus * bus, 0.0)
    wet = wet_motor(
        plan.motor, thrust_ratio=plan.wanted.thrust_ratio, torque_ratio=plan.wanted.torque_ratio
    )
    eased = thrust_at_current_n(current, bus, inflow_mps=inflow, motor=wet)
    thrust = np.where(current >= full * (1.0 - 1e-9), most, np.minimum(eased, most))
    alive = flows.availability[:-1, 0] > 0.0
    return np.asarray(np.where(alive, thrust, 0.0))


def _peak_current_a(plan: DayPlan, flows: Flows) -> Array:
    """Return the current in the gust: never below the mean, never above the limit."""
    emf, ohm = flows.emf_v[:, 0], flows.resistance_ohm[:, 0]
    house = plan.bank.house_load_w[0]
    in_the_gust = draw_on_bank(
        plan.gust_power_w, house, emf, ohm, plan.motor, total_w=plan.gust_power_w + house
    )
    current_quadratic = plan.demand.current_quadratic[:, :, 0]
    bus = full_throttle_bus_v(emf, ohm, current_quadratic)
    c0, c1, c2 = current_quadratic
    ceiling = np.minimum(c0 + c1 * bus + c2 * bus * bus, plan.bank.current_limit_a[0])
    most = ceiling + house / np.maximum(bus, 1.0)
    mean = flows.current_a[:, 0]
    alive = flows.availability[:-1, 0] > 0.0
    in_gust = np.where(in_the_gust.possible, np.minimum(in_the_gust.current_a, most), most)
    on = plan.wanted.gust_thrust_n > 0.0
    return np.asarray(np.where(alive & on, np.maximum(in_gust, mean), mean))


def sag_warnings(plan: DayPlan, flows: Flows, reading: Reading) -> tuple[str, ...]:
    """
    Say where a gust or a burst pulls the bank below its cut-off.

    The bank is followed at the mean power of each step; the sag of the worst moment within a
    step is looked at here, and costs nothing but this warning.
    """
    sag_v = (flows.resistance_ohm[:, 0] - plan.bank.cable_ohm[0]) * reading.peak_current_a
    lowest = flows.emf_v[:, 0] - sag_v
    cutoff_v = float(plan.bank.cutoff_voltage_v[0])
    alive = flows.availability[:-1, 0] > 0.0
    under = alive & (lowest < cutoff_v - SAG_TOLERANCE_V) & (reading.off_s <= 0.0)
    if not under.any():
        return ()
    first = int(np.argmax(under))
    worst = float(lowest[under].min())
    when = clock_after(plan.start, float(plan.edges_s[first]))
    return (
        f"from {when:%H:%M} a gust or a burst can pull the bank to {worst:.1f} V, below its "
        f"cut-off of {cutoff_v:.1f} V: it may cut out, though the mean of the step can be had",
    )


def _falls_to(level: Array, edges_s: Array, limit: float) -> float | None:
    """Return when the level first falls to the limit, interpolated inside the step."""
    below = level <= limit
    if not below.any():
        return None
    after = int(np.argmax(below))
    if after == 0:
        return float(edges_s[0])
    high, low = level[after - 1], level[after]
    share = (high - limit) / (high - low)
    return float(edges_s[after - 1] + share * (edges_s[after] - edges_s[after - 1]))


def _cutoff_s(plan: DayPlan, flows: Flows) -> float | None:
    """Return when the bank first could not carry the wanted load, by voltage or empty."""
    edges = plan.edges_s
    motor_on = plan.demand.power_w[:, 0] > 0.0
    alive = flows.availability[:-1, 0] > 0.0
    voltage = flows.wanted_voltage_v[:, 0]
    cutoff = plan.bank.cutoff_voltage_v[0]
    # Where the motor is at its own end first, it never asks for the current that sags so deep.
    limit = flows.limit[:, 0]
    by_house = (plan.bank.house_load_w[0] > 0.0) & (voltage < cutoff)
    at_fault = (limit == CUT_OFF) | (by_house & (~motor_on | (limit == DROP_OUT)))
    by_voltage = alive & at_fault
    times = []
    if by_voltage.any():
        step = int(np.argmax(by_voltage))
        early = _early_share(step, voltage, flows.bank_voltage_v[:, 0], cutoff, plan)
        times.append(float(edges[step] - early * (edges[step] - edges[step - 1])))
    share_carried = flows.carried_share[:, 0]
    empty = share_carried < 1.0
    if empty.any():
        step = int(np.argmax(empty))
        times.append(float(edges[step] + share_carried[step] * (edges[step + 1] - edges[step])))
    return min(times) if times else None


def _early_share(
    step: int, wanted_v: Array, given_v: Array, cutoff_v: float, plan: DayPlan
) -> float:
    """Return how far before a step its voltage met the cut-off, over the step before."""
    leg = plan.leg_of_step
    if step == 0 or leg[step] != leg[step - 1]:
        return 0.0
    if wanted_v[step] < cutoff_v < wanted_v[step - 1]:
        return float((cutoff_v - wanted_v[step]) / (wanted_v[step - 1] - wanted_v[step]))
    # The motor was at its own end, so only what it got tells: carry its fall on by a line.
    if step > 1 and leg[step - 2] == leg[step] and given_v[step - 2] > given_v[step - 1]:
        ahead = (given_v[step - 1] - cutoff_v) / (given_v[step - 2] - given_v[step - 1])
        return float(np.clip(1.0 - ahead, 0.0, 1.0))
    return 0.0


def read_legs(plan: DayPlan, flows: Flows, reading: Reading) -> tuple[LegResult, ...]:
    """Return what each leg cost, from the flows of a one-member run."""
    return tuple(_leg(plan, flows, reading, number) for number in range(len(plan.legs)))


def _leg(plan: DayPlan, flows: Flows, reading: Reading, number: int) -> LegResult:
    leg = plan.legs[number]
    steps = np.flatnonzero(plan.leg_of_step == number)
    first, last = int(steps[0]), int(steps[-1])
    weights = reading.step_s[steps]
    drawn = flows.drawn_ah[last + 1, 0] - flows.drawn_ah[first, 0]
    energy = flows.drawn_wh[last + 1, 0] - flows.drawn_wh[first, 0]
    thrust = float(np.average(plan.demand.thrust_n[steps, 0], weights=weights))
    off = float(reading.off_s[steps].sum())
    heading = None
    if leg.verb in {"hold", "creep"}:
        radians = np.deg2rad(plan.load.heading_deg[steps])
        east = np.average(np.sin(radians), weights=weights)
        north = np.average(np.cos(radians), weights=weights)
        heading = float(np.rad2deg(np.arctan2(east, north)) % 360.0)
    return LegResult(
        name=leg.name,
        verb=leg.verb,
        start=leg.start,
        end=leg.end,
        mean_thrust_n=thrust,
        thrust_share=thrust / plan.rated_thrust_n,
        peak_current_a=float(reading.peak_current_a[steps].max()),
        charge_ah=float(drawn),
        energy_wh=float(energy),
        soc_after=float(flows.availability[last + 1, 0]),
        off_station_s=off,
        cause=_cause(plan, flows, reading, steps) if off > 0.0 else "",
        gust_short_s=float(reading.gust_short_s[steps].sum()),
        mean_heading_deg=heading,
        sails_about_s=_sails_about_s(plan, reading, steps),
        running_share=float(np.average(reading.running_share[steps], weights=weights)),
        burst_cycle_s=_burst_cycle_s(plan, reading, steps, leg.watch_circle_m),
        mean_wave_height_m=float(
            np.average(plan.surroundings.wave_height_m[steps], weights=weights)
        ),
    )


def _sails_about_s(plan: DayPlan, reading: Reading, steps: NDArray[np.intp]) -> float:
    """Return how long the boat has several headings to choose from, or swings."""
    unsettled = (plan.load.steady_headings[steps] > 1.0) | plan.load.swung[steps]
    return float(reading.step_s[steps][unsettled].sum())


def _burst_cycle_s(
    plan: DayPlan, reading: Reading, steps: NDArray[np.intp], watch_circle_m: float | None
) -> float | None:
    """Return the time between bursts at the leg's strongest push; None where there are none."""
    strongest = steps[np.argmax(plan.wanted.thrust_n[steps])]
    thrust = float(plan.wanted.thrust_n[strongest])
    duty = float(reading.running_share[strongest])
    if watch_circle_m is None or thrust <= 0.0 or duty >= 1.0:
        return None
    mass = float(np.asarray(plan.boat.hull.volume_m3 * plan.boat.water_density_kgpm3))
    return float(burst_cycle_s(thrust, duty=duty, mass_kg=mass, wander_m=2.0 * watch_circle_m))


def _cause(plan: DayPlan, flows: Flows, reading: Reading, steps: NDArray[np.intp]) -> str:
    """Name what kept the boat off station for the longest part of these steps."""
    seconds: dict[str, float] = {}
    for step in steps[reading.off_s[steps] > 0.0]:
        by_gusts = reading.gust_short_s[step] > 0.0
        cause = "gusts" if by_gusts else _step_cause(plan, flows, int(step))
        seconds[cause] = seconds.get(cause, 0.0) + float(reading.off_s[step])
    return max(seconds, key=lambda name: seconds[name])


def _step_cause(plan: DayPlan, flows: Flows, step: int) -> str:
    code = int(flows.limit[step, 0])
    if code in {0, EMPTY}:
        return "bank empty"
    if code == CUT_OFF:
        return "bank at its cut-off voltage"
    if code == DROP_OUT:
        return "motor's lowest voltage"
    # Would the motor hold at its rated voltage, free of its limit? Then that is what it lacks;
    # else wind or stream are too much for it.
    in_reach = plan.demand.needed_voltage_v[step, 0] <= plan.rated_voltage_v
    if in_reach and code == FULL_THROTTLE:
        return "voltage"
    if in_reach and code == CURRENT_LIMIT:
        return "current limit"
    return (
        "wind" if plan.load.wind_force_n[step] >= plan.load.stream_force_n[step] else "stream"
    )


def tightest_hour(plan: DayPlan, reading: Reading) -> TightestHour | None:
    """
    Return the hour in which wanted thrust takes the largest part of what there is.

    Windows of an hour (or the whole leg, when shorter) are slid over each leg under the bow
    motor. None if the bow motor never runs.
    """
    best: tuple[float, int, int] | None = None
    wanted = plan.demand.thrust_n[:, 0]
    for number in range(len(plan.legs)):
        steps = np.flatnonzero((plan.leg_of_step == number) & reading.motor_on)
        if not steps.size:
            continue
        seconds = np.concatenate([[0.0], np.cumsum(reading.step_s[steps])])
        with np.errstate(divide="ignore"):
            share = np.where(
                reading.available_n[steps] > 0.0,
                wanted[steps] / reading.available_n[steps],
                9.0,
            )
        sums = np.concatenate([[0.0], np.cumsum(share * reading.step_s[steps])])
        ends = np.searchsorted(seconds, seconds[:-1] + TIGHT_WINDOW_S - 1e-6)
        ends = np.minimum(ends, len(steps))
        whole = (seconds[ends] - seconds[:-1]) >= min(TIGHT_WINDOW_S, seconds[-1]) - 1e-6
        mean = np.where(whole, (sums[ends] - sums[:-1]) / (seconds[ends] - seconds[:-1]), -1.0)
        start = int(np.argmax(mean))
        if best is None or mean[start] > best[0]:
            best = (float(mean[start]), int(steps[start]), int(steps[ends[start] - 1]))
    if best is None:
        return None
    share_mean, first, last = best
    window = slice(first, last + 1)
    weights = reading.step_s[window]
    around = plan.surroundings
    middle = (first + last) // 2
    return TightestHour(
        start=clock_after(plan.start, float(plan.edges_s[first])),
        end=clock_after(plan.start, float(plan.edges_s[last + 1])),
        leg=plan.legs[int(plan.leg_of_step[first])].name,
        thrust_n=float(np.average(wanted[window], weights=weights)),
        available_n=float(np.average(reading.available_n[window], weights=weights)),
        share=share_mean,
        wind_mps=float(np.average(around.wind_mps[window], weights=weights)),
        wind_from_deg=float(around.wind_from_deg[middle]),
        stream_mps=float(np.average(around.stream_mps[window], weights=weights)),
        stream_toward_deg=float(around.stream_toward_deg[middle]),
    )
