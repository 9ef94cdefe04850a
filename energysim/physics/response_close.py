"""
Which of several steady headings a boat takes, and loads where its table will not do.

Depends on: `physics.boat`, `physics.leeway`, `physics.load`, `physics.response_swing`,
`physics.response_table`, `physics.response_weather`.
"""

from dataclasses import replace
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from energysim.physics.boat import Boat
from energysim.physics.leeway import free_drift
from energysim.physics.load import Load, load_at_heading
from energysim.physics.response_swing import steady_angles
from energysim.physics.response_table import HoldTable
from energysim.physics.response_weather import Points

Array = NDArray[np.float64]
Turned = NDArray[np.complexfloating]

_OPEN: Final = 1e-3  # of a cosine; bows read along straight lines are that near length one
_TIE: Final = 1e-5  # rad; a lead of clockwise choices, as in `physics.lying`


def choices(points: Points, table: HoldTable) -> Turned:
    """Return every steady heading of each point off the stream; NaN for none."""
    beta = np.deg2rad(points.wind_from_deg - points.stream_from_deg)
    angle, count = steady_angles(
        beta,
        wind_square=points.wind_ratio * points.wind_mps**2,
        stream_square=points.drag_ratio * points.stream_mps**2,
        rows=table.held.rows,
    )
    # Where nothing turns the boat it points into the wind.
    angle[0] = np.where(count > 0, angle[0], beta)
    return np.asarray(np.exp(1j * angle))


def nearest(choices: Turned, to: Turned) -> NDArray[np.intp]:
    """Return which choice points nearest to each of `to`; of two alike the one clockwise."""
    # Of two most are told by their cosines; what those leave open is looked at as angles.
    first, second = (each.real * to.real + each.imag * to.imag for each in choices[:2])
    lead = second - first
    chosen = np.asarray((lead > 0.0).astype(np.intp))
    unsure = ~(np.abs(lead) > _OPEN)  # so is one alone, whose second is not a number
    if len(choices) > 2:
        unsure |= (choices[2:] == choices[2:]).any(axis=0)
    few = np.flatnonzero(unsure)
    if few.size:
        chosen[few] = _nearest_by_angle(choices[:, few], to[few])
    return chosen


def _nearest_by_angle(choices: Turned, to: Turned) -> NDArray[np.intp]:
    """Return which choice points nearest by its angle, passing over those that are not."""
    turn = np.angle(choices * np.conj(to))
    apart = np.where(np.isnan(turn), np.inf, np.abs(turn) + np.where(turn < 0.0, _TIE, 0.0))
    return np.asarray(np.argmin(apart, axis=0))


def against_drift(points: Points, table: HoldTable) -> Turned:
    """Return the way off the stream against which each would drift if let go."""
    drift = free_drift(
        points.wind_mps,
        wind_from_deg=points.wind_from_deg,
        stream_mps=points.stream_mps,
        stream_toward_deg=points.stream_from_deg + 180.0,
        boat=boats_of(points, table.held.boat),
        depth_m=table.held.depth_m,
    )
    return np.asarray(
        np.exp(1j * np.deg2rad(drift.course_deg + 180.0 - points.stream_from_deg))
    )


def follow(
    bow: Turned,
    *,
    stream_from_deg: Array,
    places: NDArray[np.intp],
    several: Turned,
    chosen: NDArray[np.intp],
    restarts: NDArray[np.bool_],
) -> None:
    """Choose at each of `places` in turn the heading nearest to that of the step before."""
    # `bow` is (steps, members), right wherever there is one steady heading; `places` rise, in
    # it laid out flat. `chosen` is changed, and right already where a boat begins anew.
    members = bow.shape[1]
    flat = bow.reshape(-1)
    step, member = np.divmod(places, members)
    before = np.maximum(places - members, 0)
    at = np.broadcast_to(stream_from_deg, bow.shape)
    turned = np.deg2rad(at[np.maximum(step - 1, 0), member] - at[step, member])
    turn = np.exp(1j * turned).astype(np.complex64)
    edges = np.flatnonzero(np.diff(step, prepend=-1, append=-1))
    for first, end in pairwise(edges):
        here = slice(first, end)
        if not restarts[step[first]]:
            chosen[here] = nearest(several[:, here], flat[before[here]] * turn[here])
        flat[places[here]] = np.take_along_axis(several[:, here], chosen[here][None], axis=0)[0]


def exact_load(points: Points, bow: Turned, table: HoldTable) -> Load:
    """Return the load by the laws themselves, the bow pointing so off the stream."""
    return load_at_heading(
        np.rad2deg(np.angle(bow)) + points.stream_from_deg,
        wind_mps=points.wind_mps,
        wind_from_deg=points.wind_from_deg,
        stream_mps=points.stream_mps,
        stream_toward_deg=points.stream_from_deg + 180.0,
        boat=boats_of(points, table.held.boat),
        depth_m=table.held.depth_m,
    )


def boats_of(points: Points, boat: Boat) -> Boat:
    """Return the boat of each point."""
    return replace(
        boat,
        hull=replace(boat.hull, drag_factor=boat.hull.drag_factor * points.drag_ratio),
        windage=replace(boat.windage, wind_factor=boat.windage.wind_factor * points.wind_ratio),
    )
