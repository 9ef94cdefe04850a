"""
What a logged day says about the boat and the bank the scenario describes.

Depends on: build, catalogue, clock, errors, learn.answer, learn.bins, learn.dropouts,
learn.log, learn.model, learn.search, learn.table, plan, results.learn, scenario, simulate.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build import build_day
from energysim.clock import clock_after
from energysim.errors import Problem, ScenarioError
from energysim.learn.answer import learned
from energysim.learn.asked import WORDS, Asked
from energysim.learn.bins import bin_log
from energysim.learn.dropouts import volts_of_the_bank
from energysim.learn.model import compute_days, computed_amperes, one_day, whole_days
from energysim.learn.search import (
    LEAST_CAPACITY,
    WIDE,
    Question,
    fit_on_grid,
    grid_about,
    of_the_bank,
    spreads_before,
    tables_of_the_bank,
)
from energysim.learn.table import CAPACITY

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from energysim.learn.bins import Binned, Means
    from energysim.learn.log import DayLog
    from energysim.learn.table import Table
    from energysim.plan import DayPlan
    from energysim.results.learn import LearnResult
    from energysim.scenario.load import LoadedScenario

    Array = NDArray[np.float64]

FEWEST_MEANS: Final = 6
"""Means of a reading, below which it is not fitted: half an hour (ours)."""

SOME_LEFT: Final = 1.05
"""A bank is not taken to have held less than this times what was drawn (ours)."""

RECENTRED: Final = 3
"""How often the grid is laid anew about the answer at the most (ours)."""


def learn(
    loaded: LoadedScenario,
    log: DayLog,
    *,
    log_name: str,
    with_prior: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> LearnResult:
    """
    Fit drag, wind and bank to a logged day.

    Parameters
    ----------
    loaded : LoadedScenario
        The day as it was sailed: legs, wind and stream.
    log : DayLog
        On that day's clock.
    log_name : str
        What answers call the log.
    with_prior : bool
        Also hold the factors to the list of spreads, which is worth while on a short log.
    progress : callable, optional
        Told how many rounds are done, and of how many at the most.

    Returns
    -------
    LearnResult
        Factors, intervals, and what the log cannot tell.

    Raises
    ------
    ScenarioError
        The log lies beside the plan, or holds too little of it.
    """
    plan = build_day(loaded)
    log = volts_of_the_bank(log, plan, name=log_name)
    binned = bin_log(log, plan, loaded.scenario.legs)
    binned, too_few = _enough(binned)
    _refuse_nothing(log, plan, binned, log_name)
    before = _before(loaded)
    least = _least_capacity(plan, binned, float(np.exp(before[CAPACITY])))
    question = Question(
        before=before,
        known=spreads_before(loaded),
        rated_voltage_v=plan.rated_voltage_v,
        least=least,
        with_prior=with_prior,
    )
    center, step, at = before[:2], np.full(2, WIDE / 3.0), before
    for turn in range(1 + RECENTRED):
        if progress is not None:
            progress(turn, 1 + RECENTRED)
        grid = grid_about(center, step, count=5 if turn else 7, least=least)
        fitted = fit_on_grid(loaded, compute_days(loaded, grid), binned, question, at)
        at = fitted.fit.logs
        finer = np.clip(1.2 * np.sqrt(np.diag(fitted.fit.covariance)[:2]), 0.04, WIDE / 3.0)
        if (
            turn
            and (np.abs(at[:2] - center) <= 1.5 * step).all()
            and (step <= 1.3 * finer).all()
        ):
            break
        center, step = at[:2], finer
    if progress is not None:
        progress(1 + RECENTRED, 1 + RECENTRED)
    notes = (*log.notes, *binned.notes, *too_few, *_gap_notes(plan, binned))
    return learned(
        Asked(
            loaded=loaded,
            plan=plan,
            log_name=log_name,
            binned=binned,
            question=question,
            notes=notes,
        ),
        fitted,
        at_start=_at_start(loaded, binned, before, least),
    )


def _at_start(
    loaded: LoadedScenario, binned: Binned, before: Array, least: float
) -> dict[str, Table]:
    """Return tables about the scenario's own factors."""
    narrow = grid_about(before[:2], np.full(2, 0.05), count=2, least=least)
    computed = compute_days(loaded, narrow)
    if binned.current is None:
        return whole_days(computed, of_the_bank(binned))
    tables = tables_of_the_bank(loaded, computed, binned, before)
    return tables | whole_days(computed, [binned.current], bank=one_day(loaded, before))


def _before(loaded: LoadedScenario) -> Array:
    """Return the logarithms of the scenario's own factors."""
    boat, bank = loaded.scenario.boat, loaded.scenario.bank
    return np.log([boat.drag_factor, boat.wind_factor, bank.capacity_fraction, 1.0])


def _least_capacity(plan: DayPlan, binned: Binned, fraction: float) -> float:
    """Return the least capacity worth trying: a bank must hold what was drawn."""
    step_a = computed_amperes(plan)
    if binned.step_a is not None:
        step_a = np.where(np.isfinite(binned.step_a), np.maximum(binned.step_a, 0.0), step_a)
    drawn_ah = float((step_a * np.diff(plan.edges_s)).sum()) / 3600.0
    label_ah = plan.ledger_capacity_ah / fraction
    start = max(float(np.ravel(plan.bank.start_soc)[0]), 0.05)
    least = max(LEAST_CAPACITY, SOME_LEFT * drawn_ah / (label_ah * start))
    return float(np.clip(least, 0.5 * fraction, min(0.85, 0.9 * fraction)))


def _enough(binned: Binned) -> tuple[Binned, tuple[str, ...]]:
    """Drop readings of which too little was logged, and say so."""
    notes: list[str] = []

    def enough(means: Means | None) -> Means | None:
        if means is None or means.values.size >= FEWEST_MEANS:
            return means
        count = means.values.size
        notes.append(f"{WORDS[means.name]} not used: only {count} means of 5 min in the plan")
        return None

    kept = replace(
        binned,
        current=enough(binned.current),
        voltage=enough(binned.voltage),
        soc=enough(binned.soc),
    )
    return kept, tuple(notes)


def _refuse_nothing(log: DayLog, plan: DayPlan, binned: Binned, name: str) -> None:
    """Refuse a log that lies beside the plan or holds too little of it."""
    if binned.current is not None or binned.voltage is not None or binned.soc is not None:
        return
    clocks = [
        f"{clock_after(plan.start, float(second)):%d %b %Y %H:%M}"
        for second in (log.at_s[0], log.at_s[-1], plan.edges_s[0], plan.edges_s[-1])
    ]
    apart = log.at_s[-1] <= plan.edges_s[0] or log.at_s[0] >= plan.edges_s[-1]
    raise ScenarioError(
        Problem(
            file=name,
            reason=f"the log runs from {clocks[0]} to {clocks[1]}, and the plan from "
            f"{clocks[2]} to {clocks[3]}"
            if apart
            else f"holds fewer than {FEWEST_MEANS} means of 5 min of any reading within the "
            "legs under the bow motor",
            hint="set day.date and the legs to the day sailed, and check the log's zone"
            if apart
            else "log the whole day, a row a minute or so",
        )
    )


def _gap_notes(plan: DayPlan, binned: Binned) -> tuple[str, ...]:
    """Say how much of the amperes had to be filled in."""
    if binned.step_a is None or (binned.voltage is None and binned.soc is None):
        return ()
    missing = float(np.diff(plan.edges_s)[~np.isfinite(binned.step_a)].sum())
    if missing < 600.0:
        return ()
    return (
        f"{missing / 3600.0:.1f} h of the plan have no amperes; what left the bank then is "
        "computed",
    )
