"""
What the holds of a day meet, and the winds and streams to ask about from there.

Depends on: build, plan, scenario, physics, units, results.reach.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.steady import Conditions
from energysim.physics.wind import wind_at_height
from energysim.results.reach import HeldLeg
from energysim.units import unit_factor

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario

    Array = NDArray[np.float64]

NEARLY_OPPOSED_DEG: Final = 170.0
"""
The nearest to straight against each other that is worked out (ours): exactly opposed, a boat
has two headings alike, and which of them is taken turns on a hair from point to point.
"""

KNOT: Final = unit_factor("kn", "speed")
LEAST_WIND_KN: Final = 20.0  # what a chart shows at least
BEYOND_THE_DAY: Final = 1.5  # how far a chart goes beyond the day's strongest (ours)
STILL_MPS: Final = 0.05  # water slower than this pushes no way in particular (ours)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayAtHold:
    """What the day's holds meet; of all legs under the bow motor where none is a hold."""

    wind_from_deg: float  # at the hardest moment
    stream_toward_deg: float
    angle_deg: float  # between the ways they push, then
    gust_ratio: float
    stream_mps: float  # mean
    inflow_mps: float  # mean, into the propeller
    most_wind_mps: float  # at the forecast's height
    most_stream_mps: float


def day_at_hold(loaded: LoadedScenario, plan: DayPlan) -> DayAtHold:
    """Read the day's holds off its plan."""
    verbs = np.array([*(leg.verb for leg in plan.legs), "between"])[plan.leg_of_step]
    here = verbs == "hold" if (verbs == "hold").any() else np.isin(verbs, ("creep", "drift"))
    if not here.any():
        here = np.ones(verbs.shape, dtype=bool)
    around = plan.surroundings
    hardest = int(np.flatnonzero(here)[np.argmax(plan.demand.power_w[here, 0])])
    wind, gust = around.wind_mps[here].mean(), around.gust_mps[here].mean()
    moving = float(around.stream_mps[hardest]) > STILL_MPS
    wind_from = float(around.wind_from_deg[hardest])
    toward = float(around.stream_toward_deg[hardest]) if moving else wind_from + 180.0
    return DayAtHold(
        wind_from_deg=wind_from,
        stream_toward_deg=toward % 360.0,
        angle_deg=_apart_deg(wind_from + 180.0, toward),
        gust_ratio=float(gust / wind) if wind > 0.0 else 1.0,
        stream_mps=float(around.stream_mps[here].mean()),
        inflow_mps=float(plan.demand.inflow_mps[here, 0].mean()),
        most_wind_mps=float(_as_forecast(loaded, plan, around.wind_mps).max()),
        most_stream_mps=float(around.stream_mps.max()),
    )


def worked_out_deg(day: DayAtHold, angle_deg: float | None) -> float:
    """Return the angle asked for, or the day's own, but never exact opposition."""
    return min(day.angle_deg if angle_deg is None else angle_deg, NEARLY_OPPOSED_DEG)


def _apart_deg(one_deg: float, other_deg: float) -> float:
    """Return the angle between two bearings, 0 to 180."""
    return abs((one_deg - other_deg + 180.0) % 360.0 - 180.0)


def _as_forecast(loaded: LoadedScenario, plan: DayPlan, wind_mps: Array) -> Array:
    """Return the wind at the height it was given for."""
    return wind_at_height(
        wind_mps,
        reference_height_m=plan.boat.windage.height_m,
        height_m=loaded.scenario.wind.height_m,
    )


def most_wind_mps(day: DayAtHold) -> float:
    """Return the strongest wind to show: a whole number of five knots."""
    most_kn = max(LEAST_WIND_KN, BEYOND_THE_DAY * day.most_wind_mps / KNOT)
    return float(np.ceil(most_kn / 5.0) * 5.0 * KNOT)


def conditions_about(
    wind: Array, stream: Array, angle_deg: float, day: DayAtHold
) -> Conditions:
    """Return winds from where the day's hardest came, and a stream that far from it."""
    own = (day.stream_toward_deg - day.wind_from_deg - 180.0 + 180.0) % 360.0 - 180.0
    side = -1.0 if own < 0.0 else 1.0  # to the side the day's own stream runs
    return Conditions(
        wind_mps=wind,
        stream_mps=stream,
        gust_ratio=day.gust_ratio,
        wind_from_deg=day.wind_from_deg,
        stream_toward_deg=(day.wind_from_deg + 180.0 + side * angle_deg) % 360.0,
    )


def held_legs(loaded: LoadedScenario, plan: DayPlan) -> tuple[HeldLeg, ...]:
    """Return where the day's holds lie among winds and streams."""
    around = plan.surroundings
    wind = _as_forecast(loaded, plan, around.wind_mps)
    found = []
    for number, leg in enumerate(plan.legs):
        here = plan.leg_of_step == number
        if leg.verb != "hold" or not here.any():
            continue
        middle = np.flatnonzero(here)[here.sum() // 2]
        found.append(
            HeldLeg(
                name=leg.name,
                number=number + 1,
                wind_mps=float(wind[here].mean()),
                stream_mps=float(around.stream_mps[here].mean()),
                angle_deg=_apart_deg(
                    float(around.wind_from_deg[middle]) + 180.0,
                    float(around.stream_toward_deg[middle]),
                )
                if around.stream_mps[here].mean() > STILL_MPS
                else 0.0,
            )
        )
    return tuple(found)
