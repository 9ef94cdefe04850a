"""
Rest voltage of blocks, looked up quickly in even tables.

Depends on: simulate.records.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.simulate.records import Array, Bank


class RestVoltages(NamedTuple):
    """Rest voltage of one block as a line over each interval of its level."""

    low_v: Array  # (kinds * nodes,), at the interval's lower node
    rise_v: Array  # (kinds * nodes,), over the interval; none past the last node
    first: NDArray[np.intp]  # [b], where the block's table begins
    intervals: int  # from empty to full


def rest_voltages(bank: Bank) -> RestVoltages:
    """Make the bank's tables of rest voltage ready for look-ups."""
    tables = bank.emf_tables_v
    nodes = tables.shape[1]
    return RestVoltages(
        low_v=tables.ravel(),
        rise_v=np.diff(tables, axis=1, append=tables[:, -1:]).ravel(),
        first=bank.emf_kind * nodes,
        intervals=nodes - 1,
    )


def rest_voltage(level: Array, rest: RestVoltages) -> Array:
    """Look up the rest voltage of one block, in V, at a level of 0 to 1."""
    position = level * rest.intervals
    below = position.astype(np.intp)
    index = rest.first + below
    position -= below
    position *= rest.rise_v.take(index)
    position += rest.low_v.take(index)
    return position
