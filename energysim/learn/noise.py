"""
How far what a fit leaves over hangs together in time, and what that makes of its weights.

Wind and stream are never quite those of the scenario, and stay wrong for a while: neighbouring
means share their error, and count for less than their number. The error is taken as a part
that fades exponentially (an Ornstein-Uhlenbeck process) and a part of each mean's own. How long
the one lasts, whether it goes with the wind's share of the load, with the water's, with both or
with the whole, and how large the other part is, the residuals say by their restricted
likelihood; what they leave open is averaged over.

Depends on: nothing of the package.

References
----------
1. Restricted likelihood: H. D. Patterson and R. Thompson, Biometrika 58, 1971. From memory.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]

FADE_S: Final = (600.0, 1600.0, 4200.0, 11000.0, 28800.0)
"""Times after which an error has fallen to 1/e that are tried (ours). [s]"""

OWN_SHARES: Final = (0.003, 0.02, 0.1, 0.5)
"""Shares of the variance that are each mean's own, tried with every time (ours); and all. The
least must be small: taken for noise of each mean, the steps of a slow error look like those of
a quick one, and a quick one leaves a fit surer than it is."""

WHOLE: Final = 0.1
"""Share of a lasting error that goes with the whole reading at the least: where wind and water
hold each other's balance, their slopes are least sure themselves (ours; tested)."""

UNLIKELY: Final = 1e-4
"""Ways for which the residuals speak less than this are dropped (ours)."""

_TINY: Final = 1e-10


class Noise(NamedTuple):
    """What is known of the errors of one reading."""

    covariances: Array  # (ways, bins, bins), each way in which they may hang together
    weights: Array  # (ways,), how far the residuals speak for each; they add up to one
    memory_s: float  # over how long they hang together; 0 when not at all
    effective: float  # how many independent means they are worth
    freedom: float  # degrees of freedom of their size


def noise_of(
    residual: Array, slopes: Array, scale: Array, shapes: Sequence[Array], at_s: Array
) -> Noise:
    """
    Return the errors' covariance from what a fit leaves over.

    Parameters
    ----------
    residual : ndarray, shape (bins,)
        Logged less computed.
    slopes : ndarray, shape (bins, parameters)
        Of the computed, against what was fitted.
    scale : ndarray, shape (bins,)
        How the size of each mean's own error varies.
    shapes : sequence of ndarray, shape (bins,)
        Ways in which the size of the lasting error may vary, besides `scale`.
    at_s : ndarray, shape (bins,)
        Middles of the means. [s]
    """
    tried = list(_tried(shapes, scale, at_s))
    both = np.column_stack([residual, slopes])
    found = [_likelihood(one.covariance, both) for one in tried]
    logs = np.array([log for log, _, _ in found])
    weights = np.array([one.prior for one in tried]) * np.exp(logs - logs.max())
    likely = np.flatnonzero(weights > UNLIKELY * weights.sum())
    weights = weights[likely] / weights[likely].sum()
    covariances = np.array([found[n][1] * tried[n].covariance for n in likely])
    covariance = np.tensordot(weights, covariances, axes=1)
    level = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(level, level) + _TINY * np.eye(level.size)
    ones = np.ones(level.size)
    return Noise(
        covariances=covariances,
        weights=weights,
        memory_s=float(weights @ [tried[n].memory_s for n in likely]),
        effective=float(ones @ np.linalg.solve(correlation, ones)),
        freedom=float(max(level.size - found[0][2], 1)),
    )


class _Trial(NamedTuple):
    """One covariance that is tried, up to its size."""

    covariance: Array
    memory_s: float
    prior: float


def _tried(shapes: Sequence[Array], scale: Array, at_s: Array) -> Iterator[_Trial]:
    """Yield every covariance, each of mean variance one."""
    fading = [np.exp(-np.abs(at_s[:, None] - at_s[None, :]) / fade_s) for fade_s in FADE_S]
    own = np.diag(scale * scale / (scale * scale).mean())
    yield _Trial(own, 0.0, 1.0)
    whole = np.outer(scale, scale) / (scale * scale).mean()
    for shape in (scale, *shapes):
        outer = (1.0 - WHOLE) * np.outer(shape, shape) / (shape * shape).mean() + WHOLE * whole
        for fade_s, faded in zip(FADE_S, fading, strict=True):
            for share in OWN_SHARES:
                covariance = (1.0 - share) * outer * faded + share * own
                prior = 1.0 / (len(FADE_S) * len(OWN_SHARES) * (1 + len(shapes)))
                yield _Trial(covariance, fade_s * (1.0 - share), prior)


def _likelihood(covariance: Array, both: Array) -> tuple[float, float, int]:
    """Return the log of the restricted likelihood, the variance, and the parameters told."""
    from scipy.linalg import solve_triangular  # noqa: PLC0415 - start-up

    root = np.linalg.cholesky(covariance)
    white = solve_triangular(root, both, lower=True, check_finite=False)
    basis, values, _ = np.linalg.svd(white[:, 1:], full_matrices=False)
    rank = int((values > 1e-6 * max(float(values.max(initial=0.0)), _TINY)).sum())
    basis, values = basis[:, :rank], values[:rank]
    over = white[:, 0] - basis @ (basis.T @ white[:, 0])
    free = max(white.shape[0] - rank, 1)
    variance = max(float(over @ over) / free, 1e-12)
    log = -0.5 * (
        free * np.log(variance)
        + 2.0 * np.log(np.diag(root)).sum()
        + 2.0 * np.log(np.maximum(values, _TINY)).sum()
    )
    return float(log), variance, rank
