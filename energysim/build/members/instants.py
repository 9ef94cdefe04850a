"""
The moments of a day at which loads are worked out, and the weather forecast for them.

Depends on: scenario, physics, plan, build.gusts, build.questions, build.stream,
build.timeline.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from energysim.build.gusts import forecast_peak_factor
from energysim.build.loads import LOADS_EVERY_S
from energysim.build.questions import every
from energysim.build.stream import stream_course
from energysim.physics.bearing import components_from_toward
from energysim.physics.draws import FARTHEST
from energysim.physics.wind import wind_at_height

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    from energysim.build.stream import StreamCourse
    from energysim.build.timeline import Timeline
    from energysim.plan import DayPlan
    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Instants:
    """The forecast at a few steps of a day. Arrays (instants,) unless said.

    Under a climate every member has a wind of its own: wind and gust end in members then.
    """

    known: NDArray[np.intp]  # which steps
    at_s: Array
    timeline: Timeline  # of these steps alone: which leg each belongs to
    wind_east_mps: Array  # where it blows to, at 10 m, in the lee of the land
    wind_north_mps: Array
    open_share: Array  # what the land leaves of the wind
    windage_height_m: float
    gust_ratio: Array  # gust over mean
    peak_factor: float  # standard deviations a gust stands above the mean
    stream_east_mps: Array
    stream_north_mps: Array
    stream_scale: Array  # the leg's own
    course: StreamCourse | None  # the stream earlier and later; None where water stands still


def instants_of(
    scenario: Scenario,
    timeline: Timeline,
    plan: DayPlan,
    *,
    folder: Path,
    timing_spread_s: float,
) -> Instants:
    """
    Return the instants of a day, with what is forecast for them.

    Parameters
    ----------
    scenario, timeline, plan
        The day.
    folder : Path
        Where the scenario's files lie.
    timing_spread_s : float
        How early or late the stream may be, one standard deviation. [s]
    """
    known = every(timeline.edges_s[:-1], timeline.leg_of_step, LOADS_EVERY_S)
    around = plan.surroundings
    height = float(np.asarray(plan.boat.windage.height_m))
    wind = around.wind_mps[known]
    wind_10m = wind_at_height(wind, reference_height_m=height, height_m=10.0)
    east, north = components_from_toward(
        wind_10m, toward_deg=around.wind_from_deg[known] + 180.0
    )
    stream_east, stream_north = components_from_toward(
        around.stream_mps[known], toward_deg=around.stream_toward_deg[known]
    )
    leg = timeline.leg_of_step[known]
    shelter = np.array([*(leg.wind_shelter for leg in scenario.legs), 0.0])
    scales = np.array([*(leg.stream_scale for leg in scenario.legs), 1.0])
    return Instants(
        known=known,
        at_s=timeline.middles_s[known],
        timeline=replace(timeline, leg_of_step=leg),
        wind_east_mps=east,
        wind_north_mps=north,
        open_share=1.0 - shelter[leg],
        windage_height_m=height,
        gust_ratio=np.divide(
            around.gust_mps[known], wind, out=np.ones_like(wind), where=wind > 0.0
        ),
        peak_factor=forecast_peak_factor(scenario),
        stream_east_mps=stream_east,
        stream_north_mps=stream_north,
        stream_scale=scales[leg],
        course=stream_course(
            scenario, timeline, folder=folder, reach_s=FARTHEST * timing_spread_s
        ),
    )
