r"""
How a battery wears out: trips against their depth, years on the calendar, price of a trip.

The end of a battery's life is a rule, not an event: 80 % of the capacity on its label. It may
serve for years beyond, on shorter days. Published curves of cycles against depth differ by a
factor of two for one kind of battery, so every answer belongs in a range: call these functions
with the low, the expected and the high law of the chemistry.

Depends on: physics.bounds.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

END_CAPACITY: Final = 0.8
"""Share of the rated capacity at which a battery counts as worn out (IEEE 450 and 1188, from
memory). [1]"""

MOST_LIVES: Final = 4.0
"""Lives after which an estimate of what is left means nothing; at four it says a fifth. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LifeLaw:
    """How long one chemistry lives, by use and by the calendar."""

    depth: NDArray[np.float64]  # nodes: share of the rated capacity a trip takes, rising
    cycles: NDArray[np.float64]  # trips of that depth until 80 % of capacity, falling
    calendar_years: float  # until 80 % of capacity if it is never used, kept as it should be
    calendar_power: float  # of time in that loss: 1 even, 0.5 fastest at first


def cycles_to_end(depth: ArrayLike, *, law: LifeLaw) -> NDArray[np.float64]:
    r"""
    Return how many trips of one depth a battery lasts, the calendar left aside.

    Parameters
    ----------
    depth : array_like, shape (...)
        Share of the rated capacity each trip takes, by ampere-hours, 0 to 1. [1]
    law : LifeLaw
        Cycles against depth of the chemistry.

    Returns
    -------
    cycles : ndarray, shape (...)
        Trips until 80 % of the rated capacity; infinite at no depth at all. [count]

    Raises
    ------
    ValueError
        If the depth is outside 0 to 1, or the law's nodes are not in order.

    Notes
    -----
    Straight lines between the nodes in the logarithms of depth and cycles. Below the least
    node each trip takes the same life per ampere-hour as there (a measured table of sealed
    lead-acid kept to that up to a depth of 0.6 [1]_; the lines themselves would promise more).
    Above the greatest node the last line goes on, or the same life per ampere-hour, whichever
    promises less.

    References
    ----------
    .. [1] Default table of the lead-acid battery in an open-source system model of a US
       national laboratory, as read: 1353, 854, 714 and 267 cycles at 30, 50, 60 and 100 %.

    Examples
    --------
    >>> law = LifeLaw(
    ...     depth=np.array([0.5, 0.8]),
    ...     cycles=np.array([600.0, 300.0]),
    ...     calendar_years=5.0,
    ...     calendar_power=1.0,
    ... )
    >>> cycles_to_end([0.25, 0.5, 0.8], law=law)
    array([1200.,  600.,  300.])
    """
    nodes, cycles = _nodes(law)
    share = bounded(depth, name="depth", low=0.0, high=1.0)
    logs, log_cycles = np.log(nodes), np.log(cycles)
    slope = -1.0
    if nodes.size > 1:
        last = (log_cycles[-1] - log_cycles[-2]) / (logs[-1] - logs[-2])
        slope = min(float(last), slope)
    with np.errstate(divide="ignore", over="ignore"):
        inside = np.exp(np.interp(np.log(share), logs, log_cycles))
        inside = inside * np.maximum(nodes[0] / share, 1.0)
    deep = np.maximum(share / nodes[-1], 1.0) ** slope
    return np.asarray(inside * deep, dtype=np.float64)


def cycle_wear(depth: ArrayLike, *, trips: ArrayLike, law: LifeLaw) -> NDArray[np.float64]:
    r"""
    Return the share of a battery's cycle life that a list of trips takes.

    Parameters
    ----------
    depth : array_like, shape (..., kinds)
        Share of the rated capacity a trip of each kind takes, 0 to 1. [1]
    trips : array_like, broadcastable
        How many trips there are of each kind. [count]
    law : LifeLaw
        Cycles against depth of the chemistry.

    Returns
    -------
    wear : ndarray, shape (...)
        1 at the end of life; beyond it above 1. [1]

    Raises
    ------
    ValueError
        If a depth is outside 0 to 1, a number of trips negative, or the law out of order.

    Notes
    -----
    .. math:: w = \sum_i n_i / N(d_i)

    Miner's rule [1]_: each trip takes its own share of life, in whatever order they come.

    References
    ----------
    .. [1] M. A. Miner, Cumulative damage in fatigue, J. Applied Mechanics 12, 1945 (from
       memory).

    Examples
    --------
    >>> law = LifeLaw(
    ...     depth=np.array([0.5, 0.8]),
    ...     cycles=np.array([600.0, 300.0]),
    ...     calendar_years=5.0,
    ...     calendar_power=1.0,
    ... )
    >>> float(cycle_wear([0.5, 0.8], trips=[30, 3], law=law).round(6))
    0.06
    """
    count = bounded(trips, name="trips", low=0.0)
    share = np.asarray(count / cycles_to_end(depth, law=law))
    return np.asarray(share if share.ndim == 0 else share.sum(axis=-1))


def years_to_end(wear_a_year: ArrayLike, *, law: LifeLaw) -> NDArray[np.float64]:
    r"""
    Return the years until a battery is down to 80 %, by use or by the calendar.

    Parameters
    ----------
    wear_a_year : array_like, shape (...)
        Share of its cycle life a year of trips takes, by `cycle_wear`. [1]
    law : LifeLaw
        Calendar life of the chemistry.

    Returns
    -------
    years : ndarray, shape (...)
        The earlier of the two ends. [count]

    Raises
    ------
    ValueError
        If the wear is negative, or the law out of order.

    Notes
    -----
    .. math:: y = \min(1 / w, \; Y)

    The earlier of the two, as if neither hurried the other; where both would come at the same
    time the truth is sooner, which the low end of the range has to cover.

    Examples
    --------
    >>> law = LifeLaw(
    ...     depth=np.array([0.5]),
    ...     cycles=np.array([600.0]),
    ...     calendar_years=5.0,
    ...     calendar_power=1.0,
    ... )
    >>> years_to_end([0.05, 0.5], law=law)
    array([5., 2.])
    """
    _nodes(law)
    wear = bounded(wear_a_year, name="wear_a_year", low=0.0)
    with np.errstate(divide="ignore"):
        by_use = 1.0 / wear
    return np.asarray(np.minimum(by_use, law.calendar_years))


def life_used(age_years: ArrayLike, *, wear: ArrayLike, law: LifeLaw) -> NDArray[np.float64]:
    """
    Return the share of its life a battery has behind it, by use or by age.

    Parameters
    ----------
    age_years : array_like, shape (...)
        Years since it was new. [count]
    wear : array_like, broadcastable
        Share of its cycle life used in those years, by `cycle_wear`. [1]
    law : LifeLaw
        Calendar life of the chemistry.

    Returns
    -------
    used : ndarray, shape (...)
        The greater of the two shares; above 1 it has outlived its time. [1]

    Raises
    ------
    ValueError
        If the age or the wear is negative, or the law out of order.

    Examples
    --------
    >>> law = LifeLaw(
    ...     depth=np.array([0.5]),
    ...     cycles=np.array([600.0]),
    ...     calendar_years=5.0,
    ...     calendar_power=1.0,
    ... )
    >>> life_used([1.0, 1.0, 6.0], wear=[0.1, 0.4, 0.4], law=law)
    array([0.2, 0.4, 1.2])
    """
    _nodes(law)
    years = bounded(age_years, name="age_years", low=0.0)
    used = bounded(wear, name="wear", low=0.0)
    return np.asarray(np.maximum(used, years / law.calendar_years))


def aged_capacity_fraction(
    age_years: ArrayLike, *, wear: ArrayLike, law: LifeLaw
) -> NDArray[np.float64]:
    r"""
    Return a guess of what age and use have left of the capacity on the label.

    For a bank that nobody has measured. A measured figure always wins: banks of one age
    differ more than this formula knows.

    Parameters
    ----------
    age_years : array_like, shape (...)
        Years since it was new. [count]
    wear : array_like, broadcastable
        Share of its cycle life used in those years, by `cycle_wear`. [1]
    law : LifeLaw
        Life of the chemistry.

    Returns
    -------
    fraction : ndarray, shape (...)
        1 when new, 0.8 at the end of life, less beyond. [1]

    Raises
    ------
    ValueError
        If the age or the wear is negative, the law out of order, or more than four lives
        have passed, where the guess means nothing.

    Notes
    -----
    .. math:: f = 1 - 0.2 \, \max\left(w, (a / Y)^p\right)

    Straight in use, and by the power p in time: 1 for lead-acid, 0.5 for lithium, which loses
    most at first. Ours, through the one point that defines the end of life. Beyond that point
    the line goes on, though many banks fall faster there: tell the user to measure.

    Examples
    --------
    >>> law = LifeLaw(
    ...     depth=np.array([0.5]),
    ...     cycles=np.array([600.0]),
    ...     calendar_years=5.0,
    ...     calendar_power=1.0,
    ... )
    >>> aged_capacity_fraction([0.0, 2.5, 5.0], wear=0.0, law=law)
    array([1. , 0.9, 0.8])
    """
    used = life_used(age_years, wear=wear, law=law)
    bounded(used, name="life used", high=MOST_LIVES)
    by_time = (np.asarray(age_years, dtype=np.float64) / law.calendar_years) ** (
        law.calendar_power
    )
    lost = np.maximum(np.asarray(wear, dtype=np.float64), by_time)
    return np.asarray(1.0 - (1.0 - END_CAPACITY) * lost)


def price_per_trip(
    bank_price: ArrayLike,
    *,
    trips: ArrayLike,
    recharge_wh: ArrayLike,
    energy_price_per_kwh: ArrayLike,
) -> NDArray[np.float64]:
    r"""
    Return what a trip costs: its share of the bank, and the energy of its recharge.

    Parameters
    ----------
    bank_price : array_like, shape (...)
        Of the whole bank, in any currency. [any]
    trips : array_like, broadcastable
        Trips until the bank is worn out, above 0; infinite means it never is. [count]
    recharge_wh : array_like, broadcastable
        Drawn from the wall to fill it again after a trip. [Wh]
    energy_price_per_kwh : array_like, broadcastable
        In the same currency. [1/kWh]

    Returns
    -------
    price : ndarray, shape (...)
        In the same currency. [any]

    Raises
    ------
    ValueError
        If a number is negative, or there is not a single trip.

    Examples
    --------
    >>> float(
    ...     price_per_trip(
    ...         600.0, trips=200.0, recharge_wh=1500.0, energy_price_per_kwh=0.2
    ...     ).round(2)
    ... )
    3.3
    """
    price = bounded(bank_price, name="bank_price", low=0.0)
    energy = bounded(recharge_wh, name="recharge_wh", low=0.0) / 1000.0
    rate = bounded(energy_price_per_kwh, name="energy_price_per_kwh", low=0.0)
    count = np.asarray(trips, dtype=np.float64)
    bounded(np.where(np.isposinf(count), 1.0, count), name="trips", low=0.0, above=True)
    return np.asarray(price / count + energy * rate)


def _nodes(law: LifeLaw) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return a law's nodes, checked."""
    depth = bounded(law.depth, name="law.depth", low=0.0, high=1.0, above=True)
    cycles = bounded(law.cycles, name="law.cycles", low=0.0, above=True)
    bounded(law.calendar_years, name="law.calendar_years", low=0.0, above=True)
    bounded(law.calendar_power, name="law.calendar_power", low=0.0, high=2.0, above=True)
    if depth.ndim != 1 or depth.size == 0 or depth.shape != cycles.shape:
        raise ValueError(
            f"law.cycles has the shape {cycles.shape}; it must be a list as long as law.depth"
        )
    if np.any(np.diff(depth) <= 0.0) or np.any(np.diff(cycles) > 0.0):
        raise ValueError("law.depth must rise and law.cycles fall from node to node")
    return depth, cycles
