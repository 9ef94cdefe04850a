"""
Other answers of drag and wind: a look over a lattice of pairs about one that was found.

A held boat that lies on the other tack costs other amperes at once, and a fit that follows
slopes does not step over that.

Depends on: learn.system.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.learn.system import System

    Array = NDArray[np.float64]

LATTICE, REACH = 0.08, 9
"""Steps of drag and wind about an answer in which another is sought, and how many (ours)."""

NEARLY: Final = 4.0
"""Another answer that leaves no more than this above the best cannot be told from it: about
the 95 % point of chi-square with one degree of freedom."""

DIP, MOST_DIPS = 30.0, 6
"""Dips of the misfit that are followed down: those no higher than this above the best, the
deepest so many (ours)."""


def best_near(system: System, at: Array, spreads: Sequence[float]) -> Array:
    """
    Return the best of drag and wind about an answer, outliers counting little.

    Parameters
    ----------
    system : System
        The readings.
    at : ndarray
        The answer.
    spreads : sequence of float
        Of each reading's errors, roughly.
    """
    points = _around(system, at)
    return np.asarray(points[int(np.argmin(_misfits(system, at, points, spreads)))])


def misfit(system: System, at: Array, spreads: Sequence[float]) -> float:
    """Return how badly everything is met, outliers counting little."""
    return float(_misfits(system, at, at[None], spreads)[0])


def _misfits(system: System, at: Array, points: Array, spreads: Sequence[float]) -> Array:
    """Return the same for points with other drag and wind."""
    cost = np.asarray(0.5 * (system.prior(points) ** 2).sum(axis=-1))
    for left, one, spread in zip(
        system.left_over_at(at, points[:, :2]), system.readings, spreads, strict=True
    ):
        cost = cost + np.sqrt(1.0 + (left / (spread * one.scale)) ** 2).sum(axis=-1)
    return cost


def rivals(
    system: System, at: Array, spread: Array, weights: Sequence[Array]
) -> tuple[Array, ...]:
    """
    Return other answers of drag and wind that fit nearly as well as the best.

    Parameters
    ----------
    system : System
        The readings.
    at : ndarray
        The best.
    spread : ndarray
        How sure it is, one standard deviation; an answer within that is no other.
    weights : sequence of ndarray
        Of each reading's means.
    """
    points = _around(system, at)
    costs = _cost(system, at, points, weights)
    best = float(costs[0])
    found: list[Array] = []
    for place in _dips(points, costs)[:MOST_DIPS]:
        other = system.weighted(points[place], weights)
        own = float(_cost(system, other, other[None], weights)[0])
        if (np.abs(other - at)[:2] > spread[:2]).any() and own < best + NEARLY:
            found.append(other)
    return tuple(found)


def _around(system: System, at: Array) -> Array:
    """Return points with other drag and wind that may be searched, the answer first."""
    steps = LATTICE * np.arange(-REACH, REACH + 1)
    drag, wind = np.meshgrid(steps, steps, indexing="ij")
    points = np.tile(at, (1 + drag.size, 1))
    points[1:, 0] += drag.ravel()
    points[1:, 1] += wind.ravel()
    may = (points[:, :2] >= system.low[:2]) & (points[:, :2] <= system.high[:2])
    may[0] = True
    return system.inside(points[may.all(axis=1)])


def _cost(system: System, at: Array, points: Array, weights: Sequence[Array]) -> Array:
    """Return what each point leaves over, by weight."""
    cost = np.asarray((system.prior(points) ** 2).sum(axis=-1))
    for left, weight in zip(system.left_over_at(at, points[:, :2]), weights, strict=True):
        cost = cost + (left * left) @ weight
    return cost


def _dips(points: Array, costs: Array) -> list[int]:
    """Return the points lower than their neighbours, the deepest first, the answer left out."""
    apart = np.abs(points[:, None, :2] - points[None, :, :2]).max(axis=-1)
    beside = apart < 1.5 * LATTICE
    lowest = costs <= np.where(beside, costs[None, :], np.inf).min(axis=1)
    own = apart[0] < 0.5 * LATTICE
    dips = np.flatnonzero(lowest & ~own & (costs <= costs[0] + DIP))
    return sorted(dips.tolist(), key=costs.__getitem__)
