"""
The steady push of chop on a boat that lies in it.

Waves that a hull turns back leave a push behind; waves long enough to lift it pass and leave
almost none. The push is known within a factor of two either way, no better: the coefficients
are computed for two bare hulls, with no flare, no breaking and no stream. The moment it exerts
about midship is not known and left out, not found to be nil.

Depends on: constants, `physics.bounds`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.constants import GRAVITY_MPS2
from energysim.physics.bounds import bounded

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DriftTable:
    """
    Drift coefficients of a hull against the length of the waves; arrays (nodes,).

    Each is the push over rho g H^2 / 16 and a width: the beam ahead, the length sideways.
    """

    wavelength_ratio: Array  # of the peak over the boat's length, rising [1]
    head_surge: Array  # waves from ahead, on the beam [1]
    quarter_surge: Array  # waves 45 deg off the bow, on the beam [1]
    quarter_sway: Array  # the same, on the length [1]
    beam_sway: Array  # waves abeam, on the length [1]

    def __post_init__(self) -> None:
        nodes = bounded(self.wavelength_ratio, name="wavelength_ratio", low=0.0, above=True)
        if nodes.ndim != 1 or nodes.size < 2 or np.any(np.diff(nodes) <= 0.0):
            raise ValueError("wavelength_ratio must be a rising row of at least two numbers")
        for name in ("head_surge", "quarter_surge", "quarter_sway", "beam_sway"):
            column = bounded(getattr(self, name), name=name, low=0.0, high=1.5)
            if column.shape != nodes.shape:
                msg = f"{name} has {column.size} numbers for {nodes.size} wavelengths"
                raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DriftForces:
    """The push of one state of chop, at the headings it was computed for; one shape."""

    head_surge_n: Array  # waves from ahead
    quarter_surge_n: Array  # waves 45 deg off the bow, along the boat
    quarter_sway_n: Array  # the same, across it
    beam_sway_n: Array  # waves abeam


def wave_drift_n(
    significant_height_m: ArrayLike,
    *,
    wavelength_m: ArrayLike,
    angle_off_bow_deg: ArrayLike,
    length_m: ArrayLike,
    beam_m: ArrayLike,
    water_density_kgpm3: ArrayLike,
    table: DriftTable,
) -> tuple[Array, Array]:
    r"""
    Return the steady push of chop along and across the boat.

    Parameters
    ----------
    significant_height_m : array_like, shape (...)
        Of the chop. [m]
    wavelength_m : array_like, broadcastable with `significant_height_m`
        Of its strongest waves. [m]
    angle_off_bow_deg : array_like, broadcastable with `significant_height_m`
        Where the waves come from, 0 ahead, positive to starboard. [deg]
    length_m, beam_m : array_like, broadcastable with `significant_height_m`
        Of the hull at the waterline. [m]
    water_density_kgpm3 : array_like, broadcastable with `significant_height_m`
        Density of the water. [kg/m^3]
    table : DriftTable
        Coefficients.

    Returns
    -------
    surge_n : ndarray, shape (...)
        Positive pushes the boat ahead; within a factor of two. [N]
    sway_n : ndarray, shape (...)
        Positive pushes it to starboard; within a factor of two. [N]

    Raises
    ------
    ValueError
        If a height or wavelength is negative, or a dimension or density not above zero.

    Notes
    -----
    .. math:: F = C\,\frac{\rho g H^2}{16}\,b

    on the width :math:`b` the table names. With :math:`c, s` the cosine and sine of the angle
    off the bow, the coefficients of head, quartering and beam waves are joined (ours) by

    .. math::

        C_X = c\,[C_0 + 2 s^2 (\sqrt 2\,C_{45} - C_0)], \qquad
        C_Y = s\,[C_{90} + 2 c^2 (\sqrt 2\,C_{45} - C_{90})]

    which meets all three. Waves from astern push like waves from ahead (ours; the hulls were
    not computed so). Between the wavelengths of the table, straight lines; shorter waves push
    like its shortest, and beyond its longest the push falls with the square of the
    wavelength (ours; about the slope of the table's end).

    References
    ----------
    .. [1] The form for irregular waves: theory pages of a public marine dynamics library;
       read. That no more than a full reflection can push: Maruo 1960 (from memory).
    .. [2] Coefficients: our panel-method runs, see data/wave_drift.csv.
    """
    angle = np.deg2rad(bounded(angle_off_bow_deg, name="angle_off_bow_deg"))
    forces = drift_forces(
        significant_height_m,
        wavelength_m=wavelength_m,
        length_m=length_m,
        beam_m=beam_m,
        water_density_kgpm3=water_density_kgpm3,
        table=table,
    )
    return wave_drift_from_cosines_n(np.cos(angle), sine=np.sin(angle), forces=forces)


def drift_forces(
    significant_height_m: ArrayLike,
    *,
    wavelength_m: ArrayLike,
    length_m: ArrayLike,
    beam_m: ArrayLike,
    water_density_kgpm3: ArrayLike,
    table: DriftTable,
) -> DriftForces:
    """
    Return all of `wave_drift_n` that does not depend on the heading, to be found only once.

    Parameters
    ----------
    significant_height_m : array_like, shape (...)
        Of the chop. [m]
    wavelength_m : array_like, broadcastable with `significant_height_m`
        Of its strongest waves. [m]
    length_m, beam_m : array_like, broadcastable with `significant_height_m`
        Of the hull at the waterline. [m]
    water_density_kgpm3 : array_like, broadcastable with `significant_height_m`
        Density of the water. [kg/m^3]
    table : DriftTable
        Coefficients.

    Returns
    -------
    forces : DriftForces
        For `wave_drift_from_cosines_n`.

    Raises
    ------
    ValueError
        If a height or wavelength is negative, or a dimension or density not above zero.
    """
    height = bounded(significant_height_m, name="significant_height_m", low=0.0)
    waves = bounded(wavelength_m, name="wavelength_m", low=0.0)
    length = bounded(length_m, name="length_m", low=0.0, above=True)
    beam = bounded(beam_m, name="beam_m", low=0.0, above=True)
    density = bounded(water_density_kgpm3, name="water_density_kgpm3", low=0.0, above=True)
    ratio = waves / length
    nodes = table.wavelength_ratio
    places = np.interp(ratio, nodes, np.arange(float(nodes.size)))
    left = np.minimum(places.astype(np.intp), nodes.size - 2)
    share = places - left
    beyond = nodes[-1] / np.maximum(ratio, nodes[-1])
    pressure = (GRAVITY_MPS2 / 16.0) * density * height * height * beyond * beyond
    ahead, across = pressure * beam, pressure * length

    def read(column: Array) -> Array:
        """Return a column of the table at these wavelengths."""
        rises = np.append(np.diff(column), 0.0)
        return np.asarray(column[left] + share * rises[left])

    return DriftForces(
        head_surge_n=ahead * read(table.head_surge),
        quarter_surge_n=ahead * read(table.quarter_surge),
        quarter_sway_n=across * read(table.quarter_sway),
        beam_sway_n=across * read(table.beam_sway),
    )


def wave_drift_from_cosines_n(
    cosine: ArrayLike, *, sine: ArrayLike, forces: DriftForces
) -> tuple[Array, Array]:
    """
    Return what `wave_drift_n` returns, for a caller who turns the boat in the same chop.

    Parameters
    ----------
    cosine : array_like, shape (...)
        Of the angle off the bow from which the waves come. [1]
    sine : array_like, broadcastable with `cosine`
        Of the same angle. [1]
    forces : DriftForces
        As from `drift_forces`.

    Returns
    -------
    surge_n : ndarray, shape (...)
        Positive pushes the boat ahead. [N]
    sway_n : ndarray, shape (...)
        Positive pushes it to starboard. [N]
    """
    c = np.asarray(cosine, dtype=np.float64)
    s = np.asarray(sine, dtype=np.float64)
    along = forces.head_surge_n + 2.0 * s * s * (
        np.sqrt(2.0) * forces.quarter_surge_n - forces.head_surge_n
    )
    return np.asarray(-c * along), wave_sway_from_cosines_n(c, sine=s, forces=forces)


def wave_sway_from_cosines_n(cosine: Array, *, sine: Array, forces: DriftForces) -> Array:
    """Return the second of `wave_drift_from_cosines_n` alone, for a search that asks often."""
    more = 2.0 * (np.sqrt(2.0) * forces.quarter_sway_n - forces.beam_sway_n)
    return np.asarray(-sine * (forces.beam_sway_n + more * (cosine * cosine)))
