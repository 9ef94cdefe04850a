"""
The balance of a held boat in wind, stream and chop, closed in on from near it.

Depends on: `physics.response_rows`.
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.response_rows import (
    STEP_RAD,
    HeldRows,
    keel_drag_n,
    place_of,
    read_row,
)

Array = NDArray[np.float64]

_STEPS: Final = 3
_SETTLED_RAD: Final = 2e-3  # a last step so small is followed by one of its square
_FAR_RAD: Final = np.deg2rad(12.0)  # farther from where the table has it, the laws are asked


class Met(NamedTuple):
    """What boats meet; angles in radians off where the stream comes from. (points,)."""

    wind_square: Array  # times the ratio of the wind's force
    wind_angle: Array
    stream_mps: Array
    drag_ratio: Array
    chop_angle: Array
    head_surge_n: Array
    more_surge_n: Array
    beam_sway_n: Array
    more_sway_n: Array


def balanced_loads(begin: Array, *, met: Met, rows: HeldRows) -> tuple[Array, Array, Array]:
    """Return thrust, inflow and the angles of balance near `begin`; NaN where there is none."""
    # Newton's method: each step where the boat would turn back when nudged, the last of them
    # small, no more than 12 deg in all.
    stream_square = met.drag_ratio * met.stream_mps * met.stream_mps
    angle = begin
    turn = np.zeros_like(begin)
    good = np.ones(begin.shape, dtype=bool)
    for _ in range(_STEPS):
        to_wind, to_stream = place_of(met.wind_angle - angle), place_of(angle)
        to_chop = place_of(met.chop_angle - angle)
        sine, cosine = read_row(rows.sine, to_chop), read_row(rows.cosine, to_chop)
        bends = met.more_sway_n * cosine
        push = met.beam_sway_n + bends * cosine  # but for the sine
        moment = met.wind_square * read_row(rows.wind_nm, to_wind)
        moment += stream_square * read_row(rows.stream_nm, to_stream)
        moment -= rows.chop_lever_m * sine * push
        slope = stream_square * rows.stream_nm.rise.take(to_stream.reading)
        slope -= met.wind_square * rows.wind_nm.rise.take(to_wind.reading)
        slope *= 1.0 / STEP_RAD
        slope += rows.chop_lever_m * (cosine * push - 2.0 * bends * sine * sine)
        good &= slope < 0.0
        turn = np.divide(moment, slope, out=np.zeros_like(moment), where=good)
        angle = angle - turn
    good &= (np.abs(turn) < _SETTLED_RAD) & (np.abs(angle - begin) < _FAR_RAD)
    angle = np.where(good, angle, begin)
    to_wind, to_stream = place_of(met.wind_angle - angle), place_of(angle)
    to_chop = place_of(met.chop_angle - angle)
    sine, cosine = read_row(rows.sine, to_chop), read_row(rows.cosine, to_chop)
    lies_sine, lies_cosine = read_row(rows.sine, to_stream), read_row(rows.cosine, to_stream)
    ahead = met.stream_mps * lies_cosine
    surge = met.drag_ratio * keel_drag_n(ahead, rows)
    surge += met.wind_square * read_row(rows.wind_surge_n, to_wind)
    surge -= cosine * (met.head_surge_n + met.more_surge_n * sine * sine)
    sway = met.wind_square * read_row(rows.wind_sway_n, to_wind)
    sway += stream_square * read_row(rows.stream_sway_n, to_stream)
    sway -= sine * (met.beam_sway_n + met.more_sway_n * cosine * cosine)
    thrust = np.sqrt(surge * surge + sway * sway)
    # The boat's way through the water is toward where the stream comes from.
    along = (sway * lies_sine - surge * lies_cosine) * met.stream_mps
    inflow = np.maximum(along / np.maximum(thrust, 1e-30), 0.0)
    return thrust, inflow, np.where(good, angle, np.nan)
