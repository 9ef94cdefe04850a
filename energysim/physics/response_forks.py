"""
Loads of a series out of the table, and of two headings the right one, where there are two.

Depends on: `physics.response_close`, `physics.response_read`, `physics.response_table`,
`physics.response_weather`.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from energysim.physics.response_close import choices, exact_load
from energysim.physics.response_read import Approach, place, read, some
from energysim.physics.response_table import HoldTable
from energysim.physics.response_weather import BLOCK, Points, Where

Single = NDArray[np.float32]
Turned = NDArray[np.complex64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """
    Loads as they are read, planes of steps by members, to be settled once all are.

    Until then those with two headings are at the first of them, and those that the table
    leaves to the laws mean nothing.
    """

    thrust_n: Single
    inflow_mps: Single
    bow: Turned
    headings: NDArray[np.uint8]  # how many steady ones, none where the table will not do
    # The other of two, block after block, in the order of the places that have two:
    second_thrust_n: list[Single] = field(default_factory=list)
    second_inflow_mps: list[Single] = field(default_factory=list)
    second_bow: list[Turned] = field(default_factory=list)


def blank(
    shape: tuple[int, int],
    *,
    thrust_n: Single | None = None,
    inflow_mps: Single | None = None,
    bow: Turned | None = None,
) -> Reading:
    """Return room for the loads of a series, in arrays of the caller's if there are any."""
    return Reading(
        thrust_n=np.empty(shape, np.float32) if thrust_n is None else thrust_n,
        inflow_mps=np.empty(shape, np.float32) if inflow_mps is None else inflow_mps,
        bow=np.empty(shape, dtype=np.complex64) if bow is None else bow,
        headings=np.empty(shape, dtype=np.uint8),
    )


def read_block(
    near: Approach, blows: Single, table: HoldTable, rows: slice, reading: Reading
) -> None:
    """Read the loads of some steps with winds of these strengths."""
    spots = place(near, blows, table)
    loads = read(spots, table, slot=0)
    np.multiply(loads.thrust_n, near.drag_ratio, out=reading.thrust_n[rows].reshape(-1))
    reading.inflow_mps[rows].reshape(-1)[:] = loads.inflow_mps
    np.multiply(loads.bow.imag, near.hand, out=loads.bow.imag)
    reading.bow[rows].reshape(-1)[:] = loads.bow
    reading.headings[rows].reshape(-1)[:] = spots.headings
    two = np.flatnonzero(spots.headings == 2)
    if two.size:
        other = read(some(spots, two), table, slot=1)
        np.multiply(other.bow.imag, near.hand[two], out=other.bow.imag)
        reading.second_thrust_n.append(other.thrust_n * near.drag_ratio[two])
        reading.second_inflow_mps.append(other.inflow_mps)
        reading.second_bow.append(other.bow)


def settle(
    reading: Reading,
    table: HoldTable,
    *,
    around: Callable[[Where], Points],
    choose: Callable[[Indices, Turned], Indices],
) -> NDArray[np.bool_]:
    """
    Take the right heading wherever there are several, and ask the laws where need be.

    Parameters
    ----------
    reading : Reading
        Changed in place.
    table : HoldTable
        The boat.
    around : callable
        Returns the weather of some points.
    choose : callable
        Returns which heading each of some places takes, given all it has. [count]

    Returns
    -------
    exact : ndarray, shape (steps, members)
        True where the laws were asked. [flag]
    """
    exact = np.asarray(reading.headings == 0)
    flat = reading.headings.reshape(-1)
    places = np.flatnonzero(flat != 1)
    if not places.size:
        return exact
    members = reading.headings.shape[1]
    alone = flat[places] == 0
    lone = places[alone]
    points = around(np.divmod(lone, members))
    found = choices(points, table)
    several = np.full((max(2, len(found)), places.size), np.nan, dtype=np.complex64)
    several[: len(found), alone] = found
    bow = reading.bow.reshape(-1)
    several[0, ~alone] = bow[places[~alone]]
    if reading.second_bow:
        several[1, ~alone] = np.concatenate(reading.second_bow)
    chosen = choose(places, several)
    bow[places] = several[chosen, np.arange(places.size)]
    if reading.second_bow:
        other = np.flatnonzero(chosen[~alone])
        there = places[~alone][other]
        reading.thrust_n.reshape(-1)[there] = np.concatenate(reading.second_thrust_n)[other]
        reading.inflow_mps.reshape(-1)[there] = np.concatenate(reading.second_inflow_mps)[other]
    for first in range(0, lone.size, BLOCK):
        few = slice(first, first + BLOCK)
        law = exact_load(Points(*(each[few] for each in points)), bow[lone[few]], table)
        reading.thrust_n.reshape(-1)[lone[few]] = law.thrust_n
        reading.inflow_mps.reshape(-1)[lone[few]] = law.inflow_mps
    flat[lone] = (~np.isnan(found)).sum(axis=0)
    return exact
