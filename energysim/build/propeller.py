"""
What chop leaves of a propeller near the surface, and the shaft that would keep it under.

Depends on: scenario, plan, physics, units.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.physics.bow_motion import bow_response, relative_bow_motion_m
from energysim.physics.exceedance import normal_share_below
from energysim.physics.immersion import shaft_depth_for_m
from energysim.physics.immersion_table import immersion_ratios, immersion_table
from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.physics.bow_motion import BowResponse
    from energysim.physics.immersion_table import ImmersionTable
    from energysim.physics.motor import Motor
    from energysim.physics.station import Boat
    from energysim.plan import Surroundings
    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]

HEAD_ABOVE_MOUNT_M: Final = 0.254
"""Of a shaft, what stays at the mount and above: 10 in, common practice, no source. [m]"""

USUAL_BOW_RISE: Final = 1.25
"""Height of the bow mount over the freeboard amidships (ours). [1]"""

TORQUE_EXPONENT: Final = 0.85
"""Power of the thrust ratio that torque falls by: 0.80 to 0.85 (from memory). [1]"""

LARGEST_LOSS: Final = 0.05
"""Mean loss of thrust above which the shaft is called short (ours). [1]"""

TIPS_OUT: Final = 0.01
"""Share of the time in use with the tips out of the water that is worth a word (ours). [1]"""

_STILL_M: Final = 1e-9
INCH_M: Final = 0.0254


def build_immersion(
    scenario: Scenario,
    surroundings: Surroundings,
    heading_deg: Array,
    in_use: NDArray[np.bool_],
    boat: Boat,
    motor: Motor,
) -> tuple[Array, Array, tuple[str, ...], tuple[str, ...]]:
    """
    Return the shares of thrust and torque the surface leaves, what was assumed, and warnings.

    Returns
    -------
    thrust_ratio, torque_ratio : ndarray, shape (steps,)
        1 where the propeller stays well under.
    notes, warnings : tuple of str
        Sentences to print.
    """
    length = scenario.motor.shaft_length_m
    steps = surroundings.wind_mps.shape
    if length is None:
        return np.ones(steps), np.ones(steps), ("a shaft long enough for the chop",), ()
    notes: tuple[str, ...] = ()
    height = scenario.boat.bow_height_m
    if height is None:
        height = USUAL_BOW_RISE * scenario.boat.freeboard_m
        metric, us = (format_quantity(height, "length", system=one) for one in ("metric", "us"))
        notes = (f"the bow mount is {metric} ({us}) above the water",)
    radius = 0.5 * float(np.asarray(motor.diameter_m))
    depth = length - height - HEAD_ABOVE_MOUNT_M
    motion = _motion_m(surroundings, heading_deg, boat)
    table = _table(depth, radius)
    thrust_ratio, torque_ratio = immersion_ratios(motion, table=table)
    thrust_ratio = np.where(in_use, np.maximum(thrust_ratio, 0.05), 1.0)
    torque_ratio = np.where(in_use, np.maximum(torque_ratio, 0.05), 1.0)
    least = float(thrust_ratio.min())
    if least >= 1.0 - LARGEST_LOSS:
        told = _tips_out_of_the_water(depth - radius, motion[in_use], least)
        return thrust_ratio, torque_ratio, notes, told
    worst = float(motion[in_use].max())
    wanted = (
        height
        + HEAD_ABOVE_MOUNT_M
        + float(shaft_depth_for_m(LARGEST_LOSS, motion_sd_m=worst, propeller_radius_m=radius))
    )
    inches = 2.0 * np.ceil(wanted / INCH_M / 2.0)
    warning = (
        f"the propeller comes near the surface: at worst {least:.0%} of its thrust is left; "
        f"a shaft of {inches:.0f} in ({inches * INCH_M:.2f} m) would keep it under"
    )
    return thrust_ratio, torque_ratio, notes, (warning,)


def _tips_out_of_the_water(
    tips_under_m: float, motion_sd_m: Array, least: float
) -> tuple[str, ...]:
    """Point at the look at the shaft where the tips come out often, though little is lost."""
    if not motion_sd_m.size:
        return ()
    deviations = tips_under_m / np.maximum(motion_sd_m, _STILL_M)
    share = 1.0 - float(normal_share_below(deviations).mean())
    if share < TIPS_OUT:
        return ()
    return (
        f"the tips of the propeller are out of the water {share:.0%} of the time it runs, "
        f"though at worst {least:.0%} of its thrust is left: energysim rig looks at the shaft",
    )


@lru_cache(maxsize=16)  # a day and its variants share one boat's length and one shaft
def _response(length_wl_m: float, beam_wl_m: float, motor_ahead_m: float) -> BowResponse:
    return bow_response(length_wl_m, beam_wl_m=beam_wl_m, motor_ahead_m=motor_ahead_m)


@lru_cache(maxsize=16)
def _table(shaft_depth_m: float, radius_m: float) -> ImmersionTable:
    return immersion_table(shaft_depth_m, propeller_radius_m=radius_m, exponent=TORQUE_EXPONENT)


def _motion_m(surroundings: Surroundings, heading_deg: Array, boat: Boat) -> Array:
    """Return how far the bow moves up and down against the water, as a standard deviation."""
    waves = surroundings.wave_height_m
    if not waves.any():
        return np.zeros(waves.shape)
    response = _response(
        float(np.asarray(boat.hull.length_wl_m)),
        float(np.asarray(boat.hull.beam_wl_m)),
        float(np.asarray(boat.hull.bow_motor_m)),
    )
    meets = np.deg2rad(surroundings.wave_from_deg - heading_deg)
    moving = waves > 0.0
    motion = relative_bow_motion_m(
        waves,
        wavelength_m=np.where(moving, surroundings.wave_length_m, 1.0),
        cosine=np.cos(meets),
        response=response,
    )
    return np.where(moving, motion, 0.0)
