"""
A place without its own current table: another station's events, shifted and scaled.

Depends on: `physics.sampling`.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.sampling import checked_nodes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StationDifferences:
    """How a subordinate station differs from its reference: four times, two ratios."""

    slack_before_flood_s: float  # added to the time of a slack or minimum before a flood
    flood_s: float  # added to the time of a flood maximum
    slack_before_ebb_s: float  # added to the time of a slack or minimum before an ebb
    ebb_s: float  # added to the time of an ebb maximum
    flood_ratio: float  # flood speed over the reference's
    ebb_ratio: float  # ebb speed over the reference's


def subordinate_events(
    event_time_s: ArrayLike, *, event_speed_mps: ArrayLike, differences: StationDifferences
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """
    Return the slacks and maxima at a place listed by its differences from another.

    Current tables print only some stations in full; for all the rest they print four time
    differences and two speed ratios.

    Parameters
    ----------
    event_time_s : array_like, shape (events,)
        Times of the reference station's events, increasing. [s]
    event_speed_mps : array_like, shape (events,)
        Its speeds: flood positive, ebb negative, slack 0. [m/s]
    differences : StationDifferences
        As printed for the place.

    Returns
    -------
    event_time_s : ndarray, shape (events kept,)
        Times at the place, increasing. [s]
    event_speed_mps : ndarray, shape (events kept,)
        Speeds at the place. [m/s]

    Raises
    ------
    ValueError
        If the events are not fit to use, a ratio is negative, or the shifts change the order
        of the events beyond a run that is lost between its slacks.

    Notes
    -----
    A slack takes the difference of the run that follows it; the last one, with nothing after
    it, that of the run opposite to the one before. A weak minimum between two maxima of one
    run is shifted and scaled as that run's maxima are. A run so short that the differences
    put its end before its top is left out with its second slack, as the agency does.

    Assumptions: the place keeps its reference's pattern of events. The agency's own lists for
    such a place are met to the second in the tests.
    """
    times_s, speed = checked_nodes(
        event_time_s, event_speed_mps, name="event_speed_mps", least=2
    )
    for name in ("flood_ratio", "ebb_ratio"):
        ratio = getattr(differences, name)
        if not ratio >= 0.0:
            raise ValueError(f"{name} is {ratio}; it must be zero or more")
    to_flood = _next_run(speed) > 0.0
    shift = np.where(
        speed == 0.0,
        np.where(to_flood, differences.slack_before_flood_s, differences.slack_before_ebb_s),
        np.where(speed > 0.0, differences.flood_s, differences.ebb_s),
    )
    shifted_s = times_s + shift
    kept = _outside_lost_runs(shifted_s, speed)
    shifted_s, speed = shifted_s[kept], speed[kept]
    if (np.diff(shifted_s) <= 0.0).any():
        first = int(np.argmax(np.diff(shifted_s) <= 0.0))
        raise ValueError(
            f"differences put an event at {shifted_s[first + 1]:g} s before the one at "
            f"{shifted_s[first]:g} s; are they for this reference station?"
        )
    ratio = np.where(speed > 0.0, differences.flood_ratio, differences.ebb_ratio)
    return shifted_s, speed * ratio


def _outside_lost_runs(
    shifted_s: NDArray[np.float64], speed: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Tell events to keep: of a run whose end comes before its top, the first slack only."""
    kept = np.ones(speed.shape, dtype=np.bool_)
    for begin, end in pairwise(np.flatnonzero(speed == 0.0)):
        if shifted_s[end] <= shifted_s[begin:end].max():
            kept[begin + 1 : end + 1] = False
    return kept


def _next_run(speed: NDArray[np.float64]) -> NDArray[np.float64]:
    """Sign of the first run after each event; past the last, opposite to the run before."""
    sign = np.sign(speed)
    runs = np.flatnonzero(sign)
    if runs.size == 0:
        raise ValueError("event_speed_mps has slacks only; at least one maximum is needed")
    following = np.searchsorted(runs, np.arange(speed.size), side="right")
    past_end = following == runs.size
    found = sign[runs[np.minimum(following, runs.size - 1)]]
    return np.where(past_end, -found, found)
