"""
What the water does to a hull that meets it at an angle: along, across, and turning it.

Not validated: the parts come from ships, and no test of such a boat was found.

Depends on: `physics.bounds`, `physics.hull`, `physics.manoeuvring`, `physics.resistance`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.hull import Hull, lengthwise_force_n
from energysim.physics.manoeuvring import drift_derivatives
from energysim.physics.resistance import shallow_water_coefficient

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SideGrip:
    """How a hull holds the water sideways; each number over the square of a speed."""

    cross_n_per_mps2: Array  # straight sideways [N s^2/m^2]
    lift_n_per_mps2: Array  # at a small angle [N s^2/m^2]
    turn_nm_per_mps2: Array  # at a small angle, about the hull's own middle [N m s^2/m^2]
    centre_m: float | Array  # that middle, forward of half the length overall [m]


def side_grip(
    hull: Hull, *, water_density_kgpm3: ArrayLike, depth_m: ArrayLike | None = None
) -> SideGrip:
    r"""
    Return how a hull holds the water sideways, all that `side_force_and_moment` needs.

    Parameters
    ----------
    hull : Hull
        The hull.
    water_density_kgpm3 : array_like, shape (...)
        Density of the water. [kg/m^3]
    depth_m : array_like or None
        Depth of the water, no less than the draft; None for deep water. [m]

    Returns
    -------
    grip : SideGrip
        Forces over squares of speeds.

    Raises
    ------
    ValueError
        If a density is not above zero or the water shallower than the draft.

    Notes
    -----
    .. math::

        c = \tfrac12 \rho L_w T C_D, \quad l = \tfrac12 \rho L_w^2 |Y_v'|, \quad
        n = \tfrac12 \rho L_w^3 |N_v'|

    each times the owner's drag factor. The bottom raises :math:`C_D` alone
    (`shallow_water_coefficient`); it raises the others too, by how much is left out.

    A coefficient :math:`C_D` of 1.0 stands for a sharp-cornered prism (from memory); the
    published curve of rounded sections would give 0.56. It was raised after a look at
    published drift (see `physics.leeway.leeway_mps`), so that is no validation.

    References
    ----------
    .. [1] Cross-flow strip theory, read in a public marine-systems code library.
    .. [2] As for `physics.manoeuvring.drift_derivatives`.
    """
    density = bounded(water_density_kgpm3, name="water_density_kgpm3", low=0.0, above=True)
    length = np.asarray(hull.length_wl_m, dtype=np.float64)
    sideways: float | Array = hull.cross_flow_drag_coefficient
    if depth_m is not None:
        sideways = shallow_water_coefficient(sideways, draft_m=hull.draft_m, depth_m=depth_m)
    sway, yaw = drift_derivatives(
        length,
        beam_m=hull.beam_wl_m,
        draft_m=hull.draft_m,
        block_coefficient=hull.volume_m3 / (length * hull.beam_wl_m * hull.draft_m),
    )
    pressure = 0.5 * density * hull.drag_factor
    return SideGrip(
        cross_n_per_mps2=np.asarray(pressure * length * hull.draft_m * sideways),
        lift_n_per_mps2=np.asarray(-pressure * length * length * sway),
        turn_nm_per_mps2=np.asarray(-pressure * length * length * length * yaw),
        centre_m=hull.lateral_centre_m,
    )


def side_force_and_moment(
    surge_mps: ArrayLike, *, sway_mps: ArrayLike, grip: SideGrip
) -> tuple[Array, Array]:
    r"""
    Return the side force of the water and how it turns the boat about its middle.

    Parameters
    ----------
    surge_mps : array_like, shape (...)
        Speed of the boat through the water ahead, negative when it goes astern. [m/s]
    sway_mps : array_like, broadcastable with `surge_mps`
        Speed of the boat through the water to starboard. [m/s]
    grip : SideGrip
        From `side_grip`.

    Returns
    -------
    sway_force_n : ndarray, shape (...)
        To starboard, so always against `sway_mps`. [N]
    moment_nm : ndarray, shape (...)
        About half the length overall, clockwise from above. [N m]

    Notes
    -----
    .. math:: Y = -(c\,|v| + l\,|u|)\,v, \qquad N = x_c Y - n\,u\,v

    The part in :math:`c` is all there is straight sideways, where the part in :math:`l` and
    :math:`n` is nil; at a small angle it is the other way round, since the first goes with
    the square of the angle. So neither holds the other twice. Adding a slender wing's lift and
    cross-flow drag is an old custom with ships (from memory); taking :math:`|u|` for the
    speed in between, and the mirror image of the law for a hull that goes astern, is ours.

    The even cross-flow of a boat that does not turn has its middle at :math:`x_c`.

    References
    ----------
    .. [1] As for `side_grip`.
    """
    surge = np.asarray(surge_mps, dtype=np.float64)
    sway = np.asarray(sway_mps, dtype=np.float64)
    ahead = np.abs(surge)
    force = -(grip.cross_n_per_mps2 * np.abs(sway) + grip.lift_n_per_mps2 * ahead) * sway
    return np.asarray(force), np.asarray(
        grip.centre_m * force - grip.turn_nm_per_mps2 * surge * sway
    )


def water_forces_n(
    surge_mps: ArrayLike,
    *,
    sway_mps: ArrayLike,
    hull: Hull,
    water_density_kgpm3: ArrayLike,
    water_viscosity_m2ps: ArrayLike,
    depth_m: ArrayLike | None = None,
) -> tuple[Array, Array, Array]:
    """
    Return all that the water does to a boat moving through it in any direction.

    Parameters
    ----------
    surge_mps : array_like, shape (...)
        Speed of the boat through the water ahead, negative when it goes astern. [m/s]
    sway_mps : array_like, broadcastable with `surge_mps`
        Speed of the boat through the water to starboard. [m/s]
    hull : Hull
        The hull.
    water_density_kgpm3 : array_like, broadcastable with `surge_mps`
        Density of the water. [kg/m^3]
    water_viscosity_m2ps : array_like, broadcastable with `surge_mps`
        Kinematic viscosity of the water. [m^2/s]
    depth_m : array_like or None
        Depth of the water, no less than the draft; None for deep water. [m]

    Returns
    -------
    surge_force_n : ndarray, shape (...)
        Ahead, so always against `surge_mps`. [N]
    sway_force_n : ndarray, shape (...)
        To starboard, so always against `sway_mps`. [N]
    moment_nm : ndarray, shape (...)
        About half the length overall, clockwise from above. [N m]

    Raises
    ------
    ValueError
        If a speed is not finite, a density or viscosity not above zero, or the water
        shallower than the draft.

    Notes
    -----
    The force along the keel does not know of the motion across it. Stern first the transom
    meets the stream: its coefficient is about six times the bow-first one, our estimate.
    """
    surge = bounded(surge_mps, name="surge_mps")
    density = bounded(water_density_kgpm3, name="water_density_kgpm3", low=0.0, above=True)
    viscosity = bounded(water_viscosity_m2ps, name="water_viscosity_m2ps", low=0.0, above=True)
    sway, moment = side_force_and_moment(
        surge,
        sway_mps=bounded(sway_mps, name="sway_mps"),
        grip=side_grip(hull, water_density_kgpm3=density, depth_m=depth_m),
    )
    along = lengthwise_force_n(surge, hull=hull, density=density, viscosity=viscosity)
    return along, sway, moment
