"""
The chop the boat lies in: how high and how long, from the wind, the open water and the depth.

Depends on: scenario, plan, physics, errors.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.errors import Problem, ScenarioError
from energysim.physics.bearing import components_from_toward, toward_from_components
from energysim.physics.chop import (
    adjusted_wind_mps,
    peak_period_s,
    significant_height_m,
    wavelength_m,
)
from energysim.physics.chop_limits import fully_grown_height_m, fully_grown_period_s
from energysim.physics.wind import wind_at_height

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.physics.station import Boat
    from energysim.plan import Surroundings
    from energysim.scenario.chop import Chop
    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]

CALM_MPS: Final = 0.5
"""Wind weaker than this raises nothing worth a number (ours). [m/s]"""


def with_chop(
    scenario: Scenario, surroundings: Surroundings, boat: Boat
) -> tuple[Surroundings, tuple[str, ...]]:
    """
    Return the surroundings with the chop the wind raises, and what was assumed.

    The wind that raises it is the one at 10 m over the moving water.

    Raises
    ------
    ScenarioError
        The water is shallower than the boat is deep, or the open water one way is given twice.
    """
    table = scenario.chop
    if table is None:
        return surroundings, ("flat, deep water: no chop (no [chop] table)",)
    draft = float(np.asarray(boat.hull.draft_m))
    if table.depth_m is not None and table.depth_m <= draft:
        raise ScenarioError(
            Problem(
                path="chop.depth",
                value=f"{table.depth_m:.2f} m",
                reason=f"is less than the boat's draft of {draft:.2f} m",
                hint="the depth of the water where the boat lies",
            )
        )
    wind_10m = wind_at_height(
        surroundings.wind_mps,
        reference_height_m=boat.windage.height_m,
        height_m=10.0,
    )
    east, north = components_from_toward(
        wind_10m, toward_deg=surroundings.wind_from_deg + 180.0
    )
    stream_east, stream_north = components_from_toward(
        surroundings.stream_mps, toward_deg=surroundings.stream_toward_deg
    )
    over_water, toward = toward_from_components(
        east - stream_east, north_mps=north - stream_north
    )
    comes_from = np.mod(toward + 180.0, 360.0)
    fetch = _fetch_m(table, comes_from)
    depth = np.inf if table.depth_m is None else table.depth_m
    adjusted = adjusted_wind_mps(np.maximum(over_water, CALM_MPS))
    # However far it blows, a wind raises no sea beyond the fully grown one.
    height = np.minimum(
        significant_height_m(adjusted, fetch_m=fetch, depth_m=depth),
        fully_grown_height_m(over_water),
    )
    period = np.minimum(
        peak_period_s(adjusted, fetch_m=fetch, depth_m=depth),
        fully_grown_period_s(np.maximum(over_water, CALM_MPS)),
    )
    notes = () if table.depth_m is not None else ("deep water under the chop",)
    return replace(
        surroundings,
        wave_height_m=np.where(over_water > CALM_MPS, height, 0.0),
        wave_length_m=wavelength_m(period, depth_m=depth),
        wave_from_deg=comes_from,
    ), notes


def _fetch_m(table: Chop, from_deg: Array) -> Array:
    """Return the open water upwind, read between the bearings that are given."""
    if table.fetch_m is not None:
        return np.full(from_deg.shape, table.fetch_m)
    bearings = [reach.from_deg % 360.0 for reach in table.reaches]
    for number, bearing in enumerate(bearings):
        if bearing in bearings[:number]:
            raise ScenarioError(
                Problem(
                    path=f"chop.reach[{number + 1}].from",
                    value=f"{bearing:g} deg",
                    reason="is the bearing of a reach before it",
                    hint="give each way once; the fetch is read between them",
                )
            )
    lengths = [reach.length_m for reach in table.reaches]
    return np.interp(from_deg, bearings, lengths, period=360.0)
