"""
The hull's particulars from a boat's dimensions and the type it belongs to.

Depends on: `physics.bounds`, `physics.hull`, `physics.resistance`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.hull import Hull
from energysim.physics.resistance import wetted_area_chine_m2

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HullForm:
    """Shape of a type of boat, without its size (data/hulls.toml)."""

    waterline_length_ratio: float  # waterline length over length overall [1]
    waterline_beam_ratio: float  # waterline beam over greatest beam [1]
    block_coefficient: float  # displaced volume over its box [1]
    transom_area_ratio: float  # immersed transom over waterline beam times draft [1]
    form_factor: float
    transom_drag_coefficient: float
    astern_drag_coefficient: float
    cross_flow_drag_coefficient: float
    lateral_centre_place: float  # of the underwater body, forward of half the length [1]
    bow_motor_place: float  # forward of half the length, over the length [1]
    residuary_froude: Array  # shape (nodes,) [1]
    residuary_per_weight: Array  # shape (nodes,) [1]

    def __post_init__(self) -> None:
        for name in ("waterline_length_ratio", "waterline_beam_ratio", "block_coefficient"):
            bounded(getattr(self, name), name=name, low=0.0, high=1.0, above=True)
        bounded(self.transom_area_ratio, name="transom_area_ratio", low=0.0, high=1.0)
        bounded(self.lateral_centre_place, name="lateral_centre_place", low=-0.25, high=0.15)
        bounded(self.bow_motor_place, name="bow_motor_place", low=0.3, high=0.6)


def hull_from_dimensions(
    length_m: ArrayLike,
    *,
    beam_m: ArrayLike,
    displacement_kg: ArrayLike,
    water_density_kgpm3: ArrayLike,
    form: HullForm,
    outboard_drag_area_m2: ArrayLike,
    drag_factor: ArrayLike,
) -> Hull:
    r"""
    Return the particulars of a hull from what its owner can measure.

    Parameters
    ----------
    length_m : array_like, shape (...)
        Length overall, 2 to 15. [m]
    beam_m : array_like, broadcastable with `length_m`
        Greatest beam, 0.5 to 5. [m]
    displacement_kg : array_like, broadcastable with `length_m`
        Everything afloat: boat, engine, people, bank, gear; 50 to 20 000. [kg]
    water_density_kgpm3 : array_like, broadcastable with `length_m`
        Density of the water, 900 to 1100. [kg/m^3]
    form : HullForm
        Shape of this type of boat.
    outboard_drag_area_m2 : array_like, broadcastable with `length_m`
        Drag area of the main engine's leg left in the water, 0 when tilted up. [m^2]
    drag_factor : array_like, broadcastable with `length_m`
        The owner's calibration, 1 without. [1]

    Returns
    -------
    hull : Hull
        Draft, areas and the rest.

    Raises
    ------
    ValueError
        If an argument is outside the range above.

    Notes
    -----
    .. math:: T = \frac{\nabla}{C_b L_w B_w}, \qquad A_T = k\, B_w T

    and the wetted area from `wetted_area_chine_m2`. The ratios are our estimates.
    """
    length = bounded(length_m, name="length_m", low=2.0, high=15.0)
    beam = bounded(beam_m, name="beam_m", low=0.5, high=5.0)
    displacement = bounded(displacement_kg, name="displacement_kg", low=50.0, high=20e3)
    density = bounded(water_density_kgpm3, name="water_density_kgpm3", low=900.0, high=1100.0)
    length_wl = length * form.waterline_length_ratio
    beam_wl = beam * form.waterline_beam_ratio
    volume = displacement / density
    draft = volume / (form.block_coefficient * length_wl * beam_wl)
    return Hull(
        length_wl_m=np.asarray(length_wl),
        beam_wl_m=np.asarray(beam_wl),
        draft_m=np.asarray(draft),
        volume_m3=np.asarray(volume),
        wetted_area_m2=wetted_area_chine_m2(
            length_wl, beam_m=beam_wl, draft_m=draft, volume_m3=volume
        ),
        transom_area_m2=np.asarray(form.transom_area_ratio * beam_wl * draft),
        form_factor=form.form_factor,
        transom_drag_coefficient=form.transom_drag_coefficient,
        astern_drag_coefficient=form.astern_drag_coefficient,
        cross_flow_drag_coefficient=form.cross_flow_drag_coefficient,
        lateral_centre_m=np.asarray(length * form.lateral_centre_place),
        bow_motor_m=np.asarray(length * form.bow_motor_place),
        outboard_drag_area_m2=np.asarray(outboard_drag_area_m2, dtype=np.float64),
        residuary_froude=form.residuary_froude,
        residuary_per_weight=form.residuary_per_weight,
        drag_factor=np.asarray(drag_factor, dtype=np.float64),
    )
