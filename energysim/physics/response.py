"""
What holding a spot asks of the bow motor, read from the table of one boat.

For sweeps in smooth water, where it stands in for `physics.hold.hold_load`. Chop is left out:
its push goes by the wind over the water and not by the ratio of wind to stream, and it does
not grow with a member's own factors, so a table over two numbers cannot hold it.

Depends on: `physics.bearing`, `physics.bounds`, `physics.lying` (what a swing is),
`physics.response_close`, `physics.response_forks`, `physics.response_read`,
`physics.response_table`, `physics.response_weather`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.lying import SWING_DEG
from energysim.physics.response_close import against_drift, follow, nearest
from energysim.physics.response_forks import Reading, blank, read_block, settle
from energysim.physics.response_read import approach
from energysim.physics.response_table import HoldTable
from energysim.physics.response_weather import Weather, at_points, plane, weather

Array = NDArray[np.float64]
Single = NDArray[np.float32]
Turned = NDArray[np.complex64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeldLoad:
    """What holding a spot asks of the bow motor; arrays of one shape but where said."""

    thrust_n: Single
    inflow_mps: Single  # water into the propeller along the thrust, never negative
    bow: Turned  # where the bow points, of length one, off where the stream comes from
    stream_from_deg: Array  # broadcasts to the rest
    steady_headings: NDArray[np.uint8]  # how many there were to choose from
    swung: Flags  # True where, in a series, the boat turned far since the step before
    exact: Flags  # True where the table would not do and the laws were asked

    @property
    def heading_deg(self) -> Array:
        """Compass heading, 0 up to but not including 360."""
        heading = np.mod(np.angle(self.bow).astype(np.float64) * (180.0 / np.pi), 360.0)
        return np.asarray(np.mod(np.mod(heading + self.stream_from_deg, 360.0), 360.0))

    def at_steps(self, steps: slice) -> "HeldLoad":
        """Return the loads of some steps of a series, with the swings found at those."""
        changes = self.stream_from_deg.ndim == self.bow.ndim and len(self.stream_from_deg) > 1
        return HeldLoad(
            thrust_n=self.thrust_n[steps],
            inflow_mps=self.inflow_mps[steps],
            bow=self.bow[steps],
            stream_from_deg=self.stream_from_deg[steps] if changes else self.stream_from_deg,
            steady_headings=self.steady_headings[steps],
            swung=self.swung[steps],
            exact=self.exact[steps],
        )


def load_from_table(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    wind_ratio: ArrayLike,
    drag_ratio: ArrayLike,
    table: HoldTable,
    near_deg: ArrayLike | None = None,
    fresh: ArrayLike | None = None,
    with_swings: bool = True,
) -> HeldLoad:
    r"""
    Return the thrust that keeps a boat on a spot, for as many members and steps as wanted.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind at the height of the windage. [m/s]
    wind_from_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it blows from. [deg]
    stream_mps : array_like, broadcastable with `wind_mps`
        Speed of the stream, no more than the table was made for. [m/s]
    stream_toward_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it runs toward. [deg]
    wind_ratio, drag_ratio : array_like, broadcastable with `wind_mps`
        By what to multiply every wind force and every water force of the table's boat. [1]
    table : HoldTable
        From `physics.response_table.hold_table`.
    near_deg : array_like or None
        Heading the boat comes from, as in `physics.lying.lying`. [deg]
    fresh : array_like or None, shape (steps,)
        For a series: where the boat begins anew, as in `physics.lying.lying`. [flag]
    with_swings : bool
        Whether to look for swings, for which a sweep has no use. [flag]

    Returns
    -------
    load : HeldLoad
        In single precision.

    Raises
    ------
    ValueError
        If a speed is negative or beyond the table, a ratio not above zero, a number not
        finite, or `fresh` does not have one flag a step.

    Notes
    -----
    All forces in smooth water grow with the square of the speed but drag along the keel. With
    :math:`k_a, k_w` the ratios, :math:`U' = U\sqrt{k_a/k_w}` and :math:`V = U' + 8 S`, it
    holds without approximation that

    .. math:: \vec T = -k_w \left[ V^2 \vec f(U'/V, \beta)
              - r(u)\,u|u|\,\hat b(U'/V, \beta) \right], \qquad u = S\,\hat b_x

    with :math:`\hat b` where the bow points. Force and bow are read along straight lines
    between the nodes of a cell, drag at the nearest of many. Of two headings the one nearest
    to where the boat lay is taken. In a cell where a heading appears or vanishes, or where
    straight lines will not do, all steady headings are worked out instead, and the laws are
    asked for the load. Those cells are cut twice, into 256 in all, before any is left so.

    Held by tests to `physics.hold.hold_load` over winds and streams of every strength and
    angle, most of them near opposition: thrust to 1 %, or to 0.02 % of wind and stream where
    they cancel, and inflow to 1 % of the stream. In the cells that had to be cut, a fortieth
    of the table, one load in 15,000 was found further out, by up to 7 %: beside a heading about
    to vanish the moment is so flat that two searches settle 0.1 to 0.3 deg apart. Within
    10 deg or so of opposition it finds short-lived headings that `hold_load`, which looks every
    5 deg, takes for none; there the two may differ by a whole swing, in one or two loads of a
    thousand. Whole days of a bank end within 0.05 point of those by the laws.
    """
    around = weather(
        wind_mps,
        wind_from_deg=wind_from_deg,
        stream_mps=stream_mps,
        stream_toward_deg=stream_toward_deg,
        wind_ratio=wind_ratio,
        drag_ratio=drag_ratio,
        most_stream_mps=table.held.most_stream_mps,
        near_deg=near_deg,
    )
    restarts = None if fresh is None else _restarts(fresh, around.shape)
    near = None if near_deg is None else bounded(near_deg, name="near_deg")
    reading = blank((around.steps, around.members))
    for rows in around.blocks():
        shape = (rows.stop - rows.start, around.members)
        block = approach(around.of_rows(rows), shape)
        read_block(block, block.blows, table, rows, reading)
    load = _settled(reading, around, table, restarts=restarts, near_deg=near)
    if with_swings and restarts is not None:
        _find_swings(load, reading.bow, around.points.stream_from_deg, restarts)
    return load


def _settled(
    reading: Reading,
    around: Weather,
    table: HoldTable,
    *,
    restarts: Flags | None,
    near_deg: Array | None,
) -> HeldLoad:
    """Return the loads of a series with each heading taken from where the boat lay."""
    shape, stream_from = around.shape, around.points.stream_from_deg

    def choose(places: NDArray[np.intp], several: Turned) -> NDArray[np.intp]:
        """Choose the heading nearest to the one before, or to the one to begin with."""
        where = np.divmod(places, around.members)
        begins = np.ones(places.size, dtype=bool) if restarts is None else restarts[where[0]]
        first = (where[0][begins], where[1][begins])
        if near_deg is None:
            near = against_drift(around.at(first), table)
        else:
            lay = at_points(plane(near_deg, shape), first) - at_points(stream_from, first)
            near = np.exp(1j * np.deg2rad(lay))
        chosen = np.zeros(places.size, dtype=np.intp)
        chosen[begins] = nearest(several[:, begins], near)
        if restarts is not None:
            follow(
                reading.bow,
                stream_from_deg=stream_from,
                places=places,
                several=several,
                chosen=chosen,
                restarts=restarts,
            )
        return chosen

    exact = settle(reading, table, around=around.at, choose=choose)
    return HeldLoad(
        thrust_n=reading.thrust_n.reshape(shape),
        inflow_mps=reading.inflow_mps.reshape(shape),
        bow=reading.bow.reshape(shape),
        stream_from_deg=_laid_out(stream_from, shape),
        steady_headings=reading.headings.reshape(shape),
        swung=np.zeros(shape, dtype=bool),
        exact=exact.reshape(shape),
    )


def _laid_out(values: Array, shape: tuple[int, ...]) -> Array:
    """Return a plane in the form of the answer, as thin as it is."""
    if not shape:
        return values.reshape(())
    rest = shape[1:] if values.shape[1] > 1 else (1,) * len(shape[1:])
    return values.reshape(values.shape[:1] + rest)


def _find_swings(load: HeldLoad, bow: Turned, stream_from_deg: Array, restarts: Flags) -> None:
    """Flag where the boat turned far from one step to the next."""
    if len(bow) < 2:
        return
    swung = load.swung.reshape(bow.shape)  # of the same memory
    turn = bow[1:] * np.conj(bow[:-1])
    if len(stream_from_deg) > 1:
        stream = np.deg2rad(np.diff(stream_from_deg, axis=0))
        turn *= np.exp(1j * stream.astype(np.float32))
    np.less(turn.real, np.float32(np.cos(np.deg2rad(SWING_DEG))), out=swung[1:])
    swung[restarts] = False


def _restarts(fresh: ArrayLike, shape: tuple[int, ...]) -> Flags:
    """Return the steps at which the boat begins anew, the first among them."""
    flags = np.array(fresh, dtype=bool)
    if not shape or flags.shape != shape[:1]:
        msg = f"fresh has shape {flags.shape}; it must be one flag for each step of {shape}"
        raise ValueError(msg)
    flags[:1] = True
    return flags
