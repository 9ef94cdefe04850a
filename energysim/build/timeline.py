"""
The day's clock: legs in order, and the steps the loop takes through them.

Depends on: scenario, plan, clock, errors.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from energysim.clock import clock_after, seconds_between
from energysim.plan import LegPlan
from energysim.scenario.timeline import leg_times

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from energysim.scenario.model import Scenario

BETWEEN_LEGS = -1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Timeline:
    """The day cut into steps; a leg's end is always a step's end."""

    start: datetime
    legs: tuple[LegPlan, ...]
    edges_s: NDArray[np.float64]  # (steps + 1,)
    leg_of_step: NDArray[np.intp]  # (steps,), BETWEEN_LEGS where nothing is planned

    @property
    def middles_s(self) -> NDArray[np.float64]:
        """The middle of each step, in seconds from the start."""
        return np.asarray(0.5 * (self.edges_s[1:] + self.edges_s[:-1]))

    @property
    def step_s(self) -> NDArray[np.float64]:
        """The length of each step."""
        return np.diff(self.edges_s)

    def uncovered(self, what: str, first_s: float, last_s: float) -> str:
        """Say that something is not known over the whole plan, in clock times."""
        known = [clock_after(self.start, float(seconds)) for seconds in (first_s, last_s)]
        end = clock_after(self.start, float(self.edges_s[-1]))
        return (
            f"the {what} is given from {known[0]:%d %b %H:%M} to {known[1]:%d %b %H:%M}, "
            f"and the plan runs from {self.start:%d %b %H:%M} to {end:%d %b %H:%M}"
        )


def build_timeline(
    scenario: Scenario, *, shift_s: float, shorten: tuple[int, float] | None
) -> Timeline:
    """
    Place the legs and cut the day into steps.

    Parameters
    ----------
    scenario : Scenario
        A valid scenario.
    shift_s : float
        Move the whole plan this much later. [s]
    shorten : (int, float) or None
        A leg, from 0, and the seconds to take off its end; the time becomes rest.
    """
    times = leg_times(scenario.day, scenario.legs)
    legs = []
    for number, (leg, when) in enumerate(zip(scenario.legs, times, strict=True)):
        end = when.end
        if shorten is not None and shorten[0] == number:
            end = clock_after(end, -shorten[1])
        legs.append(
            LegPlan(
                name=leg.name or f"Leg {number + 1}",
                verb=leg.do,
                start=clock_after(when.start, shift_s),
                end=clock_after(end, shift_s),
                watch_circle_m=leg.watch_circle_m if leg.style == "burst" else None,
            )
        )
    start = legs[0].start
    bounds = [
        (seconds_between(start, leg.start), seconds_between(start, leg.end)) for leg in legs
    ]
    last = seconds_between(start, clock_after(times[-1].end, shift_s))
    grid = np.arange(0.0, last, scenario.day.step_s)
    marks = np.array([mark for pair in bounds for mark in pair] + [last])
    edges = np.sort(np.concatenate([grid, marks]))
    # The same moment twice, or a mark a rounding away from a grid line, is no step.
    edges = edges[np.concatenate([[True], np.diff(edges) > 1e-6])]
    middles = 0.5 * (edges[1:] + edges[:-1])
    leg_of_step = np.full(middles.shape, BETWEEN_LEGS, dtype=np.intp)
    for number, (begin, end_s) in enumerate(bounds):
        leg_of_step[(middles > begin) & (middles < end_s)] = number
    return Timeline(start=start, legs=tuple(legs), edges_s=edges, leg_of_step=leg_of_step)
