"""
The search for the factors of a log: what is known before, the grid, the fit upon it.

Depends on: catalogue, learn.bins, learn.fit, learn.model, scenario.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.catalogue import uncertainties
from energysim.learn.fit import Fit, Fitted, fit_factors
from energysim.learn.model import (
    Grid,
    banks_drawn_on,
    computed_amperes,
    one_day,
    whole_days,
)
from energysim.learn.system import Reading
from energysim.learn.table import CAPACITY, DRAG, RESISTANCE, WIND, Axis

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.learn.bins import Binned, Means
    from energysim.learn.model import Computed
    from energysim.learn.table import Table
    from energysim.scenario.load import LoadedScenario

    Array = NDArray[np.float64]

WIDE: Final = np.log(2.8)
"""How far from the scenario's own drag and wind is searched (ours)."""

LEAST_CAPACITY, MOST_CAPACITY = 0.4, 1.25
LEAST_RESISTANCE, MOST_RESISTANCE = 0.4, 4.0
"""How far the bank is searched, of its label (ours)."""

CAPACITIES, BESIDE = 17, 2
"""Capacities that are run, and of those, every so many beside each day (ours). Volts alone tell
load from bank by little, so fewer would feign more than they tell."""

VOLT_ZERO: Final = 0.05 / 12.0
"""How far a voltmeter and a bank's rest voltage may be out, of the nominal voltage (ours)."""

CHARGE_ZERO: Final = 0.01
"""How far a shunt's morning state of charge may be from the scenario's (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Question:
    """What is asked of a log. Logarithms of the factors, in their order in `learn.model`."""

    before: Array  # (4,), the scenario's own
    known: dict[int, float]  # how far each is thought to be out
    rated_voltage_v: float
    least: float  # capacity searched
    with_prior: bool = False  # hold all of them to what is known

    @property
    def low(self) -> Array:
        """The least searched."""
        return np.concatenate([self.before[:2] - WIDE, np.log([self.least, LEAST_RESISTANCE])])

    @property
    def high(self) -> Array:
        """The most searched."""
        most = np.log([MOST_CAPACITY, MOST_RESISTANCE])
        return np.concatenate([self.before[:2] + WIDE, most])


def spreads_before(loaded: LoadedScenario) -> dict[int, float]:
    """
    Return how far each factor's logarithm is thought to be out before any log is seen.

    A factor of drag or wind takes with it whatever else is wrong between water and amperes: the
    form of the model and the motor's curve.
    """
    listed = uncertainties()
    bank, motor = loaded.scenario.bank, loaded.scenario.motor
    curve = "motor-bench" if motor.bench else "motor-label"
    shared = (listed["thrust-form"].spread, listed[curve].spread)
    lost = (1.0 - bank.capacity_fraction) / bank.capacity_fraction
    return {
        DRAG: float(np.hypot.reduce([listed["hull-drag"].spread, *shared])),
        WIND: float(np.hypot.reduce([listed["wind-load"].spread, *shared])),
        CAPACITY: float(np.hypot(listed["capacity"].spread, listed["age"].spread * lost)),
        RESISTANCE: listed["resistance"].spread,
    }


def grid_about(center: Array, step: Array, *, count: int, least: float) -> Grid:
    """
    Return the grid of factors whose days are computed.

    Parameters
    ----------
    center, step : ndarray, shape (2,)
        Of the logarithms of drag and wind.
    count : int
        Nodes of each.
    least : float
        Least capacity.
    """
    about = np.arange(count) - 0.5 * (count - 1)
    return Grid(
        drag=Axis(center[0] + step[0] * about, 0.0),
        wind=Axis(center[1] + step[1] * about, 0.0),
        capacity=Axis(np.linspace(1.0, 1.0 / least, CAPACITIES), -1.0),
        resistance=Axis(np.array([0.7, 1.5]), 1.0),
        beside=BESIDE,
    )


def fit_computed(tables: dict[str, Table], binned: Binned, question: Question) -> Fitted:
    """
    Fit the factors to readings whose tables are computed.

    A factor of which the log says less than was known before is held to that knowledge, and
    counts as not told.

    Parameters
    ----------
    tables : dict
        Of each reading that was logged.
    binned : Binned
        The log.
    question : Question
        What is known before, and what is searched.
    """
    before, known, with_prior = question.before, question.known, question.with_prior
    zeros = {
        "current": 0.0,
        "voltage": VOLT_ZERO * question.rated_voltage_v,
        "soc": CHARGE_ZERO,
    }
    readings = tuple(
        Reading(
            means=means,
            table=tables[means.name],
            scale=_scale(means, tables[means.name], question),
            offset_sd=zeros[means.name],
        )
        for means in (binned.current, binned.voltage, binned.soc)
        if means is not None
    )
    volts, charge = binned.voltage is not None, binned.soc is not None
    forces = binned.current is not None or binned.step_a is None
    # Without amperes a smaller bank and a heavier load look alike.
    told = [forces, forces, (volts or charge) and binned.step_a is not None, volts]
    low, high = question.low, question.high
    while True:
        held = {k: sd for k, sd in known.items() if with_prior or not told[k]}
        fit = fit_factors(readings, start=before, low=low, high=high, known=held, before=before)
        worst = _least_told(fit, known, told, with_prior=with_prior)
        if worst is None:
            return Fitted(fit, readings, tuple(told))
        told[worst] = False


def _least_told(
    fit: Fit, known: dict[int, float], told: list[bool], *, with_prior: bool
) -> int | None:
    """Return the factor of which the log says least, if that is less than was known before."""
    worst, most = None, 1.0
    for factor, sd in known.items():
        if not told[factor]:
            continue
        variance = fit.spread(factor) ** 2
        if with_prior:  # take out again what the prior brought
            variance = 1.0 / max(1.0 / variance - 1.0 / sd**2, 1e-12)
        ratio = np.sqrt(variance) / sd
        if ratio > most:
            worst, most = factor, ratio
    return worst


def fit_on_grid(
    loaded: LoadedScenario, computed: Computed, binned: Binned, question: Question, at: Array
) -> Fitted:
    """
    Fit on a grid, given the best answer so far.

    Where amperes were logged the bank does not hang on the forces: it is fitted first, drawn on
    by what was logged, and then stands behind every day.
    """
    if binned.current is None:
        tables = whole_days(computed, of_the_bank(binned))
        return fit_computed(tables, binned, question)
    tables = tables_of_the_bank(loaded, computed, binned, at)
    if tables:
        at = fit_computed(tables, replace(binned, current=None), question).fit.logs
    tables |= whole_days(computed, [binned.current], bank=one_day(loaded, at))
    return fit_computed(tables, binned, question)


def tables_of_the_bank(
    loaded: LoadedScenario, computed: Computed, binned: Binned, at: Array
) -> dict[str, Table]:
    """
    Return the tables of volts and state of charge, drawn on by what was logged.

    Parameters
    ----------
    loaded : LoadedScenario
        The scenario.
    computed : Computed
        For its banks.
    binned : Binned
        The log.
    at : ndarray, shape (4,)
        Logarithms of the factors of the day that fills the gaps.
    """
    others = of_the_bank(binned)
    if not others or binned.step_a is None:
        return {}
    gaps = ~np.isfinite(binned.step_a)
    filled = computed_amperes(one_day(loaded, at)) if gaps.any() else binned.step_a
    return banks_drawn_on(computed, np.where(gaps, filled, binned.step_a), others)


def of_the_bank(binned: Binned) -> list[Means]:
    """Return what was logged of the bank itself."""
    return [means for means in (binned.voltage, binned.soc) if means is not None]


def _scale(means: Means, table: Table, question: Question) -> Array:
    """Return how the size of a reading's errors varies: amperes err with the load."""
    if means.name != "current":
        return np.ones(means.values.shape)
    computed, _ = table.read(question.before)
    return np.asarray(0.2 * np.abs(computed).mean() + np.abs(computed) + 1e-3)
