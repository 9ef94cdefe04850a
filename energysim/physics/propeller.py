"""
What a propeller gives and takes in open water, from a published series of models.

Thrust meant here is the propeller's own, before the hull takes its share.

Depends on: bounds.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeriesCoefficients:
    """
    A propeller series as two sums of terms.

    Each term is (coefficient, power of J, power of P/D, power of AE/A0, power of the number
    of blades); powers of J run from 0 to 3.
    """

    thrust_terms: tuple[tuple[float, int, int, int, int], ...]
    torque_terms: tuple[tuple[float, int, int, int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Propeller:
    """One geometry of a series: KT and KQ as cubics in the advance ratio."""

    thrust_cubic: NDArray[np.float64]  # KT, shape (4, ...), constant term first
    torque_cubic: NDArray[np.float64]  # KQ, shape (4, ...), constant term first


def series_propeller(
    pitch_ratio: ArrayLike, *, area_ratio: ArrayLike, blades: int, series: SeriesCoefficients
) -> Propeller:
    r"""
    Return the propeller of a series as two cubics, so that the long sum is done only once.

    Parameters
    ----------
    pitch_ratio : array_like, shape (...)
        Pitch over diameter, 0.5 to 1.4. [1]
    area_ratio : array_like, broadcastable with `pitch_ratio`
        Expanded blade area over disc area, 0.30 to 1.05. [1]
    blades : int
        Number of blades, 2 to 7. [count]
    series : SeriesCoefficients
        The series' terms, such as `b_series.WAGENINGEN_B`. [1]

    Returns
    -------
    propeller : Propeller
        Cubics of shape (4, ...). [1]

    Raises
    ------
    ValueError
        If the geometry lies outside the series.

    Notes
    -----
    .. math:: K = \sum C\, J^s (P/D)^t (A_E/A_0)^u Z^v, \quad s \le 3

    Assumptions, in the order they fail:

    * Small cast or weedless propellers are not of this series. Only the shape of the curves
      is used; their level is set by a motor's label or bench test.
    * Two blades: the models tested had area ratios of about 0.30 to 0.38 (from memory), and
      chart readings lie below the polynomial by 0.007, 0.014 and 0.023 in KT at J = 0.2 for
      P/D 0.6, 0.8 and 1.0 (Kuiper 1992, read in an open code's tests). Stay at or below 0.8.
    * The series' own Reynolds terms start at two million, above what a bow motor reaches,
      and are left out.

    Examples
    --------
    >>> from energysim.physics.b_series import WAGENINGEN_B
    >>> open_screw = series_propeller(0.7, area_ratio=0.3, blades=2, series=WAGENINGEN_B)
    >>> round(float(thrust_coefficient(0.3, propeller=open_screw)), 6)
    0.165273
    """
    pitch = bounded(pitch_ratio, name="pitch_ratio", low=0.5, high=1.4)
    area = bounded(area_ratio, name="area_ratio", low=0.30, high=1.05)
    bounded(blades, name="blades", low=2, high=7)
    return Propeller(
        thrust_cubic=_collapsed(series.thrust_terms, pitch, area, blades),
        torque_cubic=_collapsed(series.torque_terms, pitch, area, blades),
    )


def thrust_coefficient(
    advance_ratio: ArrayLike, *, propeller: Propeller
) -> NDArray[np.float64]:
    """
    Return KT, the thrust over density, speed squared and diameter to the fourth.

    Parameters
    ----------
    advance_ratio : array_like, shape (...)
        Inflow over shaft speed times diameter, zero or more. [1]
    propeller : Propeller
        The geometry. [1]

    Returns
    -------
    thrust_coefficient : ndarray, shape (...)
        Negative beyond the zero-thrust advance ratio, where the fit soon ends. [1]

    Raises
    ------
    ValueError
        If an advance ratio is negative or not finite.
    """
    return _cubic(bounded(advance_ratio, name="advance_ratio", low=0.0), propeller.thrust_cubic)


def torque_coefficient(
    advance_ratio: ArrayLike, *, propeller: Propeller
) -> NDArray[np.float64]:
    """
    Return KQ, the torque over density, speed squared and diameter to the fifth.

    Parameters
    ----------
    advance_ratio : array_like, shape (...)
        Inflow over shaft speed times diameter, zero or more. [1]
    propeller : Propeller
        The geometry. [1]

    Returns
    -------
    torque_coefficient : ndarray, shape (...)
        Plain KQ, a tenth of the figure charts print as 10 KQ. [1]

    Raises
    ------
    ValueError
        If an advance ratio is negative or not finite.
    """
    return _cubic(bounded(advance_ratio, name="advance_ratio", low=0.0), propeller.torque_cubic)


def propeller_thrust_n(
    shaft_speed_rps: ArrayLike,
    *,
    thrust_coefficient: ArrayLike,
    diameter_m: ArrayLike,
    water_density_kgpm3: ArrayLike,
) -> NDArray[np.float64]:
    """
    Return the thrust of a propeller at a shaft speed, the definition of KT turned round.

    Parameters
    ----------
    shaft_speed_rps : array_like, shape (...)
        Shaft speed, zero or more. [rev/s]
    thrust_coefficient : array_like, broadcastable
        KT at the advance ratio it works at. [1]
    diameter_m : array_like, broadcastable
        Propeller diameter. [m]
    water_density_kgpm3 : array_like, broadcastable
        Density of the water. [kg/m^3]

    Returns
    -------
    thrust_n : ndarray, shape (...)
        Before any thrust deduction. [N]

    Raises
    ------
    ValueError
        If a speed is negative, or a diameter or density not positive.

    Examples
    --------
    >>> float(
    ...     propeller_thrust_n(
    ...         10.0, thrust_coefficient=0.2, diameter_m=0.5, water_density_kgpm3=1000.0
    ...     )
    ... )
    1250.0
    """
    speed = bounded(shaft_speed_rps, name="shaft_speed_rps", low=0.0)
    diameter = bounded(diameter_m, name="diameter_m", low=0.0, above=True)
    density = bounded(water_density_kgpm3, name="water_density_kgpm3", low=0.0, above=True)
    coefficient = bounded(thrust_coefficient, name="thrust_coefficient")
    return np.asarray(coefficient * density * speed**2 * diameter**4)


def open_water_efficiency(
    advance_ratio: ArrayLike, *, propeller: Propeller
) -> NDArray[np.float64]:
    r"""
    Return the share of shaft power that pushes the water-borne speed, zero at the bollard.

    Parameters
    ----------
    advance_ratio : array_like, shape (...)
        Inflow over shaft speed times diameter. [1]
    propeller : Propeller
        The geometry. [1]

    Returns
    -------
    efficiency : ndarray, shape (...)
        Useful thrust power over shaft power. [1]

    Raises
    ------
    ValueError
        If an advance ratio is negative or not finite.

    Notes
    -----
    .. math:: \eta_0 = \frac{J K_T}{2 \pi K_Q}
    """
    advance = bounded(advance_ratio, name="advance_ratio", low=0.0)
    thrust = _cubic(advance, propeller.thrust_cubic)
    return np.asarray(
        advance * thrust / (2.0 * math.pi * _cubic(advance, propeller.torque_cubic))
    )


def figure_of_merit(propeller: Propeller) -> NDArray[np.float64]:
    r"""
    Return how near a propeller at the bollard comes to the ideal disc of its own size.

    Parameters
    ----------
    propeller : Propeller
        The geometry, cubics of shape (4, ...). [1]

    Returns
    -------
    merit : ndarray, shape (...)
        Ideal power over shaft power without inflow. [1]

    Notes
    -----
    .. math:: FM = \sqrt{2/\pi}\; \frac{K_T^{3/2}}{2 \pi K_Q} \quad (J = 0)

    The series gives 0.55 to 0.65. For small cast propellers behind a fat pod 0.50 to 0.62
    is our estimate; above 0.65 is hard to believe of an open propeller.
    """
    thrust, torque = propeller.thrust_cubic[0], propeller.torque_cubic[0]
    return np.asarray(math.sqrt(2.0 / math.pi) * thrust**1.5 / (2.0 * math.pi * torque))


def zero_thrust_advance(propeller: Propeller) -> NDArray[np.float64]:
    """
    Return the advance ratio at which a propeller no longer pushes.

    Parameters
    ----------
    propeller : Propeller
        The geometry, cubics of shape (4, ...). [1]

    Returns
    -------
    advance_ratio : ndarray, shape (...)
        First zero of KT, to rounding. [1]

    Raises
    ------
    ValueError
        If KT has no zero between 0 and 2.
    """
    grid = np.linspace(0.0, 2.0, 201).reshape(-1, *([1] * (propeller.thrust_cubic.ndim - 1)))
    below = _cubic(grid, propeller.thrust_cubic) <= 0.0
    if not np.all(np.any(below, axis=0)) or np.any(below[0]):
        msg = "thrust_cubic has no zero between J = 0 and 2; it is no propeller of the series"
        raise ValueError(msg)
    advance = 0.01 * np.argmax(below, axis=0) - 0.005
    for _ in range(6):  # Newton from within 0.005 of the root of a smooth cubic
        slope = cubic_slope(advance, propeller.thrust_cubic)
        advance = advance - _cubic(advance, propeller.thrust_cubic) / slope
    return np.asarray(advance, dtype=np.float64)


def cubic_slope(
    advance_ratio: NDArray[np.float64], cubic: NDArray[np.float64]
) -> NDArray[np.float64]:
    """
    Return the slope of KT or KQ in the advance ratio.

    Parameters
    ----------
    advance_ratio : ndarray, shape (...)
        Inflow over shaft speed times diameter. [1]
    cubic : ndarray, shape (4, ...)
        Constant term first. [1]

    Returns
    -------
    slope : ndarray, shape (...)
        Change per unit of advance ratio. [1]
    """
    return np.asarray(
        cubic[1] + advance_ratio * (2.0 * cubic[2] + 3.0 * advance_ratio * cubic[3])
    )


def _cubic(advance: NDArray[np.float64], cubic: NDArray[np.float64]) -> NDArray[np.float64]:
    """Evaluate a cubic whose coefficients may each be an array over members."""
    return np.asarray(
        cubic[0] + advance * (cubic[1] + advance * (cubic[2] + advance * cubic[3]))
    )


def _collapsed(
    terms: tuple[tuple[float, int, int, int, int], ...],
    pitch: NDArray[np.float64],
    area: NDArray[np.float64],
    blades: int,
) -> NDArray[np.float64]:
    """Sum the terms of equal power of J."""
    shape = np.broadcast_shapes(pitch.shape, area.shape)
    cubic = np.zeros((4, *shape))
    for coefficient, power, pitch_power, area_power, blade_power in terms:
        cubic[power] += (
            coefficient * pitch**pitch_power * area**area_power * blades**blade_power
        )
    return cubic
