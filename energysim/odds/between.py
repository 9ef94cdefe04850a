"""
What members ask of their banks at any step, read between the instants it is known at.

Depends on: simulate, physics, build.members.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from energysim.physics.motor_factor import hungrier_motor
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
        self._steps = when_s.size
        self._instants = known.size
        self._width = blocks[0].power_factor.size
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

    def ends_at(self, step: int, some: NDArray[np.intp]) -> Ends:
        """Return what only some members' motors at their ends are asked at a step."""
        block, own = np.divmod(some, self._width)
        for number in np.unique(block):
            self._work_out(int(number), own[block == number])
        rows = self._ends
        at = self._exact.get(step)
        if at is not None:
            inflow, thrust_ratio, torque_ratio, *quadratics = rows[at][:, some]
        else:
            before, share = int(self._before[step]), self._share[step]
            first, last = rows[before][:, some], rows[before + 1][:, some]
            inflow, thrust_ratio, torque_ratio, *quadratics = share * (last - first) + first
        factor = self._power_factor[some]
        return Ends(
            hungrier_motor(self._blocks[0].motor, power_factor=factor),
            inflow,
            thrust_ratio,
            torque_ratio,
            np.stack(quadratics[:3]),
            np.stack(quadratics[3:]),
        )

    def _work_out(self, number: int, members: NDArray[np.intp]) -> None:
        """Work out the ends of members of a block for the whole day, the first time."""
        fresh = members[~self._worked_out[number, members]]
        if not fresh.size:
            return
        self._worked_out[number, fresh] = True
        ends = self._blocks[number].ends_at(np.arange(self._instants)[:, None], fresh)
        rows = np.concatenate(
            [np.stack(ends[1:4]), ends.thrust_quadratic, ends.current_quadratic]
        )
        self._ends[:, :, number * self._width + fresh] = np.moveaxis(rows, 0, 1)

    @cached_property
    def _ends(self) -> Array:
        """What of `Ends` is known so far, (instants, numbers, members)."""
        return np.empty((self._instants, 9, self._width * len(self._blocks)))

    @cached_property
    def _worked_out(self) -> NDArray[np.bool_]:
        return np.zeros((len(self._blocks), self._width), dtype=bool)

    @cached_property
    def _power_factor(self) -> Array:
        return np.concatenate([block.power_factor for block in self._blocks])

    def _beside(self, name: str) -> Array:
        """Return a number of all blocks, (instants, members)."""
        return np.concatenate([getattr(block, name) for block in self._blocks], axis=-1)
