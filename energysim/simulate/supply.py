"""
What a panel or an engine puts in while the day goes on.

The load is carried first; only what is left has to be taken by the bank.

Depends on: simulate.records, simulate.ends.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.simulate.ends import Given
from energysim.simulate.records import Array, Row


class Supply(NamedTuple):
    """A source aboard in one step. Arrays (members,)."""

    most_a: Array  # what it gives if the load is what it seems from the rest voltage
    room_a: Array  # what the bank takes of it


def supply_of(
    supply_w: Array,
    room_a: Array,
    row: Row,
    emf_v: Array,
    alive: NDArray[np.bool_] | None,
) -> Supply:
    """
    Return what a source gives at the bank's rest voltage, no more than load and bank take.

    Parameters
    ----------
    supply_w : ndarray, shape (members,)
        What it has to give. [W]
    room_a : ndarray, shape (members,)
        The most the bank takes; none at all switches the source off, as a bank too cold to be
        charged does. [A]
    row : Row
        For the load.
    emf_v : ndarray, shape (members,)
        Rest voltage. [V]
    alive : ndarray of bool or None
        A dead bank takes nothing more that day; None where none is dead.
    """
    volts = np.maximum(emf_v, 1.0)
    most = np.minimum(supply_w / volts, row.total_w / volts + room_a)
    if alive is not None:
        most = np.where(alive, most, 0.0)
        room_a = np.where(alive, room_a, 0.0)
    return Supply(most, room_a)


def net_current_a(given: Given, supply: Supply | None) -> tuple[Array, Array | None]:
    """Return the bank's own current, in A, and the source's."""
    if supply is None:
        return given.current_a, None
    supply_a = np.minimum(supply.most_a, given.current_a + supply.room_a)
    return given.current_a - supply_a, supply_a
