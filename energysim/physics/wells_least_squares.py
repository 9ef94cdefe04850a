r"""
The two wells that come closest to four ratings or more.

Least squares in the logarithm of the charge, so a rating counts by its share and not by its
ampere-hours. The total falls out as a mean; share and rate are found by damped Gauss-Newton
steps from the best of a row of rates.

Depends on: physics.wells.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from energysim.physics.wells import Wells, mean_decay

Array = NDArray[np.float64]

# Rates tried, in time constants of the longest and the shortest rating: outside, the ratings
# look like those of no rate or of an endless one, and fix none.
_SLOWEST: Final = 0.02
_FASTEST: Final = 30.0
_RATES: Final = 48
_LEAST_HELD: Final = 1e-10  # of (1 - c) / c
_MOST_HELD: Final = 1e4
_ROUNDS: Final = 200
_STILL: Final = 1e-12  # a move of the logarithms this small ends the search


def closest_wells(times: Array, charges: Array) -> Wells:
    """Return the wells of least squares; ratings in rows, long to short, members in columns."""
    logs = np.log(charges)
    bounds = (
        np.array([np.log(_SLOWEST / times[0]), np.full(times.shape[1], np.log(_LEAST_HELD))]),
        np.array([np.log(_FASTEST / times[-1]), np.full(times.shape[1], np.log(_MOST_HELD))]),
    )
    point = _first_guess(times, charges, bounds)
    miss, slopes = _misses(point, times, logs)
    damping = np.full(times.shape[1], 1e-3)
    for _ in range(_ROUNDS):
        move = _move(miss, slopes, damping)
        tried = np.clip(point + np.clip(move, -1.0, 1.0), *bounds)
        new_miss, new_slopes = _misses(tried, times, logs)
        better = (new_miss**2).sum(axis=0) <= (miss**2).sum(axis=0)
        moved = np.abs(tried - point).max(axis=0)
        point = np.where(better, tried, point)
        miss = np.where(better, new_miss, miss)
        slopes = np.where(better, new_slopes, slopes)
        damping = np.clip(np.where(better, 0.2 * damping, 5.0 * damping), 1e-12, 1e12)
        if np.all(moved < _STILL):
            break
    _refuse_edge(point, bounds, miss, times, charges)
    rate, held = np.exp(point)
    level = np.log1p(held * mean_decay(rate * times))
    return Wells(
        total_ah=np.exp((logs + level).mean(axis=0)),
        available_share=1.0 / (1.0 + held),
        rate_per_h=rate,
    )


def _misses(point: Array, times: Array, logs: Array) -> tuple[Array, Array]:
    """Return the misses in log charge for the best total, and their slopes in both logs."""
    rate, held = np.exp(point)
    elapsed = rate * times
    decay = mean_decay(elapsed)
    miss = -np.log1p(held * decay) - logs
    weight = -held / (1.0 + held * decay)
    slopes = np.array([weight * (np.exp(-elapsed) - decay), weight * decay])
    return miss - miss.mean(axis=0), slopes - slopes.mean(axis=1, keepdims=True)


def _move(miss: Array, slopes: Array, damping: Array) -> Array:
    """Return the damped Gauss-Newton step of both logarithms."""
    first, second = slopes
    aa, bb = ((part**2).sum(axis=0) * (1.0 + damping) + 1e-300 for part in slopes)
    ab = (first * second).sum(axis=0)
    down_a, down_b = -(first * miss).sum(axis=0), -(second * miss).sum(axis=0)
    size = aa * bb - ab * ab
    return np.array([(bb * down_a - ab * down_b) / size, (aa * down_b - ab * down_a) / size])


def _first_guess(times: Array, charges: Array, bounds: tuple[Array, Array]) -> Array:
    """Return the best of a row of rates, each with the held share of a straight-line fit."""
    logs = np.log(charges)
    best, least = bounds[0].copy(), np.full(times.shape[1], np.inf)
    weight = charges**2  # a miss of 1/q of this weight is a miss of ln q
    for part in np.linspace(0.0, 1.0, _RATES):
        log_rate = bounds[0][0] + part * (bounds[1][0] - bounds[0][0])
        decay = mean_decay(np.exp(log_rate) * times)
        mean_decayed = (weight * decay).sum(axis=0) / weight.sum(axis=0)
        mean_inverse = (weight / charges).sum(axis=0) / weight.sum(axis=0)
        apart = decay - mean_decayed
        slope = (weight * apart / charges).sum(axis=0) / (weight * apart**2).sum(axis=0)
        base = mean_inverse - slope * mean_decayed
        held = np.where(base > 0.0, slope / np.maximum(base, 1e-300), _MOST_HELD)
        log_held = np.log(np.clip(held, _LEAST_HELD, _MOST_HELD))
        point = np.array([log_rate, log_held])
        squares = (_misses(point, times, logs)[0] ** 2).sum(axis=0)
        best = np.where(squares < least, point, best)
        least = np.minimum(squares, least)
    return best


def _refuse_edge(
    point: Array, bounds: tuple[Array, Array], miss: Array, times: Array, charges: Array
) -> None:
    """Raise where the closest wells lie at an edge of what was searched: there are none."""
    edge = ((point <= bounds[0]) | (point >= bounds[1])).any(axis=0)
    if edge.any():
        at = int(np.argmax(edge))
        worst = int(np.argmax(np.abs(miss[:, at])))
        raise ValueError(
            f"capacity_ah = {charges[worst, at]:g} Ah in {times[worst, at]:g} h goes worst "
            f"with the {len(times)} ratings, and no wells follow them: the closest have a rate "
            "of nought or without end; leave that rating out, or state a rate and two ratings"
        )
