r"""
What weight does to a boat at rest: how far she sinks, trims and heels.

An estimate for small changes about an upright, floating boat. Planing hulls are not wall-sided
and their waterplane is a guess from length and beam, so a number from here is good to 25 % at
best; under way on the plane it means nothing. Read it as a sign and a size.

Depends on: `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

RELATIVE_ERROR = 0.25
"""How far sinkage, trim and heel may be out at best, relative (ours). [1]"""

_PERSON_KG = 141.0 * 0.45359237  # 33 CFR 183.41 divides pounds by 141 for one person


def waterplane_area_m2(
    length_wl_m: ArrayLike, *, beam_wl_m: ArrayLike, waterplane_coefficient: ArrayLike
) -> Array:
    r"""
    Return the area the boat cuts out of the water's surface, which carries any new weight.

    Parameters
    ----------
    length_wl_m : array_like, shape (...)
        Length of the waterline, above 0. [m]
    beam_wl_m : array_like, broadcastable with `length_wl_m`
        Greatest beam of the waterline, above 0. [m]
    waterplane_coefficient : array_like, broadcastable with `length_wl_m`
        Share of the rectangle of both that the waterplane fills, 0.5 to 1. [1]

    Returns
    -------
    area_m2 : ndarray, shape (...)
        :math:`A = C L B`. [m^2]

    Raises
    ------
    ValueError
        If an argument is outside its range.
    """
    length, beam, share = _plane(length_wl_m, beam_wl_m, waterplane_coefficient)
    return np.asarray(share * length * beam)


def immersion_kg_per_m(waterplane_m2: ArrayLike, *, water_density_kgpm3: ArrayLike) -> Array:
    r"""
    Return the weight that sinks a boat by one metre, were she wall-sided.

    Divided by 100 it is the kilograms a centimetre that a naval architect quotes.

    Parameters
    ----------
    waterplane_m2 : array_like, shape (...)
        Area of the waterplane, above 0. [m^2]
    water_density_kgpm3 : array_like, broadcastable with `waterplane_m2`
        Density of the water, 900 to 1100. [kg/m^3]

    Returns
    -------
    immersion : ndarray, shape (...)
        :math:`\rho A`. [kg/m]

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Notes
    -----
    Good for sinkages small against the draft.

    Examples
    --------
    >>> area_m2 = waterplane_area_m2(5.2, beam_wl_m=1.9, waterplane_coefficient=0.75)
    >>> round(float(immersion_kg_per_m(area_m2, water_density_kgpm3=1000.0)) / 100.0, 1)
    74.1
    """
    area = bounded(waterplane_m2, name="waterplane_m2", low=0.0, above=True)
    return np.asarray(area * _density(water_density_kgpm3))


def sinkage_m(added_kg: ArrayLike, *, immersion_kg_per_m: ArrayLike) -> Array:
    r"""
    Return how much deeper the boat floats for a weight put aboard over her middle.

    Parameters
    ----------
    added_kg : array_like, shape (...)
        Weight put aboard; less than 0 when taken off. [kg]
    immersion_kg_per_m : array_like, broadcastable with `added_kg`
        From `immersion_kg_per_m`, above 0. [kg/m]

    Returns
    -------
    sinkage : ndarray, shape (...)
        The same all along the boat. [m]

    Raises
    ------
    ValueError
        If an argument is outside its range.
    """
    added = bounded(added_kg, name="added_kg")
    rate = bounded(immersion_kg_per_m, name="immersion_kg_per_m", low=0.0, above=True)
    return np.asarray(added / rate)


def trim_stiffness_kg(
    length_wl_m: ArrayLike,
    *,
    beam_wl_m: ArrayLike,
    waterplane_coefficient: ArrayLike,
    water_density_kgpm3: ArrayLike,
) -> Array:
    r"""
    Return the moment, in kg m, that changes the trim by one metre: how stiff she is lengthwise.

    Divided by 100 it is the moment to change trim by a centimetre.

    Parameters
    ----------
    length_wl_m : array_like, shape (...)
        Length of the waterline, above 0. [m]
    beam_wl_m : array_like, broadcastable with `length_wl_m`
        Greatest beam of the waterline, above 0. [m]
    waterplane_coefficient : array_like, broadcastable with `length_wl_m`
        Share of the rectangle of both that the waterplane fills, 0.5 to 1. [1]
    water_density_kgpm3 : array_like, broadcastable with `length_wl_m`
        Density of the water, 900 to 1100. [kg/m^3]

    Returns
    -------
    trim_moment : ndarray, shape (...)
        Moment in kg m over the difference in m of the drafts it makes at the ends. [kg]

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Notes
    -----
    .. math:: M = \frac{D\,GM_L}{L} \approx \frac{\rho I_L}{L}, \qquad
              I_L \approx \frac{C^2}{12} L^3 B

    The lengthwise metacentre stands so high that its height over the centre of gravity is
    taken for that over the centre of buoyancy. :math:`C^2/12` is exact for a rectangle and for
    a rhombus and 5 to 11 % too stiff for an ellipse or a parabola; a ship formula
    (:math:`0.350C^2-0.405C+0.146`, from memory) is 17 % softer at :math:`C = 0.75`.

    References
    ----------
    .. [1] The moment to change trim by a centimetre, D GM_L / (100 L): as read in a public
       text on ship stability; the form of I_L from memory.

    Examples
    --------
    >>> moment = trim_stiffness_kg(
    ...     5.2, beam_wl_m=1.9, waterplane_coefficient=0.75, water_density_kgpm3=1000.0
    ... )
    >>> round(float(moment) / 100.0, 1)
    24.1
    """
    length, beam, share = _plane(length_wl_m, beam_wl_m, waterplane_coefficient)
    return np.asarray(_density(water_density_kgpm3) * share * share * beam * length**2 / 12.0)


def trim_change_m(
    weight_kg: ArrayLike, *, arm_m: ArrayLike, trim_stiffness_kg: ArrayLike
) -> Array:
    r"""
    Return how much a weight forward or aft changes the trim.

    Parameters
    ----------
    weight_kg : array_like, shape (...)
        Weight moved or put aboard. [kg]
    arm_m : array_like, broadcastable with `weight_kg`
        How far forward it is moved, or forward of the centre of flotation it is put; less
        than 0 aft. [m]
    trim_stiffness_kg : array_like, broadcastable with `weight_kg`
        From `trim_stiffness_kg`, above 0. [kg]

    Returns
    -------
    trim_change : ndarray, shape (...)
        Draft at the bow less draft at the stern, the change of it: above 0 is bow down. [m]

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Notes
    -----
    .. math:: t = \frac{w\,d}{M}

    References
    ----------
    .. [1] As read in a public text on ship stability.
    """
    weight = bounded(weight_kg, name="weight_kg")
    arm = bounded(arm_m, name="arm_m", low=-20.0, high=20.0)
    stiffness = bounded(
        trim_stiffness_kg,
        name="trim_stiffness_kg",
        low=0.0,
        above=True,
    )
    return np.asarray(weight * arm / stiffness)


def heel_deg(
    weight_kg: ArrayLike,
    *,
    off_centre_m: ArrayLike,
    displacement_kg: ArrayLike,
    metacentric_height_m: ArrayLike,
) -> Array:
    r"""
    Return the angle she leans at for a weight off her centreline.

    Parameters
    ----------
    weight_kg : array_like, shape (...)
        The weight. [kg]
    off_centre_m : array_like, broadcastable with `weight_kg`
        Its distance from the centreline, to starboard; less than 0 to port. [m]
    displacement_kg : array_like, broadcastable with `weight_kg`
        Everything afloat, this weight as well; above 0. [kg]
    metacentric_height_m : array_like, broadcastable with `weight_kg`
        Height of the metacentre over the centre of gravity, above 0: 1 to 2 for a wide skiff,
        0.2 to 0.4 for a narrow canoe (common practice, no source). [m]

    Returns
    -------
    heel : ndarray, shape (...)
        Above 0 to starboard. [deg]

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Notes
    -----
    .. math:: \tan\varphi = \frac{w\,d}{D\,GM}

    Good for the first 5 degrees or so; beyond, the boat no longer rights as she began to.

    References
    ----------
    .. [1] As read in a public text on ship stability.

    Examples
    --------
    >>> heel = heel_deg(28.0, off_centre_m=0.6, displacement_kg=750.0, metacentric_height_m=2.0)
    >>> round(float(heel), 2)
    0.64
    """
    weight = bounded(weight_kg, name="weight_kg")
    arm = bounded(off_centre_m, name="off_centre_m", low=-5.0, high=5.0)
    displacement = bounded(displacement_kg, name="displacement_kg", low=0.0, above=True)
    height = bounded(metacentric_height_m, name="metacentric_height_m", low=0.0, above=True)
    return np.asarray(np.degrees(np.arctan(weight * arm / (displacement * height))))


def persons_equivalent(weight_kg: ArrayLike) -> Array:
    r"""
    Return how many persons of the capacity plate a weight takes the place of.

    Parameters
    ----------
    weight_kg : array_like, shape (...)
        The weight, 0 or more. [kg]

    Returns
    -------
    persons : ndarray, shape (...)
        At 141 lb a person. [1]

    Raises
    ------
    ValueError
        If the weight is below 0.

    Notes
    -----
    The rule for the plate's number of persons adds 32 lb to the persons' weight before it
    divides by 141, once; the 32 lb do not belong to a bank.

    References
    ----------
    .. [1] 33 CFR 183.41, as read: 141 lb a person.
    """
    return np.asarray(bounded(weight_kg, name="weight_kg", low=0.0) / _PERSON_KG)


def _plane(
    length_wl_m: ArrayLike, beam_wl_m: ArrayLike, waterplane_coefficient: ArrayLike
) -> tuple[Array, Array, Array]:
    """Return length, beam and coefficient of a waterplane, checked."""
    return (
        bounded(length_wl_m, name="length_wl_m", low=0.0, above=True),
        bounded(beam_wl_m, name="beam_wl_m", low=0.0, above=True),
        bounded(waterplane_coefficient, name="waterplane_coefficient", low=0.5, high=1.0),
    )


def _density(water_density_kgpm3: ArrayLike) -> Array:
    """Return the density of the water, checked."""
    return bounded(water_density_kgpm3, name="water_density_kgpm3", low=900.0, high=1100.0)
