"""
A fit turned into an answer: factors with intervals, how well they meet the log, leg by leg.

Depends on: build, catalogue, clock, errors, learn.asked, learn.cannot, learn.fit, learn.table,
results.learn, scenario.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build import DayAsked, build_days
from energysim.catalogue import uncertainties
from energysim.clock import clock_after
from energysim.errors import ScenarioError
from energysim.learn.asked import KEYS, NAMES, UNITS, Asked
from energysim.learn.cannot import cannot_tell, powered, why_not, zeros
from energysim.learn.table import CAPACITY, DRAG, RESISTANCE, WIND
from energysim.results.learn import Learned, LearnResult, LegFit, Misfit
from energysim.scenario.whatif import changed

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.learn.bins import Means
    from energysim.learn.fit import Fit, Fitted
    from energysim.learn.table import Table

    Array = NDArray[np.float64]

FORECAST_LEAD_H: Final = 12.0
"""Age of a forecast in the middle of the day, for the wider intervals (ours). [h]"""

PROBE_OHM: Final = 0.010


def learned(asked: Asked, fitted: Fitted, *, at_start: dict[str, Table]) -> LearnResult:
    """
    Return the answer.

    Parameters
    ----------
    asked : Asked
        The question.
    fitted : Fitted
        What came out.
    at_start : dict
        Tables near the scenario's own factors, for how well those met the log.
    """
    fit, told = fitted.fit, fitted.told
    plan, binned = asked.plan, asked.binned
    before = {name: table.read(asked.question.before)[0] for name, table in at_start.items()}
    correlation = _correlation(fit, DRAG, WIND) if told[DRAG] and told[WIND] else None
    return LearnResult(
        title=plan.title,
        log_name=asked.log_name,
        first=clock_after(plan.start, binned.first_s),
        last=clock_after(plan.start, binned.last_s),
        factors=tuple(_factor(asked, fitted, number) for number in range(4)),
        misfits=_misfits(asked, fitted, before),
        legs=_legs(asked, fitted, before),
        drag_against_wind=correlation,
        push_spread=_push_spread(fitted),
        with_prior=asked.question.with_prior,
        cannot_tell=tuple(cannot_tell(asked, fitted, correlation)),
        notes=(*asked.notes, *zeros(fitted)),
    )


def _factor(asked: Asked, fitted: Fitted, number: int) -> Learned:
    """Return one factor."""
    fit, told = fitted.fit, fitted.told[number]
    low, high = fit.interval(number)
    wide = fit.interval(number, more_variance=_forecast_variance(asked, number))
    value = float(np.exp(fit.logs[number]))
    reach = 0.01 * (asked.question.high[number] - asked.question.low[number])
    at_the_edge = (
        not asked.question.low[number] + reach
        < fit.logs[number]
        < asked.question.high[number] - reach
    )
    written, note, caution = _written(asked, number, value) if told else ("", "", "")
    return Learned(
        key=KEYS[number],
        name=NAMES[number],
        before=float(np.exp(asked.question.before[number])),
        value=value,
        low=low,
        high=high,
        told=told,
        at_the_edge=told and at_the_edge,
        why_not="" if told else why_not(asked, number),
        written=written,
        note=note,
        caution=caution,
        low_as_forecast=wide[0],
        high_as_forecast=wide[1],
    )


def _written(asked: Asked, number: int, value: float) -> tuple[str, str, str]:
    """Return a factor as a scenario writes it, what that is, and where it is not the fit."""
    if number == CAPACITY and value > 1.0:
        told = f"a scenario takes no more than the label; the log says {value:.2f}"
        return "1.0", "", told
    if number != RESISTANCE:
        return f"{value:.3f}", "", ""
    block_ohm = _block_ohm(asked)
    if block_ohm is None:
        return "", "", "this bank takes no resistance of its own, so it is not written"
    written = f'"{1000.0 * block_ohm * value:.3g} mohm"'
    return written, "of one full block at 25 degC", ""


def _block_ohm(asked: Asked) -> float | None:
    """Return the resistance of one full block at 25 degC, found by trying another."""
    try:
        other = changed(asked.loaded, {KEYS[RESISTANCE]: f"{1000.0 * PROBE_OHM:g} mohm"})
    except ScenarioError:
        return None
    (probe,) = build_days([DayAsked(other)], in_full=False)
    if isinstance(probe, ScenarioError):
        return None
    own, tried = (np.ravel(one.bank.resistance_full_ohm) for one in (asked.plan, probe))
    if own.size != tried.size or not np.allclose(own / tried, own[0] / tried[0]):
        return None
    return float(own[0] / tried[0]) * PROBE_OHM


def _forecast_variance(asked: Asked, number: int) -> float:
    """Return the variance of a factor that stands in for a forecast's error."""
    listed = uncertainties()
    if number == DRAG:
        return (2.0 * listed["stream-strength"].spread) ** 2
    if number != WIND:
        return 0.0
    steps = powered(asked.plan)
    if not steps.any():
        return 0.0
    mean = float(asked.plan.surroundings.wind_mps[steps].mean())
    hours = np.ptp(asked.plan.edges_s[:-1][steps]) / 3600.0 / FADE_H
    # The mean over some hours of an error that fades over six.
    kept = 2.0 * (hours - 1.0 + np.exp(-hours)) / hours**2 if hours > 1e-3 else 1.0
    error = listed["wind-error"].spread * (1.0 + 0.02 * FORECAST_LEAD_H)
    spread = np.hypot(error * np.sqrt(kept), listed["wind-bias"].spread)
    return float(min(2.0 * spread / max(mean, 0.5), 2.0) ** 2)


FADE_H: Final = 6.0
"""Over which a forecast's error fades (our choice, as in the odds). [h]"""


def _correlation(fit: Fit, one: int, other: int) -> float:
    variance = fit.covariance
    return float(variance[one, other] / np.sqrt(variance[one, one] * variance[other, other]))


def _push_spread(fitted: Fitted) -> float | None:
    """Return how well the amperes of drag and wind together are told."""
    for reading in fitted.readings:
        if reading.means.name == "current":
            values, slopes = reading.table.read(fitted.fit.logs)
            own = slopes[:, :2].mean(axis=0) / values.mean()
            return float(np.sqrt(own @ fitted.fit.covariance[:2, :2] @ own))
    return None


def _misfits(asked: Asked, fitted: Fitted, before: dict[str, Array]) -> tuple[Misfit, ...]:
    """Return how well each reading is met."""
    found = []
    for reading, computed, kept, memory_s in zip(
        fitted.readings, fitted.fit.computed, fitted.fit.kept, fitted.fit.memory_s, strict=True
    ):
        means = reading.means
        size = 100.0 if means.name == "soc" else 1.0
        left = means.values - computed
        out = np.flatnonzero(~kept)
        worst = None
        if out.size:
            second = means.at_s[out[np.argmax(np.abs(left[out] / reading.scale[out]))]]
            worst = clock_after(asked.plan.start, float(second))
        found.append(
            Misfit(
                name=means.name,
                unit=UNITS[means.name],
                bins=int(kept.sum()),
                left_out=int(out.size),
                worst_at=worst,
                mean_logged=size * float(means.values[kept].mean()),
                rms_before=size * _rms((means.values - before[means.name])[kept]),
                rms_after=size * _rms(left[kept]),
                memory_s=memory_s,
            )
        )
    return tuple(found)


def _rms(values: Array) -> float:
    return float(np.sqrt((values * values).mean())) if values.size else 0.0


def _legs(asked: Asked, fitted: Fitted, before: dict[str, Array]) -> tuple[LegFit, ...]:
    """Return each leg's amperes."""
    for reading, computed in zip(fitted.readings, fitted.fit.computed, strict=True):
        means: Means = reading.means
        if means.name != "current":
            continue
        return tuple(
            LegFit(
                name=leg.name,
                verb=leg.verb,
                bins=int(own.sum()),
                logged_a=float(means.values[own].mean()),
                before_a=float(before["current"][own].mean()),
                after_a=float(computed[own].mean()),
            )
            for number, leg in enumerate(asked.plan.legs)
            if (own := means.leg == number).any()
        )
    return ()
