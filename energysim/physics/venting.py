r"""
Hydrogen from lead-acid batteries on charge: how much, how much air it wants, through what.

Lithium iron phosphate gives off none in normal use; nothing here is for it.

Depends on: physics.bounds, constants.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.constants import STANDARD_PRESSURE_PA, ZERO_CELSIUS_K
from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

FARADAY_C_PER_MOL: Final = 96485.332  # CODATA 2018; exact by definition, to its digits here
GAS_J_PER_MOL_K: Final = 8.314462618  # CODATA 2018; exact by definition
SECONDS_PER_HOUR: Final = 3600.0

LOWER_EXPLOSIVE_SHARE: Final = 0.04
"""Hydrogen in air, by volume, from which it can burn (EN 50272-2, read as quoted). [1]"""

DILUTION: Final = (1.0 - LOWER_EXPLOSIVE_SHARE) / LOWER_EXPLOSIVE_SHARE
"""Air to hydrogen at that share. [1]"""

STANDARD_HYDROGEN_M3_PER_AH: Final = 0.42e-3
"""Hydrogen for each ampere-hour and cell at 0 degC, as EN 50272-2 rounds it (read). [m^3/Ah]"""

SAFETY_FACTOR: Final = 5.0
"""Of the same standard (read). [1]"""

STANDARD_AIR_M3_PER_AH: Final = 0.05
"""
`DILUTION` x `STANDARD_HYDROGEN_M3_PER_AH` x `SAFETY_FACTOR` = 0.0504, rounded as the standard
does (EN 50272-2 and -3, read as quoted). [m^3/Ah]
"""

OPENING_M2_PER_M3PS: Final = 28e-4 * SECONDS_PER_HOUR
"""28 cm2 for each m3/h, air moving at 0.1 m/s by itself (EN 50272-2, read). [m^2/(m^3/s)]"""

SHIP_AIR_M3_PER_AH: Final = 3.89 * 0.3048**3
"""3.89 ft3/h for each ampere and cell: 46 CFR 111.15-10, from memory. [m^3/Ah]"""

SHIP_CLASS_EDGES_W: Final = (200.0, 2000.0)
"""Charger output that parts small, moderate and large: 46 CFR 111.15-3 (read). [W]"""

SHIP_CLASSES: Final = ("small", "moderate", "large")


def hydrogen_flow_m3ps(
    current_a: ArrayLike, *, cell_count: ArrayLike, temperature_degc: ArrayLike
) -> Array:
    r"""
    Return the hydrogen that a current makes once the cells can take no more charge.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Current through the string that only splits water. [A]
    cell_count : array_like, broadcastable
        Cells in series. [count]
    temperature_degc : array_like, broadcastable
        Temperature the gas is measured at. [degC]

    Returns
    -------
    hydrogen_m3ps : ndarray, shape (...)
        Volume a second at one atmosphere. [m^3/s]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    Faraday: :math:`n I / (2 F)` moles a second, :math:`R T / p` each. All the current goes into
    gas, as it does at the end of a long overcharge; before that far less does.

    Examples
    --------
    >>> an_hour = 3600e3 * hydrogen_flow_m3ps(1.0, cell_count=1, temperature_degc=[0.0, 25.0])
    >>> an_hour.round(3)
    array([0.418, 0.456])
    """
    current = bounded(current_a, name="current_a", low=0.0)
    cells = bounded(cell_count, name="cell_count", low=1.0)
    gas = bounded(temperature_degc, name="temperature_degc", low=-60.0, high=100.0)
    molar_m3 = GAS_J_PER_MOL_K * (gas + ZERO_CELSIUS_K) / STANDARD_PRESSURE_PA
    return np.asarray(cells * current / (2.0 * FARADAY_C_PER_MOL) * molar_m3)


def airflow_m3ps(
    gas_current_a_per_ah: ArrayLike, *, cell_count: ArrayLike, capacity_ah: ArrayLike
) -> Array:
    r"""
    Return the air a battery wants on charge, so that its gas stays far below burning.

    Parameters
    ----------
    gas_current_a_per_ah : array_like, shape (...)
        Current that makes gas, for each ampere-hour: vented cells 0.005 afloat and 0.020 on
        boost, sealed ones 0.001 and 0.008 (EN 50272-2, read). [A/Ah]
    cell_count : array_like, broadcastable
        Cells in series. [count]
    capacity_ah : array_like, broadcastable
        Of all strings together. [Ah]

    Returns
    -------
    airflow_m3ps : ndarray, shape (...)
        Fresh air. [m^3/s]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    :math:`Q = 0.05\, n\, I_g C` in m3/h (EN 50272-2; in EN 50272-3, for batteries that are
    cycled, the same with :math:`I_g` told in amperes for 100 Ah).

    Examples
    --------
    >>> flow = airflow_m3ps(0.008, cell_count=18, capacity_ah=100.0)
    >>> (3600.0 * flow).round(3)
    np.float64(0.72)
    """
    gas = bounded(gas_current_a_per_ah, name="gas_current_a_per_ah", low=0.0)
    cells = bounded(cell_count, name="cell_count", low=1.0)
    capacity = bounded(capacity_ah, name="capacity_ah", low=0.0)
    return np.asarray(STANDARD_AIR_M3_PER_AH * cells * gas * capacity / SECONDS_PER_HOUR)


def vent_opening_m2(airflow_m3ps: ArrayLike) -> Array:
    """
    Return the free area that lets so much air through by itself.

    Parameters
    ----------
    airflow_m3ps : array_like, shape (...)
        Fresh air wanted. [m^3/s]

    Returns
    -------
    opening_m2 : ndarray, shape (...)
        Of the inlet, and of the outlet again. [m^2]

    Raises
    ------
    ValueError
        If an airflow is negative.

    Examples
    --------
    >>> (1e4 * vent_opening_m2(1.8 / 3600.0)).round(1)
    np.float64(50.4)
    """
    return np.asarray(OPENING_M2_PER_M3PS * bounded(airflow_m3ps, name="airflow_m3ps", low=0.0))


def time_to_explosive_s(free_volume_m3: ArrayLike, *, hydrogen_m3ps: ArrayLike) -> Array:
    """
    Return how long a shut locker takes to fill with gas that can burn.

    Parameters
    ----------
    free_volume_m3 : array_like, shape (...)
        Air in the locker, what stands in it taken off. [m^3]
    hydrogen_m3ps : array_like, broadcastable
        As from `hydrogen_flow_m3ps`. [m^3/s]

    Returns
    -------
    time_s : ndarray, shape (...)
        To 4 % by volume. [s]

    Raises
    ------
    ValueError
        If a volume is negative or a flow not above zero.

    Notes
    -----
    The gas is taken as mixed and none as leaking; at the lid it comes sooner.

    Examples
    --------
    >>> (time_to_explosive_s(0.30, hydrogen_m3ps=75.6e-3 / 3600.0) / 60.0).round(1)
    np.float64(9.5)
    """
    volume = bounded(free_volume_m3, name="free_volume_m3", low=0.0)
    flow = bounded(hydrogen_m3ps, name="hydrogen_m3ps", low=0.0, above=True)
    return np.asarray(LOWER_EXPLOSIVE_SHARE * volume / flow)


def ship_exhaust_m3ps(current_a: ArrayLike, *, cell_count: ArrayLike) -> Array:
    """
    Return the fan that rules for inspected ships ask of a battery room, as a yardstick.

    Parameters
    ----------
    current_a : array_like, shape (...)
        The charger's largest current, or a quarter of it where it is bound to fall. [A]
    cell_count : array_like, broadcastable
        Cells in series. [count]

    Returns
    -------
    exhaust_m3ps : ndarray, shape (...)
        Air to be moved. [m^3/s]

    Raises
    ------
    ValueError
        If a current is negative or a count below 1.

    Notes
    -----
    3.89 ft3/h x amperes x cells (46 CFR 111.15-10, from memory).
    """
    current = bounded(current_a, name="current_a", low=0.0)
    cells = bounded(cell_count, name="cell_count", low=1.0)
    return np.asarray(SHIP_AIR_M3_PER_AH * current * cells / SECONDS_PER_HOUR)


def ship_class(charger_power_w: ArrayLike) -> NDArray[np.intp]:
    """
    Return which class of battery installation a charger would make on an inspected ship.

    Parameters
    ----------
    charger_power_w : array_like, shape (...)
        The charger's output, its largest current times the bank's nominal voltage. [W]

    Returns
    -------
    place : ndarray of int, shape (...)
        Place in `SHIP_CLASSES`. [1]

    Raises
    ------
    ValueError
        If a power is negative.

    Notes
    -----
    46 CFR 111.15-3: small below 0.2 kW, large above 2 kW, moderate between.

    Examples
    --------
    >>> SHIP_CLASSES[int(ship_class(360.0))]
    'moderate'
    """
    power = bounded(charger_power_w, name="charger_power_w", low=0.0)
    least, most = SHIP_CLASS_EDGES_W
    return np.asarray((power >= least).astype(np.intp) + (power > most))


def spark_distance_m(gas_current_a_per_ah: ArrayLike, *, capacity_ah: ArrayLike) -> Array:
    r"""
    Return how far from a battery's vents there must be no spark while it is charged.

    Parameters
    ----------
    gas_current_a_per_ah : array_like, shape (...)
        As for `airflow_m3ps`. [A/Ah]
    capacity_ah : array_like, broadcastable
        Of the battery. [Ah]

    Returns
    -------
    distance_m : ndarray, shape (...)
        Through the air, from the vents. [m]

    Raises
    ------
    ValueError
        If an argument is negative.

    Notes
    -----
    :math:`28.8 \sqrt[3]{I_g C}` mm with :math:`I_g` in mA/Ah (EN 50272-2, from memory).

    Examples
    --------
    >>> spark_distance_m(0.020, capacity_ah=100.0).round(3)
    np.float64(0.363)
    """
    gas = bounded(gas_current_a_per_ah, name="gas_current_a_per_ah", low=0.0)
    capacity = bounded(capacity_ah, name="capacity_ah", low=0.0)
    return np.asarray(28.8e-3 * np.cbrt(1000.0 * gas * capacity))
