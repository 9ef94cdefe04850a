"""
The chop a wind raises on the water it blows over: how high, how long, and how soon.

Every wind here is the wind at 10 m. Pass the wind past the water, not past the ground: a stream
that runs against the wind makes it blow harder on the water. Heights are good to 25 % either
way, periods to a fifth; the published laws in `physics.chop_other` lie as far apart. A stream
that shortens, steepens or stops the chop itself is not modelled.

Depends on: constants, `physics.bounds`.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.constants import GRAVITY_MPS2
from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

DEEPEST_M: Final = 1.0e5
"""Depths from here on count as endless. [m]"""

_CALM_MPS: Final = 1.0e-6  # keeps ratios finite in a calm, where every result is zero anyway


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthLaw:
    """How chop grows along its fetch: the numbers of `significant_height_m` and the period."""

    height_coefficient: float  # of the root of the dimensionless fetch [1]
    period_coefficient: float  # of its power [1]
    period_exponent: float  # that power [1]


OPEN_WATER: Final = GrowthLaw(
    height_coefficient=0.0016, period_coefficient=0.2857, period_exponent=1.0 / 3.0
)
"""Water about as wide as the fetch is long (source: see `significant_height_m`)."""

NARROW_WATER: Final = GrowthLaw(
    height_coefficient=0.0015, period_coefficient=0.3704, period_exponent=0.28
)
"""
A reach, its waves running along it (same source).

The adjusted wind to pass is the one along the reach: times the cosine of the angle between.
"""


def adjusted_wind_mps(wind_10m_mps: ArrayLike) -> Array:
    r"""
    Return the wind as the growth laws want it: swelled where it grips the water harder.

    Parameters
    ----------
    wind_10m_mps : array_like, shape (...)
        Wind past the water at 10 m. [m/s]

    Returns
    -------
    adjusted_mps : ndarray, shape (...)
        Less than the wind below 3.7 m/s, more above. [m/s]

    Raises
    ------
    ValueError
        If a wind is negative.

    Notes
    -----
    .. math:: U_a = U \sqrt{0.75 + 0.067\,U}

    with :math:`U` in m/s. Assumption: air as warm as the water. The source first takes a
    tenth off a wind forecast over land where the fetch is under 16 km; that is not done here,
    and would take about 12 % off the height.

    References
    ----------
    .. [1] Leenknecht, Szuwalski and Sherlock, Automated Coastal Engineering System, Technical
       Reference, US Army Corps of Engineers 1992, chapter 1-1; read.

    Examples
    --------
    >>> round(float(adjusted_wind_mps(10.0)), 3)
    11.916
    """
    wind = bounded(wind_10m_mps, name="wind_10m_mps", low=0.0)
    return np.asarray(wind * np.sqrt(0.75 + 0.067 * wind))


def significant_height_m(
    adjusted_mps: ArrayLike,
    *,
    fetch_m: ArrayLike,
    depth_m: ArrayLike,
    law: GrowthLaw = OPEN_WATER,
) -> Array:
    r"""
    Return the significant height of chop that has had time to grow.

    Parameters
    ----------
    adjusted_mps : array_like, shape (...)
        Wind, as from `adjusted_wind_mps`. [m/s]
    fetch_m : array_like, broadcastable with `adjusted_mps`
        Open water upwind. [m]
    depth_m : array_like, broadcastable with `adjusted_mps`
        Mean depth along the fetch; infinite for the law of deep water. [m]
    law : GrowthLaw
        `OPEN_WATER` or `NARROW_WATER`.

    Returns
    -------
    height_m : ndarray, shape (...)
        Mean of the highest third of the waves, crest to trough; 25 % either way. [m]

    Raises
    ------
    ValueError
        If a wind or fetch is negative or a depth not above zero.

    Notes
    -----
    With :math:`F' = gF/U_a^2` and :math:`d' = gd/U_a^2`, over an endless depth

    .. math:: H = a \sqrt{F'}\;U_a^2/g

    and over a stated one, with :math:`D = \tanh(0.530\,d'^{3/4})`,

    .. math:: H = 0.283\,D\,\tanh\!\left(\frac{a \sqrt{F'}}{0.283\,D}\right) U_a^2/g

    The two do not quite meet: over deep water the second is below the first by 1 % where
    :math:`F'` is 1000 and by 8 % where it is 8000, 2 and 16 km at 4.4 m/s adjusted. The
    sea stops growing at `physics.chop_limits.fully_grown_height_m`, which the caller applies
    to long fetches in light winds. Chop much above half the depth breaks (not modelled).

    References
    ----------
    .. [1] Leenknecht, Szuwalski and Sherlock 1992, as in `adjusted_wind_mps`, after Vincent
       1984 and the Shore Protection Manual 1984; its equations and public code of it read.

    Examples
    --------
    >>> round(float(significant_height_m(11.916, fetch_m=2000.0, depth_m=3.0)), 3)
    0.258
    """
    wind, fetch, depth = _water(adjusted_mps, fetch_m, depth_m)
    deep = law.height_coefficient * wind * np.sqrt(fetch / GRAVITY_MPS2)
    head = wind * wind / GRAVITY_MPS2
    most = 0.283 * head * np.tanh(0.530 * _depth_ratio(wind, depth) ** 0.75)
    return _between(deep, most, depth)


def peak_period_s(
    adjusted_mps: ArrayLike,
    *,
    fetch_m: ArrayLike,
    depth_m: ArrayLike,
    law: GrowthLaw = OPEN_WATER,
) -> Array:
    r"""
    Return the period of the strongest waves of chop that has had time to grow.

    Parameters
    ----------
    adjusted_mps : array_like, shape (...)
        Wind, as from `adjusted_wind_mps`. [m/s]
    fetch_m : array_like, broadcastable with `adjusted_mps`
        Open water upwind. [m]
    depth_m : array_like, broadcastable with `adjusted_mps`
        Mean depth along the fetch; infinite for the law of deep water. [m]
    law : GrowthLaw
        `OPEN_WATER` or `NARROW_WATER`.

    Returns
    -------
    period_s : ndarray, shape (...)
        Peak period, zero where there is no chop; a fifth either way. [s]

    Raises
    ------
    ValueError
        If a wind or fetch is negative or a depth not above zero.

    Notes
    -----
    Written as in `significant_height_m`: over an endless depth

    .. math:: T = b\,F'^{\,n}\;U_a/g

    and over a stated one, with :math:`D = \tanh(0.833\,d'^{3/8})`,

    .. math:: T = 7.54\,D\,\tanh\!\left(\frac{b\,F'^{\,n}}{7.54\,D}\right) U_a/g

    References
    ----------
    .. [1] As in `significant_height_m`.

    Examples
    --------
    >>> round(float(peak_period_s(11.916, fetch_m=2000.0, depth_m=3.0)), 2)
    1.68
    """
    wind, fetch, depth = _water(adjusted_mps, fetch_m, depth_m)
    pace = wind / GRAVITY_MPS2  # s
    # F'^n without dividing by a wind that may be nil; n is below a half
    n = law.period_exponent
    deep = law.period_coefficient * (fetch * GRAVITY_MPS2) ** n * wind ** (1.0 - 2.0 * n)
    deep = deep / GRAVITY_MPS2
    most = 7.54 * pace * np.tanh(0.833 * _depth_ratio(wind, depth) ** 0.375)
    return _between(deep, most, depth)


def wavelength_m(period_s: ArrayLike, *, depth_m: ArrayLike) -> Array:
    r"""
    Return how long waves of a period are, crest to crest.

    Parameters
    ----------
    period_s : array_like, shape (...)
        Period of the waves. [s]
    depth_m : array_like, broadcastable with `period_s`
        Depth where the boat is; infinite allowed. [m]

    Returns
    -------
    wavelength_m : ndarray, shape (...)
        Zero for a period of zero. [m]

    Raises
    ------
    ValueError
        If a period is negative or a depth not above zero.

    Notes
    -----
    Solves :math:`\omega^2 = g k \tanh(k d)`, waves low against their length and the depth and
    no stream, to the last few digits: three steps of Newton's from a guess within 6 % of it.

    References
    ----------
    .. [1] Linear wave theory; the first guess is Eckart's, 1951 (from memory).

    Examples
    --------
    >>> wavelength_m([2.0, 2.0], depth_m=[float("inf"), 0.5]).round(3)
    array([6.243, 4.056])
    """
    period = bounded(period_s, name="period_s", low=0.0)
    depth = _depth(depth_m)
    deep = GRAVITY_MPS2 / (2.0 * np.pi) * period * period
    water = np.minimum(2.0 * np.pi * depth / np.maximum(deep, 1.0e-9), 1.0e2)
    # x = k d solves x tanh x = water; from 100 on, and long before, x is `water` itself.
    x = water / np.sqrt(np.tanh(water))
    for _ in range(3):
        tanh = np.tanh(x)
        x = x - (x * tanh - water) / (tanh + x * (1.0 - tanh * tanh))
    return np.asarray(deep * (water / x))


def _between(deep: Array, most: Array, depth: Array) -> Array:
    """Return what deep water would raise, held below the most that the depth allows."""
    ceiling = np.maximum(most, np.finfo(np.float64).tiny)  # nil in a calm
    return np.where(depth >= DEEPEST_M, deep, ceiling * np.tanh(deep / ceiling))


def _depth_ratio(wind: Array, depth: Array) -> Array:
    """Return the depth over the height the wind could lift water to."""
    calm = np.maximum(wind, _CALM_MPS)
    return np.asarray(GRAVITY_MPS2 * depth / (calm * calm))


def _water(
    adjusted_mps: ArrayLike, fetch_m: ArrayLike, depth_m: ArrayLike
) -> tuple[Array, Array, Array]:
    """Return the three once checked, an endless depth as `DEEPEST_M`."""
    wind = bounded(adjusted_mps, name="adjusted_mps", low=0.0)
    return wind, bounded(fetch_m, name="fetch_m", low=0.0), _depth(depth_m)


def _depth(depth_m: ArrayLike) -> Array:
    """Return a depth once checked, an endless one as `DEEPEST_M`."""
    depth = np.minimum(np.asarray(depth_m, dtype=np.float64), DEEPEST_M)
    return bounded(depth, name="depth_m", low=0.0, above=True)
