"""
The chop the boat lies in: how high and how long, from the wind, the open water and the depth.

Depends on: scenario, catalogue, physics, build.timeline.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.physics.bearing import components_from_toward, toward_from_components
from energysim.physics.chop import (
    adjusted_wind_mps,
    peak_period_s,
    significant_height_m,
    wavelength_m,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.scenario.chop import Chop
    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]

CALM_MPS: Final = 0.5
"""Wind weaker than this raises nothing worth a number (ours). [m/s]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waves:
    """The chop at the middle of each step. Arrays (steps,)."""

    significant_height_m: Array  # 0 where there is none
    wavelength_m: Array
    from_deg: Array  # the way the waves come from: the wind's


def build_chop(
    scenario: Scenario,
    *,
    wind_10m_mps: Array,
    wind_from_deg: Array,
    stream_mps: Array,
    stream_toward_deg: Array,
) -> tuple[Waves | None, tuple[str, ...]]:
    """
    Return the chop, or None where the scenario gives the wind no room, and what was assumed.

    The wind that raises it is the one over the moving water.
    """
    table = scenario.chop
    if table is None:
        return None, ("flat water: no chop (no [chop] table)",)
    east, north = components_from_toward(wind_10m_mps, toward_deg=wind_from_deg + 180.0)
    stream_east, stream_north = components_from_toward(stream_mps, toward_deg=stream_toward_deg)
    over_water, toward = toward_from_components(
        east - stream_east, north_mps=north - stream_north
    )
    comes_from = np.mod(toward + 180.0, 360.0)
    fetch = _fetch_m(table, comes_from)
    depth = np.inf if table.depth_m is None else table.depth_m
    blowing = np.maximum(over_water, CALM_MPS)
    adjusted = adjusted_wind_mps(blowing)
    height = significant_height_m(adjusted, fetch_m=fetch, depth_m=depth)
    period = peak_period_s(adjusted, fetch_m=fetch, depth_m=depth)
    waves = Waves(
        significant_height_m=np.where(over_water > CALM_MPS, height, 0.0),
        wavelength_m=wavelength_m(period, depth_m=depth),
        from_deg=comes_from,
    )
    notes = () if table.depth_m is not None else ("deep water under the chop",)
    return waves, notes


def _fetch_m(table: Chop, from_deg: Array) -> Array:
    """Return the open water upwind, read between the bearings that are given."""
    if table.fetch_m is not None:
        return np.full(from_deg.shape, table.fetch_m)
    bearings = [reach.from_deg for reach in table.reaches]
    lengths = [reach.length_m for reach in table.reaches]
    return np.interp(from_deg, bearings, lengths, period=360.0)
