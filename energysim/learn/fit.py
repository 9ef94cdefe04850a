"""
Factors from a log by robust least squares, and intervals that count its errors as they are.

First a fit that lets outliers pull gently (`soft_l1`) finds which means belong. Those are
fitted again with its weights, and the intervals of that fit are worked out with errors that
hang together in time.

Depends on: learn.model, learn.noise.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.learn.noise import noise_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from energysim.learn.bins import Means
    from energysim.learn.model import Table
    from energysim.learn.noise import Noise

    Array = NDArray[np.float64]
    Flags = NDArray[np.bool_]

FACTORS: Final = 4
GENTLE: Final = 2.0
"""Residuals beyond this many of their spread pull less than their size (ours)."""

OUTLIER: Final = 6.0
"""And beyond this many they are left out (ours)."""

TRIED: Final = 4
"""Capacities to begin at besides the scenario's own (ours)."""

LEAST_FREEDOM: Final = 2.5
"""Below this Student's t says nothing any more (ours)."""

LATTICE, REACH = 0.08, 9
"""Steps of drag and wind about an answer in which another is sought, and how many (ours)."""

NEARLY: Final = 4.0
"""Another answer that leaves no more than this above the best cannot be told from it: about
the 95 % point of chi-square with one degree of freedom."""

DIP, MOST_DIPS = 30.0, 6
"""Dips of the misfit that are followed down: those no higher than this above the best, the
deepest so many (ours)."""

ROUNDS: Final = 3
"""Of weighing errors and fitting again; more change nothing (ours)."""

CONFIDENCE: Final = 0.95
STEPS_LEAVE: Final = 0.002
"""What steps of the day and the grid leave open of a factor, relative (tested). [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """One reading: what was logged, and what is computed."""

    means: Means
    table: Table
    scale: Array  # (bins,), how the size of its errors varies; only the shape matters
    offset_sd: float  # the logger's own zero, one standard deviation; 0 for none


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """What came out. Factors stand in their order in `learn.model`, as logarithms."""

    logs: Array  # (4,)
    covariance: Array  # (4, 4)
    freedom: Array  # (4,), of Student's t
    rivals: tuple[Array, ...]  # other answers, (4,) each, that fit nearly as well
    offsets: Array  # (readings,)
    computed: tuple[Array, ...]  # each reading as fitted
    kept: tuple[NDArray[np.bool_], ...]  # means that belong
    memory_s: tuple[float, ...]

    def interval(self, which: int, *, more_variance: float = 0.0) -> tuple[float, float]:
        """
        Return the interval of a factor that holds the truth 95 times in 100.

        Where another answer fits nearly as well, it reaches from one to the other.
        """
        from scipy.special import ndtri, stdtrit  # noqa: PLC0415 - start-up

        each_way = 0.5 + 0.5 * CONFIDENCE
        own = stdtrit(self.freedom[which], each_way) * np.sqrt(self.covariance[which, which])
        more = ndtri(each_way) * np.sqrt(more_variance + STEPS_LEAVE**2)
        reach = float(np.hypot(own, more))
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
    system = _System(readings, low=low, high=high, known=dict(known), before=before)
    at, spreads = _gently(system, _best_start(system, np.clip(start, low, high)))
    kept = tuple(
        np.abs(left) <= OUTLIER * spread * one.scale
        for one, left, spread in zip(readings, system.left_over(at)[0], spreads, strict=True)
    )
    even = [np.where(keep, 1.0, 0.0) for keep in kept]
    for _ in range(ROUNDS):
        noises = _noises(system, at, kept)
        weights = [
            one * _gentle_weights(left, spread * reading.scale) * noise.effective / one.sum()
            for one, left, spread, reading, noise in zip(
                even, system.left_over(at)[0], spreads, readings, noises, strict=True
            )
        ]
        at = system.weighted(at, weights)
    noises = _noises(system, at, kept)
    covariance, freedom = system.covariance(at, weights, kept, noises)
    return Fit(
        logs=at[:FACTORS],
        covariance=covariance[:FACTORS, :FACTORS],
        freedom=freedom[:FACTORS],
        rivals=system.rivals(at, covariance, weights),
        offsets=system.offsets(at),
        computed=tuple(system.computed(at)[0]),
        kept=kept,
        memory_s=tuple(noise.memory_s for noise in noises),
    )


class _System:
    """The readings and what is known beforehand, as residuals and their slopes."""

    def __init__(
        self,
        readings: Sequence[Reading],
        *,
        low: Array,
        high: Array,
        known: dict[int, float],
        before: Array,
    ) -> None:
        self.readings = readings
        self.shifted = [n for n, one in enumerate(readings) if one.offset_sd > 0.0]
        spreads = np.array([readings[n].offset_sd for n in self.shifted])
        self.low = np.concatenate([low, -10.0 * spreads])
        self.high = np.concatenate([high, 10.0 * spreads])
        at = np.concatenate([before, np.zeros(spreads.size)])
        self.prior_of = np.array(
            [*known, *range(FACTORS, FACTORS + spreads.size)], dtype=np.intp
        )
        self.prior_at = at[self.prior_of]
        self.prior_weight = 1.0 / np.concatenate([list(known.values()), spreads])
        self.prior_slopes = np.zeros((self.prior_of.size, at.size))
        self.prior_slopes[np.arange(self.prior_of.size), self.prior_of] = self.prior_weight

    def offsets(self, at: Array) -> Array:
        """Return how far each reading's zero is moved."""
        found = np.zeros(len(self.readings))
        found[self.shifted] = at[FACTORS:]
        return found

    def computed(self, at: Array) -> tuple[list[Array], list[Array]]:
        """Return each reading as computed, and its slopes."""
        values, slopes = [], []
        offsets = self.offsets(at)
        for number, one in enumerate(self.readings):
            value, slope = one.table.read(at[:FACTORS])
            own = np.zeros((value.size, len(self.shifted)))
            own[:, [place for place, n in enumerate(self.shifted) if n == number]] = 1.0
            values.append(value + offsets[number])
            slopes.append(np.column_stack([slope, own]))
        return values, slopes

    def left_over(self, at: Array) -> tuple[list[Array], list[Array]]:
        """Return logged less computed, and the slopes of the computed."""
        values, slopes = self.computed(at)
        logged = [one.means.values for one in self.readings]
        return [a - b for a, b in zip(logged, values, strict=True)], slopes

    def prior(self, at: Array) -> Array:
        """Return how far each thing known beforehand is missed, in its standard deviations."""
        return np.asarray((at[self.prior_of] - self.prior_at) * self.prior_weight)

    def weighted(self, at: Array, weights: Sequence[Array]) -> Array:
        """Fit with given weights, none for what does not belong."""
        from scipy.optimize import least_squares  # noqa: PLC0415 - start-up

        roots = [np.sqrt(weight) for weight in weights]

        def missed(x: Array) -> Array:
            parts = [a * b for a, b in zip(self.left_over(x)[0], roots, strict=True)]
            return np.concatenate([*parts, self.prior(x)])

        def slopes(x: Array) -> Array:
            pairs = zip(self.left_over(x)[1], roots, strict=True)
            return np.vstack([*(-a * b[:, None] for a, b in pairs), self.prior_slopes])

        bounds = (self.low, self.high)
        found = least_squares(
            missed, self._inside(at), jac=slopes, bounds=bounds, x_scale="jac"
        )
        return np.asarray(found.x)

    def covariance(
        self,
        at: Array,
        weights: Sequence[Array],
        kept: Sequence[Flags],
        noises: Sequence[Noise],
    ) -> tuple[Array, Array]:
        """
        Return the covariance of a weighted fit whose errors hang together, and its freedom.

        The fit itself leans on no model of the errors: a wrong one would make it trust small
        differences between neighbours. Only its spread does.
        """
        slopes = self.left_over(at)[1]
        known = self.prior_slopes.T @ self.prior_slopes
        curvature, parts, freedom = known.copy(), [known], [np.inf]
        for slope, weight, keep, noise in zip(slopes, weights, kept, noises, strict=True):
            pull = slope[keep] * weight[keep][:, None]
            curvature += slope[keep].T @ pull
            parts.append(pull.T @ noise.covariance @ pull)
            freedom.append(max(min(noise.freedom, noise.effective), LEAST_FREEDOM))
        back = np.linalg.pinv(curvature, hermitian=True)
        spreads = [back @ part @ back for part in parts]
        shares = np.array([np.diag(spread) for spread in spreads])
        total = np.maximum(shares.sum(axis=0), 1e-300)
        # Satterthwaite's rule for a sum of variances, each known from so much (from memory).
        slack = (shares**2 / np.array(freedom)[:, None]).sum(axis=0) / total**2
        covariance: Array = np.sum(spreads, axis=0)
        freedoms: Array = 1.0 / np.maximum(slack, 1e-9)
        return covariance, freedoms

    def best_near(self, at: Array) -> Array:
        """
        Return the best of drag and wind about an answer.

        A held boat that lies on the other tack costs other amperes at once, and a fit that
        follows slopes does not step over that.
        """
        return min((at, *self._around(at).values()), key=self.misfit)

    def _around(self, at: Array) -> dict[tuple[int, ...], Array]:
        """Return points with other drag and wind, by their places."""
        points = {}
        for place in product(range(-REACH, REACH + 1), repeat=2):
            other = at.copy()
            other[:2] += LATTICE * np.array(place)
            if (other[:2] == np.clip(other[:2], self.low[:2], self.high[:2])).all():
                points[place] = self._inside(other)
        return points

    def rivals(
        self, at: Array, covariance: Array, weights: Sequence[Array]
    ) -> tuple[Array, ...]:
        """Return other answers of drag and wind that fit nearly as well as the best."""

        def cost(x: Array) -> float:
            pairs = zip(self.left_over(x)[0], weights, strict=True)
            return float(
                sum(left @ (w * left) for left, w in pairs) + self.prior(x) @ self.prior(x)
            )

        costs = {place: cost(point) for place, point in self._around(at).items()}
        dips = [
            place
            for place, own in costs.items()
            if own <= costs.get((0, 0), np.inf) + DIP
            and all(
                own <= costs.get((place[0] + a, place[1] + b), np.inf)
                for a, b in product((-1, 0, 1), repeat=2)
            )
        ]
        best, spread, found = cost(at), np.sqrt(np.diag(covariance)), []
        points = self._around(at)
        for place in sorted(dips, key=costs.__getitem__)[:MOST_DIPS]:
            other = self.weighted(points[place], weights)
            apart = np.abs(other - at)[:2] > spread[:2]
            if apart.any() and cost(other) < best + NEARLY:
                found.append(other[:FACTORS])
        return tuple(found)

    def _inside(self, at: Array) -> Array:
        """Return a point strictly between the bounds."""
        edge = 1e-6 * (self.high - self.low)
        return np.clip(at, self.low + edge, self.high - edge)

    def misfit(self, at: Array) -> float:
        """Return how badly everything is met, outliers counting little."""
        left_over = self.left_over(at)[0]
        parts = [
            np.sqrt(1.0 + (left / (_rough(one) * one.scale)) ** 2).sum()
            for left, one in zip(left_over, self.readings, strict=True)
        ]
        return float(sum(parts) + 0.5 * (self.prior(at) ** 2).sum())

    def gentle(self, at: Array, spreads: Sequence[float]) -> Array:
        """Fit everything, outliers pulling gently."""
        from scipy.optimize import least_squares  # noqa: PLC0415 - start-up

        scales = [s * one.scale for s, one in zip(spreads, self.readings, strict=True)]

        def missed(x: Array) -> Array:
            parts = [a / b for a, b in zip(self.left_over(x)[0], scales, strict=True)]
            return np.concatenate([*parts, self.prior(x)])

        def slopes(x: Array) -> Array:
            pairs = zip(self.left_over(x)[1], scales, strict=True)
            return np.vstack([*(-a / b[:, None] for a, b in pairs), self.prior_slopes])

        found = least_squares(
            missed,
            self._inside(at),
            jac=slopes,
            bounds=(self.low, self.high),
            loss="soft_l1",
            f_scale=GENTLE,
            x_scale="jac",
        )
        return np.asarray(found.x)


def _gentle_weights(left: Array, size: Array) -> Array:
    """Return the weights with which plain least squares pulls as gently as `soft_l1`."""
    return np.asarray(1.0 / (size**2 * np.sqrt(1.0 + (left / (GENTLE * size)) ** 2)))


def _gently(system: _System, at: Array) -> tuple[Array, list[float]]:
    """Fit with outliers in, and return the spread of what belongs."""
    spreads = [_spread(left / one.scale) for left, one in _pairs(system, at)]
    for _ in range(ROUNDS):
        at = system.gentle(at, spreads)
        spreads = [_spread(left / one.scale) for left, one in _pairs(system, at)]
    return at, spreads


def _best_start(system: _System, start: Array) -> Array:
    """
    Return where to begin, after a look at every capacity.

    The voltage of a bank bends down near its end, so a fit that begins far off may settle in
    a dip of its own.
    """
    zeros = np.zeros(len(system.shifted))
    tried = [np.concatenate([start, zeros])]
    for log_capacity in np.linspace(system.low[2], system.high[2], TRIED + 2)[1:-1]:
        other = start.copy()
        other[2] = log_capacity
        tried.append(np.concatenate([other, zeros]))
    ends = [
        system.gentle(one, [_rough(reading) for reading in system.readings]) for one in tried
    ]
    best = system.best_near(min(ends, key=system.misfit))
    return system.gentle(best, [_rough(reading) for reading in system.readings])


def _rough(reading: Reading) -> float:
    """Return a first guess of a reading's spread."""
    return 0.1 * float(np.std(reading.means.values / reading.scale)) + 1e-6


def _pairs(system: _System, at: Array) -> list[tuple[Array, Reading]]:
    return list(zip(system.left_over(at)[0], system.readings, strict=True))


def _spread(values: Array) -> float:
    """Return a standard deviation that outliers do not move, about zero."""
    middle = float(np.median(np.abs(values)))
    return max(1.4826 * middle, 1e-6 + 1e-3 * float(np.abs(values).max(initial=0.0)))


def _noises(system: _System, at: Array, kept: Sequence[Flags]) -> list[Noise]:
    """Return the errors of each reading, from what the fit leaves over."""
    left_over, slopes = system.left_over(at)
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
