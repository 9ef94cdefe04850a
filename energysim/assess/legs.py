"""
What each leg cost, and why the boat was off station.

Depends on: assess.reading, simulate, plan, results, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from energysim.physics.burst import burst_cycle_s
from energysim.results.day import LegResult
from energysim.simulate import CURRENT_LIMIT, CUT_OFF, DROP_OUT, EMPTY, FULL_THROTTLE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.assess.reading import Reading
    from energysim.plan import DayPlan
    from energysim.simulate import Flows


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
        soc_after=float(reading.soc[last + 1]),
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
