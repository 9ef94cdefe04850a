"""
Where a function of one value reaches a level: every stretch of it, not the first alone.

Depends on: nothing of the package.
"""

from __future__ import annotations

from itertools import pairwise
from math import isfinite, nan
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    Ask = Callable[[list[float]], list[float]]

NEAR: Final = 0.15
"""A peak of the grid that misses by less is looked at closer, and so is a dip (ours). [1]"""

CLOSER: Final = 2
"""How often a peak or a dip is looked at closer. [count]"""


class Stretch(NamedTuple):
    """Values next to each other that reach the level; both ends do."""

    low: float
    high: float
    low_is_range_end: bool
    high_is_range_end: bool


class Scan(NamedTuple):
    """What was found, and everything that was asked on the way."""

    stretches: tuple[Stretch, ...]
    asked: dict[float, float]  # in order of value; NaN where there is no answer


def scan(ask: Ask, grid: Sequence[float], *, wanted: float, tolerance: float) -> Scan:
    """
    Return every stretch of a range in which a function is at least as large as wanted.

    A grid is asked, peaks just below the level and dips just above it are looked at closer, and
    every crossing is halved until it is known. What rises and falls again between two
    neighbours of the grid, away from such a peak, is missed.

    Parameters
    ----------
    ask : callable
        From values to what the function has there, NaN where it has nothing.
    grid : sequence of float
        Increasing, at least two.
    wanted : float
        The level.
    tolerance : float
        How near a crossing has to be known, in the unit of the grid.

    Returns
    -------
    Scan
        The end of a stretch at a crossing is the value that still reaches the level.

    Raises
    ------
    ValueError
        The grid does not increase, or the tolerance is not positive.

    Examples
    --------
    >>> found = scan(lambda xs: [x * x for x in xs], [-2, -1, 0, 1], wanted=1.0, tolerance=1e-3)
    >>> [(one.low, one.high, one.low_is_range_end) for one in found.stretches]
    [(-2, -1, True), (1, 1, False)]
    """
    if len(grid) < 2 or any(after <= before for before, after in pairwise(grid)):
        raise ValueError(f"grid = {list(grid)}; it must be two values or more that increase")
    if not tolerance > 0.0:
        raise ValueError(f"tolerance = {tolerance}; it must be more than 0")
    asked = dict(zip(grid, ask(list(grid)), strict=True))
    for _ in range(CLOSER):
        beside = _beside_turns(asked, wanted)
        asked |= dict(zip(beside, ask(beside), strict=True)) if beside else {}
        asked = dict(sorted(asked.items()))
    _close_in(ask, asked, wanted, tolerance)
    asked = dict(sorted(asked.items()))
    return Scan(_stretches(asked, wanted), asked)


def _reaches(level: float, wanted: float) -> bool:
    """Say whether a level is enough; none at all is not."""
    return isfinite(level) and level >= wanted


def _beside_turns(asked: dict[float, float], wanted: float) -> list[float]:
    """Return the middles beside every peak just too low and every dip just high enough."""
    values, levels = list(asked), list(asked.values())
    found: set[float] = set()
    for place, level in enumerate(levels):
        if not isfinite(level) or abs(level - wanted) > NEAR:
            continue
        others = [
            (values[beside], levels[beside])
            for beside in (place - 1, place + 1)
            if 0 <= beside < len(levels) and isfinite(levels[beside])
        ]
        fine = level >= wanted
        # Neighbours on the other side of the level are crossings, and closed in on as such.
        turns = all((other >= wanted) == fine for _, other in others) and all(
            other >= level if fine else other <= level for _, other in others
        )
        if turns:
            found |= {0.5 * (values[place] + value) for value, _ in others}
    return sorted(found)


def _close_in(ask: Ask, asked: dict[float, float], wanted: float, tolerance: float) -> None:
    """Halve every crossing, all of them at once; what is asked is added."""
    crossings = [
        [before, after]
        for (before, low), (after, high) in pairwise(asked.items())
        if isfinite(low) and isfinite(high) and (low >= wanted) != (high >= wanted)
    ]
    while wide := [one for one in crossings if one[1] - one[0] > tolerance]:
        middles = [0.5 * (low + high) for low, high in wide]
        for one, middle, level in zip(wide, middles, ask(middles), strict=True):
            asked[middle] = level
            same_as_low = _reaches(level, wanted) == _reaches(asked[one[0]], wanted)
            one[0 if same_as_low else 1] = middle


def _stretches(asked: dict[float, float], wanted: float) -> tuple[Stretch, ...]:
    """Return the runs of values that reach the level."""
    found: list[Stretch] = []
    before, begin, open_below = nan, nan, True
    last = nan
    for value, level in asked.items():
        if _reaches(level, wanted):
            if not isfinite(begin):
                begin, open_below = value, not isfinite(before)
            last = value
        elif isfinite(begin):
            found.append(Stretch(begin, last, open_below, not isfinite(level)))
            begin = nan
        before = level
    if isfinite(begin):
        found.append(Stretch(begin, last, open_below, True))
    return tuple(found)
