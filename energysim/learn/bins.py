"""
A logged day cut into short means, and the same means of a computed day.

A logger samples at its own pace and leaves gaps. What is computed is averaged over the very
moments that were logged, so a gap costs information and nothing else.

Depends on: learn.log, plan, constants.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.constants import KNOT_MPS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.learn.log import DayLog
    from energysim.plan import DayPlan
    from energysim.scenario.leg import Leg

    Array = NDArray[np.float64]
    Flags = NDArray[np.bool_]

BIN_S: Final = 300.0
"""Length of a mean: long beside a gust, short beside the turn of the tide (ours). [s]"""

SETTLE_S: Final = 180.0
"""A leg's first and last minutes, not used of its amperes: nobody sails by seconds (ours)."""

CHARGING_A: Final = -0.5
"""A mean below this goes into the bank, which is not followed here (ours). [A]"""

HELD_MPS: Final = 0.6 * KNOT_MPS
"""A mean speed over the ground above this is no held boat (ours; receivers scatter by half)."""

OFF_SPEED_MPS: Final = 0.5 * KNOT_MPS
OFF_COURSE_DEG: Final = 30.0
"""A creep further than this from its plan is left out (ours)."""

POWERED: Final = frozenset({"hold", "creep", "drift"})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Means:
    """The short means of one reading."""

    name: str
    values: Array  # (bins,)
    at_s: Array  # (bins,), middle of what was logged
    leg: NDArray[np.intp]  # (bins,), -1 between legs
    weights: Array  # (bins, steps), or (bins, steps + 1) of a book kept at the steps' edges


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Binned:
    """The whole log, as the fit takes it."""

    current: Means | None  # legs under the bow motor only
    voltage: Means | None
    soc: Means | None
    step_a: Array | None  # (steps,), mean of the amperes logged in each; NaN where none were
    first_s: float
    last_s: float
    notes: tuple[str, ...]


def bin_log(log: DayLog, plan: DayPlan, legs: Sequence[Leg]) -> Binned:
    """
    Cut a log into means of five minutes, each within one leg.

    Parameters
    ----------
    log : DayLog
        On the plan's clock.
    plan : DayPlan
        For its steps and legs.
    legs : sequence of Leg
        What the scenario wants of each, to know a boat that did something else.

    Returns
    -------
    Binned
        Readings without a single mean are None.
    """
    edges = plan.edges_s
    inside = (log.at_s >= edges[0]) & (log.at_s < edges[-1])
    at_s = log.at_s[inside]
    step = np.searchsorted(edges, at_s, side="right") - 1
    leg = plan.leg_of_step[step]
    powered = np.array([one.verb in POWERED for one in plan.legs] + [False])[leg]
    begin, end = _leg_ends(plan)
    notes: list[str] = []
    current = None if log.current_a is None else log.current_a[inside]
    if current is not None and _counts_out_as_negative(current[powered]):
        current = -current
        notes.append("the log counts amperes out of the bank as negative: turned round")
    bins = np.cumsum(np.append(0, np.diff(leg) != 0)) * 10_000
    bins = bins + ((at_s - begin[step]) // BIN_S).astype(np.intp)
    settled = (at_s >= begin[step] + SETTLE_S) & (at_s <= end[step] - SETTLE_S)
    astray = _astray(log, inside, leg, bins, legs)
    where = _Where(at_s=at_s, step=step, leg=leg, bins=bins, edges=edges)
    means: dict[str, Means | None] = {"current": None, "voltage": None, "soc": None}
    if current is not None:
        use = powered & settled & ~astray
        means["current"] = _means("current", current, use, where)
    for name, values in (("voltage", log.voltage_v), ("soc", log.soc)):
        if values is not None:
            means[name] = _means(name, values[inside], np.ones(at_s.shape, dtype=bool), where)
    if (astray & powered).any():
        count = np.unique(bins[astray & powered]).size
        notes.append(
            f"{count} means of {BIN_S / 60:.0f} min left out: by the speed or course over the "
            "ground the boat did not do what the leg says"
        )
    kept = means["current"]
    if kept is not None and (kept.values < CHARGING_A).any():
        charged = kept.values < CHARGING_A
        notes.append(f"{charged.sum()} means left out in which the bank was being charged")
        means["current"] = _chosen(kept, ~charged)
    return Binned(
        current=_or_none(means["current"]),
        voltage=_or_none(means["voltage"]),
        soc=_or_none(means["soc"]),
        step_a=None if current is None else _step_means(current, step, edges.size - 1),
        first_s=float(at_s[0]) if at_s.size else 0.0,
        last_s=float(at_s[-1]) if at_s.size else 0.0,
        notes=tuple(notes),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Where:
    """Where each row inside the plan belongs."""

    at_s: Array
    step: NDArray[np.intp]
    leg: NDArray[np.intp]
    bins: NDArray[np.intp]
    edges: Array


def _counts_out_as_negative(powered_a: Array) -> bool:
    """Say whether under the motor most amperes that flow are negative."""
    flowing = powered_a[np.abs(powered_a) > -CHARGING_A]
    return bool(flowing.size) and float(np.median(flowing)) < 0.0


def _leg_ends(plan: DayPlan) -> tuple[Array, Array]:
    """Return when the leg (or the wait) of each step begins and ends."""
    turns = np.flatnonzero(np.diff(plan.leg_of_step)) + 1
    firsts = np.concatenate([[0], turns])
    lasts = np.concatenate([turns, [plan.leg_of_step.size]])
    lengths = lasts - firsts
    return (
        np.repeat(plan.edges_s[firsts], lengths),
        np.repeat(plan.edges_s[lasts], lengths),
    )


def _astray(
    log: DayLog,
    inside: Flags,
    leg: NDArray[np.intp],
    bins: NDArray[np.intp],
    legs: Sequence[Leg],
) -> Flags:
    """Return the rows of those means in which the boat did not do what its leg says."""
    astray = np.zeros(leg.shape, dtype=bool)
    if log.speed_mps is None:
        return astray
    speed = log.speed_mps[inside]
    course = None if log.course_deg is None else log.course_deg[inside]
    for one in np.unique(bins):
        rows = np.flatnonzero((bins == one) & np.isfinite(speed))
        number = int(leg[bins == one][0])
        if not rows.size or number < 0:
            continue
        wanted, mean = legs[number], float(speed[rows].mean())
        if wanted.do == "hold":
            astray[bins == one] = mean > HELD_MPS
        elif wanted.do == "creep" and wanted.over == "ground":
            off = abs(mean - (wanted.speed_mps or 0.0)) > OFF_SPEED_MPS
            if course is not None and wanted.course_deg is not None:
                turn = np.deg2rad(course[rows] - wanted.course_deg)
                known = turn[np.isfinite(turn)]
                angle = np.rad2deg(np.arctan2(np.sin(known).sum(), np.cos(known).sum()))
                off = off or (known.size > 0 and bool(abs(angle) > OFF_COURSE_DEG))
            astray[bins == one] = off
    return astray


def _means(name: str, values: Array, use: Flags, where: _Where) -> Means:
    """Return the means of one reading, those with too few rows left out."""
    use = use & np.isfinite(values)
    ids, row = np.unique(where.bins[use], return_inverse=True)
    count = np.bincount(row, minlength=ids.size).astype(np.float64)
    share = 1.0 / count[row] if ids.size else np.zeros(0)
    step, at_s = where.step[use], where.at_s[use]
    steps = where.edges.size - 1
    edged = name == "soc"
    weights = np.zeros((ids.size, steps + edged))
    if edged:
        along = (at_s - where.edges[step]) / (where.edges[step + 1] - where.edges[step])
        np.add.at(weights, (row, step), share * (1.0 - along))
        np.add.at(weights, (row, step + 1), share * along)
    else:
        np.add.at(weights, (row, step), share)
    leg = np.full(ids.size, -1, dtype=np.intp)
    leg[row] = where.leg[use]
    means = Means(
        name=name,
        values=_summed(row, values[use] * share, ids.size),
        at_s=_summed(row, at_s * share, ids.size),
        leg=leg,
        weights=weights,
    )
    return _chosen(means, count >= 0.5 * np.median(count)) if ids.size else means


def _summed(row: NDArray[np.intp], parts: Array, rows: int) -> Array:
    """Add parts up by row."""
    total = np.zeros(rows)
    np.add.at(total, row, parts)
    return total


def _chosen(means: Means, keep: Flags) -> Means:
    """Return some of the means."""
    return Means(
        name=means.name,
        values=means.values[keep],
        at_s=means.at_s[keep],
        leg=means.leg[keep],
        weights=means.weights[keep],
    )


def _or_none(means: Means | None) -> Means | None:
    """Return means that hold anything."""
    return means if means is not None and means.values.size else None


def _step_means(values: Array, step: NDArray[np.intp], steps: int) -> Array:
    """Return the mean of what was logged in each step, NaN where nothing was."""
    known = np.isfinite(values)
    count = _summed(step[known], np.ones(known.sum()), steps)
    total = _summed(step[known], values[known], steps)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)
