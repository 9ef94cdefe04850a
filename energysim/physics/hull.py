"""
The hull in the water: what it is, and the force the water puts on it.

Not validated: no towing test of such a boat at these speeds was found. The transom and a
lowered outboard are the largest pieces and the least certain; quote the total to 35 %.

Depends on: constants, `physics.bounds`, `physics.resistance`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.constants import GRAVITY_MPS2
from energysim.physics.bounds import bounded
from energysim.physics.resistance import (
    ittc57_friction_coefficient,
    residuary_per_weight,
)

Array = NDArray[np.float64]

LEAST_LEAD = 0.3
"""The bow motor must be so far ahead of the underwater body's middle, over its length. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hull:
    """
    A hull afloat; each field a number or an array (members,), the table one row of nodes.

    Areas times coefficients give drag over velocity pressure.
    """

    length_wl_m: float | Array
    beam_wl_m: float | Array
    draft_m: float | Array
    volume_m3: float | Array  # displaced
    wetted_area_m2: float | Array  # without the transom
    transom_area_m2: float | Array  # immersed part
    form_factor: float | Array  # all skin drag over flat-plate friction, 1.2 or so [1]
    transom_drag_coefficient: float | Array  # bow first, on the immersed transom [1]
    astern_drag_coefficient: float | Array  # stern first, on the immersed transom [1]
    cross_flow_drag_coefficient: float | Array  # sideways, on length times draft [1]
    lateral_centre_m: float | Array  # of the underwater body, forward of half the length [m]
    bow_motor_m: float | Array  # forward of half the length overall [m]
    outboard_drag_area_m2: float | Array  # area times coefficient; 0 when tilted up [m^2]
    residuary_froude: Array  # shape (nodes,) [1]
    residuary_per_weight: Array  # shape (nodes,) [1]
    drag_factor: float | Array  # the owner's calibration of every water force, 1 without [1]

    def __post_init__(self) -> None:
        for name in ("length_wl_m", "beam_wl_m", "draft_m", "volume_m3", "wetted_area_m2"):
            bounded(getattr(self, name), name=name, low=0.0, above=True)
        bounded(self.form_factor, name="form_factor", low=1.0)
        for name in (
            "transom_area_m2",
            "transom_drag_coefficient",
            "astern_drag_coefficient",
            "outboard_drag_area_m2",
        ):
            bounded(getattr(self, name), name=name, low=0.0)
        for name in ("cross_flow_drag_coefficient", "drag_factor"):
            bounded(getattr(self, name), name=name, low=0.0, above=True)
        # Pulled from abaft its grip on the water a boat would turn end for end.
        lead = np.asarray(self.bow_motor_m, dtype=np.float64) - self.lateral_centre_m
        bounded(
            lead / self.length_wl_m,
            name="(bow_motor_m - lateral_centre_m) / length_wl_m",
            low=LEAST_LEAD,
        )


def bow_first_drag_n(
    speed_mps: ArrayLike,
    *,
    hull: Hull,
    water_density_kgpm3: ArrayLike,
    water_viscosity_m2ps: ArrayLike,
) -> Array:
    r"""
    Return the drag of the hull moving straight ahead through still water.

    Parameters
    ----------
    speed_mps : array_like, shape (...)
        Speed through the water, zero or more. [m/s]
    hull : Hull
        The hull.
    water_density_kgpm3 : array_like, broadcastable with `speed_mps`
        Density of the water. [kg/m^3]
    water_viscosity_m2ps : array_like, broadcastable with `speed_mps`
        Kinematic viscosity of the water. [m^2/s]

    Returns
    -------
    drag_n : ndarray, shape (...)
        Zero at rest. [N]

    Raises
    ------
    ValueError
        If a speed is negative, or a density or viscosity not above zero.

    Notes
    -----
    .. math:: R = k\left\{q\,[\,S C_F (1+f) + A_T C_T + (A C_D)_{outboard}\,]
              + W\,r(Fn)\right\}

    with :math:`1+f` the form factor, :math:`W r` the residuary part and :math:`k` the owner's
    factor. Assumptions: deep, flat water; Froude number below about 0.35. The residuary
    curve comes from yachts without a transom and deeper for their beam than these boats.

    References
    ----------
    .. [1] ITTC 1957 friction line; see `ittc57_friction_coefficient`.
    .. [2] Delft systematic yacht hull series, as the public yacht hydrodynamics data set of
       the University of California, Irvine; see data/residuary.csv.
    .. [3] Transom, outboard and form factors: our estimates, ranges in data/hulls.toml.
    """
    speed = bounded(speed_mps, name="speed_mps", low=0.0)
    return _lengthwise_drag_n(
        speed,
        base=hull.transom_drag_coefficient,
        hull=hull,
        density=bounded(water_density_kgpm3, name="water_density_kgpm3", low=0.0, above=True),
        viscosity=bounded(
            water_viscosity_m2ps, name="water_viscosity_m2ps", low=0.0, above=True
        ),
    )


def lengthwise_force_n(
    surge_mps: Array, *, hull: Hull, density: Array, viscosity: Array
) -> Array:
    """Return the push along the keel of a hull that goes ahead or, transom first, astern."""
    drag = _lengthwise_drag_n(
        np.abs(surge_mps),
        base=np.where(
            surge_mps >= 0.0, hull.transom_drag_coefficient, hull.astern_drag_coefficient
        ),
        hull=hull,
        density=density,
        viscosity=viscosity,
    )
    return np.asarray(-np.copysign(drag, surge_mps))


def _lengthwise_drag_n(
    speed: Array, *, base: float | Array, hull: Hull, density: Array, viscosity: Array
) -> Array:
    """Return the drag along the keel at a speed, given the coefficient of the transom."""
    friction = ittc57_friction_coefficient(speed * (hull.length_wl_m / viscosity))
    area = (
        hull.wetted_area_m2 * hull.form_factor * friction
        + hull.transom_area_m2 * base
        + hull.outboard_drag_area_m2
    )
    waves = residuary_per_weight(
        speed / np.sqrt(GRAVITY_MPS2 * hull.length_wl_m),
        froude_nodes=hull.residuary_froude,
        per_weight_nodes=hull.residuary_per_weight,
    )
    weight = density * GRAVITY_MPS2 * hull.volume_m3
    return np.asarray(
        hull.drag_factor * (0.5 * density * speed * speed * area + weight * waves)
    )
