"""
How sure the factors of a fit are, when it is not known for how long its errors last.

Each way in which the errors may hang together gives the fit a spread of its own. What is told
is the mixture of them all, each by how well the residuals speak for it: one standard deviation
would not tell it, for a log that may have been wrong all day has long tails.

Depends on: learn.noise.

References
----------
1. Effective freedom of a sum of variances: F. E. Satterthwaite, Biometrics Bulletin 2, 1946.
   From memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.learn.noise import Noise

    Array = NDArray[np.float64]
    Flags = NDArray[np.bool_]

CONFIDENCE: Final = 0.95

GROUPS: Final = 24
"""Of like spreads into which those of one reading are put together (ours)."""

HALVINGS: Final = 50


class Mixture(NamedTuple):
    """What one factor's error may be: Student's t of many widths. Arrays (widths,)."""

    weights: Array  # adding up to one
    variances: Array
    freedom: Array

    def reach(self, confidence: float = CONFIDENCE) -> float:
        """Return how far from the answer the truth lies with this confidence."""
        from scipy.special import stdtr  # noqa: PLC0415 - start-up

        spread = np.sqrt(self.variances)
        low, high = 0.0, 1e3 * float(spread.max())
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            beyond = 2.0 * float(self.weights @ stdtr(self.freedom, -middle / spread))
            low, high = (middle, high) if beyond > 1.0 - confidence else (low, middle)
        return 0.5 * (low + high)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sure:
    """How sure a fit is: of each factor, and of them together."""

    mixtures: tuple[Mixture, ...]
    covariance: Array  # its mean over the mixture


def how_sure(
    known: Array,
    slopes: Sequence[Array],
    weights: Sequence[Array],
    kept: Sequence[Flags],
    noises: Sequence[Noise],
) -> Sure:
    """
    Return how sure a weighted fit is whose errors hang together.

    The fit itself leans on no model of the errors: a wrong one would make it trust small
    differences between neighbours. Only its spread does.

    Parameters
    ----------
    known : ndarray, shape (parameters, parameters)
        Curvature of what is known beforehand.
    slopes : sequence of ndarray
        Of each reading's means against each parameter.
    weights, kept : sequence of ndarray
        Of each reading's means: with what weight it was fitted, and whether it belongs.
    noises : sequence of Noise
        Of each reading.
    """
    curvature, pulls = known.copy(), []
    for slope, weight, keep in zip(slopes, weights, kept, strict=True):
        pulls.append(slope[keep] * weight[keep][:, None])
        curvature += slope[keep].T @ pulls[-1]
    back = np.linalg.inv(curvature)
    covariance = back @ known @ back
    sources = [_Source(np.ones(1), np.diag(covariance)[None], np.full(1, np.inf))]
    for pull, noise in zip(pulls, noises, strict=True):
        each = np.array([back @ pull.T @ one @ pull @ back for one in noise.covariances])
        covariance = covariance + np.tensordot(noise.weights, each, axes=1)
        variances = np.diagonal(each, axis1=1, axis2=2)
        sources.append(_Source(noise.weights, variances, np.full(len(each), noise.freedom)))
    mixtures = [_together(sources, which) for which in range(len(known))]
    return Sure(mixtures=tuple(mixtures), covariance=np.asarray(covariance))


class _Source(NamedTuple):
    """Where some of the spread comes from, in its several ways."""

    weights: Array  # (ways,)
    variances: Array  # (ways, parameters)
    freedom: Array  # (ways,)


def _together(sources: Sequence[_Source], which: int) -> Mixture:
    """Return one factor's mixture: every way of a source with every way of the others."""
    groups = [_grouped(one.weights, one.variances[:, which], one.freedom) for one in sources]
    rows = []
    for ways in product(*groups):
        parts = np.array([variance for _, variance, _ in ways])
        total = max(float(parts.sum()), 1e-300)
        slack = float((parts**2 / np.array([free for _, _, free in ways])).sum()) / total**2
        weight = float(np.prod([share for share, _, _ in ways]))
        rows.append((weight, total, 1.0 / max(slack, 1e-9)))
    weights, variances, freedom = np.array(rows).T
    return Mixture(weights, variances, freedom)


def _grouped(weights: Array, variances: Array, freedom: Array) -> list[tuple[float, ...]]:
    """Put ways of like spread together, one row for each group."""
    if np.ptp(variances) <= 1e-9 * variances.max(initial=0.0):
        return [(1.0, float(variances[0]), float(freedom[0]))]
    order = np.argsort(variances)
    along = np.cumsum(weights[order]) - 0.5 * weights[order]
    group = np.minimum((GROUPS * along / weights.sum()).astype(int), GROUPS - 1)
    share = np.bincount(group, weights[order], GROUPS)
    mean = np.bincount(group, (weights * variances)[order], GROUPS)
    used = np.flatnonzero(share > 0.0)
    return [(share[n] / weights.sum(), mean[n] / share[n], float(freedom[0])) for n in used]
