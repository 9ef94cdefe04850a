r"""
What holding a spot in chop asks of the bow motor in every wind of the gusts, for sweeps.

The push of chop goes by the wind over the water and by the members' own factors, so no table
over two numbers holds it. But it turns a boat much as more wind would: the table says where
the boat would lie in so much more wind, and from there it is a step or two to the balance of
the laws themselves.

Depends on: `physics.boat`, `physics.hold`, `physics.response_balance`,
`physics.response_close`, `physics.response_gusts`, `physics.response_rows`,
`physics.response_table`, `physics.response_weather`.
"""

from dataclasses import dataclass, fields, replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.boat import Chop
from energysim.physics.hold import hold_load
from energysim.physics.response_balance import Met, balanced_loads
from energysim.physics.response_close import boats_of
from energysim.physics.response_gusts import gusty_load_from_table
from energysim.physics.response_rows import held_rows
from energysim.physics.response_table import HoldTable
from energysim.physics.response_weather import Points

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_BLOCK: Final = 8_192  # points at once, so that they stay near the processor
_LAWS: Final = 2_048


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChoppyLoad:
    """What holding a spot asks for in each wind; arrays (winds, ...)."""

    thrust_n: Array
    inflow_mps: Array
    heading_deg: Array
    exact: Flags  # the laws were asked


def choppy_load_from_table(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    wind_ratio: ArrayLike,
    drag_ratio: ArrayLike,
    factor: ArrayLike,
    chop: Chop,
    table: HoldTable,
    fresh: ArrayLike,
) -> ChoppyLoad:
    r"""
    Return the thrust that holds a boat in each wind of a gusty series, in chop.

    Parameters
    ----------
    wind_mps : array_like, shape (steps, members)
        As in `physics.response.load_from_table`, the wind being the mean. [m/s]
    wind_from_deg, stream_mps, stream_toward_deg : array_like, broadcastable with `wind_mps`
        As there. [deg, m/s, deg]
    wind_ratio, drag_ratio : array_like, broadcastable with `wind_mps`
        As there. [1]
    factor : array_like, shape (winds, steps, members)
        By what each wind is stronger than the mean; one of them 1. [1]
    chop : Chop
        The chop, broadcastable with `wind_mps`; it is the same in all the winds.
    table : HoldTable
        Of the boat, in water of the right depth.
    fresh : array_like, shape (steps,)
        As there. [flag]

    Returns
    -------
    load : ChoppyLoad
        The mean wind's among them.

    Raises
    ------
    ValueError
        If no factor is 1 throughout, or as there.

    Notes
    -----
    The first guess is where the table has the boat in a wind :math:`U_e` that turns it as wind
    and chop do together, 45 deg off the bow:

    .. math:: k_a U_e^2 = k_a U^2 + \ell F_{45} / m_w(45^\circ)

    with :math:`\ell` the lever of the push about the bow motor. From there Newton's method
    goes to the balance of all moments. Where three steps do not settle it, or it lies more
    than 12 deg from the guess or would not turn back when nudged, the laws are asked. Held by
    tests to `physics.hold.hold_load`.
    """
    winds = np.asarray(factor, dtype=np.float64)
    mean = next((place for place, each in enumerate(winds) if (each == 1.0).all()), None)
    if mean is None:
        raise ValueError("factor has no wind that is the mean itself, 1 throughout")
    rows = held_rows(table.held)
    shape = winds.shape[1:]
    wind, wind_from, stream, toward, k_wind, k_drag = (
        np.broadcast_to(np.asarray(each, dtype=np.float64), shape)
        for each in (
            wind_mps, wind_from_deg, stream_mps, stream_toward_deg, wind_ratio, drag_ratio,
        )
    )  # fmt: skip
    # Where the wind's own moment 45 deg off the bow is that of the chop.
    turns = rows.chop_lever_m * -np.asarray(chop.forces.quarter_sway_n)
    worth = np.maximum(turns / rows.wind_nm.at[len(rows.wind_nm.at) // 8], 0.0)
    square = np.maximum(k_wind * wind * wind + worth, 1e-12)
    guess = gusty_load_from_table(
        np.sqrt(square / k_wind),
        wind_from_deg=wind_from,
        stream_mps=stream,
        stream_toward_deg=toward,
        wind_ratio=k_wind,
        drag_ratio=k_drag,
        factor=np.stack(
            [
                np.ones(shape)
                if number == mean
                else np.sqrt((k_wind * (each * wind) ** 2 + worth) / square)
                for number, each in enumerate(winds)
            ]
        ),
        table=table,
        fresh=fresh,
    )
    stream_from = np.deg2rad(toward + 180.0)
    met = Met(
        wind_square=k_wind * wind * wind,
        wind_angle=np.deg2rad(wind_from) - stream_from,
        stream_mps=stream,
        drag_ratio=k_drag,
        chop_angle=np.deg2rad(np.broadcast_to(chop.from_deg, shape)) - stream_from,
        head_surge_n=chop.forces.head_surge_n,
        more_surge_n=2.0
        * (np.sqrt(2.0) * chop.forces.quarter_surge_n - chop.forces.head_surge_n),
        beam_sway_n=chop.forces.beam_sway_n,
        more_sway_n=2.0 * (np.sqrt(2.0) * chop.forces.quarter_sway_n - chop.forces.beam_sway_n),
    )
    met = Met(*(np.broadcast_to(each, shape).reshape(-1) for each in met))
    thrust, inflow, angle = np.empty((3, *winds.shape))
    exact = np.zeros(winds.shape, dtype=bool)
    points = Points(wind, wind_from, stream, toward + 180.0, k_wind, k_drag)
    # The mean wind first: in each other the boat lies nearest to where it lies in that.
    for number in (mean, *(other for other in range(len(winds)) if other != mean)):
        begin = np.angle(guess.bow[number]).astype(np.float64).reshape(-1)
        squares = winds[number].reshape(-1) ** 2
        parts = [
            balanced_loads(
                begin[here],
                met=Met(*(each[here] for each in met))._replace(
                    wind_square=met.wind_square[here] * squares[here]
                ),
                rows=rows,
            )
            for here in (slice(k, k + _BLOCK) for k in range(0, begin.size, _BLOCK))
        ]
        thrust[number], inflow[number], angle[number] = (
            np.concatenate(part).reshape(shape) for part in zip(*parts, strict=True)
        )
        lost = np.isnan(angle[number])
        near = begin.reshape(shape) if number == mean else angle[mean]
        blown = points._replace(wind_mps=winds[number] * wind)
        law = _by_the_laws(blown, lost, near, chop, table)
        thrust[number][lost], inflow[number][lost], angle[number][lost] = law
        exact[number] = lost
    heading = np.mod(np.rad2deg(angle + stream_from), 360.0)
    return ChoppyLoad(
        thrust_n=thrust,
        inflow_mps=inflow,
        heading_deg=np.where(heading < 360.0, heading, 0.0),
        exact=exact,
    )


def _by_the_laws(
    points: Points, lost: Flags, near: Array, chop: Chop, table: HoldTable
) -> tuple[Array, Array, Array]:
    """Return thrust, inflow and angle of the points whose balance was not found."""
    parts = [np.zeros((3, 0))]
    places = np.flatnonzero(lost)
    for few in (places[k : k + _LAWS] for k in range(0, places.size, _LAWS)):

        def there(values: ArrayLike, few: NDArray[np.intp] = few) -> Array:
            return np.asarray(np.broadcast_to(values, lost.shape).reshape(-1)[few], float)

        some = Points(*(there(each) for each in points))
        forces = replace(
            chop.forces,
            **{one.name: there(getattr(chop.forces, one.name)) for one in fields(chop.forces)},
        )
        load = hold_load(
            some.wind_mps,
            wind_from_deg=some.wind_from_deg,
            stream_mps=some.stream_mps,
            stream_toward_deg=some.stream_from_deg - 180.0,
            boat=boats_of(some, table.held.boat),
            depth_m=table.held.depth_m,
            chop=replace(chop, from_deg=there(chop.from_deg), forces=forces),
            near_deg=np.rad2deg(there(near)) + some.stream_from_deg,
        )
        angle = np.deg2rad(load.heading_deg - some.stream_from_deg)
        parts.append(np.stack([load.thrust_n, load.inflow_mps, angle]))
    thrust, inflow, angle = np.concatenate(parts, axis=1)
    return thrust, inflow, angle
