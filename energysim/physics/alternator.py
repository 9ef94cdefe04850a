r"""
What the main engine's alternator can spare for another bank.

Depends on: physics.bounds.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded


def converter_power_w(
    alternator_current_a: ArrayLike,
    *,
    spare_share: ArrayLike,
    alternator_voltage_v: ArrayLike,
    converter_efficiency: ArrayLike,
    bank_voltage_v: ArrayLike,
    converter_limit_a: ArrayLike = math.inf,
) -> NDArray[np.float64]:
    r"""
    Return the power a converter from the engine's alternator gives a bank.

    Parameters
    ----------
    alternator_current_a : array_like, shape (...)
        By the alternator's label, cold and at full speed. [A]
    spare_share : array_like, broadcastable
        What of it is left after the engine's own needs, at the speed it runs. [1]
    alternator_voltage_v : array_like, broadcastable
        At the starting battery. [V]
    converter_efficiency : array_like, broadcastable
        Out over in. [1]
    bank_voltage_v : array_like, broadcastable
        Of the bank it charges, for its limit of current. [V]
    converter_limit_a : array_like, broadcastable
        The most the converter gives the bank; no limit where left out. [A]

    Returns
    -------
    power_w : ndarray, shape (...)
        At the bank. [W]

    Raises
    ------
    ValueError
        If a number is out of its range.

    Notes
    -----
    :math:`\min(I \, k \, V_a \, \eta,\; I_c V_b)`. A labelled 35 A alternator was found to
    give 12 A at idle, k = 0.34 (as read). At cruise an outboard of 40 to 115 hp has 8 to 25 A
    over (common practice, no source).

    Examples
    --------
    >>> engine = {"spare_share": 0.5, "alternator_voltage_v": 14.0, "converter_efficiency": 0.9}
    >>> converter_power_w(40.0, **engine, bank_voltage_v=24.0)
    array(252.)
    >>> converter_power_w(40.0, **engine, bank_voltage_v=24.0, converter_limit_a=10.0)
    array(240.)
    """
    label = bounded(alternator_current_a, name="alternator_current_a", low=0.0)
    share = bounded(spare_share, name="spare_share", low=0.0, high=1.0)
    volts = bounded(alternator_voltage_v, name="alternator_voltage_v", low=0.0, above=True)
    efficiency = bounded(
        converter_efficiency, name="converter_efficiency", low=0.0, high=1.0, above=True
    )
    bank = bounded(bank_voltage_v, name="bank_voltage_v", low=0.0, above=True)
    limit = np.asarray(converter_limit_a, dtype=np.float64)
    if not np.all(limit > 0.0):  # infinite is allowed, NaN is not
        raise ValueError(f"converter_limit_a = {float(limit.min()):g}; it must be above 0")
    return np.asarray(np.minimum(label * share * volts * efficiency, limit * bank))
