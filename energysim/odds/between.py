"""
What members ask of their banks at any step, read between the instants it is known at.

Depends on: simulate, build.members.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from energysim.simulate import Ends, rows_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from energysim.build.members.asked import Asked
    from energysim.simulate import Bank, Row

    Array = NDArray[np.float64]


class Between:
    """
    The demand of some blocks of members, side by side, one step after another.

    Straight in time between the instants, to the bit as `physics.response_spread.spread` has
    it. No step is kept: a sweep's steps by members would not stay near the processor.
    """

    def __init__(self, blocks: Sequence[Asked], known: NDArray[np.intp], when_s: Array) -> None:
        self._blocks = blocks
        self._ends: dict[int, Ends] = {}
        self._steps = when_s.size
        steps = np.arange(self._steps)
        self._before = np.minimum(
            np.searchsorted(known, steps, side="right") - 1, max(known.size - 2, 0)
        )
        after = np.minimum(self._before + 1, known.size - 1)
        first, last = when_s[known[self._before]], when_s[known[after]]
        share = np.divide(
            when_s - first, last - first, out=np.zeros_like(when_s), where=last > first
        )
        self._share: list[float] = share.tolist()
        self._exact = dict(zip(known.tolist(), range(known.size), strict=True))

    def rows(self, bank: Bank) -> Iterator[Row]:
        """Yield what each step needs of the demand."""
        asked = [self._beside(name) for name in ("power_w", "thrust_n", "needed_voltage_v")]
        place, rises = -1, asked
        for step in range(self._steps):
            at = self._exact.get(step)
            if at is not None:
                now = [each[at] for each in asked]
            else:
                if place != self._before[step]:
                    place = int(self._before[step])
                    rises = [each[place + 1] - each[place] for each in asked]
                now = [
                    self._share[step] * rise + each[place]
                    for rise, each in zip(rises, asked, strict=True)
                ]
            power, thrust, volts = now
            yield rows_of(power, thrust, volts, bank)

    def ends_at(self, step: int) -> Ends:
        """Return what only a motor at its ends is asked at a step."""
        at = self._exact.get(step)
        if at is not None:
            return self._ends_known(at)
        before, share = int(self._before[step]), self._share[step]
        ends = zip(self._ends_known(before), self._ends_known(before + 1), strict=True)
        return Ends(*(share * (last - first) + first for first, last in ends))

    def _ends_known(self, instant: int) -> Ends:
        """Return the same at an instant, worked out once."""
        if instant not in self._ends:
            # Two at once are all that is ever asked for: the steps go one way.
            self._ends = {at: ends for at, ends in self._ends.items() if at == instant - 1}
            parts = [block.ends_at(instant) for block in self._blocks]
            self._ends[instant] = Ends(
                *(np.concatenate(each, axis=-1) for each in zip(*parts, strict=True))
            )
        return self._ends[instant]

    def _beside(self, name: str) -> Array:
        """Return a number of all blocks, (instants, members)."""
        return np.concatenate([getattr(block, name) for block in self._blocks], axis=-1)
