"""
The boat between wind, stream and chop: every steady force on it at a given heading.

Depends on: `physics.bounds`, `physics.drift_angle`, `physics.hull`, `physics.wave_drift`,
`physics.windage`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.drift_angle import water_forces_n
from energysim.physics.hull import Hull
from energysim.physics.wave_drift import DriftForces, wave_drift_from_cosines_n
from energysim.physics.windage import Windage, wind_forces_from_cosines_n, wind_moment_nm

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Boat:
    """A boat in its water and its air; each number a number or an array (members,)."""

    hull: Hull
    windage: Windage
    water_density_kgpm3: float | Array
    water_viscosity_m2ps: float | Array
    air_density_kgpm3: float | Array

    def __post_init__(self) -> None:
        for name in ("water_density_kgpm3", "water_viscosity_m2ps", "air_density_kgpm3"):
            bounded(getattr(self, name), name=name, low=0.0, above=True)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chop:
    """Chop around a boat: where it comes from, and its push at the headings worked out."""

    from_deg: ArrayLike  # compass; usually where the wind comes from
    forces: DriftForces  # from `physics.wave_drift.drift_forces`

    def __post_init__(self) -> None:
        bounded(self.from_deg, name="from_deg")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Forces:
    """Every steady load on a boat, ahead and to starboard; arrays."""

    wind_surge_n: Array
    wind_sway_n: Array
    water_surge_n: Array
    water_sway_n: Array
    chop_surge_n: Array
    chop_sway_n: Array
    turning_moment_nm: Array  # about the bow motor, clockwise from above

    @property
    def surge_n(self) -> Array:
        """All that pushes the boat ahead."""
        return np.asarray(self.wind_surge_n + self.water_surge_n + self.chop_surge_n)

    @property
    def sway_n(self) -> Array:
        """All that pushes the boat to starboard."""
        return np.asarray(self.wind_sway_n + self.water_sway_n + self.chop_sway_n)


def forces_at_heading_n(
    heading_deg: ArrayLike,
    *,
    wind_mps: ArrayLike,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    boat: Boat,
    depth_m: ArrayLike | None = None,
    chop: Chop | None = None,
) -> Forces:
    r"""
    Return what wind, water and chop do to a boat on the spot, whichever way it faces.

    For a boat that moves, give the wind and the stream as they pass it.

    Parameters
    ----------
    heading_deg : array_like, shape (...)
        Compass heading of the bow. [deg]
    wind_mps : array_like, broadcastable with `heading_deg`
        Wind past the boat at the height of its windage. [m/s]
    wind_from_deg : array_like, broadcastable with `heading_deg`
        Compass bearing it blows from. [deg]
    stream_mps : array_like, broadcastable with `heading_deg`
        Water past the boat. [m/s]
    stream_toward_deg : array_like, broadcastable with `heading_deg`
        Compass bearing it runs toward. [deg]
    boat : Boat
        The boat.
    depth_m : array_like or None
        Depth of the water, no less than the draft; None for deep water. [m]
    chop : Chop or None
        Chop, broadcastable with `heading_deg`; None for smooth water.

    Returns
    -------
    forces : Forces
        Loads, and their moment about the bow motor.

    Raises
    ------
    ValueError
        If a speed is negative, a number is not finite or the water shallower than the draft.

    Notes
    -----
    .. math:: M = N_{wind} + N_{water} + x_c Y_{chop} - x_b (Y_{wind} + Y_{water} + Y_{chop})

    with the bow motor at :math:`x_b` and the middle of the underwater body at :math:`x_c`,
    both forward of half the length. How chop turns a hull about its own middle is not known
    and left out.
    """
    heading = np.deg2rad(bounded(heading_deg, name="heading_deg"))
    off_bow = np.deg2rad(bounded(wind_from_deg, name="wind_from_deg")) - heading
    # Where the boat goes through the water is where the water comes from.
    leads = np.deg2rad(bounded(stream_toward_deg, name="stream_toward_deg")) + np.pi - heading
    through = bounded(stream_mps, name="stream_mps", low=0.0)
    cosine, sine = np.cos(off_bow), np.sin(off_bow)
    wind_surge, wind_sway = wind_forces_from_cosines_n(
        wind_mps,
        cosine=cosine,
        sine=sine,
        windage=boat.windage,
        air_density_kgpm3=boat.air_density_kgpm3,
    )
    wind_moment = wind_moment_nm(wind_sway, cosine=cosine, sine=sine, windage=boat.windage)
    water_surge, water_sway, water_moment = water_forces_n(
        through * np.cos(leads),
        sway_mps=through * np.sin(leads),
        hull=boat.hull,
        water_density_kgpm3=boat.water_density_kgpm3,
        water_viscosity_m2ps=boat.water_viscosity_m2ps,
        depth_m=depth_m,
    )
    chop_surge, chop_sway = np.zeros(()), np.zeros(())
    if chop is not None:
        meets = np.deg2rad(np.asarray(chop.from_deg, dtype=np.float64)) - heading
        chop_surge, chop_sway = wave_drift_from_cosines_n(
            np.cos(meets), sine=np.sin(meets), forces=chop.forces
        )
    sway = wind_sway + water_sway + chop_sway
    moment = wind_moment + water_moment + boat.hull.lateral_centre_m * chop_sway
    return Forces(
        wind_surge_n=wind_surge,
        wind_sway_n=wind_sway,
        water_surge_n=water_surge,
        water_sway_n=water_sway,
        chop_surge_n=chop_surge,
        chop_sway_n=chop_sway,
        turning_moment_nm=np.asarray(moment - boat.hull.bow_motor_m * sway),
    )
