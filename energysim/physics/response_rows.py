"""
What wind, water and chop do to one held boat, read from rows by the angle off its bow.

Every force but drag along the keel is a square of a speed, or the push of the chop, times a
curve of an angle; read every quarter degree and straight between, they cost a few look-ups.

Depends on: `physics.boat`, `physics.drift_angle`, `physics.response_cells`,
`physics.response_swing`, `physics.windage`.
"""

from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.drift_angle import side_force_and_moment, side_grip
from energysim.physics.response_cells import DRAG_NODES, HeldBoat
from energysim.physics.response_swing import ROW
from energysim.physics.windage import wind_forces_from_cosines_n

Array = NDArray[np.float64]

STEP_RAD: Final = 2.0 * np.pi / ROW


class Row(NamedTuple):
    """A curve of an angle, at each reading and how much more at the next. Arrays (ROW,)."""

    at: Array
    rise: Array


class Place(NamedTuple):
    """Where in the rows angles lie; arrays (points,)."""

    reading: NDArray[np.intp]
    beyond: Array  # as a share of the way to the next


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeldRows:
    """One boat, its bow held, in wind and stream of 1 m/s. By angles clockwise."""

    wind_surge_n: Row  # by where the wind comes from off the bow
    wind_sway_n: Row
    wind_nm: Row  # about the bow motor
    stream_sway_n: Row  # by the heading off where the stream comes from
    stream_nm: Row
    sine: Row
    cosine: Row
    chop_lever_m: float  # of the push of chop about the bow motor
    drag_n_per_mps2: NDArray[np.float32]  # along the keel, as of `HeldBoat`
    most_stream_mps: float


def held_rows(held: HeldBoat) -> HeldRows:
    """
    Return the rows of one boat.

    Parameters
    ----------
    held : HeldBoat
        The boat of a table.

    Returns
    -------
    rows : HeldRows
        For `read_row` and `keel_drag_n`.
    """
    boat = held.boat
    angle = STEP_RAD * np.arange(ROW)
    cosine, sine = np.cos(angle), np.sin(angle)
    surge, sway = wind_forces_from_cosines_n(
        np.ones(ROW),
        cosine=cosine,
        sine=sine,
        windage=boat.windage,
        air_density_kgpm3=boat.air_density_kgpm3,
    )
    grip = side_grip(
        boat.hull, water_density_kgpm3=boat.water_density_kgpm3, depth_m=held.depth_m
    )
    across, _ = side_force_and_moment(cosine, sway_mps=-sine, grip=grip)
    return HeldRows(
        wind_surge_n=_row(surge),
        wind_sway_n=_row(sway),
        wind_nm=_row(held.rows.wind_nm[:ROW]),
        stream_sway_n=_row(across),
        stream_nm=_row(held.rows.stream_nm),
        sine=_row(sine),
        cosine=_row(cosine),
        chop_lever_m=float(boat.hull.lateral_centre_m - boat.hull.bow_motor_m),
        drag_n_per_mps2=held.drag_n_per_mps2,
        most_stream_mps=held.most_stream_mps,
    )


def _row(values: Array) -> Row:
    return Row(values, np.roll(values, -1) - values)


def place_of(angle: Array) -> Place:
    """Return where angles lie, in radians, whatever turn of the circle."""
    place = angle * (1.0 / STEP_RAD)
    reading = np.floor(place)
    place -= reading
    return Place(np.mod(reading.astype(np.intp), ROW), place)


def read_row(row: Row, place: Place) -> Array:
    """Return a row along straight lines."""
    value = row.rise.take(place.reading)
    value *= place.beyond
    value += row.at.take(place.reading)
    return value


def keel_drag_n(ahead_mps: Array, rows: HeldRows) -> Array:
    """Return the push of the water along the keel, at the nearest of many speeds."""
    pace = np.abs(ahead_mps)
    node = np.copysign(np.sqrt(pace * (1.0 / rows.most_stream_mps)), ahead_mps)
    node *= DRAG_NODES // 2
    node += DRAG_NODES / 2.0  # a half more than the middle, to round
    drag = rows.drag_n_per_mps2.take(node.astype(np.intp))
    return np.asarray(-drag * ahead_mps * pace)
