"""
The hour in which the motor has least to spare.

Depends on: assess.reading, plan, results, clock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from energysim.clock import clock_after
from energysim.results.day import TightestHour

if TYPE_CHECKING:
    from energysim.assess.reading import Reading
    from energysim.plan import DayPlan

TIGHT_WINDOW_S = 3600.0


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
