"""
The readings of a log and what is known beforehand, as one system of residuals and slopes.

Depends on: learn.bins, learn.table.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.learn.table import DRAG, WIND

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from energysim.learn.bins import Means
    from energysim.learn.table import Table

    Array = NDArray[np.float64]
    Flags = NDArray[np.bool_]

FACTORS: Final = 4

GENTLE: Final = 2.0
"""Residuals beyond this many of their spread pull less than their size (ours)."""

ZEROS: Final = 10.0
"""How far a meter's zero is searched, in its standard deviations (ours)."""

VAGUE: Final = 3.0
"""Spread of what is known of a factor for want of anything, in widths of what is searched: it
gives a factor the log is silent on an interval without an end (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """One reading: what was logged, and what is computed."""

    means: Means
    table: Table
    scale: Array  # (bins,), how the size of its errors varies; only the shape matters
    offset_sd: float  # the logger's own zero, one standard deviation; 0 for none


class System:
    """
    The readings and what is known beforehand, as residuals and their slopes.

    A point is the logarithms of the four factors and then a zero for each reading whose meter
    may have one.
    """

    def __init__(
        self,
        readings: Sequence[Reading],
        *,
        low: Array,
        high: Array,
        known: Mapping[int, float],
        before: Array,
    ) -> None:
        self.readings = readings
        self.shifted = [n for n, one in enumerate(readings) if one.offset_sd > 0.0]
        spreads = np.array([readings[n].offset_sd for n in self.shifted])
        self.low = np.concatenate([low, -ZEROS * spreads])
        self.high = np.concatenate([high, ZEROS * spreads])
        at = np.concatenate([before, np.zeros(spreads.size)])
        self.prior_of = np.array(
            [*known, *range(FACTORS, FACTORS + spreads.size)], dtype=np.intp
        )
        self.prior_at = at[self.prior_of]
        self.prior_weight = 1.0 / np.concatenate([list(known.values()), spreads])
        self.prior_slopes = np.zeros((self.prior_of.size, at.size))
        self.prior_slopes[np.arange(self.prior_of.size), self.prior_of] = self.prior_weight
        self._last: tuple[bytes, list[Array], list[Array]] | None = None

    def inside(self, at: Array) -> Array:
        """Return a point strictly between the bounds."""
        edge = 1e-6 * (self.high - self.low)
        return np.clip(at, self.low + edge, self.high - edge)

    def offsets(self, at: Array) -> Array:
        """Return how far each reading's zero is moved."""
        found = np.zeros(len(self.readings))
        found[self.shifted] = at[FACTORS:]
        return found

    def computed(self, at: Array) -> tuple[list[Array], list[Array]]:
        """Return each reading as computed, and its slopes."""
        key = at.tobytes()  # a fit asks for values and slopes one after the other
        if self._last is not None and self._last[0] == key:
            return self._last[1], self._last[2]
        values, slopes = [], []
        offsets = self.offsets(at)
        for number, one in enumerate(self.readings):
            value, slope = one.table.read(at[:FACTORS])
            own = np.zeros((value.size, len(self.shifted)))
            own[:, [place for place, n in enumerate(self.shifted) if n == number]] = 1.0
            values.append(value + offsets[number])
            slopes.append(np.column_stack([slope, own]))
        self._last = (key, values, slopes)
        return values, slopes

    def slopes(self, at: Array, reach: Array) -> list[Array]:
        """
        Return each reading's slopes against drag and wind over a reach either way.

        Where the boat would lie otherwise a little further on, the slope at the answer alone
        says little of how far errors throw it.
        """
        wide = [slope.copy() for slope in self.computed(at)[1]]
        for which in (DRAG, WIND):
            far = np.zeros(at.size)
            far[which] = reach[which]
            ends = [self.computed(at + sign * far)[0] for sign in (1.0, -1.0)]
            for slope, up, down in zip(wide, *ends, strict=True):
                slope[:, which] = (up - down) / (2.0 * reach[which])
        return wide

    def left_over(self, at: Array) -> list[Array]:
        """Return logged less computed of each reading."""
        pairs = zip(self.readings, self.computed(at)[0], strict=True)
        return [one.means.values - value for one, value in pairs]

    def left_over_at(self, at: Array, pairs: Array) -> list[Array]:
        """Return the same for many pairs of drag and wind, (pairs, bins) or (1, bins)."""
        return [
            one.means.values - one.table.over(at[:FACTORS], pairs) - offset
            for one, offset in zip(self.readings, self.offsets(at), strict=True)
        ]

    def prior(self, at: Array) -> Array:
        """Return how far each thing known beforehand is missed, in its standard deviations."""
        return np.asarray((at[..., self.prior_of] - self.prior_at) * self.prior_weight)

    def known(self) -> Array:
        """Return the curvature that what is known beforehand adds, vague as it may be."""
        vague = 1.0 / (VAGUE * (self.high - self.low)) ** 2
        return np.asarray(self.prior_slopes.T @ self.prior_slopes + np.diag(vague))

    def gentle(self, at: Array, spreads: Sequence[float]) -> Array:
        """Fit everything, outliers pulling gently."""
        pairs = zip(spreads, self.readings, strict=True)
        return self._fit(at, [1.0 / (s * one.scale) for s, one in pairs], gently=True)

    def weighted(self, at: Array, weights: Sequence[Array]) -> Array:
        """Fit with given weights, none for what does not belong."""
        return self._fit(at, [np.sqrt(weight) for weight in weights], gently=False)

    def _fit(self, at: Array, roots: Sequence[Array], *, gently: bool) -> Array:
        from scipy.optimize import least_squares  # noqa: PLC0415 - start-up

        def missed(x: Array) -> Array:
            parts = [a * b for a, b in zip(self.left_over(x), roots, strict=True)]
            return np.concatenate([*parts, self.prior(x)])

        def slopes(x: Array) -> Array:
            pairs = zip(self.computed(x)[1], roots, strict=True)
            return np.vstack([*(-a * b[:, None] for a, b in pairs), self.prior_slopes])

        found = least_squares(
            missed,
            self.inside(at),
            jac=slopes,
            bounds=(self.low, self.high),
            loss="soft_l1" if gently else "linear",
            f_scale=GENTLE if gently else 1.0,
            x_scale="jac",
        )
        return np.asarray(found.x)


def gentle_weights(left: Array, size: Array) -> Array:
    """Return the weights with which plain least squares pulls as gently as `soft_l1`."""
    return np.asarray(1.0 / (size**2 * np.sqrt(1.0 + (left / (GENTLE * size)) ** 2)))
