"""
What turns a boat about its bow motor, in the form that a search for its heading asks for.

Depends on: `physics.blendermann`, `physics.boat`, `physics.bounds`, `physics.drift_angle`,
`physics.wave_drift`, `physics.wind`, `physics.windage`.
"""

from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.blendermann import SideSwell, sway_from_cosines
from energysim.physics.boat import Boat, Chop
from energysim.physics.bounds import bounded
from energysim.physics.drift_angle import SideGrip, side_force_and_moment, side_grip
from energysim.physics.wave_drift import DriftForces, wave_sway_from_cosines_n
from energysim.physics.wind import velocity_pressure_pa
from energysim.physics.windage import wind_arm_m, windage_swell

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Turning:
    """
    One weather around one boat, with all worked out that does not depend on the heading.

    Angles in radians clockwise from where the stream comes from.
    """

    wind_angle: Array  # where the wind comes from
    wind_cosine: Array
    wind_sine: Array
    sail_n: Array  # the wind's pressure on the lateral area
    swell: SideSwell  # the wind's coefficient across the boat
    lever_m: Array  # of the wind's side force about the bow motor, wind from ahead
    lever_rise_m: Array  # how much longer it is a radian further aft
    stream_square: Array  # square of the stream's speed [m^2/s^2]
    grip: SideGrip  # its middle taken from the bow motor
    chop: DriftForces | None
    chop_cosine: Array  # of where the chop comes from
    chop_sine: Array


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
    waves_from = np.deg2rad(waves - stream_from)
    hull, windage = boat.hull, boat.windage
    grip = side_grip(hull, water_density_kgpm3=boat.water_density_kgpm3, depth_m=depth_m)
    # The arm is a straight line of the angle off the bow.
    arm, next_arm = (wind_arm_m(np.asarray(at), windage=windage) for at in (0.0, 1.0))
    return Turning(
        wind_angle=angle,
        wind_cosine=np.cos(angle),
        wind_sine=np.sin(angle),
        sail_n=pressure * (windage.lateral_area_m2 * windage.wind_factor),
        swell=windage_swell(windage),
        lever_m=np.asarray(hull.bow_motor_m - arm),
        lever_rise_m=np.asarray(arm - next_arm),
        stream_square=stream * stream,
        grip=replace(grip, centre_m=np.asarray(grip.centre_m - hull.bow_motor_m)),
        chop=None if chop is None else chop.forces,
        chop_cosine=np.cos(waves_from),
        chop_sine=np.sin(waves_from),
    )


def moment_at(angle: Array, turns: Turning) -> Array:
    """Return the moment about the bow motor at a heading, clockwise; radians off the stream."""
    cosine, sine = np.cos(angle), np.sin(angle)
    # The stream at one metre a second; it grows with the square.
    _, total = side_force_and_moment(cosine, sway_mps=-sine, grip=turns.grip)
    total = total * turns.stream_square
    off_bow = turns.wind_angle - angle
    off_bow = np.abs(off_bow - 2.0 * np.pi * np.rint(off_bow * (0.5 / np.pi)))
    across = sway_from_cosines(
        turns.wind_cosine * cosine + turns.wind_sine * sine,
        sine=turns.wind_sine * cosine - turns.wind_cosine * sine,
        swell=turns.swell,
    )
    total = total + turns.sail_n * across * (turns.lever_m + turns.lever_rise_m * off_bow)
    if turns.chop is not None:
        push = wave_sway_from_cosines_n(
            turns.chop_cosine * cosine + turns.chop_sine * sine,
            sine=turns.chop_sine * cosine - turns.chop_cosine * sine,
            forces=turns.chop,
        )
        total = total + turns.grip.centre_m * push
    return np.asarray(total)


def at_step(
    turns: Turning, step: int | NDArray[np.bool_], *, shape: tuple[int, ...]
) -> Turning:
    """Return the weather of one step of a series, or of some points; `shape` is the whole's."""

    def there(values: Any) -> Any:
        """Return the numbers of the step, record by record."""
        if values is None:
            return None
        if is_dataclass(values) and not isinstance(values, type):
            inner = {f.name: there(getattr(values, f.name)) for f in fields(values)}
            return replace(values, **inner)
        return np.broadcast_to(np.asarray(values, dtype=np.float64), shape)[step]

    there_now: Turning = there(turns)
    return there_now
