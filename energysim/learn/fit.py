"""
Factors from a log by robust least squares, and intervals that count its errors as they are.

First a fit that lets outliers pull gently (`soft_l1`) finds which means belong. Those are
fitted again with its weights, and the intervals of that fit are worked out with errors that
hang together in time.

Depends on: learn.lattice, learn.noise, learn.sure, learn.system, learn.table.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.learn.lattice import best_near, misfit, rivals
from energysim.learn.noise import noise_of
from energysim.learn.sure import how_sure
from energysim.learn.system import FACTORS, System, gentle_weights
from energysim.learn.table import CAPACITY

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from energysim.learn.noise import Noise
    from energysim.learn.sure import Mixture, Sure
    from energysim.learn.system import Reading

    Array = NDArray[np.float64]
    Flags = NDArray[np.bool_]

OUTLIER: Final = 6.0
"""Residuals beyond this many of their spread are left out (ours)."""

TRIED: Final = 4
"""Capacities to begin at besides the scenario's own (ours)."""

WIDE_SLOPES: Final = (0.005, 0.3)
"""Least and greatest reach of the slopes an interval is worked out with (ours; the greatest is
about that of the grid)."""

ROUNDS: Final = 2
"""Of weighing errors and fitting again; more change nothing (ours)."""

NORMAL_95: Final = 1.959964
"""Half the width, in standard deviations, that holds 95 in 100 of a normal law."""

STEPS_LEAVE: Final = 0.001
"""What steps of the day and the grid leave open of a factor, relative (tested). [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """What came out. Factors stand in their order in `learn.model`, as logarithms."""

    logs: Array  # (4,)
    covariance: Array  # (4, 4)
    mixtures: tuple[Mixture, ...]  # (4,), what each one's error may be
    rivals: tuple[Array, ...]  # other answers, (4,) each, that fit nearly as well
    offsets: Array  # (readings,)
    computed: tuple[Array, ...]  # each reading as fitted
    kept: tuple[NDArray[np.bool_], ...]  # means that belong
    memory_s: tuple[float, ...]

    def spread(self, which: int) -> float:
        """Return a factor's standard deviation as its interval has it."""
        return self.mixtures[which].reach() / NORMAL_95

    def interval(self, which: int, *, more_variance: float = 0.0) -> tuple[float, float]:
        """
        Return the interval of a factor that holds the truth 95 times in 100.

        Where another answer fits nearly as well, it reaches from one to the other.
        """
        more = NORMAL_95 * np.sqrt(more_variance + STEPS_LEAVE**2)
        reach = float(np.hypot(self.mixtures[which].reach(), more))
        ends = [float(one[which]) for one in (self.logs, *self.rivals)]
        return float(np.exp(min(ends) - reach)), float(np.exp(max(ends) + reach))


class Fitted(NamedTuple):
    """A fit, what it was made from, and of which factors the log speaks."""

    fit: Fit
    readings: tuple[Reading, ...]
    told: tuple[bool, ...]


def fit_factors(
    readings: Sequence[Reading],
    *,
    start: Array,
    low: Array,
    high: Array,
    known: Mapping[int, float],
    before: Array,
) -> Fit:
    """
    Return the factors that meet the log best, and how sure they are.

    Parameters
    ----------
    readings : sequence of Reading
        At least one.
    start : ndarray, shape (4,)
        Logarithms to begin at.
    low, high : ndarray, shape (4,)
        Logarithms between which is searched.
    known : mapping
        From a factor to how far (standard deviation of its logarithm) it is thought to be from
        `before`; factors that are missing are the log's alone.
    before : ndarray, shape (4,)
        Logarithms the known spreads are about.
    """
    system = System(readings, low=low, high=high, known=known, before=before)
    at, spreads = _gently(system, _best_start(system, np.clip(start, low, high)))
    kept = tuple(
        np.abs(left) <= OUTLIER * spread * one.scale
        for one, left, spread in zip(readings, system.left_over(at), spreads, strict=True)
    )
    for _ in range(ROUNDS):
        noises = _noises(system, at, kept, system.computed(at)[1])
        weights = [
            keep * gentle_weights(left, spread * one.scale) * noise.effective / keep.sum()
            for keep, left, spread, one, noise in zip(
                kept, system.left_over(at), spreads, readings, noises, strict=True
            )
        ]
        at = system.weighted(at, weights)
    sure = _how_sure(system, at, kept, weights, noises)
    others = rivals(system, at, np.sqrt(np.diag(sure.covariance)), weights)
    return Fit(
        logs=at[:FACTORS],
        covariance=sure.covariance[:FACTORS, :FACTORS],
        mixtures=sure.mixtures[:FACTORS],
        rivals=tuple(other[:FACTORS] for other in others),
        offsets=system.offsets(at),
        computed=tuple(system.computed(at)[0]),
        kept=kept,
        memory_s=tuple(noise.memory_s for noise in noises),
    )


def _gently(system: System, at: Array) -> tuple[Array, list[float]]:
    """Fit with outliers in, and return the spread of what belongs."""
    spreads = _spreads(system, at)
    for _ in range(ROUNDS):
        at = system.gentle(at, spreads)
        spreads = _spreads(system, at)
    return at, spreads


def _best_start(system: System, start: Array) -> Array:
    """
    Return where to begin, after a look at every capacity that may matter.

    The voltage of a bank bends down near its end, so a fit that begins far off may settle in
    a dip of its own.
    """
    begin = np.concatenate([start, np.zeros(len(system.shifted))])
    tried = [begin]
    if any(one.table.axes[CAPACITY] is not None for one in system.readings):
        low, high = system.low[CAPACITY], system.high[CAPACITY]
        for log_capacity in np.linspace(low, high, TRIED + 2)[1:-1]:
            tried.append(begin.copy())
            tried[-1][CAPACITY] = log_capacity
    rough = [_rough(one) for one in system.readings]
    ends = [system.gentle(one, rough) for one in tried]
    least = min(ends, key=lambda end: misfit(system, end, rough))
    return system.gentle(best_near(system, least, rough), rough)


def _rough(reading: Reading) -> float:
    """Return a first guess of a reading's spread."""
    return 0.1 * float(np.std(reading.means.values / reading.scale)) + 1e-6


def _spreads(system: System, at: Array) -> list[float]:
    """Return the spread of each reading's errors by their scale."""
    return [
        _spread(left / one.scale)
        for left, one in zip(system.left_over(at), system.readings, strict=True)
    ]


def _spread(values: Array) -> float:
    """Return a standard deviation that outliers do not move, about zero."""
    middle = float(np.median(np.abs(values)))
    return max(1.4826 * middle, 1e-6 + 1e-3 * float(np.abs(values).max(initial=0.0)))


def _how_sure(
    system: System,
    at: Array,
    kept: Sequence[Flags],
    weights: Sequence[Array],
    noises: Sequence[Noise],
) -> Sure:
    """Return how sure the answer is, by slopes that reach as far as the interval itself."""
    known = system.known()
    first = how_sure(known, system.computed(at)[1], weights, kept, noises)
    reaches = np.array([mixture.reach() for mixture in first.mixtures])
    slopes = system.slopes(at, np.clip(reaches, *WIDE_SLOPES))
    return how_sure(known, slopes, weights, kept, _noises(system, at, kept, slopes))


def _noises(
    system: System, at: Array, kept: Sequence[Flags], slopes: Sequence[Array]
) -> list[Noise]:
    """Return the errors of each reading, from what the fit leaves over."""
    left_over = system.left_over(at)
    return [
        noise_of(
            left[keep],
            slope[keep],
            one.scale[keep],
            [shape[keep] for shape in _shapes(one, slope)],
            one.means.at_s[keep],
        )
        for left, slope, keep, one in zip(left_over, slopes, kept, system.readings, strict=True)
    ]


def _shapes(reading: Reading, slope: Array) -> list[Array]:
    """
    Return how a lasting error may vary in size.

    Amperes err with the whole load, or as more wind or more water would change them: with its
    sign, for more wind spares thrust where it helps against the stream.
    """
    if reading.means.name != "current":
        return []
    return [slope[:, which] for which in (0, 1) if np.abs(slope[:, which]).max() > 1e-9]
