r"""
What size of cable a feed wants: by the volts it may lose, and by the current it may carry.

Two limits always stand together, and the larger of the two sizes is the answer. The rules here
are those of boat cable: circular mils from a constant of copper at working warmth, least metal
areas of the SAE gauges, and the ampacities of 33 CFR 183.425.

Depends on: physics.bounds, physics.cable (the inch).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.cable import INCH_M

Array = NDArray[np.float64]

CIRCULAR_MIL_M2: Final = 0.25 * np.pi * (0.001 * INCH_M) ** 2
"""Area of a circle a thousandth of an inch across, by definition. [m^2]"""

FOOT_M: Final = 12.0 * INCH_M

SIZING_RESISTIVITY_OHM_M: Final = 10.75 * CIRCULAR_MIL_M2 / FOOT_M
"""
The K = 10.75 ohm circular mil per foot of the sizing formula of ABYC E-11 (read as quoted in
public tables); copper at about 29 degC, so hot cable loses more. [ohm m]
"""

RATED_SURROUNDINGS_DEGC: Final = 30.0
"""Warmth around the cable that Table 5 of 33 CFR 183.425 is for (read). [degC]"""

ENGINE_SPACE_DEGC: Final = 50.0
"""The same inside an engine space (read). [degC]"""

_ENGINE_INSULATION_DEGC: Final = np.array([60.0, 75.0, 80.0, 90.0, 105.0])
_ENGINE_FACTOR: Final = np.array([0.0, 0.75, 0.78, 0.82, 0.85])

_BUNDLE_AT_LEAST: Final = np.array([1, 2, 4, 7, 25])
_BUNDLE_FACTOR: Final = np.array([1.0, 0.70, 0.60, 0.50, 0.40])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Conductors:
    """The sizes of boat cable there are, thinnest first."""

    name: tuple[str, ...]  # "6 AWG"
    awg: NDArray[np.intp]  # gauge number; 2/0 is -1
    least_area_m2: Array  # metal the size must have at least
    insulation_degc: Array  # the columns of `free_ampacity_a`
    free_ampacity_a: Array  # (sizes, insulations): alone, outside engine spaces, at 30 degC


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RequiredSize:
    """Places in the table of conductors; the table's length where none is large enough."""

    by_drop: NDArray[np.intp]
    by_ampacity: NDArray[np.intp]
    size: NDArray[np.intp]  # the larger of the two
    ruled_by_drop: NDArray[np.bool_]  # else the ampacity ruled, or both ask for the same


def area_for_drop_m2(
    current_a: ArrayLike, *, round_trip_m: ArrayLike, allowed_drop_v: ArrayLike
) -> Array:
    r"""
    Return the least metal area that loses no more than the volts allowed.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Current of the feed. [A]
    round_trip_m : array_like, broadcastable
        Length of conductor out and back. [m]
    allowed_drop_v : array_like, broadcastable
        Volts that may be lost on the way out and back. [V]

    Returns
    -------
    area_m2 : ndarray, shape (...)
        Area of either conductor. [m^2]

    Raises
    ------
    ValueError
        If a current or length is negative, or the drop not above zero.

    Notes
    -----
    :math:`S = K I L / E` with `SIZING_RESISTIVITY_OHM_M` for :math:`K`.

    Examples
    --------
    >>> area = area_for_drop_m2(10.0, round_trip_m=21 * FOOT_M, allowed_drop_v=0.36)
    >>> (area / CIRCULAR_MIL_M2).round(1)
    np.float64(6270.8)
    """
    current = bounded(current_a, name="current_a", low=0.0)
    length = bounded(round_trip_m, name="round_trip_m", low=0.0)
    drop = bounded(allowed_drop_v, name="allowed_drop_v", low=0.0, above=True)
    return np.asarray(SIZING_RESISTIVITY_OHM_M * current * length / drop)


def bundling_factor(conductor_count: ArrayLike) -> Array:
    """
    Return the share of its free ampacity a conductor keeps among others that carry current.

    Parameters
    ----------
    conductor_count : array_like, shape (...)
        Conductors that carry current in one bundle, sheath or tube, with this one; a feed out
        and back in one sheath is 2. [count]

    Returns
    -------
    factor : ndarray, shape (...)
        1 alone; 0.70 to three, 0.60 to six, 0.50 to 24, 0.40 beyond. [1]

    Raises
    ------
    ValueError
        If a count is below 1.

    Notes
    -----
    ABYC E-11 (2008) Table VI-B, read in a transcription; 0.40 from memory. Older tables let
    two conductors keep all of it, so the edition matters: this takes the careful one.

    Examples
    --------
    >>> bundling_factor([1, 2, 3, 5, 24, 30])
    array([1. , 0.7, 0.7, 0.6, 0.5, 0.4])
    """
    count = bounded(conductor_count, name="conductor_count", low=1.0)
    place = np.searchsorted(_BUNDLE_AT_LEAST, count, side="right") - 1
    return np.asarray(_BUNDLE_FACTOR[place])


def engine_space_factor(insulation_degc: ArrayLike) -> Array:
    """
    Return the share of its ampacity a conductor keeps inside an engine space at 50 degC.

    Parameters
    ----------
    insulation_degc : array_like, shape (...)
        What the insulation is rated for: 60, 75, 80, 90 or 105. [degC]

    Returns
    -------
    factor : ndarray, shape (...)
        0.75, 0.78, 0.82 and 0.85 from 75 degC up; none for 60 degC. [1]

    Raises
    ------
    ValueError
        If there is no such insulation.

    Notes
    -----
    Worked out from ABYC E-11 (2008) Table VI-B over Table 5 of 33 CFR 183.425, both read. That
    table allows 60 degC insulation nothing there; a note of the federal table leaves it 0.58
    (from memory), and the careful one is taken.
    """
    rating = bounded(insulation_degc, name="insulation_degc", low=0.0)
    return np.asarray(_ENGINE_FACTOR[_column(rating, _ENGINE_INSULATION_DEGC)])


def ampacity_a(
    conductors: Conductors,
    *,
    insulation_degc: ArrayLike,
    conductor_count: ArrayLike,
    in_engine_space: ArrayLike,
) -> Array:
    """
    Return what every listed size may carry, where and as it is laid.

    Parameters
    ----------
    conductors : Conductors
        The table. [record]
    insulation_degc : array_like, shape (...)
        What the insulation is rated for. [degC]
    conductor_count : array_like, broadcastable
        As for `bundling_factor`. [count]
    in_engine_space : array_like of bool, broadcastable
        Whether any of the run lies in an engine space. [flag]

    Returns
    -------
    ampacity_a : ndarray, shape (..., sizes)
        Steady current, thinnest size first. [A]

    Raises
    ------
    ValueError
        If the table has no such insulation, or a count is below 1.
    """
    rating = bounded(insulation_degc, name="insulation_degc", low=0.0)
    column = _column(rating, conductors.insulation_degc)
    inside = np.where(np.asarray(in_engine_space, dtype=bool), engine_space_factor(rating), 1.0)
    factor = inside * bundling_factor(conductor_count)
    return np.asarray(factor[..., None] * conductors.free_ampacity_a.T[column])


def required_size(
    current_a: ArrayLike,
    *,
    round_trip_m: ArrayLike,
    allowed_drop_v: ArrayLike,
    size_ampacity_a: ArrayLike,
    conductors: Conductors,
) -> RequiredSize:
    """
    Return the thinnest size that serves by the drop, by the ampacity, and by both.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Current of the feed. [A]
    round_trip_m : array_like, broadcastable
        Length of conductor out and back. [m]
    allowed_drop_v : array_like, broadcastable
        Volts that may be lost. [V]
    size_ampacity_a : array_like, shape (..., sizes)
        As from `ampacity_a`. [A]
    conductors : Conductors
        The table. [record]

    Returns
    -------
    required : RequiredSize
        Places in the table.

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    By the drop, the first size whose least area is no less than `area_for_drop_m2`; by the
    ampacity, the first that may carry the current. Both limits apply (ABYC E-11, read).
    """
    area = area_for_drop_m2(current_a, round_trip_m=round_trip_m, allowed_drop_v=allowed_drop_v)
    carries = bounded(size_ampacity_a, name="size_ampacity_a", low=0.0)
    current = np.asarray(current_a, dtype=np.float64)
    # Rounding must not ask for a size more where the areas are the same.
    thin = conductors.least_area_m2 < (area * (1.0 - 1e-12))[..., None]
    by_drop = thin.sum(axis=-1)
    weak = carries * (1.0 + 1e-12) < current[..., None]
    by_ampacity = weak.sum(axis=-1)
    by_drop, by_ampacity = np.broadcast_arrays(by_drop, by_ampacity)
    return RequiredSize(
        by_drop=by_drop,
        by_ampacity=by_ampacity,
        size=np.asarray(np.maximum(by_drop, by_ampacity)),
        ruled_by_drop=np.asarray(by_drop > by_ampacity),
    )


def conductor_temperature_degc(
    current_a: ArrayLike,
    *,
    ampacity_a: ArrayLike,
    insulation_degc: ArrayLike,
    surroundings_degc: ArrayLike,
) -> Array:
    r"""
    Return how warm a conductor runs, by which its true drop must be worked out.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Steady current. [A]
    ampacity_a : array_like, broadcastable
        What it may carry as it is laid, in surroundings of 30 degC. [A]
    insulation_degc : array_like, broadcastable
        What the insulation is rated for. [degC]
    surroundings_degc : array_like, broadcastable
        Air around the cable. [degC]

    Returns
    -------
    temperature_degc : ndarray, shape (...)
        Temperature of the metal. [degC]

    Raises
    ------
    ValueError
        If a current is negative, an ampacity not above zero, or an insulation not above 30.

    Notes
    -----
    :math:`T = T_0 + (T_i - 30)(I / I_0)^2`: heat made grows with the square of the current,
    heat lost with the difference of temperature, and the ampacity is the current that brings
    the metal from 30 degC to its insulation's rating (ours, from that definition). Long steady
    runs; a burst of minutes stays cooler.

    Examples
    --------
    >>> feed = {"ampacity_a": 84.0, "insulation_degc": 105.0, "surroundings_degc": 30.0}
    >>> conductor_temperature_degc([0.0, 84.0], **feed)
    array([ 30., 105.])
    """
    current = bounded(current_a, name="current_a", low=0.0)
    most = bounded(ampacity_a, name="ampacity_a", low=0.0, above=True)
    rating = bounded(
        insulation_degc, name="insulation_degc", low=RATED_SURROUNDINGS_DEGC, above=True
    )
    air = bounded(surroundings_degc, name="surroundings_degc", low=-60.0, high=100.0)
    return np.asarray(air + (rating - RATED_SURROUNDINGS_DEGC) * (current / most) ** 2)


def _column(rating_degc: Array, listed_degc: Array) -> NDArray[np.intp]:
    """Return which column an insulation is in, or refuse it."""
    same = rating_degc[..., None] == listed_degc
    if not same.any(axis=-1).all():
        wrong = float(rating_degc[~same.any(axis=-1)].flat[0])
        known = ", ".join(f"{degc:g}" for degc in listed_degc)
        msg = f"insulation_degc = {wrong:g}; it must be one of {known}"
        raise ValueError(msg)
    return np.asarray(same.argmax(axis=-1), dtype=np.intp)
