"""
Steady holds: a boat held in one wind and one stream at a time, outside any day's clock.

Depends on: build.parts, build.day, build.chop, scenario, plan, physics.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.chop import with_chop
from energysim.build.day import days_from_parts
from energysim.build.gusts import gust_intensity
from energysim.build.parts import build_parts
from energysim.build.timeline import Timeline
from energysim.errors import ScenarioError
from energysim.physics.wind import wind_at_height
from energysim.plan import LegPlan, Surroundings
from energysim.scenario.leg import Leg

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario

    Array = NDArray[np.float64]

STEP_S: Final = 600.0
"""A step of a plan of steady holds; nothing depends on it but the books. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Conditions:
    """Winds and streams to hold in, arrays (points,) unless said."""

    wind_mps: Array  # mean, at the height the scenario's wind is given for
    stream_mps: Array
    gust_ratio: float  # gust over mean
    wind_from_deg: float
    stream_toward_deg: float


def build_steady_holds(loaded: LoadedScenario, conditions: Conditions) -> DayPlan:
    """
    Return a day whose steps are the conditions, each a hold of its own.

    The boat lies as it will and the motor runs steadily; every hold begins anew, with the bow
    to the push. Chop grows with each wind as on the day.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario: its boat, motor, bank and open water are taken.
    conditions : Conditions
        The winds and streams.

    Returns
    -------
    DayPlan
        One step a condition.

    Raises
    ------
    ScenarioError
        As `build_day`.
    """
    points = conditions.wind_mps.size
    try:
        parts = build_parts(loaded, shift_s=0.0, shorten=None, in_full=False)
    except ScenarioError as error:
        raise ScenarioError([loaded.locate(problem) for problem in error.problems]) from None
    boat, start = parts.afloat.boat, parts.afloat.timeline.start
    wind = wind_at_height(
        conditions.wind_mps,
        reference_height_m=loaded.scenario.wind.height_m,
        height_m=boat.windage.height_m,
    )
    gust = wind * conditions.gust_ratio
    flat = np.zeros(points)
    around = Surroundings(
        wind_mps=wind,
        wind_from_deg=flat + conditions.wind_from_deg,
        gust_mps=gust,
        gust_intensity=gust_intensity(loaded.scenario, wind_mps=wind, gust_mps=gust),
        stream_mps=conditions.stream_mps,
        stream_toward_deg=flat + conditions.stream_toward_deg,
        wave_height_m=flat,
        wave_length_m=flat,
        wave_from_deg=flat,
    )
    around, _ = with_chop(loaded.scenario, around, boat)
    hold = Leg.model_validate({"name": "steady hold", "do": "hold", "for": "10 min"})
    leg = LegPlan(name="steady hold", verb="hold", start=start, end=start, watch_circle_m=None)
    afloat = parts.afloat._replace(
        scenario=loaded.scenario.model_copy(update={"legs": (hold,) * points}),
        timeline=Timeline(
            start=start,
            legs=(leg,) * points,
            edges_s=STEP_S * np.arange(points + 1.0),
            leg_of_step=np.arange(points),
        ),
        surroundings=around,
    )
    # No panel, no engine: what they give depends on the clock.
    supply = parts.supply._replace(supply_w=flat)
    (plan,) = days_from_parts([replace(parts, afloat=afloat, supply=supply)], in_full=False)
    return plan
