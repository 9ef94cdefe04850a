"""
The helm and the motor: what keeps the bow on its spot, and how quickly it can.

Shares no code with the package. A position controller with a watch circle turns the bow's
distance and speed over the ground into a wanted push in earth axes; the motor turns to it at a
limited rate, builds its thrust with a lag and stops at its limit.
All gains and lags are ours: common practice, no source.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Helm:
    """How the spot is kept."""

    quickness_per_s: float = 0.25  # natural frequency of boat and helm together
    damping: float = 0.8  # share of critical
    memory_s: float = 40.0  # over which a lasting error is made up for
    watch_circle_m: float = 1.0  # no correction inside
    turn_degps: float = 60.0  # how fast the motor turns about its shaft
    lag_s: float = 1.0  # of thrust behind what is asked
    still_share: float = 0.01  # of full thrust: less than this is not worth turning on


@dataclass(frozen=True, slots=True, kw_only=True)
class MotorTable:
    """Electrical power and greatest thrust, read off at even steps; one table a lane."""

    thrust_step_n: float
    inflow_step_mps: float
    power_w: Array  # shape (tables, thrusts, inflows); no thrust is the motor standing
    most_n: Array  # shape (tables, inflows)
    lane: NDArray[np.intp]  # which table each lane uses

    def power_at(self, thrust_n: Array, inflow_mps: Array) -> Array:
        """Return the electrical power, linear between the steps."""
        row, along = _place(thrust_n / self.thrust_step_n, self.power_w.shape[1])
        column, over = _place(inflow_mps / self.inflow_step_mps, self.power_w.shape[2])
        table = self.lane
        low = (
            self.power_w[table, row, column] * (1.0 - over)
            + over * (self.power_w[table, row, column + 1])
        )
        high = (
            self.power_w[table, row + 1, column] * (1.0 - over)
            + over * (self.power_w[table, row + 1, column + 1])
        )
        return low * (1.0 - along) + along * high

    def most_at(self, inflow_mps: Array) -> Array:
        """Return the greatest thrust, linear between the steps."""
        column, over = _place(inflow_mps / self.inflow_step_mps, self.most_n.shape[1])
        low, high = self.most_n[self.lane, column], self.most_n[self.lane, column + 1]
        return low + over * (high - low)


def _place(steps: Array, count: int) -> tuple[NDArray[np.intp], Array]:
    """Return the node before and the part of the way to the next."""
    node = np.clip(steps.astype(np.intp), 0, count - 2)
    return node, np.clip(steps - node, 0.0, 1.0)


def outside_circle(north: Array, east: Array, radius_m: float) -> tuple[Array, Array]:
    """Return how far outside the watch circle the bow is, as a vector; nothing inside."""
    away = np.hypot(north, east)
    share = np.maximum(1.0 - radius_m / np.maximum(away, 1e-9), 0.0)
    return north * share, east * share


def turned(direction: Array, target: Array, most: float) -> Array:
    """Return a direction after it has turned toward a target by at most so much. [rad]"""
    way = np.mod(target - direction + np.pi, 2.0 * np.pi) - np.pi
    return direction + np.clip(way, -most, most)
