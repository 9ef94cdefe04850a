"""
How the wind gusts about its mean, as a few winds with their share of the time.

Depends on: scenario, catalogue, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.catalogue import gust_table
from energysim.physics.gusts import (
    gust_factor,
    intensity_from_gust_factor,
    peak_factor,
)
from energysim.physics.unsteady import gust_nodes, normal_nodes

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]

NODES: Final = 5
"""
Winds a gusty step is worked out at: within 0.3 % of the mean power of a motor that is not at
its end, at its end within 4 % (`physics.unsteady.gust_nodes`; tested there).
"""

MEAN_PERIOD_S: Final = 600.0
"""What a forecast's mean wind is a mean over (WMO practice). [s]"""

GUST_DURATION_S: Final = 3.0
"""What a forecast's gust is a mean over (WMO practice). [s]"""


def usual_gust_factor(scenario: Scenario) -> float:
    """Return gust over mean where the forecast gives no gust."""
    return float(
        gust_factor(
            scenario.wind.exposure,
            reference_period_s=MEAN_PERIOD_S,
            gust_duration_s=GUST_DURATION_S,
            table=gust_table(),
        )
    )


def forecast_peak_factor(scenario: Scenario) -> float:
    """Return how many standard deviations a forecast's gust stands above its mean."""
    return float(
        peak_factor(
            scenario.wind.exposure,
            reference_period_s=MEAN_PERIOD_S,
            gust_duration_s=GUST_DURATION_S,
            table=gust_table(),
        )
    )


def gust_intensity(scenario: Scenario, *, wind_mps: Array, gust_mps: Array) -> Array:
    """
    Return the intensity behind each step's forecast gust.

    Parameters
    ----------
    scenario : Scenario
        For the exposure, which says how many deviations a gust stands above the mean.
    wind_mps, gust_mps : ndarray, shape (steps,)
        Mean wind and gust at one height. [m/s]

    Returns
    -------
    intensity : ndarray, shape (steps,)
        Standard deviation over mean, 0.05 to 0.35. [1]
    """
    ratio = np.divide(gust_mps, wind_mps, out=np.ones_like(wind_mps), where=wind_mps > 0.0)
    return intensity_from_gust_factor(
        np.maximum(ratio, 1.0), peak_factor=forecast_peak_factor(scenario)
    )


def gusty_winds(wind_mps: Array, intensity: Array) -> tuple[Array, Array, Array]:
    """
    Return the winds of a gusty step and their shares of the time.

    Returns
    -------
    wind_mps : ndarray, shape (nodes, steps)
        Rising; the middle one is the mean. [m/s]
    share : ndarray, shape (nodes,)
        Of the time. [1]
    deviation : ndarray, shape (nodes,)
        How many standard deviations from the mean. [1]
    """
    factor, share = gust_nodes(intensity, count=NODES)
    deviation, _ = normal_nodes(NODES)
    return wind_mps * factor, share, deviation
