"""
How far what a fit leaves over hangs together in time, and what that makes of its weights.

Wind and stream are never quite those of the scenario, and stay wrong for a while: neighbouring
means share their error, and count for less than their number. The error is taken as a part
that fades exponentially (an Ornstein-Uhlenbeck process) and a part of each mean's own. How long
the one lasts and how large the other is, the residuals say by their restricted likelihood;
what they leave open is averaged over.

Depends on: nothing of the package.

References
----------
1. Restricted likelihood: H. D. Patterson and R. Thompson, Biometrika 58, 1971. From memory.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

FADE_S: Final = (450.0, 900.0, 1800.0, 3600.0, 7200.0, 14400.0, 28800.0)
"""Times after which an error has fallen to 1/e that are tried (ours). [s]"""

OWN_SHARES: Final = (0.0, 0.25, 0.5, 0.75)
"""Shares of the variance that are each mean's own, tried with every time (ours); and all."""

_TINY: Final = 1e-10


class Noise(NamedTuple):
    """What is known of the errors of one reading."""

    covariance: Array  # (bins, bins)
    memory_s: float  # over how long they hang together; 0 when not at all
    effective: float  # how many independent means they are worth
    freedom: float  # degrees of freedom of their size


class Correlations(NamedTuple):
    """The correlations tried, for one set of times."""

    roots: tuple[Array, ...]  # lower triangles
    whiten: tuple[Array, ...]  # their inverses
    log_sizes: tuple[float, ...]  # logarithms of their determinants
    memories_s: Array


def correlations(at_s: Array) -> Correlations:
    """
    Return the correlations to try for means at these times.

    Parameters
    ----------
    at_s : ndarray, shape (bins,)
        Middles of the means. [s]
    """
    apart = np.abs(at_s[:, None] - at_s[None, :])
    own = np.eye(at_s.size)
    roots: list[Array] = [own]
    memories = [0.0]
    for fade_s in FADE_S:
        shared = np.exp(-apart / fade_s)
        for share in OWN_SHARES:
            tried = (1.0 - share) * shared + (share + _TINY) * own
            roots.append(np.asarray(np.linalg.cholesky(tried), dtype=np.float64))
            memories.append(fade_s * (1.0 - share))
    return Correlations(
        roots=tuple(roots),
        whiten=tuple(np.asarray(np.linalg.inv(root), dtype=np.float64) for root in roots),
        log_sizes=tuple(float(np.log(np.diag(root)).sum()) for root in roots),
        memories_s=np.array(memories),
    )


def noise_of(residual: Array, slopes: Array, scale: Array, tried: Correlations) -> Noise:
    """
    Return the errors' covariance from what a fit leaves over.

    Parameters
    ----------
    residual : ndarray, shape (bins,)
        Logged less computed.
    slopes : ndarray, shape (bins, parameters)
        Of the computed, against what was fitted.
    scale : ndarray, shape (bins,)
        How the size of an error varies from mean to mean.
    tried : Correlations
        For the same times.
    """
    left, straight = residual / scale, slopes / scale[:, None]
    both = np.column_stack([left, straight])
    found = [
        _likelihood(whiten @ both, size)
        for whiten, size in zip(tried.whiten, tried.log_sizes, strict=True)
    ]
    logs = np.array([one[0] for one in found])
    size = np.array([one[1] for one in found])
    rank = found[0][2]
    # The white error is one of many; without this it would count as one of twenty-nine.
    prior = np.ones(logs.size)
    prior[0] = len(FADE_S)
    weight = prior * np.exp(logs - logs.max())
    weight /= weight.sum()
    together = sum(
        share * variance * (root @ root.T)
        for share, variance, root in zip(weight, size, tried.roots, strict=True)
        if share > 1e-6
    )
    covariance = np.asarray(together) * np.outer(scale, scale)
    level = np.sqrt(np.diag(np.asarray(together)))
    correlation = np.asarray(together) / np.outer(level, level)
    ones = np.ones(left.size)
    return Noise(
        covariance=covariance,
        memory_s=float(weight @ tried.memories_s),
        effective=float(ones @ np.linalg.solve(correlation + _TINY * np.eye(left.size), ones)),
        freedom=float(max(left.size - rank, 1)),
    )


def _likelihood(white: Array, log_size: float) -> tuple[float, float, int]:
    """Return the log of the restricted likelihood, the variance, and the parameters told."""
    basis, values, _ = np.linalg.svd(white[:, 1:], full_matrices=False)
    rank = int((values > 1e-6 * max(float(values.max(initial=0.0)), _TINY)).sum())
    basis, values = basis[:, :rank], values[:rank]
    over = white[:, 0] - basis @ (basis.T @ white[:, 0])
    free = max(white.shape[0] - rank, 1)
    variance = max(float(over @ over) / free, 1e-12)
    log = -0.5 * (
        free * np.log(variance) + 2.0 * log_size + 2.0 * np.log(np.maximum(values, _TINY)).sum()
    )
    return float(log), variance, rank
