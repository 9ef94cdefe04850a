"""
A fit turned into an answer: factors with intervals, and in words what the log cannot tell.

Depends on: build, catalogue, clock, learn.bins, learn.fit, learn.model, plan, results_learn,
scenario, errors.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build import DayAsked, build_days
from energysim.catalogue import uncertainties
from energysim.clock import clock_after
from energysim.constants import KNOT_MPS
from energysim.errors import ScenarioError
from energysim.learn.model import CAPACITY, DRAG, RESISTANCE, WIND
from energysim.results_learn import Learned, LearnResult, LegFit, Misfit
from energysim.scenario.whatif import changed

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.learn.bins import Binned, Means
    from energysim.learn.fit import Fit, Fitted
    from energysim.learn.model import Table
    from energysim.learn.search import Question
    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario

    Array = NDArray[np.float64]

WORDS: Final = {"current": "amperes", "voltage": "volts", "soc": "state of charge"}
UNITS: Final = {"current": "A", "voltage": "V", "soc": "points"}
KEYS: Final = (
    "boat.drag_factor",
    "boat.wind_factor",
    "bank.capacity_fraction",
    "bank.resistance",
)
NAMES: Final = (
    "Drag of the water",
    "Push of the wind",
    "Capacity, of the label",
    "Resistance of the bank",
)
SHARED_OPEN: Final = 0.7
"""Correlation beyond which drag and wind are said to stand for one another (ours)."""

LITTLE_STREAM_MPS: Final = 0.4 * KNOT_MPS
LITTLE_WIND_MPS: Final = 6.0 * KNOT_MPS
LITTLE_DRAWN: Final = 0.4
"""Below these a factor that is not told has its reason named so (ours)."""

OPPOSED_DEG: Final = 120.0
"""From where the stream comes to where the wind comes, beyond which they oppose (ours)."""

MUCH_OPPOSED: Final = 0.4
"""Share of the time from which that is said (ours)."""

FORECAST_LEAD_H: Final = 12.0
"""Age of a forecast in the middle of the day, for the wider intervals (ours). [h]"""

PROBE_OHM: Final = 0.010


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """What was asked of the log."""

    loaded: LoadedScenario
    plan: DayPlan
    log_name: str
    binned: Binned
    question: Question
    notes: tuple[str, ...]


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
        cannot_tell=tuple(_cannot_tell(asked, fitted, correlation)),
        notes=(*asked.notes, *_zeros(fitted)),
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
    written, note = _written(asked, number, value) if told else ("", "")
    return Learned(
        key=KEYS[number],
        name=NAMES[number],
        before=float(np.exp(asked.question.before[number])),
        value=value,
        low=low,
        high=high,
        told=told,
        at_the_edge=told and at_the_edge,
        why_not="" if told else _why_not(asked, number),
        written=written,
        note=note,
        low_as_forecast=wide[0],
        high_as_forecast=wide[1],
    )


def _written(asked: Asked, number: int, value: float) -> tuple[str, str]:
    """Return a factor as a scenario writes it, and a word about it."""
    if number == CAPACITY and value > 1.0:
        return "1.0", f"a scenario takes no more than the label; the log says {value:.2f}"
    if number != RESISTANCE:
        return f"{value:.3f}", ""
    block_ohm = _block_ohm(asked)
    if block_ohm is None:
        return "", "this bank takes no resistance of its own; change its blocks instead"
    return f'"{1000.0 * block_ohm * value:.3g} mohm"', "of one full block at 25 degC"


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
    steps = _powered(asked.plan)
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


def _powered(plan: DayPlan) -> NDArray[np.bool_]:
    return np.asarray(plan.wanted.in_use)


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


def _why_not(asked: Asked, number: int) -> str:
    """Say why the log does not tell a factor."""
    return (
        _why_no_force(asked, number) if number in {DRAG, WIND} else _why_no_bank(asked, number)
    )


def _why_no_force(asked: Asked, number: int) -> str:
    around, steps = asked.plan.surroundings, _powered(asked.plan)
    moving, little, what = (
        (around.stream_mps, LITTLE_STREAM_MPS, "stream ran")
        if number == DRAG
        else (around.wind_mps, LITTLE_WIND_MPS, "wind blew")
    )
    if not steps.any() or moving[steps].mean() < little:
        return f"hardly any {what} while the bow motor was on"
    return "the log is too short or too noisy, or wind and stream rose and fell together"


def _why_no_bank(asked: Asked, number: int) -> str:
    volts = asked.binned.voltage is not None
    if number == RESISTANCE:
        if not volts:
            return "it takes volts under a changing load"
        return "the load changed too little for the volts to show it"
    if not volts and asked.binned.soc is None:
        return "amperes alone do not know how full the bank is; log its volts too"
    share = _drawn_share(asked.plan, asked.binned)
    if share < LITTLE_DRAWN:
        return f"only {share:.0%} of the bank was drawn"
    return "the volts hardly follow the charge of this bank, or are too noisy"


def _drawn_share(plan: DayPlan, binned: Binned) -> float:
    """Return the share of the bank that was drawn."""
    if binned.step_a is None:
        return 1.0
    drawn = np.nansum(binned.step_a * np.diff(plan.edges_s)) / 3600.0
    return float(max(drawn, 0.0) / plan.ledger_capacity_ah)


def _cannot_tell(asked: Asked, fitted: Fitted, correlation: float | None) -> list[str]:
    """Say what no fit of this log can."""
    lines = [
        f"{factor.lower()}: {_why_not(asked, number)}. It is taken to be within "
        "what was known before, and stays as it is."
        for number, factor in enumerate(NAMES)
        if not fitted.told[number]
    ]
    if correlation is not None and abs(correlation) > SHARED_OPEN:
        lines.append(
            "which of drag and wind it was: more of one with less of the other fits nearly as "
            f"well (correlation {correlation:+.2f}). Use the two together or not at all."
        )
    lines += [
        f"one answer from another: with drag {np.exp(one[DRAG]):.2f} and wind "
        f"{np.exp(one[WIND]):.2f} this log is met nearly as well, because the boat would then "
        "lie otherwise between wind and stream. The intervals reach from one to the other."
        for one in fitted.fit.rivals
    ]
    share = _opposed_share(asked.plan)
    if share > MUCH_OPPOSED and (fitted.told[DRAG] or fitted.told[WIND]):
        lines.append(
            f"all it seems to: wind and stream opposed each other for {share:.0%} of the time "
            "under the bow motor, where a little more of either turns the boat. In trials the "
            "interval held the truth 96 times in 100 on one such day and 88 on another."
        )
    if fitted.told[DRAG] or fitted.told[WIND]:
        lines += [
            "hull from motor: a motor that asks for more amperes than its curve says looks "
            "like a boat that drags more. The factors are what this program needs to meet "
            "your log.",
            "whether wind and stream were those of the scenario. If they were forecasts, "
            "not measured, the factors carry the forecast's error too: see the second "
            "interval.",
        ]
    if asked.binned.soc is not None and fitted.told[CAPACITY]:
        lines.append(
            "a shunt's own setting: a state of charge counted from amperes is worked out "
            "with the capacity somebody set, and the capacity fitted is then that setting."
        )
    if asked.binned.voltage is not None:
        lines.append(
            "where the volts were taken: they are read as those of the bank's terminals; taken "
            "at the motor, the leads count as resistance of the bank."
        )
    return lines


def _opposed_share(plan: DayPlan) -> float:
    """Return the share of the time under the bow motor in which wind and stream oppose."""
    steps, around = _powered(plan), plan.surroundings
    angle = np.deg2rad(around.stream_toward_deg + 180.0 - around.wind_from_deg)
    against = (np.cos(angle) < np.cos(np.deg2rad(OPPOSED_DEG))) & (around.stream_mps > 0.05)
    length = np.diff(plan.edges_s)
    return float((length * (against & steps)).sum() / max((length * steps).sum(), 1.0))


def _zeros(fitted: Fitted) -> list[str]:
    """Say how far a meter's zero had to be moved."""
    lines = []
    for reading, offset in zip(fitted.readings, fitted.fit.offsets, strict=True):
        size = 100.0 if reading.means.name == "soc" else 1.0
        if abs(offset) > reading.offset_sd > 0.0:
            lines.append(
                f"the log's {WORDS[reading.means.name]} lie {size * abs(offset):.2g} "
                f"{UNITS[reading.means.name]} {'above' if offset > 0 else 'below'} what the "
                "scenario's start of the day makes likely"
            )
    return lines
