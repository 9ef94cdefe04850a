"""
What a log cannot tell, in words: of each factor not told, and of the whole answer.

Depends on: constants, learn.asked, learn.fit, learn.table, plan.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.constants import KNOT_MPS
from energysim.learn.asked import NAMES, UNITS, WORDS
from energysim.learn.table import CAPACITY, DRAG, RESISTANCE, WIND

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.learn.asked import Asked
    from energysim.learn.bins import Binned
    from energysim.learn.fit import Fitted
    from energysim.plan import DayPlan

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


def why_not(asked: Asked, number: int) -> str:
    """Say why the log does not tell a factor."""
    return (
        _why_no_force(asked, number) if number in {DRAG, WIND} else _why_no_bank(asked, number)
    )


def _why_no_force(asked: Asked, number: int) -> str:
    around, steps = asked.plan.surroundings, powered(asked.plan)
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
    if asked.binned.step_a is None:
        return "without amperes a smaller bank looks like a heavier load; log them too"
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


def cannot_tell(asked: Asked, fitted: Fitted, correlation: float | None) -> list[str]:
    """Say what no fit of this log can."""
    lines = [
        f"{factor.lower()}: {why_not(asked, number)}. It is taken to be within "
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
            "under the bow motor, where a little more of either turns the boat. In trials an "
            "interval of drag held the truth 96 times in 100 on one such day and 88 on another."
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
    steps, around = powered(plan), plan.surroundings
    angle = np.deg2rad(around.stream_toward_deg + 180.0 - around.wind_from_deg)
    against = (np.cos(angle) < np.cos(np.deg2rad(OPPOSED_DEG))) & (around.stream_mps > 0.05)
    length = np.diff(plan.edges_s)
    return float((length * (against & steps)).sum() / max((length * steps).sum(), 1.0))


def zeros(fitted: Fitted) -> list[str]:
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


def powered(plan: DayPlan) -> NDArray[np.bool_]:
    """Return the steps under the bow motor."""
    return np.asarray(plan.wanted.in_use)
