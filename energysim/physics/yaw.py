"""
What turns a boat about its bow motor, in the form that a search for its heading asks for.

Depends on: `physics.boat`, `physics.bounds`, `physics.drift_angle`, `physics.wave_drift`,
`physics.wind`, `physics.windage`.
"""

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.boat import Boat, Chop
from energysim.physics.bounds import bounded
from energysim.physics.drift_angle import SideGrip, side_force_and_moment, side_grip
from energysim.physics.wave_drift import wave_drift_from_cosines_n
from energysim.physics.wind import velocity_pressure_pa
from energysim.physics.windage import lateral_coefficient, wind_arm_m

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Turning:
    """
    One weather around one boat, with all worked out that does not depend on the heading.

    Angles in radians clockwise from where the stream comes from.
    """

    boat: Boat
    wind_angle: Array  # where the wind comes from
    wind_cosine: Array
    wind_sine: Array
    sail_n: Array  # the wind's pressure on the lateral area
    stream_square: Array  # square of the stream's speed [m^2/s^2]
    grip: SideGrip
    chop: Chop | None
    chop_angle: Array  # where the chop comes from


def turning(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    boat: Boat,
    depth_m: ArrayLike | None = None,
    chop: Chop | None = None,
) -> Turning:
    """
    Return a weather around a boat, ready to be asked for its moment at many headings.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind at the height of the windage. [m/s]
    wind_from_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it blows from. [deg]
    stream_mps : array_like, broadcastable with `wind_mps`
        Speed of the stream. [m/s]
    stream_toward_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it runs toward. [deg]
    boat : Boat
        The boat.
    depth_m : array_like or None
        Depth of the water, no less than the draft; None for deep water. [m]
    chop : Chop or None
        Chop; None for smooth water.

    Returns
    -------
    turning : Turning
        For `moment_at`.

    Raises
    ------
    ValueError
        If a speed is negative, a number is not finite or the water shallower than the draft.
    """
    wind_from = bounded(wind_from_deg, name="wind_from_deg")
    stream_from = bounded(stream_toward_deg, name="stream_toward_deg") + 180.0
    stream = bounded(stream_mps, name="stream_mps", low=0.0)
    pressure = velocity_pressure_pa(wind_mps, air_density_kgpm3=boat.air_density_kgpm3)
    angle = np.deg2rad(np.mod(wind_from - stream_from, 360.0))
    waves = np.zeros(()) if chop is None else np.asarray(chop.from_deg, dtype=np.float64)
    return Turning(
        boat=boat,
        wind_angle=angle,
        wind_cosine=np.cos(angle),
        wind_sine=np.sin(angle),
        sail_n=pressure * (boat.windage.lateral_area_m2 * boat.windage.wind_factor),
        stream_square=stream * stream,
        grip=side_grip(
            boat.hull, water_density_kgpm3=boat.water_density_kgpm3, depth_m=depth_m
        ),
        chop=chop,
        chop_angle=np.deg2rad(waves - stream_from),
    )


def moment_at(angle: Array, turns: Turning) -> Array:
    """Return the moment about the bow motor at a heading, clockwise; radians off the stream."""
    cosine, sine = np.cos(angle), np.sin(angle)
    hull, windage = turns.boat.hull, turns.boat.windage
    # The stream at one metre a second; it grows with the square.
    sway, own = side_force_and_moment(cosine, sway_mps=-sine, grip=turns.grip)
    total = (own - hull.bow_motor_m * sway) * turns.stream_square
    off_bow = turns.wind_angle - angle
    off_bow = np.abs(off_bow - 2.0 * np.pi * np.rint(off_bow * (0.5 / np.pi)))
    across = lateral_coefficient(
        turns.wind_cosine * cosine + turns.wind_sine * sine,
        sine=turns.wind_sine * cosine - turns.wind_cosine * sine,
        windage=windage,
    )
    lever = hull.bow_motor_m - wind_arm_m(off_bow, windage=windage)
    total = total + turns.sail_n * across * lever
    if turns.chop is not None:
        meets = turns.chop_angle - angle
        _, push = wave_drift_from_cosines_n(
            np.cos(meets), sine=np.sin(meets), forces=turns.chop.forces
        )
        total = total + (hull.lateral_centre_m - hull.bow_motor_m) * push
    return np.asarray(total)


def at_step(
    turns: Turning, step: int | NDArray[np.bool_], *, shape: tuple[int, ...]
) -> Turning:
    """Return the weather of one step of a series, or of some points; `shape` is the whole's."""

    def there(values: ArrayLike) -> Array:
        """Return the numbers of the step."""
        return np.asarray(np.broadcast_to(np.asarray(values, dtype=np.float64), shape)[step])

    chop, grip = turns.chop, turns.grip
    if chop is not None:
        push = {
            field.name: there(getattr(chop.forces, field.name)) for field in fields(chop.forces)
        }
        chop = replace(chop, forces=replace(chop.forces, **push))
    return replace(
        turns,
        wind_angle=there(turns.wind_angle),
        wind_cosine=there(turns.wind_cosine),
        wind_sine=there(turns.wind_sine),
        sail_n=there(turns.sail_n),
        stream_square=there(turns.stream_square),
        grip=replace(
            grip, **{field.name: there(getattr(grip, field.name)) for field in fields(grip)}
        ),
        chop=chop,
        chop_angle=there(turns.chop_angle),
    )
