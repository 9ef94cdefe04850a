r"""
What a source aboard puts into a bank that may be working at the same time.

A panel or a converter first carries the load; only what is left over has to be taken by the
bank, and a nearly full bank takes little.

Depends on: physics.bounds, physics.charge, physics.temperature.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.charge import ChargeLaw
from energysim.physics.temperature import acceptance_factor

Array = NDArray[np.float64]


def acceptance_of_empty_a(
    capacity_ah: ArrayLike, *, temperature_degc: ArrayLike, law: ChargeLaw
) -> Array:
    r"""
    Return the current a quite empty bank would accept; times the share missing, it is today's.

    Worked out once, it spares a loop the law's every argument at each step.

    Parameters
    ----------
    capacity_ah : array_like, shape (...)
        Full charge of the bank. [Ah]
    temperature_degc : array_like, broadcastable
        Temperature of the cells. [degC]
    law : ChargeLaw
        The chemistry's law of charge. [record]

    Returns
    -------
    current_a : ndarray, shape (...)
        Zero where it is too cold to charge. [A]

    Raises
    ------
    ValueError
        If the capacity is not positive or the temperature outside -40 to 60 degC.

    Notes
    -----
    :math:`a_T C` of the ampere-hour law. A figure of the law, not a current anyone would use.
    """
    capacity = bounded(capacity_ah, name="capacity_ah", low=0.0, above=True)
    factor = acceptance_factor(temperature_degc, rise_per_degc=law.acceptance_rise_per_degc)
    accepted = factor * np.asarray(law.acceptance_per_h) * capacity
    if law.lowest_charge_degc is not None:
        cells = np.asarray(temperature_degc, dtype=np.float64)
        accepted = np.where(cells < law.lowest_charge_degc, 0.0, accepted)
    return np.asarray(accepted)


def supplied_current_a(
    level: ArrayLike,
    *,
    supply_w: ArrayLike,
    voltage_v: ArrayLike,
    capacity_ah: ArrayLike,
    temperature_degc: ArrayLike,
    law: ChargeLaw,
    load_current_a: ArrayLike = 0.0,
) -> Array:
    r"""
    Return the current a source aboard gives, no more than load and bank can take.

    Parameters
    ----------
    level : array_like, shape (...)
        State of charge by the ledger, 0 to 1. [1]
    supply_w : array_like, broadcastable
        Power the source has to give at the bank. [W]
    voltage_v : array_like, broadcastable
        Voltage at the bank's terminals. [V]
    capacity_ah : array_like, broadcastable
        Full charge of the bank. [Ah]
    temperature_degc : array_like, broadcastable
        Temperature of the cells. [degC]
    law : ChargeLaw
        The chemistry's law of charge. [record]
    load_current_a : array_like, broadcastable
        Current drawn at the same time, which the source carries first; none where left out,
        a bank at rest. [A]

    Returns
    -------
    current_a : ndarray, shape (...)
        From the source; the bank's own is the load less this, negative when it charges. [A]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    .. math:: I = \min(P / V,\; I_\mathrm{load} + a_T C (1 - s))

    without the mark at which a charger calls a block full: what keeps a panel from a full bank
    goes on trickling. Below the temperature at which a chemistry may be charged the source is
    off altogether: a load that stops would turn it on the cells. The ampere-hour law stands in
    `physics.charge`; the loop of a day takes the same, prepared by `acceptance_of_empty_a`.

    Examples
    --------
    >>> from energysim.physics.charge import ChargeLaw
    >>> law = ChargeLaw(
    ...     acceptance_per_h=1.0,
    ...     acceptance_rise_per_degc=0.03,
    ...     band_edges=(0.8,),
    ...     band_efficiency=(0.97, 0.9),
    ...     full_soc=0.99,
    ...     charge_voltage_v=14.6,
    ...     voltage_rise_per_degc=0.0,
    ...     lowest_charge_degc=None,
    ...     largest_charge_rate=0.2,
    ... )
    >>> bank = {"voltage_v": 12.5, "capacity_ah": 100.0, "temperature_degc": 25.0}
    >>> supplied_current_a([0.5, 0.98, 1.0], supply_w=75.0, **bank, law=law)
    array([6., 2., 0.])
    >>> supplied_current_a(1.0, supply_w=75.0, **bank, law=law, load_current_a=4.0)
    array(4.)
    """
    state = bounded(level, name="level", low=0.0, high=1.0)
    power = bounded(supply_w, name="supply_w", low=0.0)
    voltage = bounded(voltage_v, name="voltage_v", low=0.0, above=True)
    load = bounded(load_current_a, name="load_current_a", low=0.0)
    empty = acceptance_of_empty_a(capacity_ah, temperature_degc=temperature_degc, law=law)
    room = empty * (1.0 - state)
    return np.asarray(np.where(empty > 0.0, np.minimum(power / voltage, load + room), 0.0))
