"""
The held boat as a body that surges, sways and yaws, with everything that pushes it.

Written for the dynamic check alone: it takes plain numbers and shares no code with the
package. Axes: x ahead, y to starboard, angles clockwise, moments about midships. One number
per lane (a lane is one condition with one series of gusts), so every field has shape (lanes,).

The added masses are those of a slender body under a rigid surface, good for motions slower
than a boat bobs: surge after Soding 1982, sway from the flat section's 0.5 pi rho T^2, yaw the
same spread along the length. The radius of gyration is ours.
"""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STRIPS = 12
RADIUS_OF_GYRATION = 0.25
"""Of the length overall (ours, from no measurement). [1]"""

TABLE_STEP_MPS = 0.02
TABLE_TOP_MPS = 5.0
LEAST_REYNOLDS = 1e5


@dataclass(frozen=True, slots=True, kw_only=True)
class Craft:
    """Coefficients of the boats, one of each lane."""

    length_m: Array
    length_wl_m: Array
    beam_wl_m: Array
    draft_m: Array
    volume_m3: Array
    wetted_area_m2: Array
    form_factor: Array
    transom_area_m2: Array
    transom_drag: Array
    astern_drag: Array
    outboard_drag_area_m2: Array
    cross_flow_drag: Array
    side_slope: Array  # sideways force over 0.5 rho L^2 |u| v, negative
    turn_slope: Array  # moment over 0.5 rho L^3 u v, negative; holds Munk's moment
    lateral_centre_m: Array  # middle of the underwater body, ahead of midships
    bow_m: Array  # motor ahead of midships
    frontal_area_m2: Array
    lateral_area_m2: Array
    windage_offset_m: Array  # centroid of the lateral area ahead of midships
    wind_side: Array
    wind_bow: Array
    wind_stern: Array
    wind_cross: Array
    water_density_kgpm3: Array
    water_viscosity_m2ps: Array
    air_density_kgpm3: Array
    residuary_froude: Array  # shape (nodes,), one row for all lanes
    residuary_per_weight: Array  # shape (nodes,)

    def lanes(self, pick: NDArray[np.intp]) -> "Craft":
        """Return the craft of some of the lanes, repeated or in another order."""
        return Craft(
            **{
                each.name: getattr(self, each.name)
                if each.name in SHARED
                else getattr(self, each.name)[pick]
                for each in fields(self)
            }
        )


SHARED = ("residuary_froude", "residuary_per_weight")
"""Fields that are one row for all lanes."""


def join(crafts: list[Craft]) -> Craft:
    """Return the lanes of several craft side by side."""
    first = crafts[0]
    return Craft(
        **{
            each.name: getattr(first, each.name)
            if each.name in SHARED
            else np.concatenate([getattr(craft, each.name) for craft in crafts])
            for each in fields(first)
        }
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """What does not change while the boat moves: masses, and tables and factors of forces."""

    surge_mass_kg: Array
    sway_mass_kg: Array
    yaw_inertia_kgm2: Array
    ahead_n: Array  # shape (lanes, nodes): drag every TABLE_STEP_MPS
    astern_n: Array
    strip_x_m: Array  # shape (strips, lanes)
    strip_factor: Array  # shape (lanes,): force of a strip over v|v|
    centre_m: Array
    side_factor: Array
    turn_factor: Array
    spin_factor: Array


def body_of(craft: Craft) -> Body:
    """Return masses, tables and factors of a craft."""
    rho = craft.water_density_kgpm3
    length, draft, beam = craft.length_wl_m, craft.draft_m, craft.beam_wl_m
    mass = rho * craft.volume_m3
    sway_added = 0.5 * np.pi * rho * draft**2 * length
    speed = np.arange(0.0, TABLE_TOP_MPS + TABLE_STEP_MPS, TABLE_STEP_MPS)
    strips = (np.arange(STRIPS) + 0.5) / STRIPS - 0.5
    # Clarke, Gedling and Hine 1983, damping of turning, from memory; ships of far greater
    # draft for their beam, so a stretch here.
    spin = -np.pi * (draft / length) ** 2 * (0.25 + 0.039 * beam / draft - 0.56 * beam / length)
    return Body(
        surge_mass_kg=mass + 2.7 * rho * craft.volume_m3 ** (5.0 / 3.0) / length**2,
        sway_mass_kg=mass + sway_added,
        yaw_inertia_kgm2=mass * (RADIUS_OF_GYRATION * craft.length_m) ** 2
        + sway_added * length**2 / 12.0,
        ahead_n=_drag_table(craft, craft.transom_drag, speed),
        astern_n=_drag_table(craft, craft.astern_drag, speed),
        strip_x_m=craft.lateral_centre_m + strips[:, None] * length,
        strip_factor=0.5 * rho * draft * craft.cross_flow_drag * length / STRIPS,
        centre_m=craft.lateral_centre_m,
        side_factor=0.5 * rho * length**2 * craft.side_slope,
        turn_factor=0.5 * rho * length**3 * craft.turn_slope,
        spin_factor=0.5 * rho * length**4 * spin,
    )


def _drag_table(craft: Craft, transom: Array, speed: Array) -> Array:
    """Return skin, transom, leg and wave drag of each lane at each speed."""
    reynolds = np.maximum(
        speed * (craft.length_wl_m / craft.water_viscosity_m2ps)[:, None], LEAST_REYNOLDS
    )
    skin = 0.075 / (np.log10(reynolds) - 2.0) ** 2
    area = (craft.wetted_area_m2 * craft.form_factor)[:, None] * skin + (
        craft.transom_area_m2 * transom + craft.outboard_drag_area_m2
    )[:, None]
    froude = speed / np.sqrt(9.80665 * craft.length_wl_m)[:, None]
    nodes = np.concatenate(([0.0], craft.residuary_froude))
    curve = np.concatenate(([0.0], craft.residuary_per_weight / craft.residuary_froude**2))
    waves = np.interp(froude, nodes, curve) * froude**2
    weight = craft.water_density_kgpm3 * 9.80665 * craft.volume_m3
    return 0.5 * craft.water_density_kgpm3[:, None] * speed**2 * area + weight[:, None] * waves


def water_loads(u: Array, v: Array, r: Array, body: Body) -> tuple[Array, Array, Array]:
    """Return surge, sway and yaw of the water on a boat moving through it."""
    fast = np.abs(u) / TABLE_STEP_MPS
    node = np.minimum(fast.astype(np.intp), body.ahead_n.shape[1] - 2)
    part = fast - node
    lane = np.arange(u.size)
    ahead = u >= 0.0
    low = np.where(ahead, body.ahead_n[lane, node], body.astern_n[lane, node])
    high = np.where(ahead, body.ahead_n[lane, node + 1], body.astern_n[lane, node + 1])
    surge = -np.sign(u) * (low + part * (high - low))
    across = v + body.strip_x_m * r
    strip = -body.strip_factor * across * np.abs(across)
    drift = v + body.centre_m * r
    bite = body.side_factor * np.abs(u) * drift
    sway = strip.sum(axis=0) + bite
    yaw = (
        (strip * body.strip_x_m).sum(axis=0)
        + body.centre_m * bite
        + body.turn_factor * u * drift
        + body.spin_factor * np.abs(u) * r
    )
    return surge, sway, yaw


def wind_loads(ahead: Array, across: Array, craft: Craft) -> tuple[Array, Array, Array]:
    """
    Return surge, sway and yaw of air that moves `ahead` and `across` past the boat.

    Blendermann 1994 as given in Fossen 2021, ch. 10.1.2, read in a public marine-systems code
    library.
    """
    square = ahead * ahead + across * across
    speed = np.sqrt(np.maximum(square, 1e-12))
    cosine, sine = -ahead / speed, -across / speed  # of where the wind comes from
    end = np.where(cosine >= 0.0, craft.wind_bow, craft.wind_stern)
    end = end * craft.frontal_area_m2 / craft.lateral_area_m2
    swell = 1.0 - 2.0 * craft.wind_cross * (1.0 - end / craft.wind_side) * (sine * cosine) ** 2
    push = 0.5 * craft.air_density_kgpm3 * square * craft.lateral_area_m2 / swell
    side = -push * craft.wind_side * sine
    off_bow = np.arccos(np.clip(cosine, -1.0, 1.0))
    lever = craft.windage_offset_m - 0.18 * craft.length_m * (off_bow - 0.5 * np.pi)
    return -push * end * cosine, side, lever * side
