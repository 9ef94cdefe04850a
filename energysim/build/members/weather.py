"""
The weather a block of members meets: the forecast, and what was drawn to be otherwise.

Depends on: scenario, physics, plan, build.chop, build.members.instants, build.members.draws.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from energysim.build.chop import with_chop
from energysim.physics.bearing import toward_from_components
from energysim.physics.gusts import intensity_from_gust_factor
from energysim.physics.wind import wind_at_height
from energysim.plan import Surroundings

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.members.draws import Draws
    from energysim.build.members.instants import Instants
    from energysim.physics.station import Boat
    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]


def weather_of(
    instants: Instants, draws: Draws, *, scenario: Scenario, boat: Boat
) -> Surroundings:
    """
    Return wind, stream and chop around every member of a block.

    The forecast's error is added to the wind at 10 m, in its share that the land lets through,
    and the whole brought down to the boat. The gust keeps its ratio to the mean, times its own
    factor. The stream is read early or late, made stronger or weaker, and what moves without
    the tide added. The chop follows from the wind and stream each member has.

    Returns
    -------
    Surroundings
        Arrays (instants, members).
    """
    open_share = instants.open_share[:, None]
    wind_10m, toward = toward_from_components(
        per_member(instants.wind_east_mps) + open_share * draws.wind_east_mps,
        north_mps=per_member(instants.wind_north_mps) + open_share * draws.wind_north_mps,
    )
    wind = wind_at_height(wind_10m, reference_height_m=10.0, height_m=instants.windage_height_m)
    ratio = np.maximum(per_member(instants.gust_ratio) * draws.factor["gust_factor"], 1.0)
    stream_east, stream_north = _stream(instants, draws)
    stream, stream_toward = toward_from_components(stream_east, north_mps=stream_north)
    flat = np.broadcast_to(0.0, wind.shape)
    around = Surroundings(
        wind_mps=wind,
        wind_from_deg=np.mod(toward + 180.0, 360.0),
        gust_mps=wind * ratio,
        gust_intensity=intensity_from_gust_factor(ratio, peak_factor=instants.peak_factor),
        stream_mps=stream,
        stream_toward_deg=stream_toward,
        wave_height_m=flat,
        wave_length_m=flat,
        wave_from_deg=flat,
    )
    if scenario.chop is None:
        return around
    choppy, _ = with_chop(scenario, around, boat)
    return replace(choppy, wave_height_m=choppy.wave_height_m * draws.factor["chop_height"])


def per_member(values: Array) -> Array:
    """Return what all members share, or each has its own, as (instants, members or 1)."""
    return values if values.ndim > 1 else values[:, None]


def _stream(instants: Instants, draws: Draws) -> tuple[Array, Array]:
    """Return east and north parts of every member's stream."""
    east, north = instants.stream_east_mps[:, None], instants.stream_north_mps[:, None]
    course = instants.course
    if course is not None and draws.stream_late_s.any():
        place = (instants.at_s[:, None] - draws.stream_late_s - course.at_s[0]) / (
            course.at_s[1] - course.at_s[0]
        )
        before = np.clip(place.astype(np.intp), 0, course.at_s.size - 2)
        share = place - before
        scale = instants.stream_scale[:, None]
        east = scale * _between(course.east_mps, before, share)
        north = scale * _between(course.north_mps, before, share)
    factor = draws.factor["stream_strength"]
    return factor * east + draws.stream_east_mps, factor * north + draws.stream_north_mps


def _between(values: Array, before: NDArray[np.intp], share: Array) -> Array:
    """Read between the times of a course."""
    return np.asarray(values[before] + share * np.diff(values)[before])
