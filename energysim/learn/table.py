"""
Readings over a grid of factors, and what they are between its nodes.

Depends on: nothing of the package.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

DRAG, WIND, CAPACITY, RESISTANCE = range(4)
"""Places in the list of logarithms that is fitted."""


class Axis(NamedTuple):
    """One factor's nodes, even in a coordinate along which the readings run nearly straight."""

    nodes: Array  # of the coordinate, rising
    power: float  # the coordinate is factor**power; 0 stands for its logarithm

    def shares(self, log_factor: float) -> tuple[Array, Array]:
        """Return each node's share in a reading, and its slope against the logarithm."""
        if self.power == 0.0:
            place, slope = log_factor, 1.0
        else:
            place = float(np.exp(self.power * log_factor))
            slope = self.power * place
        step = float(self.nodes[1] - self.nodes[0])
        share, rise = _shares((place - float(self.nodes[0])) / step, self.nodes.size)
        return share, rise * slope / step

    def factors(self) -> Array:
        """Return the factors at the nodes."""
        return np.exp(self.nodes) if self.power == 0.0 else self.nodes ** (1.0 / self.power)


def _shares(at: float, count: int) -> tuple[Array, Array]:
    """Return the shares of even nodes at a place counted in steps, and their slopes."""
    share, slope = np.zeros(count), np.zeros(count)
    if count == 2:
        share[:], slope[:] = (1.0 - at, at), (-1.0, 1.0)
        return share, slope
    if count == 3:
        share[:] = (0.5 * (at - 1) * (at - 2), -at * (at - 2), 0.5 * at * (at - 1))
        slope[:] = (at - 1.5, 2.0 - 2.0 * at, at - 0.5)
        return share, slope
    # Cubic convolution (Keys 1981, from memory): smooth, local, exact for a parabola.
    left = int(np.clip(np.floor(at), 0, count - 2))
    t = at - left
    cubic = (
        (-0.5 * t + t * t - 0.5 * t**3, -0.5 + 2 * t - 1.5 * t * t),
        (1 - 2.5 * t * t + 1.5 * t**3, -5 * t + 4.5 * t * t),
        (0.5 * t + 2 * t * t - 1.5 * t**3, 0.5 + 4 * t - 4.5 * t * t),
        (-0.5 * t * t + 0.5 * t**3, -t + 1.5 * t * t),
    )
    for offset, (value, rise) in enumerate(cubic):
        node = left - 1 + offset
        # Past the ends a parabola through the last three nodes stands for the missing one.
        into = {-1: (0, 1, 2), count: (count - 1, count - 2, count - 3)}.get(node, (node,))
        for place, part in zip(
            into, (3.0, -3.0, 1.0) if len(into) == 3 else (1.0,), strict=True
        ):
            share[place] += part * value
            slope[place] += part * rise
    return share, slope


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Table:
    """One reading over a grid of factors."""

    axes: tuple[Axis | None, ...]  # of the four factors; None where a factor does not matter
    values: Array  # one axis for each that does, then (bins,)

    def read(self, logs: Array) -> tuple[Array, Array]:
        """
        Return the reading for some factors, and its slopes against their logarithms.

        Parameters
        ----------
        logs : ndarray, shape (4,)
            Logarithms of the factors.

        Returns
        -------
        values, slopes : ndarray, shape (bins,) and (bins, 4)
            As the logger would show them.
        """
        used = [(n, axis) for n, axis in enumerate(self.axes) if axis is not None]
        part = self.values
        for number, axis in used:  # takes the first axis off and puts (share, slope) at the end
            part = np.tensordot(part, np.array(axis.shares(float(logs[number]))), axes=(0, 1))
        found = part.reshape(part.shape[0], -1)
        slopes = np.zeros((part.shape[0], 4))
        for place, (number, _) in enumerate(reversed(used)):
            slopes[:, number] = found[:, 2**place]
        return found[:, 0], slopes

    def over(self, logs: Array, pairs: Array) -> Array:
        """
        Return the reading for many pairs of drag and wind, the bank's factors staying.

        Parameters
        ----------
        logs : ndarray, shape (4,)
            Logarithms of the factors; the first two are not read.
        pairs : ndarray, shape (pairs, 2)
            Logarithms of drag and wind.

        Returns
        -------
        values : ndarray, shape (pairs, bins), or (1, bins) where neither matters
        """
        drag, wind = self.axes[:2]
        if drag is None or wind is None:
            return self.read(logs)[0][None]
        part = self.values
        for number, axis in enumerate(self.axes[2:], start=2):
            if axis is not None:
                part = np.tensordot(part, axis.shares(float(logs[number]))[0], axes=(2, 0))
        drags, winds = _all_shares(drag, pairs[:, 0]), _all_shares(wind, pairs[:, 1])
        shares = (drags[:, :, None] * winds[:, None, :]).reshape(len(pairs), -1)
        return np.asarray(shares @ part.reshape(-1, part.shape[-1]))


def _all_shares(axis: Axis, logs: Array) -> Array:
    """Return each node's share at many places, of which few differ."""
    places, which = np.unique(logs, return_inverse=True)
    return np.array([axis.shares(float(place))[0] for place in places])[which]
