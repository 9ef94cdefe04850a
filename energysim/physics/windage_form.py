"""
Windage areas from a boat's dimensions, its fittings and the people aboard.

Depends on: `physics.bounds`, `physics.windage`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from energysim.physics.bounds import bounded
from energysim.physics.windage import Windage


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WindageForm:
    """
    What a type of boat shows to the wind, piece by piece (data/hulls.toml).

    Heights of pieces are of their middle above the gunwale; places are of their middle forward
    of half the length, over the length, seen from the side.
    """

    hull_front_factor: float  # frontal area of the hull over beam times freeboard [1]
    hull_side_factor: float  # lateral area of the hull over length times freeboard [1]
    hull_height_factor: float  # middle of the hull's area above the water, over freeboard [1]
    person_front_m2: float
    person_side_m2: float
    person_height_m: float
    motor_front_m2: float
    motor_side_m2: float
    motor_height_m: float
    console_front_m2: float
    console_side_m2: float
    console_height_m: float
    canopy_front_m2: float
    canopy_side_m2: float
    canopy_height_m: float
    hull_place: float
    person_place: float
    motor_place: float
    console_place: float
    canopy_place: float
    side_coefficient: float
    bow_coefficient: float
    stern_coefficient: float
    cross_force_parameter: float

    def __post_init__(self) -> None:
        for name in self.__slots__:
            least, most = (-0.5, 0.5) if name.endswith("_place") else (0.0, np.inf)
            bounded(getattr(self, name), name=name, low=least, high=most)


def windage_from_dimensions(
    length_m: ArrayLike,
    *,
    beam_m: ArrayLike,
    freeboard_m: ArrayLike,
    people: ArrayLike,
    form: WindageForm,
    wind_factor: ArrayLike,
) -> Windage:
    r"""
    Return the windage of a boat nobody has measured.

    Parameters
    ----------
    length_m : array_like, shape (...)
        Length overall, 2 to 15. [m]
    beam_m : array_like, broadcastable with `length_m`
        Greatest beam, 0.5 to 5. [m]
    freeboard_m : array_like, broadcastable with `length_m`
        Height of the gunwale above the water amidships, 0.1 to 2. [m]
    people : array_like, broadcastable with `length_m`
        How many are aboard, 0 to 20.
    form : WindageForm
        Pieces of this type of boat.
    wind_factor : array_like, broadcastable with `length_m`
        The owner's calibration, 1 without. [1]

    Returns
    -------
    windage : Windage
        Areas, height and coefficients.

    Raises
    ------
    ValueError
        If a dimension or the number of people is outside the range above.

    Notes
    -----
    .. math::

        A_F = k_F B f + \sum_i n_i a_{F,i}, \qquad A_L = k_L L f + \sum_i n_i a_{L,i}

    over people, motor, console and canopy. The height is that of the centroid of the frontal
    area, because the boat is held with its bow to the load. All ours: no published table was
    found; expect 20 % either way.
    """
    length = bounded(length_m, name="length_m", low=2.0, high=15.0)
    beam = bounded(beam_m, name="beam_m", low=0.5, high=5.0)
    freeboard = bounded(freeboard_m, name="freeboard_m", low=0.1, high=2.0)
    crew = bounded(people, name="people", low=0.0, high=20.0)
    hull_front = form.hull_front_factor * beam * freeboard
    fitted_front = form.motor_front_m2 + form.console_front_m2 + form.canopy_front_m2
    fitted_side = form.motor_side_m2 + form.console_side_m2 + form.canopy_side_m2
    people_front = crew * form.person_front_m2
    frontal = hull_front + people_front + fitted_front
    hull_side = form.hull_side_factor * length * freeboard
    lateral = hull_side + crew * form.person_side_m2 + fitted_side
    above_gunwale = (
        people_front * form.person_height_m
        + form.motor_front_m2 * form.motor_height_m
        + form.console_front_m2 * form.console_height_m
        + form.canopy_front_m2 * form.canopy_height_m
    )
    moment = (
        hull_front * form.hull_height_factor * freeboard
        + (people_front + fitted_front) * freeboard
        + above_gunwale
    )
    ahead = (
        hull_side * form.hull_place
        + crew * form.person_side_m2 * form.person_place
        + form.motor_side_m2 * form.motor_place
        + form.console_side_m2 * form.console_place
        + form.canopy_side_m2 * form.canopy_place
    )
    return Windage(
        frontal_area_m2=np.asarray(frontal),
        lateral_area_m2=np.asarray(lateral),
        length_m=length,
        centroid_m=np.asarray(length * ahead / lateral),
        height_m=np.asarray(moment / frontal),
        side_coefficient=form.side_coefficient,
        bow_coefficient=form.bow_coefficient,
        stern_coefficient=form.stern_coefficient,
        cross_force_parameter=form.cross_force_parameter,
        wind_factor=bounded(wind_factor, name="wind_factor", low=0.0),
    )
