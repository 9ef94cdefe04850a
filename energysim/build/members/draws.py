"""
One block of members' draws, in the units of what they change.

Depends on: physics, build.members.spreads.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.build.members.spreads import GROWTH_PER_H, SOURCES
from energysim.physics.draws import (
    BLOCK,
    FARTHEST,
    block_errors,
    block_normals,
    lognormal_factor,
    remembered_series,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from energysim.build.members.spreads import Spreads

    Array = NDArray[np.float64]

SERIES_FARTHEST: Final = 5.0
"""Series of errors are held within so many standard deviations: 6 in 10 million lie beyond."""

WELLS_FARTHEST: Final = 2.0
"""Standard deviations at which the rate of the wells meets the ends of its range. [1]"""

FACTORS: Final = (
    "gust_factor", "stream_strength", "wind_load", "hull_drag", "thrust_form", "chop_height",
    "chop_push", "motor", "capacity", "age", "resistance", "house_load", "supply",
)  # fmt: skip
"""The sources that are a factor about 1, drawn lognormal."""


class Draws(NamedTuple):
    """What is otherwise for each member of a block. Arrays (members,) unless said."""

    wind_east_mps: Array  # (instants, members), added at 10 m over open water
    wind_north_mps: Array
    stream_east_mps: Array  # (instants, members), added to the tide
    stream_north_mps: Array
    stream_late_s: Array
    wells_place: Array  # -1 to 1, the slow end of the range to the fast
    start_charge: Array  # added to the state of charge at the start
    factor: dict[str, Array]  # by source, those of `FACTORS`
    wind_error: Array  # (2, instants, members), of the day alone, for telling its share
    wind_bias: Array  # (2, members)


def draw_block(spreads: Spreads, *, seed: int, block: int, at_s: Array) -> Draws:
    """
    Draw one block of members.

    Parameters
    ----------
    spreads : Spreads
        Of every source.
    seed : int
        The user's.
    block : int
        Which block, from 0.
    at_s : ndarray, shape (instants,)
        When errors of the forecast are wanted, from the day's start. [s]
    """

    def errors(key: str, rows: int = 1, farthest: float = FARTHEST) -> Array:
        number = SOURCES.index(key)
        return block_errors(seed, source=number, block=block, rows=rows, farthest=farthest)

    def series(key: str) -> Array:
        """Return two components, (2, instants, members); zeros where nothing is drawn."""
        shape = (2, at_s.size, BLOCK)
        if spreads.of[key] == 0.0:
            return np.broadcast_to(0.0, shape)
        normals = block_normals(
            seed, source=SOURCES.index(key), block=block, rows=2 * at_s.size
        ).reshape(at_s.size, 2, BLOCK)
        slow = remembered_series(normals, at_s=at_s, memory_s=spreads.memory_s[key])
        np.clip(slow, -SERIES_FARTHEST, SERIES_FARTHEST, out=slow)
        slow *= spreads.of[key]
        return np.moveaxis(slow, 1, 0)

    lead_h = (spreads.lead_s + at_s) / 3600.0
    wind = series("wind_error") * (1.0 + GROWTH_PER_H * lead_h)[:, None]
    bias = spreads.of["wind_bias"] * errors("wind_bias", 2)
    stream = series("stream_residual")
    return Draws(
        wind_east_mps=wind[0] + bias[0],
        wind_north_mps=wind[1] + bias[1],
        stream_east_mps=stream[0],
        stream_north_mps=stream[1],
        stream_late_s=spreads.of["stream_timing"] * errors("stream_timing")[0],
        wells_place=spreads.of["well_rate"] * errors("well_rate", farthest=WELLS_FARTHEST)[0],
        start_charge=spreads.of["start_charge"] * errors("start_charge")[0],
        factor={
            key: lognormal_factor(errors(key)[0], spread=spread) if spread else np.ones(BLOCK)
            for key, spread in ((key, spreads.of[key]) for key in FACTORS)
        },
        wind_error=wind,
        wind_bias=bias,
    )


def first_of(draws: Draws, members: int) -> Draws:
    """Return the first so many members' draws, for who needs no whole block."""
    return Draws(
        wind_east_mps=draws.wind_east_mps[..., :members],
        wind_north_mps=draws.wind_north_mps[..., :members],
        stream_east_mps=draws.stream_east_mps[..., :members],
        stream_north_mps=draws.stream_north_mps[..., :members],
        stream_late_s=draws.stream_late_s[:members],
        wells_place=draws.wells_place[:members],
        start_charge=draws.start_charge[:members],
        factor={key: factor[:members] for key, factor in draws.factor.items()},
        wind_error=draws.wind_error[..., :members],
        wind_bias=draws.wind_bias[..., :members],
    )


def drawn_columns(draws: Draws, weight: Array) -> Iterator[tuple[int, Array]]:
    """
    Yield what was drawn as numbers of a member, each with its source's place in `SOURCES`.

    Parameters
    ----------
    draws : Draws
        Of a block.
    weight : ndarray, shape (instants,)
        What each instant counts for in the mean that stands for a series; together 1.

    Yields
    ------
    source, column : int, ndarray, shape (members,)
    """
    for component in range(2):
        yield SOURCES.index("wind_error"), weight @ draws.wind_error[component]
        yield SOURCES.index("wind_bias"), draws.wind_bias[component]
    for series in (draws.stream_east_mps, draws.stream_north_mps):
        yield SOURCES.index("stream_residual"), weight @ series
    yield SOURCES.index("stream_timing"), draws.stream_late_s
    yield SOURCES.index("well_rate"), draws.wells_place
    yield SOURCES.index("start_charge"), draws.start_charge
    for key, factor in draws.factor.items():
        yield SOURCES.index(key), factor


def fastest_stream_mps(fastest_mps: float, spreads: Spreads) -> float:
    """Return a stream no member's is faster than, in m/s, from the day's fastest anywhere."""
    strongest = float(np.exp(FARTHEST * spreads.of["stream_strength"]))
    across = float(np.hypot(1.0, 1.0)) * SERIES_FARTHEST * spreads.of["stream_residual"]
    return fastest_mps * strongest + across
