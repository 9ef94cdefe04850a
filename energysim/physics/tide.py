"""
Moving water from its harmonic constants: the sum of a place's tides.

Depends on: `physics.astronomy`, `physics.constituents`.
"""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.astronomy import NodeFactor, mean_longitudes, node_factors
from energysim.physics.constituents import Constituents

NodeChoice = Literal["mid-year", "at-epoch", "none"]


def equilibrium_argument_deg(
    unix_s: ArrayLike, *, constituents: Constituents
) -> NDArray[np.float64]:
    r"""
    Return where each tide stands in its cycle at Greenwich, before its node's part.

    Parameters
    ----------
    unix_s : array_like, shape (...)
        Time in seconds from 1970-01-01 00:00 UTC. [s]
    constituents : Constituents
        The tides wanted.

    Returns
    -------
    argument_deg : ndarray, shape (..., constituents)
        0 to 360. [deg]

    Raises
    ------
    ValueError
        If a time is not finite or lies outside the years 1900 to 2100.

    Notes
    -----
    .. math:: V = 15 n t + a s + b h + c p + d p_1 + V_c

    with :math:`t` the hours of the day in universal time, :math:`s, h` the mean longitudes of
    moon and sun and :math:`p, p_1` those of their perigees. Older manuals count the day from
    noon; the constants :math:`V_c` of the odd species then change sign and :math:`V` is the
    same.
    """
    at = mean_longitudes(unix_s)
    angles = np.stack(
        (
            at.hour_angle_deg,
            at.moon_deg,
            at.sun_deg,
            at.lunar_perigee_deg,
            at.solar_perigee_deg,
        ),
        axis=-1,
    )
    return np.mod(angles @ constituents.doodson.T + constituents.phase_deg, 360.0)


def node_corrections(unix_s: ArrayLike, *, constituents: Constituents) -> NodeFactor:
    """
    Return what the moon's node does to each tide, compound tides included.

    Parameters
    ----------
    unix_s : array_like, shape (...)
        Time in seconds from 1970-01-01 00:00 UTC. [s]
    constituents : Constituents
        The tides wanted.

    Returns
    -------
    NodeFactor
        Factor and phase, each of shape (..., constituents).

    Raises
    ------
    ValueError
        If a rule names a law that does not exist, or a time is out of range.

    Notes
    -----
    A compound tide takes the product of its parents' factors, each to its power without the
    sign, and the sum of their phases, each times its power.
    """
    laws = node_factors(unix_s)
    factors, phases = [], []
    for name, rule in zip(constituents.name, constituents.node_rule, strict=True):
        factor = np.ones_like(laws["1"].factor)
        phase = np.zeros_like(factor)
        for law, power in rule:
            if law not in laws:
                raise ValueError(
                    f"node rule of {name} names {law!r}; laws are {', '.join(laws)}"
                )
            factor = factor * laws[law].factor ** abs(power)
            phase = phase + power * laws[law].phase_deg
        factors.append(factor)
        phases.append(phase)
    return NodeFactor(factor=np.stack(factors, axis=-1), phase_deg=np.stack(phases, axis=-1))


def predict(
    time_s: ArrayLike,
    *,
    epoch_unix_s: float,
    constituents: Constituents,
    amplitude_mps: ArrayLike,
    phase_lag_deg: ArrayLike,
    mean_mps: ArrayLike,
    nodes: NodeChoice = "mid-year",
) -> NDArray[np.float64]:
    r"""
    Return the stream along its axis at any time, from a place's harmonic constants.

    Parameters
    ----------
    time_s : array_like, shape (...)
        Times wanted, from the epoch. [s]
    epoch_unix_s : float
        The epoch, in seconds from 1970-01-01 00:00 UTC. [s]
    constituents : Constituents
        The place's tides, as from `select_constituents`.
    amplitude_mps : array_like, shape (constituents,) or (constituents, members)
        Amplitude of each. [m/s]
    phase_lag_deg : array_like, shape (constituents,) or (constituents, members)
        Greenwich phase lag of each, for times in UTC. [deg]
    mean_mps : array_like, broadcastable with the result
        Steady part. [m/s]
    nodes : {"mid-year", "at-epoch", "none"}
        When the node's part is worked out. The first is the agencies' practice: the node once
        for the middle of the epoch's year, the arguments at its new year. The other two
        take the arguments at the epoch.

    Returns
    -------
    speed_mps : ndarray
        Signed speed, flood positive: shape of `time_s`, broadcast with the members. [m/s]

    Raises
    ------
    ValueError
        If the constants do not fit the constituents, are not finite, an amplitude is
        negative, or `nodes` is none of the three.

    Notes
    -----
    .. math:: v = v_0 + \sum_i f_i A_i \cos(V_i + u_i + \omega_i t - g_i)

    The sum does not mind the unit: with amplitudes in metres it gives heights.

    Assumptions: the tide alone, without the wind's or a river's part; one year's node (over
    one day it hardly moves).

    The cost is one cosine per time, member and tide. For many members that differ by a shift
    in time, predict once on a fine grid and read between.

    References
    ----------
    .. [1] P. Schureman, Manual of Harmonic Analysis and Prediction of Tides, 1958 (from
       memory).
    """
    elapsed_h = np.asarray(time_s, dtype=np.float64) / 3600.0
    amplitude = _constants(amplitude_mps, "amplitude_mps", constituents)
    lag_deg = _constants(phase_lag_deg, "phase_lag_deg", constituents)
    mean = np.asarray(mean_mps, dtype=np.float64)
    if (amplitude < 0.0).any():
        raise ValueError(f"amplitude_mps has {amplitude.min():g}; it must be zero or more")
    if not (np.isfinite(elapsed_h).all() and np.isfinite(mean).all()):
        raise ValueError("time_s and mean_mps must be finite")
    argument_deg = _argument_at_epoch_deg(epoch_unix_s, nodes, constituents)
    factor = np.ones_like(argument_deg)
    if nodes != "none":
        correction = node_corrections(
            _node_time(epoch_unix_s, nodes), constituents=constituents
        )
        argument_deg = argument_deg + correction.phase_deg
        factor = correction.factor
    shape = np.broadcast_shapes(
        elapsed_h.shape, amplitude.shape[1:], lag_deg.shape[1:], mean.shape
    )
    total = np.array(np.broadcast_to(mean, shape), dtype=np.float64)
    for i, speed_degph in enumerate(constituents.speed_degph):
        angle = np.deg2rad(speed_degph * elapsed_h + (argument_deg[i] - lag_deg[i]))
        total += factor[i] * amplitude[i] * np.cos(angle)
    return total


def _argument_at_epoch_deg(
    epoch_unix_s: float, nodes: str, constituents: Constituents
) -> NDArray[np.float64]:
    """
    Return each tide's argument at the epoch, by the agencies' practice or as it is.

    The two differ for M1 alone: its argument leaves out the perigee's motion, which is in its
    listed speed, so it matters when the argument is taken up.
    """
    if nodes != "mid-year":
        return equilibrium_argument_deg(epoch_unix_s, constituents=constituents)
    new_year_s = _year_ends_s(epoch_unix_s)[0]
    since_h = (epoch_unix_s - new_year_s) / 3600.0
    at_new_year = equilibrium_argument_deg(new_year_s, constituents=constituents)
    return np.mod(at_new_year + constituents.speed_degph * since_h, 360.0)


def _year_ends_s(epoch_unix_s: float) -> tuple[float, float]:
    """Return both ends of the year an instant lies in, as seconds from 1970."""
    year = np.datetime64(int(epoch_unix_s), "s").astype("datetime64[Y]")
    begin, end = np.array([year, year + 1]).astype("datetime64[s]").astype(np.float64)
    return float(begin), float(end)


def _constants(value: ArrayLike, name: str, constituents: Constituents) -> NDArray[np.float64]:
    """Constants as an array, one row for each tide."""
    array = np.asarray(value, dtype=np.float64)
    if array.ndim == 0 or array.shape[0] != len(constituents.name):
        raise ValueError(
            f"{name} has shape {array.shape}; its first length must be "
            f"{len(constituents.name)}, one for each constituent"
        )
    if not np.isfinite(array).all():
        raise ValueError(f"{name} must be finite")
    return array


def _node_time(epoch_unix_s: float, nodes: str) -> float:
    """Time the node's part is worked out for."""
    if nodes == "at-epoch":
        return epoch_unix_s
    if nodes != "mid-year":
        raise ValueError(f"nodes is {nodes!r}; it must be 'mid-year', 'at-epoch' or 'none'")
    begin_s, end_s = _year_ends_s(epoch_unix_s)
    return 0.5 * (begin_s + end_s)


def form_number(amplitude_mps: ArrayLike, *, constituents: Constituents) -> NDArray[np.float64]:
    r"""
    Return the form number, which tells two tides a day from one.

    Parameters
    ----------
    amplitude_mps : array_like, shape (constituents,) or (constituents, members)
        Amplitude of each. [m/s]
    constituents : Constituents
        The place's tides; K1, O1, M2 and S2 must be among them.

    Returns
    -------
    form_number : ndarray
        Under 0.25 two a day; to 1.5 mixed, mainly two; to 3 mixed, mainly one; above, one. [1]

    Raises
    ------
    ValueError
        If one of the four is missing, or M2 and S2 are both zero.

    Notes
    -----
    .. math:: F = (K_1 + O_1) / (M_2 + S_2)
    """
    amplitude = _constants(amplitude_mps, "amplitude_mps", constituents)
    missing = [name for name in ("K1", "O1", "M2", "S2") if name not in constituents.name]
    if missing:
        raise ValueError(f"constituents lack {', '.join(missing)}, which the form number needs")
    k1, o1, m2, s2 = (
        amplitude[constituents.name.index(name)] for name in ("K1", "O1", "M2", "S2")
    )
    if not (m2 + s2 > 0.0).all():
        raise ValueError("amplitude_mps of M2 and S2 must not both be zero")
    return np.asarray((k1 + o1) / (m2 + s2))


def vector_from_axes(
    major_mps: ArrayLike, *, minor_mps: ArrayLike, azimuth_deg: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """
    Return the east and north parts of a stream predicted along two axes.

    Parameters
    ----------
    major_mps : array_like, shape (...)
        Along the major axis, positive toward `azimuth_deg`. [m/s]
    minor_mps : array_like, broadcastable
        Along the minor axis, positive a quarter turn clockwise of it; 0 for a stream that
        runs to and fro. [m/s]
    azimuth_deg : array_like, broadcastable
        Bearing of the major axis, toward the flood. [deg]

    Returns
    -------
    east_mps : ndarray, shape (...)
        Part toward the east. [m/s]
    north_mps : ndarray, shape (...)
        Part toward the north. [m/s]

    Notes
    -----
    That the agency's minor axis lies clockwise of the major one is from memory and one open
    conversion script, not from the agency's own text.
    """
    major = np.asarray(major_mps, dtype=np.float64)
    minor = np.asarray(minor_mps, dtype=np.float64)
    angle = np.deg2rad(np.asarray(azimuth_deg, dtype=np.float64))
    sin, cos = np.sin(angle), np.cos(angle)
    return np.asarray(major * sin + minor * cos), np.asarray(major * cos - minor * sin)
