r"""
How a block fills again: the charger's current until the block accepts less, then a taper.

The state here is the real charge, from the ledger of ampere-hours, not the availability of
the discharge laws.

Depends on: physics.bounds, physics.temperature.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.temperature import REFERENCE_DEGC, acceptance_factor

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChargeLaw:
    """How one chemistry takes charge; numbers, or arrays of shape (members,) where said."""

    acceptance_per_h: ArrayLike  # accepted current over missing charge, at 25 degC; (members,)
    acceptance_rise_per_degc: float  # relative fall of it for each degree colder
    band_edges: tuple[float, ...]  # states of charge where the efficiency changes, rising
    band_efficiency: tuple[ArrayLike, ...]  # charge kept over fed, a band each; (members,)
    full_soc: float  # where the charger calls it full, below 1
    charge_voltage_v: float  # of a block in absorption, at 25 degC
    voltage_rise_per_degc: float  # of that voltage for each degree warmer [V/degC]
    lowest_charge_degc: float | None  # no charging below; None where cold is allowed
    largest_charge_rate: float  # charger's amperes over the ampere-hours, for a caution only

    def __post_init__(self) -> None:
        bounded(self.acceptance_per_h, name="acceptance_per_h", low=0.0, above=True)
        edges = bounded(self.band_edges, name="band_edges", low=0.0, high=1.0, above=True)
        if len(self.band_efficiency) != len(edges) + 1 or not np.all(np.diff(edges) > 0.0):
            raise ValueError(
                f"band_edges is {self.band_edges} and band_efficiency has "
                f"{len(self.band_efficiency)} numbers; the edges must rise, with one "
                "efficiency more than there are edges"
            )
        for efficiency in self.band_efficiency:
            bounded(efficiency, name="band_efficiency", low=0.0, high=1.0, above=True)
        if not 0.0 < self.full_soc < 1.0:
            raise ValueError(
                f"full_soc = {self.full_soc:g}; it must be between 0 and 1, neither of them: "
                "a taper never quite ends"
            )

    def bands(self) -> Iterator[tuple[float, float, ArrayLike]]:
        """Yield (lower edge, upper edge, efficiency) from empty to full."""
        yield from zip(
            (0.0, *self.band_edges), (*self.band_edges, 1.0), self.band_efficiency, strict=True
        )


def charge_voltage_v(temperature_degc: ArrayLike, *, law: ChargeLaw) -> Array:
    """
    Return the absorption voltage a charger should hold at a block's temperature.

    Parameters
    ----------
    temperature_degc : array_like, shape (...)
        Temperature of the cells. [degC]
    law : ChargeLaw
        The chemistry's law. [record]

    Returns
    -------
    charge_voltage_v : ndarray, shape (...)
        Voltage at one block. [V]

    Raises
    ------
    ValueError
        If the temperature is outside -40 to 60 degC.

    Notes
    -----
    A straight line through the value at 25 degC; lead-acid wants 3 to 5 mV a cell less for
    each degree warmer (from memory), lithium iron phosphate none.
    """
    cells = bounded(temperature_degc, name="temperature_degc", low=-40.0, high=60.0)
    return np.asarray(
        law.charge_voltage_v + law.voltage_rise_per_degc * (cells - REFERENCE_DEGC)
    )


def accepted_current_a(
    soc: ArrayLike,
    *,
    charger_current_a: ArrayLike,
    capacity_ah: ArrayLike,
    temperature_degc: ArrayLike,
    law: ChargeLaw,
) -> Array:
    r"""
    Return the current that flows into a block at a state of charge.

    Parameters
    ----------
    soc : array_like, shape (...)
        State of charge, 0 to 1. [1]
    charger_current_a : array_like, broadcastable
        Charger's current at this block. [A]
    capacity_ah : array_like, broadcastable
        Capacity of the block. [Ah]
    temperature_degc : array_like, broadcastable
        Temperature of the cells. [degC]
    law : ChargeLaw
        The chemistry's law. [record]

    Returns
    -------
    current_a : ndarray, shape (...)
        Zero when full, or when it is too cold to charge. [A]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    .. math:: I = \min(I_\mathrm{charger},\; a_T \, C (1 - s))

    the ampere-hour law: a lead-acid block takes no more amperes without gassing than a fixed
    share of its missing ampere-hours [1]_, [2]_.

    References
    ----------
    .. [1] The ampere-hour law, Woodbridge 1935 (as quoted by a public page).
    .. [2] J. A. Mas, 1967 (from memory).
    """
    state = bounded(soc, name="soc", low=0.0, high=1.0)
    rate, acceptance = _rates_per_h(charger_current_a, capacity_ah, temperature_degc, law)
    flowing = np.minimum(rate, acceptance * (1.0 - state))
    flowing = np.where(state < law.full_soc, flowing, 0.0)
    return np.asarray(flowing * np.asarray(capacity_ah, dtype=np.float64))


def charge_time_h(
    start_soc: ArrayLike,
    *,
    target_soc: ArrayLike,
    charger_current_a: ArrayLike,
    capacity_ah: ArrayLike,
    temperature_degc: ArrayLike,
    law: ChargeLaw,
) -> Array:
    r"""
    Return how long a block takes from one state of charge to another.

    Parameters
    ----------
    start_soc : array_like, shape (...)
        State of charge at plug-in, 0 to 1. [1]
    target_soc : array_like, broadcastable
        State wanted, at most the law's `full_soc`. [1]
    charger_current_a : array_like, broadcastable
        Charger's current at this block. [A]
    capacity_ah : array_like, broadcastable
        Capacity of the block. [Ah]
    temperature_degc : array_like, broadcastable
        Temperature of the cells. [degC]
    law : ChargeLaw
        The chemistry's law. [record]

    Returns
    -------
    time_h : ndarray, shape (...)
        Zero when already there, infinite when the charger must stay off. [h]

    Raises
    ------
    ValueError
        If an argument is out of its range, or the target beyond `full_soc`.

    Notes
    -----
    .. math:: \dot s = \eta(s) \min(I / C,\; a_T (1 - s))

    solved band by band of constant :math:`\eta`: :math:`\Delta s \, C / (\eta I)` up to
    :math:`s_x = 1 - I / (a_T C)`, then :math:`\ln((1 - s_1)/(1 - s_2)) / (a_T \eta)`.
    A charger's slow last stage (equalising, balancing) is left out.
    """
    start = bounded(start_soc, name="start_soc", low=0.0, high=1.0)
    target = bounded(target_soc, name="target_soc", low=0.0, high=law.full_soc)
    rate, acceptance = _rates_per_h(charger_current_a, capacity_ah, temperature_degc, law)
    taper = 1.0 - rate / acceptance
    total: Array = np.zeros(np.broadcast_shapes(start.shape, target.shape, taper.shape))
    for low, high, efficiency in law.bands():
        begin = np.clip(start, low, high)
        end = np.maximum(np.clip(target, low, high), begin)
        turn = np.clip(taper, begin, end)
        pace = np.asarray(efficiency, dtype=np.float64)
        total = total + _hours(turn - begin, pace * rate)
        # A start above `full_soc` must not reach the logarithm of nothing.
        left_first, left_last = np.broadcast_arrays(1.0 - turn, 1.0 - end)
        ratio = np.ones(left_first.shape)
        np.divide(left_first, left_last, out=ratio, where=left_last > 0.0)
        total = total + np.log(ratio) / (pace * acceptance)
    return np.asarray(total)


def charge_soc_after(
    time_h: ArrayLike,
    *,
    start_soc: ArrayLike,
    charger_current_a: ArrayLike,
    capacity_ah: ArrayLike,
    temperature_degc: ArrayLike,
    law: ChargeLaw,
) -> Array:
    r"""
    Return the state of charge a block reaches in a given time; the night may be too short.

    Parameters
    ----------
    time_h : array_like, shape (...)
        Time on the charger. [h]
    start_soc : array_like, broadcastable
        State of charge at plug-in, 0 to 1. [1]
    charger_current_a : array_like, broadcastable
        Charger's current at this block. [A]
    capacity_ah : array_like, broadcastable
        Capacity of the block. [Ah]
    temperature_degc : array_like, broadcastable
        Temperature of the cells. [degC]
    law : ChargeLaw
        The chemistry's law. [record]

    Returns
    -------
    soc : ndarray, shape (...)
        Never beyond `full_soc`, nor below the start. [1]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    The inverse of `charge_time_h`, band by band in the same closed form.
    """
    left = bounded(time_h, name="time_h", low=0.0)
    soc = bounded(start_soc, name="start_soc", low=0.0, high=1.0)
    rate, acceptance = _rates_per_h(charger_current_a, capacity_ah, temperature_degc, law)
    taper = 1.0 - rate / acceptance
    for _, high, efficiency in law.bands():
        top = min(high, law.full_soc)
        pace = np.asarray(efficiency, dtype=np.float64)
        # The charger's own current, up to where the block starts to refuse it.
        need = _hours(np.maximum(np.minimum(taper, top) - soc, 0.0), pace * rate)
        used = np.minimum(left, need)
        soc = soc + used * pace * rate
        left = left - used
        # The taper; nothing is left to spend where the first part ran out of time.
        end = np.maximum(soc, top)
        missing_first, missing_last = np.broadcast_arrays(1.0 - soc, 1.0 - end)
        ratio = np.ones(missing_first.shape)
        np.divide(missing_first, missing_last, out=ratio, where=missing_last > 0.0)
        need = np.log(ratio) / (pace * acceptance)
        idle = rate <= 0.0
        used = np.where(idle, 0.0, np.minimum(left, need))
        reached = 1.0 - missing_first * np.exp(-pace * acceptance * used)
        soc = np.where(~idle & (used >= need), end, np.where(used > 0.0, reached, soc))
        left = left - used
    return np.asarray(soc)


def charge_input_ah(
    start_soc: ArrayLike, *, target_soc: ArrayLike, capacity_ah: ArrayLike, law: ChargeLaw
) -> Array:
    r"""
    Return the ampere-hours to be fed in, more than those that stay.

    Parameters
    ----------
    start_soc : array_like, shape (...)
        State of charge at plug-in, 0 to 1. [1]
    target_soc : array_like, broadcastable
        State reached. [1]
    capacity_ah : array_like, broadcastable
        Capacity of the block. [Ah]
    law : ChargeLaw
        The chemistry's law. [record]

    Returns
    -------
    input_ah : ndarray, shape (...)
        Zero when the target is not above the start. [Ah]

    Raises
    ------
    ValueError
        If a state of charge is outside 0 to 1 or the capacity not positive.

    Notes
    -----
    :math:`C \int ds / \eta(s)`. Does not depend on the charger.
    """
    start = bounded(start_soc, name="start_soc", low=0.0, high=1.0)
    target = bounded(target_soc, name="target_soc", low=0.0, high=1.0)
    capacity = bounded(capacity_ah, name="capacity_ah", low=0.0, above=True)
    total: Array = np.zeros(np.broadcast_shapes(start.shape, target.shape))
    for low, high, efficiency in law.bands():
        gain = np.clip(target, low, high) - np.clip(start, low, high)
        total = total + np.maximum(gain, 0.0) / np.asarray(efficiency, dtype=np.float64)
    return np.asarray(total * capacity)


def kept_share(soc: ArrayLike, *, law: ChargeLaw) -> Array:
    """
    Return what share of the charge fed at a state of charge stays in the block.

    Parameters
    ----------
    soc : array_like, shape (...)
        State of charge, 0 to 1. [1]
    law : ChargeLaw
        The chemistry's law. [record]

    Returns
    -------
    share : ndarray, shape (...) or with the law's members
        Coulombic efficiency of the band; on an edge, of the band above it. [1]

    Raises
    ------
    ValueError
        If a state of charge is outside 0 to 1.
    """
    state = bounded(soc, name="soc", low=0.0, high=1.0)
    share = np.asarray(law.band_efficiency[0], dtype=np.float64)
    for edge, above in zip(law.band_edges, law.band_efficiency[1:], strict=True):
        share = np.where(state >= edge, above, share)
    return np.asarray(share + np.zeros_like(state))


def largest_charger_current_a(capacity_ah: ArrayLike, *, law: ChargeLaw) -> Array:
    """
    Return the largest charger a block should be put on; beyond it a caution is due.

    Parameters
    ----------
    capacity_ah : array_like, shape (...)
        Capacity of the block. [Ah]
    law : ChargeLaw
        The chemistry's law. [record]

    Returns
    -------
    current_a : ndarray, shape (...)
        Trade limit of the charger's current; the other laws here do not enforce it. [A]

    Raises
    ------
    ValueError
        If the capacity is not positive.
    """
    capacity = bounded(capacity_ah, name="capacity_ah", low=0.0, above=True)
    return np.asarray(capacity * law.largest_charge_rate)


def _rates_per_h(
    charger_current_a: ArrayLike,
    capacity_ah: ArrayLike,
    temperature_degc: ArrayLike,
    law: ChargeLaw,
) -> tuple[Array, Array]:
    """Return the charger's and the block's pace as shares of the capacity an hour."""
    current = bounded(charger_current_a, name="charger_current_a", low=0.0)
    rate = current / bounded(capacity_ah, name="capacity_ah", low=0.0, above=True)
    factor = acceptance_factor(temperature_degc, rise_per_degc=law.acceptance_rise_per_degc)
    if law.lowest_charge_degc is not None:
        cells = np.asarray(temperature_degc, dtype=np.float64)
        rate = np.where(cells < law.lowest_charge_degc, 0.0, rate)
    return np.asarray(rate), np.asarray(factor * np.asarray(law.acceptance_per_h))


def _hours(gain: Array, pace_per_h: Array) -> Array:
    """Return gain over pace: no time for no gain, for ever at no pace."""
    gain, pace_per_h = np.broadcast_arrays(gain, pace_per_h)
    hours = np.where(gain > 0.0, np.inf, 0.0)
    return np.asarray(np.divide(gain, pace_per_h, out=hours, where=pace_per_h > 0.0))
