"""
Moving water through a day, from a printed table of slacks and maxima.

A signed speed is positive on the flood, negative on the ebb and zero at slack. A direction of
a stream is always where it runs TOWARD.

Depends on: `physics.sampling`, `physics.bearing`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bearing import components_from_toward
from energysim.physics.sampling import checked_nodes, checked_times


def speed_from_events(
    time_s: ArrayLike, *, event_time_s: ArrayLike, event_speed_mps: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the stream at any time between the slacks and maxima of a current table.

    The table prints only when the water stands and when it runs hardest; a day of holding
    needs every minute in between.

    Parameters
    ----------
    time_s : array_like, shape (...)
        Times wanted, inside the span of the events. [s]
    event_time_s : array_like, shape (events,)
        Times of the events, increasing; at least two. [s]
    event_speed_mps : array_like, shape (events,)
        Printed speed: flood positive, ebb negative, slack exactly 0. [m/s]

    Returns
    -------
    speed_mps : ndarray, shape (...)
        Signed speed, flood positive. [m/s]

    Raises
    ------
    ValueError
        If the events do not increase in time, are fewer than two or not finite, or if a time
        wanted is outside their span; give one event more on either side of the day.

    Notes
    -----
    With :math:`x` the part of the leg gone by, each leg on its own length,

    .. math::
        v = V_1 \sin(\pi x / 2) \quad \text{slack to maximum}

        v = V_0 \cos(\pi x / 2) \quad \text{maximum to slack}

        v = \tfrac12 (V_0 + V_1) + \tfrac12 (V_0 - V_1) \cos(\pi x)
        \quad \text{maximum to maximum}

    The sine is the law behind the agency's table of speeds between slack and maximum, all of
    whose 147 cells it gives when rounded to a tenth [1]_. The third line is for a weak
    minimum between two runs the same way, or a slack left out, and is ours.

    Assumptions, in the order they fail:

    * The stream is driven by the tide wave. In a narrow passage between two basins it turns
      faster near slack than this.
    * Two slacks in a row hide a maximum too weak to print; it counts as no stream at all
      (ours; where it was looked up, the speed hidden was 0.04 m/s).
    * The slope breaks at slack where flood and ebb differ in strength.

    References
    ----------
    .. [1] NOAA, Tidal Current Tables, Table 3-A (read in a transcribed copy).

    Examples
    --------
    >>> half_way_s = [3600.0, 7200.0]
    >>> speed_from_events(half_way_s, event_time_s=[0, 10800], event_speed_mps=[0, 1]).round(3)
    array([0.5  , 0.866])
    """
    nodes_s, printed = checked_nodes(
        event_time_s, event_speed_mps, name="event_speed_mps", least=2
    )
    wanted_s = checked_times(time_s, nodes_s)
    mean, swing, start, sweep = _leg_curves(printed)
    leg = np.minimum(np.searchsorted(nodes_s, wanted_s, side="right") - 1, nodes_s.size - 2)
    gone = (wanted_s - nodes_s[leg]) / np.diff(nodes_s)[leg]
    return np.asarray(mean[leg] + swing[leg] * np.sin(start[leg] + sweep[leg] * gone))


def _leg_curves(
    printed: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Every leg as mean + swing sin(start + sweep x): one sine a point, whatever the leg."""
    v0, v1 = printed[:-1], printed[1:]
    from_slack, to_slack = v0 == 0.0, v1 == 0.0
    no_slack = ~(from_slack | to_slack)
    mean = np.where(no_slack, 0.5 * (v0 + v1), 0.0)
    swing = np.where(no_slack, 0.5 * (v0 - v1), v0 + v1)
    start = np.where(from_slack, 0.0, 0.5 * np.pi)
    sweep = np.where(no_slack, np.pi, 0.5 * np.pi)
    return mean, swing, start, sweep


def stream_set_deg(
    speed_mps: ArrayLike, *, flood_toward_deg: ArrayLike, ebb_toward_deg: ArrayLike
) -> NDArray[np.float64]:
    """
    Return where the stream runs toward, flood or ebb as its sign says.

    Parameters
    ----------
    speed_mps : array_like, shape (...)
        Signed speed, flood positive. [m/s]
    flood_toward_deg : array_like, broadcastable with `speed_mps`
        Mean set of the flood. [deg]
    ebb_toward_deg : array_like, broadcastable with `speed_mps`
        Mean set of the ebb; seldom just opposite the flood's. [deg]

    Returns
    -------
    toward_deg : ndarray, shape (...)
        The flood's set at slack too, where it does not matter. [deg]

    Notes
    -----
    Assumptions: the stream keeps to its two sets and changes between them at slack. True of
    a channel; in open water it turns through the compass and never stands, so use a series
    with its own sets.
    """
    ebbing = np.asarray(speed_mps, dtype=np.float64) < 0.0
    chosen = np.where(ebbing, ebb_toward_deg, flood_toward_deg)
    return np.mod(np.asarray(chosen, dtype=np.float64), 360.0)


def vector_from_speed_and_set(
    speed_mps: ArrayLike, *, set_deg: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """
    Return the east and north parts of a stream from its signed speed and its set.

    Parameters
    ----------
    speed_mps : array_like, shape (...)
        Speed; its sign is spent in choosing the set and does not count here. [m/s]
    set_deg : array_like, broadcastable with `speed_mps`
        Bearing the stream runs toward, as from `stream_set_deg`. [deg]

    Returns
    -------
    east_mps : ndarray, shape (...)
        Part toward the east. [m/s]
    north_mps : ndarray, shape (...)
        Part toward the north. [m/s]

    Examples
    --------
    >>> ebb_mps = -1.5
    >>> toward = stream_set_deg(ebb_mps, flood_toward_deg=10.0, ebb_toward_deg=180.0)
    >>> east, north = vector_from_speed_and_set(ebb_mps, set_deg=toward)
    >>> float(north)
    -1.5
    """
    magnitude = np.abs(np.asarray(speed_mps, dtype=np.float64))
    return components_from_toward(magnitude, toward_deg=set_deg)


def slack_duration_s(
    threshold_mps: ArrayLike,
    *,
    before_max_mps: ArrayLike,
    before_leg_s: ArrayLike,
    after_max_mps: ArrayLike,
    after_leg_s: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return how long the stream stays at or under a speed about one slack.

    Parameters
    ----------
    threshold_mps : array_like, shape (...)
        Speed not to be passed, zero or more. [m/s]
    before_max_mps : array_like, broadcastable
        Maximum before the slack; its sign does not count, not zero. [m/s]
    before_leg_s : array_like, broadcastable
        From that maximum to the slack, above 0. [s]
    after_max_mps : array_like, broadcastable
        Maximum after the slack; its sign does not count, not zero. [m/s]
    after_leg_s : array_like, broadcastable
        From the slack to that maximum, above 0. [s]

    Returns
    -------
    duration_s : ndarray, shape (...)
        At most both legs whole. [s]

    Raises
    ------
    ValueError
        If the threshold is negative, a maximum zero or a leg not above zero.

    Notes
    -----
    .. math:: \sum_{\text{both sides}} \frac{2}{\pi} \arcsin\frac{w}{V} \, T

    Assumptions: the sine of `speed_from_events`. The agency prints this for maxima of one
    strength and three hours a side, and has the mean taken where they differ [1]_, which is
    this sum.

    References
    ----------
    .. [1] NOAA, Tidal Current Tables, Table 4 (from memory; all 55 cells agree).

    Examples
    --------
    >>> slack_s = slack_duration_s(
    ...     0.2, before_max_mps=1, before_leg_s=10800, after_max_mps=-1, after_leg_s=10800
    ... )
    >>> round(float(slack_s) / 60)
    46
    """
    threshold = np.asarray(threshold_mps, dtype=np.float64)
    if not (threshold >= 0.0).all():
        raise ValueError(f"threshold_mps is {threshold.min():g} m/s; it must be zero or more")
    total = np.zeros(())
    for name, maximum, leg in (
        ("before", before_max_mps, before_leg_s),
        ("after", after_max_mps, after_leg_s),
    ):
        strongest = np.abs(np.asarray(maximum, dtype=np.float64))
        leg_s = np.asarray(leg, dtype=np.float64)
        if not (strongest > 0.0).all():
            raise ValueError(f"{name}_max_mps is 0 m/s somewhere; it must not be zero")
        if not (leg_s > 0.0).all():
            raise ValueError(f"{name}_leg_s is {leg_s.min():g} s; it must be above 0 s")
        share = np.arcsin(np.minimum(threshold / strongest, 1.0)) * (2.0 / np.pi)
        total = total + share * leg_s
    return np.asarray(total)
