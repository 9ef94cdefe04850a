r"""
Resistance of the leads between bank and motor.

A volt lost out of 36 is three hundredths of the power, and a good deal more of the margin, so
the leads belong in the bank's resistance.

Depends on: physics.bounds.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

INCH_M: Final = 0.0254

COPPER_RESISTIVITY_OHM_M: Final = 1.0 / 58.0e6
"""Annealed copper at 20 degC, the IACS standard (0.017241 ohm mm2/m). [ohm m]"""

COPPER_RISE_PER_DEGC: Final = 0.00393
"""Rise of that resistivity for each degree, referred to 20 degC (IEC 60287). [1/degC]"""

STRANDED: Final = 1.02
"""
Stranded over solid of the same metal area: strands run a spiral, longer than the cable.
NEC chapter 9 table 8 over the IACS value is 1.018 to 1.025 for 14 sizes (computed). [1]
"""

STRANDED_TINNED: Final = 1.06
"""The same with tinned strands, about 4 % more (from memory). [1]"""


def awg_diameter_m(gauge: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the diameter of a solid wire of an American gauge.

    Parameters
    ----------
    gauge : array_like, shape (...)
        Gauge number, -3 to 40; 1/0 is 0, 2/0 is -1, 4/0 is -3. [1]

    Returns
    -------
    diameter_m : ndarray, shape (...)
        Diameter of the metal. [m]

    Raises
    ------
    ValueError
        If the gauge is outside -3 to 40.

    Notes
    -----
    :math:`0.005\,\mathrm{in} \cdot 92^{(36 - n)/39}` (ASTM B258).

    Examples
    --------
    >>> awg_diameter_m([6, -3]).round(6)
    array([0.004115, 0.011684])
    """
    number = bounded(gauge, name="gauge", low=-3.0, high=40.0)
    return np.asarray(0.005 * INCH_M * 92.0 ** ((36.0 - number) / 39.0))


def awg_area_m2(gauge: ArrayLike) -> NDArray[np.float64]:
    """
    Return the metal area of an American gauge.

    Parameters
    ----------
    gauge : array_like, shape (...)
        Gauge number, -3 to 40; 1/0 is 0, 2/0 is -1, 4/0 is -3. [1]

    Returns
    -------
    area_m2 : ndarray, shape (...)
        Area of the metal; wire of the SAE gauges is 3 to 11 % smaller. [m^2]

    Raises
    ------
    ValueError
        If the gauge is outside -3 to 40.

    Examples
    --------
    >>> (1e6 * awg_area_m2(6)).round(2)
    np.float64(13.3)
    """
    return np.asarray(0.25 * np.pi * awg_diameter_m(gauge) ** 2)


def copper_resistivity_ohm_m(temperature_degc: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the resistivity of annealed copper.

    Parameters
    ----------
    temperature_degc : array_like, shape (...)
        Temperature of the metal, -50 to 200. [degC]

    Returns
    -------
    resistivity_ohm_m : ndarray, shape (...)
        Resistivity. [ohm m]

    Raises
    ------
    ValueError
        If the temperature is outside -50 to 200 degC.

    Notes
    -----
    :math:`\rho_{20} (1 + 0.00393 (T - 20))`.

    Examples
    --------
    >>> (1e8 * copper_resistivity_ohm_m([20.0, 75.0])).round(4)
    array([1.7241, 2.0968])
    """
    metal = bounded(temperature_degc, name="temperature_degc", low=-50.0, high=200.0)
    return np.asarray(COPPER_RESISTIVITY_OHM_M * (1.0 + COPPER_RISE_PER_DEGC * (metal - 20.0)))


def conductor_resistance_ohm(
    length_m: ArrayLike,
    *,
    area_m2: ArrayLike,
    temperature_degc: ArrayLike,
    lay_factor: ArrayLike,
) -> NDArray[np.float64]:
    """
    Return the resistance of one length of copper.

    Parameters
    ----------
    length_m : array_like, shape (...)
        Length of the conductor, one lead only. [m]
    area_m2 : array_like, broadcastable
        Area of its metal. [m^2]
    temperature_degc : array_like, broadcastable
        Temperature of the metal. [degC]
    lay_factor : array_like, broadcastable
        1 for solid wire, `STRANDED` or `STRANDED_TINNED` for cable. [1]

    Returns
    -------
    resistance_ohm : ndarray, shape (...)
        Resistance to direct current. [ohm]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Examples
    --------
    >>> wire = {"area_m2": 16e-6, "temperature_degc": 20.0, "lay_factor": 1.0}
    >>> (1e3 * conductor_resistance_ohm(6.0, **wire)).round(2)
    np.float64(6.47)
    """
    length = bounded(length_m, name="length_m", low=0.0)
    area = bounded(area_m2, name="area_m2", low=0.0, above=True)
    lay = bounded(lay_factor, name="lay_factor", low=1.0, high=1.2)
    return np.asarray(copper_resistivity_ohm_m(temperature_degc) * lay * length / area)


def feed_resistance_ohm(
    one_way_length_m: ArrayLike,
    *,
    area_m2: ArrayLike,
    temperature_degc: ArrayLike,
    lay_factor: ArrayLike,
    contact_resistance_ohm: ArrayLike,
) -> NDArray[np.float64]:
    """
    Return the resistance of the whole feed: out, back, and every joint on the way.

    Parameters
    ----------
    one_way_length_m : array_like, shape (...)
        Run from bank to motor, counted once. [m]
    area_m2 : array_like, broadcastable
        Metal area of either lead. [m^2]
    temperature_degc : array_like, broadcastable
        Temperature of the metal. [degC]
    lay_factor : array_like, broadcastable
        1 for solid wire, `STRANDED` or `STRANDED_TINNED` for cable. [1]
    contact_resistance_ohm : array_like, broadcastable
        Plug, breaker and lugs together. [ohm]

    Returns
    -------
    resistance_ohm : ndarray, shape (...)
        Resistance to direct current. [ohm]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Examples
    --------
    >>> feed = {"area_m2": awg_area_m2(6), "temperature_degc": 20.0, "lay_factor": STRANDED}
    >>> (1e3 * feed_resistance_ohm(6.1, **feed, contact_resistance_ohm=0.002)).round(1)
    np.float64(18.1)
    """
    contacts = bounded(contact_resistance_ohm, name="contact_resistance_ohm", low=0.0)
    lead = conductor_resistance_ohm(
        one_way_length_m,
        area_m2=area_m2,
        temperature_degc=temperature_degc,
        lay_factor=lay_factor,
    )
    return np.asarray(2.0 * lead + contacts)
