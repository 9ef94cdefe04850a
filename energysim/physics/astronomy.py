"""
Where sun, moon and the moon's orbit stand, and what that does to each tide.

Depends on: nothing.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

UNIX_EPOCH_JULIAN_DAY = 2440587.5
"""Julian day of 1970-01-01 00:00 UTC (calendar arithmetic)."""

J2000_JULIAN_DAY = 2451545.0
"""Julian day the polynomials below count from."""

INCLINATION_DEG = 5.145
"""Of the moon's orbit to the ecliptic, from memory. [deg]"""

OBLIQUITY_DEG = 23.439
"""Of the ecliptic to the equator, about the year 2000, from memory. [deg]"""

_DAYS_PER_CENTURY = 36525.0
_SECONDS_PER_DAY = 86400.0

# Degrees, for T in Julian centuries from J2000: constant, T, T^2 (Meeus's polynomials, as two
# open tide codes carry them; the term in T^3 is under 1e-5 deg in this century).
_MOON = (218.3164591, 481267.88134236, -0.0013268)
_SUN = (280.46645, 36000.76983, 0.0003032)
_LUNAR_PERIGEE = (83.353243, 4069.0137111, -0.0103238)
_LUNAR_NODE = (125.044555, -1934.1361849, 0.0020762)
_SOLAR_PERIGEE = (282.93735, 1.71946, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeanLongitudes:
    """Mean longitudes of what drives the tide, each 0 to 360; shape of the times asked."""

    hour_angle_deg: NDArray[np.float64]  # 15 degrees an hour from midnight UTC
    moon_deg: NDArray[np.float64]
    sun_deg: NDArray[np.float64]
    lunar_perigee_deg: NDArray[np.float64]
    lunar_node_deg: NDArray[np.float64]  # ascending node, moves backward
    solar_perigee_deg: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LunarOrbit:
    """How the moon's orbit lies to the equator."""

    inclination_deg: NDArray[np.float64]  # to the equator: 18.3 to 28.6
    xi_deg: NDArray[np.float64]  # longitude, in the orbit, of its crossing of the equator
    nu_deg: NDArray[np.float64]  # right ascension of that crossing
    perigee_from_crossing_deg: NDArray[np.float64]  # perigee's longitude less xi


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NodeFactor:
    """What the 18.6-year swing of the orbit does to one tide."""

    factor: NDArray[np.float64]  # f, multiplies the amplitude
    phase_deg: NDArray[np.float64]  # u, added to the argument


def mean_longitudes(unix_s: ArrayLike) -> MeanLongitudes:
    """
    Return the mean longitudes of sun and moon, from which every tide takes its phase.

    Parameters
    ----------
    unix_s : array_like, shape (...)
        Time in seconds from 1970-01-01 00:00 UTC. [s]

    Returns
    -------
    MeanLongitudes
        Degrees, 0 to 360.

    Raises
    ------
    ValueError
        If a time is not finite or lies outside the years 1900 to 2100.

    Notes
    -----
    Polynomials in the time [1]_. Universal time stands in for dynamical time: the minute
    between them moves the moon by 0.01 degrees.

    References
    ----------
    .. [1] J. Meeus, Astronomical Algorithms, 1991 (from memory; coefficients as two open
       tide codes carry them).
    """
    time_s = np.asarray(unix_s, dtype=np.float64)
    centuries = (
        time_s / _SECONDS_PER_DAY + UNIX_EPOCH_JULIAN_DAY - J2000_JULIAN_DAY
    ) / _DAYS_PER_CENTURY
    if not (np.abs(centuries) <= 1.0).all():
        raise ValueError(
            "unix_s must be finite and within the years 1900 to 2100 "
            "(-2208945600 to 4102444800 s)"
        )

    def longitude(constant: float, rate: float, bend: float) -> NDArray[np.float64]:
        return np.mod(constant + centuries * (rate + centuries * bend), 360.0)

    return MeanLongitudes(
        hour_angle_deg=np.mod(time_s, _SECONDS_PER_DAY) * (360.0 / _SECONDS_PER_DAY),
        moon_deg=longitude(*_MOON),
        sun_deg=longitude(*_SUN),
        lunar_perigee_deg=longitude(*_LUNAR_PERIGEE),
        lunar_node_deg=longitude(*_LUNAR_NODE),
        solar_perigee_deg=longitude(*_SOLAR_PERIGEE),
    )


def lunar_orbit(lunar_node_deg: ArrayLike, *, lunar_perigee_deg: ArrayLike) -> LunarOrbit:
    r"""
    Return how the moon's orbit lies to the equator when its node stands where it does.

    Parameters
    ----------
    lunar_node_deg : array_like, shape (...)
        Longitude of the ascending node. [deg]
    lunar_perigee_deg : array_like, broadcastable
        Longitude of the perigee. [deg]

    Returns
    -------
    LunarOrbit
        Angles in degrees.

    Notes
    -----
    With :math:`i, \omega` the two inclinations and :math:`N` the node [1]_,

    .. math::
        \cos I = \cos i \cos\omega - \sin i \sin\omega \cos N

        \tan a = \frac{\cos\frac{\omega-i}{2}}{\cos\frac{\omega+i}{2}} \tan\frac N2, \quad
        \tan b = \frac{\sin\frac{\omega-i}{2}}{\sin\frac{\omega+i}{2}} \tan\frac N2

        \nu = a - b, \qquad \xi = N - a - b

    References
    ----------
    .. [1] P. Schureman, Manual of Harmonic Analysis and Prediction of Tides, US Coast and
       Geodetic Survey SP 98, 1958 (not read itself; formulas as an open tide code has them).
    """
    node_deg = np.asarray(lunar_node_deg, dtype=np.float64)
    folded_deg = 180.0 - np.mod(180.0 - node_deg, 360.0)  # to (-180, 180]
    half = np.deg2rad(folded_deg) / 2.0
    i, w = np.deg2rad(INCLINATION_DEG), np.deg2rad(OBLIQUITY_DEG)
    tilt = np.arccos(np.cos(i) * np.cos(w) - np.sin(i) * np.sin(w) * np.cos(2.0 * half))
    # arctan2 keeps the half turn at N = 180, where the tangent has no value.
    a = np.arctan2(np.cos((w - i) / 2) * np.sin(half), np.cos((w + i) / 2) * np.cos(half))
    b = np.arctan2(np.sin((w - i) / 2) * np.sin(half), np.sin((w + i) / 2) * np.cos(half))
    xi_deg = folded_deg - np.rad2deg(a + b)
    perigee_deg = np.asarray(lunar_perigee_deg, dtype=np.float64)
    return LunarOrbit(
        inclination_deg=np.rad2deg(tilt),
        xi_deg=np.asarray(xi_deg),
        nu_deg=np.rad2deg(a - b),
        perigee_from_crossing_deg=np.asarray(perigee_deg - xi_deg),
    )


def node_factors(unix_s: ArrayLike) -> dict[str, NodeFactor]:
    r"""
    Return, for each tide that has a law of its own, what the moon's node does to it.

    Over 18.6 years the moon's orbit tips to and fro; an O1 stream runs a fifth stronger or
    weaker for it, an M2 stream 4 % the other way.

    Parameters
    ----------
    unix_s : array_like, shape (...)
        Time in seconds from 1970-01-01 00:00 UTC. [s]

    Returns
    -------
    dict of str to NodeFactor
        By the name of the law: M1, M2, M3, K1, K2, O1, J1, OO1, L2, Mm, Mf, and 1 for tides
        of the sun, which feel nothing.

    Raises
    ------
    ValueError
        If a time is not finite or lies outside the years 1900 to 2100.

    Notes
    -----
    Schureman's formulas [1]_, with :math:`I, \xi, \nu` from `lunar_orbit` and :math:`P` the
    perigee from the crossing. For instance

    .. math::
        f(M_2) = \cos^4\tfrac I2 / 0.91544, \quad u = 2\xi - 2\nu

        f(O_1) = \sin I \cos^2\tfrac I2 / 0.37988, \quad u = 2\xi - \nu

    Assumptions: the equilibrium tide. Other methods (satellite lines of their own) differ by
    a percent or so in the whole.

    References
    ----------
    .. [1] P. Schureman, Manual of Harmonic Analysis and Prediction of Tides, 1958 (formulas
       as an open tide code has them, constants from memory; the whole agrees with a second
       code to 0.002 but for M1, where conventions differ).
    """
    at = mean_longitudes(unix_s)
    orbit = lunar_orbit(at.lunar_node_deg, lunar_perigee_deg=at.lunar_perigee_deg)
    tilt, xi, nu = np.deg2rad(orbit.inclination_deg), orbit.xi_deg, orbit.nu_deg
    p = np.deg2rad(orbit.perigee_from_crossing_deg)
    nu_rad = np.deg2rad(nu)
    sin_i, sin_2i, cos_half = np.sin(tilt), np.sin(2.0 * tilt), np.cos(tilt / 2.0)
    tan2_half = np.tan(tilt / 2.0) ** 2

    nu_1 = np.arctan2(sin_2i * np.sin(nu_rad), sin_2i * np.cos(nu_rad) + 0.3347)
    two_nu_2 = np.arctan2(
        sin_i**2 * np.sin(2.0 * nu_rad), sin_i**2 * np.cos(2.0 * nu_rad) + 0.0727
    )
    # R of L2 and Q of M1 carry the moon's distance into tides that two others share. Q lies
    # in the quadrant of P.
    r = np.arctan2(np.sin(2.0 * p), 1.0 / (6.0 * tan2_half) - np.cos(2.0 * p))
    q = np.arctan2(0.483 * np.sin(p), np.cos(p))

    m2, u_m2 = cos_half**4 / 0.91544, 2.0 * (xi - nu)
    o1 = sin_i * cos_half**2 / 0.37988
    l2 = m2 * np.sqrt(1.0 - 12.0 * tan2_half * np.cos(2.0 * p) + 36.0 * tan2_half**2)
    m1 = o1 * np.sqrt(2.310 + 1.435 * np.cos(2.0 * p))
    k1 = np.sqrt(0.8965 * sin_2i**2 + 0.6001 * sin_2i * np.cos(nu_rad) + 0.1006)
    k2 = np.sqrt(19.0444 * sin_i**4 + 2.7702 * sin_i**2 * np.cos(2.0 * nu_rad) + 0.0981)
    zero = np.zeros_like(xi)
    return {
        "1": NodeFactor(factor=np.ones_like(xi), phase_deg=zero),
        "M1": NodeFactor(factor=m1, phase_deg=xi - nu + np.rad2deg(q)),
        "M2": NodeFactor(factor=m2, phase_deg=u_m2),
        "M3": NodeFactor(factor=m2**1.5, phase_deg=1.5 * u_m2),
        "K1": NodeFactor(factor=k1, phase_deg=-np.rad2deg(nu_1)),
        "K2": NodeFactor(factor=k2, phase_deg=-np.rad2deg(two_nu_2)),
        "O1": NodeFactor(factor=o1, phase_deg=2.0 * xi - nu),
        "J1": NodeFactor(factor=sin_2i / 0.72137, phase_deg=-nu),
        "OO1": NodeFactor(
            factor=sin_i * np.sin(tilt / 2.0) ** 2 / 0.016358, phase_deg=-2.0 * xi - nu
        ),
        "L2": NodeFactor(factor=l2, phase_deg=u_m2 - np.rad2deg(r)),
        "Mm": NodeFactor(factor=(2.0 / 3.0 - sin_i**2) / 0.50211, phase_deg=zero),
        "Mf": NodeFactor(factor=sin_i**2 / 0.15776, phase_deg=-2.0 * xi),
    }
