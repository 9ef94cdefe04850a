"""
How gusty a mean wind is: factors between averaging times, and the intensity behind them.

A gust factor is the strongest short mean within a longer one, by that longer mean. Intensity is
the standard deviation of the wind by its mean. Both are ratios, so one taken at 10 m serves at
the boat as well; by the laws here the air nearer the water is a little gustier.

Depends on: `physics.bounds`, `physics.spectra` (which gusts a boat is too slow for).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.spectra import kaimal_length_m, kaimal_share_below

HOURLY_PEAK_FACTOR: Final = 3.0
"""
Standard deviations from an hour's mean to its strongest 3 s.

Inferred: with it the hourly rows of the WMO table give intensities of 0.10, 0.15, 0.20 and 0.25
for the four exposures, the values such guides are remembered to use (from memory).
"""

INTENSITY_RANGE: Final = (0.05, 0.35)
"""Least and greatest intensity read out of a forecast gust (ours)."""

_SHORTEST_S: Final = 3.0
_HOUR_S: Final = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GustTable:
    """Gust factors by exposure and averaging times; one element of each field per row."""

    exposure: tuple[str, ...]
    reference_period_s: NDArray[np.float64]  # what the mean wind is a mean over
    gust_duration_s: NDArray[np.float64]  # what the gust is a mean over
    factor: NDArray[np.float64]  # strongest gust of the period by its mean


def gust_factor(
    exposure: str,
    *,
    reference_period_s: ArrayLike,
    gust_duration_s: ArrayLike,
    table: GustTable,
) -> NDArray[np.float64]:
    r"""
    Return the strongest gust of a period by its mean wind, where no gust was forecast.

    Parameters
    ----------
    exposure : str
        A name of the table: "at-sea" more than 20 km out, "off-sea" at the coast in a wind off
        the water, "off-land" there in a wind off the land, "in-land" (distance from memory).
    reference_period_s : array_like, shape (...)
        Averaging time of the mean wind, within the table: 60 to 3600. [s]
    gust_duration_s : array_like, broadcastable with `reference_period_s`
        Averaging time of the gust, 3 up to the reference period. [s]
    table : GustTable
        The shipped rows. [mixed]

    Returns
    -------
    factor : ndarray, shape (...)
        Never below 1, and 1 when both times are the same. [1]

    Raises
    ------
    ValueError
        If the exposure is not in the table or a time is outside the range above.

    Notes
    -----
    A listed pair of times gives the listed factor. In between (ours), a gust stands at

    .. math:: x = \ln(\tau / 3) \,/\, \ln(T_0 / 3)

    between 3 s and the whole period; factors go linearly in x for each listed period and
    linearly in :math:`\ln T_0` from one period to the next.

    Assumptions: strong wind, air about as warm as the water. The table was made for tropical
    cyclones; in a light wind under a hot sun gusts are stronger than it says.

    References
    ----------
    .. [1] Harper, Kepert and Ginger 2010, WMO/TD-No. 1555, table 1.1; read as transcribed in a
       public test file.

    Examples
    --------
    >>> table = GustTable(
    ...     exposure=("at-sea", "at-sea"),
    ...     reference_period_s=np.array([60.0, 600.0]),
    ...     gust_duration_s=np.array([3.0, 3.0]),
    ...     factor=np.array([1.11, 1.23]),
    ... )
    >>> float(gust_factor("at-sea", reference_period_s=600, gust_duration_s=3, table=table))
    1.23
    """
    chosen = np.array([name == exposure for name in table.exposure], dtype=bool)
    if not chosen.any():
        known = ", ".join(dict.fromkeys(table.exposure))
        raise ValueError(f"exposure = {exposure!r}; it must be one of {known}")
    periods = np.array(sorted(set(table.reference_period_s[chosen].tolist())))
    period = bounded(
        reference_period_s, name="reference_period_s", low=periods[0], high=periods[-1]
    )
    gust = bounded(gust_duration_s, name="gust_duration_s", low=_SHORTEST_S)
    if np.any(gust > period):
        raise ValueError(
            f"gust_duration_s = {gust.max():g}; it must be at most reference_period_s, "
            f"which goes down to {period.min():g}"
        )
    place = np.log(gust / _SHORTEST_S) / np.log(period / _SHORTEST_S)
    found = np.stack(
        [_at_listed_period(place, listed, chosen, table) for listed in periods.tolist()]
    )
    if periods.size == 1:
        return np.asarray(np.broadcast_to(found[0], place.shape).copy())
    last = periods.size - 2
    low = np.clip(np.searchsorted(periods, period, side="right") - 1, 0, last)
    step = np.log(periods[1:] / periods[:-1])
    part = np.broadcast_to(np.log(period / periods[low]) / step[low], place.shape)
    index = np.broadcast_to(low, place.shape)[np.newaxis]
    lower = np.take_along_axis(found, index, axis=0)[0]
    upper = np.take_along_axis(found, index + 1, axis=0)[0]
    return np.asarray(lower + part * (upper - lower))


def peak_factor(
    exposure: str,
    *,
    reference_period_s: ArrayLike,
    gust_duration_s: ArrayLike,
    table: GustTable,
) -> NDArray[np.float64]:
    r"""
    Return how many standard deviations the strongest gust of a period stands above its mean.

    It turns a forecast gust into an intensity once one knows what the forecaster's gust is:
    the strongest 3 s of 2 minutes say less about an hour than the strongest 3 s of the hour.

    Parameters
    ----------
    exposure : str
        A name of the table.
    reference_period_s, gust_duration_s : array_like, broadcastable
        As for `gust_factor`. [s]
    table : GustTable
        The shipped rows. [mixed]

    Returns
    -------
    peak_factor : ndarray, shape (...)
        Zero when both times are the same. [1]

    Raises
    ------
    ValueError
        As for `gust_factor`.

    Notes
    -----
    .. math:: g(T_0, \tau) = 3\, \frac{G(T_0, \tau) - 1}{G(\mathrm{1\,h}, \mathrm{3\,s}) - 1}

    Ours: it takes the intensity to be that of the hour, as `HOURLY_PEAK_FACTOR` says, over
    whatever period the gust is stated for.
    """
    wanted = gust_factor(
        exposure,
        reference_period_s=reference_period_s,
        gust_duration_s=gust_duration_s,
        table=table,
    )
    hourly = gust_factor(
        exposure, reference_period_s=_HOUR_S, gust_duration_s=_SHORTEST_S, table=table
    )
    return np.asarray(HOURLY_PEAK_FACTOR * (wanted - 1.0) / (hourly - 1.0))


def intensity_from_gust_factor(
    gust_factor: ArrayLike, *, peak_factor: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the intensity behind a forecast's gust, held within what a wind can be.

    Parameters
    ----------
    gust_factor : array_like, shape (...)
        Gust by mean wind, at least 1. [1]
    peak_factor : array_like, broadcastable with `gust_factor`
        Standard deviations from the mean to the gust, above zero: `HOURLY_PEAK_FACTOR` for
        the strongest gust of an hour, else `peak_factor`. [1]

    Returns
    -------
    intensity : ndarray, shape (...)
        Standard deviation by mean, never below 0.05 nor above 0.35. [1]

    Raises
    ------
    ValueError
        If a gust factor is below 1 or a peak factor not above zero.

    Notes
    -----
    .. math:: I = \min\{0.35,\ \max[0.05,\ (G - 1) / g]\}

    The limits are ours. Even a wind forecast without gusts is not quite steady, and a gust of
    more than twice the mean is a squall or a passing front, to be planned as a wind of its own.

    References
    ----------
    .. [1] :math:`G = 1 + g\,I` as read in a public cyclone-risk model.

    Examples
    --------
    >>> round(float(intensity_from_gust_factor(1.45, peak_factor=3.0)), 3)
    0.15
    >>> intensity_from_gust_factor([1.0, 3.0], peak_factor=3.0)
    array([0.05, 0.35])
    """
    factor = bounded(gust_factor, name="gust_factor", low=1.0)
    peak = bounded(peak_factor, name="peak_factor", low=0.0, above=True)
    return np.asarray(np.clip((factor - 1.0) / peak, *INTENSITY_RANGE))


def log_law_intensity(height_m: ArrayLike, *, roughness_m: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the intensity that goes with the logarithmic wind profile over a rough surface.

    Parameters
    ----------
    height_m : array_like, shape (...)
        Height above the surface, at least ten roughness lengths. [m]
    roughness_m : array_like, broadcastable with `height_m`
        Roughness length of the surface, above zero: 0.0002 open water, 0.03 mown grass (common
        practice, no source). [m]

    Returns
    -------
    intensity : ndarray, shape (...)
        Standard deviation by mean. [1]

    Raises
    ------
    ValueError
        If the roughness is not positive or a height is below ten times it.

    Notes
    -----
    .. math:: I = 1 / \ln(z / z_0)

    Assumptions: neutral air, and a standard deviation of 2.5 friction velocities, which the
    constant 0.4 of the profile cancels. The floor of ten roughness lengths is ours.

    References
    ----------
    .. [1] As read in the documentation of a public wind-power library.

    Examples
    --------
    >>> round(float(log_law_intensity(10.0, roughness_m=0.0002)), 4)
    0.0924
    """
    roughness = bounded(roughness_m, name="roughness_m", low=0.0, above=True)
    height = bounded(height_m, name="height_m", low=0.0, above=True)
    ratio = height / roughness
    if np.any(ratio < 10.0):
        raise ValueError(
            f"height_m over roughness_m = {ratio.min():g}; it must be at least 10 for the "
            "logarithmic profile to hold"
        )
    return np.asarray(1.0 / np.log(ratio))


def answering_share(
    wind_mps: ArrayLike, *, slowest_answer_s: ArrayLike, height_m: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the share of the gusts' variance slow enough for a boat to answer with thrust.

    Quicker gusts come and go before a boat of a ton has moved: they shake it, but neither the
    thrust nor the battery sees them. Multiply an intensity by the root of this share.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Mean wind at that height, zero or more. [m/s]
    slowest_answer_s : array_like, broadcastable with `wind_mps`
        Time the boat and its helm take to answer, above zero; 10 to 30 for a small boat on a
        spot (common practice, no source). Gusts of a longer period are felt in full. [s]
    height_m : array_like, broadcastable with `wind_mps`
        Height of the wind, above zero. [m]

    Returns
    -------
    share : ndarray, shape (...)
        0 to 1; all of it in a calm, where gusts drift by slowly. [1]

    Raises
    ------
    ValueError
        If a wind is negative, or a time or height not above zero.

    Notes
    -----
    `spectra.kaimal_share_below` at :math:`1/t`, with the length scale of that height. The cut
    is sharp (ours); a boat's answer falls off gently about it. The spectrum runs down to no
    frequency at all, so it counts slow swings that a mean over 10 minutes has already taken
    out, and the share is rather too high than too low.

    Examples
    --------
    >>> share = answering_share(10.0, slowest_answer_s=[10.0, 30.0], height_m=10.0)
    >>> [round(float(each), 2) for each in share]
    [0.63, 0.4]
    """
    answer = bounded(slowest_answer_s, name="slowest_answer_s", low=0.0, above=True)
    return kaimal_share_below(
        1.0 / answer, wind_mps=wind_mps, length_m=kaimal_length_m(height_m)
    )


def _at_listed_period(
    place: NDArray[np.float64], period_s: float, chosen: NDArray[np.bool_], table: GustTable
) -> NDArray[np.float64]:
    """Return factors along one listed period, from its shortest gust (0) to itself (1)."""
    rows = chosen & (table.reference_period_s == period_s) & (table.gust_duration_s < period_s)
    duration, factor = table.gust_duration_s[rows], table.factor[rows]
    order = np.argsort(duration)
    nodes = np.log(duration[order] / _SHORTEST_S) / np.log(period_s / _SHORTEST_S)
    return np.asarray(np.interp(place, np.append(nodes, 1.0), np.append(factor[order], 1.0)))
