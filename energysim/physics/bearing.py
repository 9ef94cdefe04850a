"""
Compass bearings: to and from components, and between two times.

Wind is named by where it blows FROM, a stream by where it runs TOWARD; these functions take
TOWARD. Bearings are true, clockwise from north.

Depends on: `physics.sampling`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.sampling import checked_nodes, checked_times


def components_from_toward(
    speed_mps: ArrayLike, *, toward_deg: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""
    Return the east and north parts of a flow, so that flows can be added.

    Parameters
    ----------
    speed_mps : array_like, shape (...)
        Speed of the flow; a negative one runs the other way. [m/s]
    toward_deg : array_like, broadcastable with `speed_mps`
        Compass bearing the flow runs toward. [deg]

    Returns
    -------
    east_mps : ndarray, shape (...)
        Part toward the east. [m/s]
    north_mps : ndarray, shape (...)
        Part toward the north. [m/s]

    Notes
    -----
    .. math:: u = V \sin\theta, \qquad v = V \cos\theta

    Examples
    --------
    >>> east, north = components_from_toward(2.0, toward_deg=90.0)
    >>> round(float(east), 12), round(float(north), 12)
    (2.0, 0.0)
    """
    speed = np.asarray(speed_mps, dtype=np.float64)
    angle = np.deg2rad(np.asarray(toward_deg, dtype=np.float64))
    return np.asarray(speed * np.sin(angle)), np.asarray(speed * np.cos(angle))


def toward_from_components(
    east_mps: ArrayLike, *, north_mps: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """
    Return the speed and the bearing of a flow given by its parts.

    Parameters
    ----------
    east_mps : array_like, shape (...)
        Part toward the east. [m/s]
    north_mps : array_like, broadcastable with `east_mps`
        Part toward the north. [m/s]

    Returns
    -------
    speed_mps : ndarray, shape (...)
        Never negative. [m/s]
    toward_deg : ndarray, shape (...)
        Bearing it runs toward, 0 up to but not including 360; 0 where nothing moves. [deg]

    Examples
    --------
    >>> speed, toward = toward_from_components(-3.0, north_mps=0.0)
    >>> float(speed), float(toward)
    (3.0, 270.0)
    """
    east = np.asarray(east_mps, dtype=np.float64)
    north = np.asarray(north_mps, dtype=np.float64)
    toward = np.asarray(np.rad2deg(np.arctan2(east, north)))
    toward = np.where(toward < 0.0, toward + 360.0, toward + 0.0)  # and no -0
    # A hair west of north has come to 360 itself.
    away = (toward < 360.0) & ((east != 0.0) | (north != 0.0))
    return np.asarray(np.hypot(east, north)), np.where(away, toward, 0.0)


def interpolate_bearing(
    time_s: ArrayLike, *, at_s: ArrayLike, bearing_deg: ArrayLike
) -> NDArray[np.float64]:
    """
    Return a bearing between given ones, turning the short way round.

    Averaging the two flows as vectors would lose speed while the direction turns;
    turning the bearing apart from the speed does not.

    Parameters
    ----------
    time_s : array_like, shape (...)
        Times wanted, inside the span of `at_s`. [s]
    at_s : array_like, shape (nodes,)
        Times of the given bearings, increasing. [s]
    bearing_deg : array_like, shape (nodes,)
        Given bearings, any turn of the circle. [deg]

    Returns
    -------
    bearing_deg : ndarray, shape (...)
        0 up to but not including 360. [deg]

    Raises
    ------
    ValueError
        If the times given do not increase, the shapes differ, a value is not finite, or a
        time wanted is outside the span.

    Notes
    -----
    Assumptions: between two given bearings the turn is even and less than half a circle. A
    turn of exactly half a circle has no short way; it goes clockwise (our choice).

    Examples
    --------
    >>> float(interpolate_bearing(30.0, at_s=[0.0, 60.0], bearing_deg=[350.0, 10.0]))
    0.0
    """
    nodes_s, given = checked_nodes(at_s, bearing_deg, name="bearing_deg", least=1)
    wanted_s = checked_times(time_s, nodes_s)
    turns = 180.0 - np.mod(180.0 - np.diff(given), 360.0)
    unwrapped = given[0] + np.concatenate(([0.0], np.cumsum(turns)))
    wrapped = np.mod(np.interp(wanted_s, nodes_s, unwrapped), 360.0)
    return np.asarray(np.mod(wrapped, 360.0), dtype=np.float64)
