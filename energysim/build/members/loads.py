"""
What a block of members asks of the bow motor, at the mean wind and in the gusts.

A boat held as it will is read from its table, in chop the first guess of it; all else goes by
the laws.

Depends on: scenario, physics, plan, build.gusts, build.loads, build.questions.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.build.gusts import gusty_winds
from energysim.build.loads import LAWS, in_gusts
from energysim.build.questions import Afloat, Stretch, asks, kinds_of, legs_begin
from energysim.physics.response_chop import choppy_load_from_table
from energysim.physics.response_gusts import gusty_load_from_table
from energysim.physics.unsteady import gust_nodes

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.members.draws import Draws
    from energysim.build.questions import Kind
    from energysim.physics.response_table import HoldTable
    from energysim.physics.station import Boat, Chop
    from energysim.plan import Surroundings

    Array = NDArray[np.float64]

LOT: Final = {"hold": 32, "creep": 256, "drift": 32}
"""
Members a law is asked for at once: it looks round the compass for each, and a drift tries
twenty speeds on top. A part of a block, so that no answer hangs on who else is drawn. [count]
"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MemberLoads:
    """Loads of a block. Arrays (instants, members) unless said; 0 where the motor is up."""

    thrust_n: Array
    inflow_mps: Array
    heading_deg: Array  # 0 where it was read from the table
    node_thrust_n: Array  # (nodes, instants, members)
    node_inflow_mps: Array  # (nodes, instants, members)
    node_share: Array  # (nodes,)
    node_deviation: Array  # (nodes,)


class Places(NamedTuple):
    """The instants of one kind of leg."""

    kind: Kind
    there: NDArray[np.intp]


def places_of(day: Afloat) -> tuple[Places, ...]:
    """
    Sort the instants at which the bow motor is in use by what their law must be asked.

    Parameters
    ----------
    day : Afloat
        The day with a timeline of its instants alone.
    """
    return tuple(Places(kind, there) for kind, there in kinds_of(day))


def in_table(kind: Kind) -> bool:
    """Tell whether legs of a kind can be read from the table of a held boat."""
    return kind.verb == "hold" and not kind.insists


def loads_of(
    day: Afloat, places: tuple[Places, ...], draws: Draws, table: HoldTable | None
) -> MemberLoads:
    """
    Return the loads of a block of members.

    Parameters
    ----------
    day : Afloat
        The instants, with the weather (instants, members) the block meets and the boat as it
        is planned.
    places : tuple of Places
        Its instants by kind.
    draws : Draws
        For what is otherwise about each member's boat.
    table : HoldTable or None
        Of that boat; None sends everything through the laws.
    """
    around = day.surroundings
    nodes, share, deviation = gusty_winds(around.wind_mps, around.gust_intensity)
    middle = len(share) // 2  # the mean wind itself
    others = [node for node in range(len(share)) if node != middle]
    shape = around.wind_mps.shape
    thrust, inflow, heading = np.zeros((3, *shape))
    node_thrust, node_inflow = np.zeros((2, *nodes.shape))
    for kind, there in places:
        if table is not None and in_table(kind) and table.held.depth_m == kind.depth_m:
            asked = {
                "wind_from_deg": around.wind_from_deg[there],
                "stream_mps": around.stream_mps[there],
                "stream_toward_deg": around.stream_toward_deg[there],
                "wind_ratio": draws.factor["wind_load"],
                "drag_ratio": draws.factor["hull_drag"],
                "factor": gust_nodes(around.gust_intensity[there], count=len(share))[0],
                "fresh": legs_begin([_all(there)], [day]),
            }
            if kind.chop:
                chop = asks(kind, [_all(there)], [day])["chop"]
                choppy = choppy_load_from_table(
                    around.wind_mps[there],
                    **asked,
                    chop=_pushed(chop, draws.factor["chop_push"]),
                    table=table,
                )
                thrust[there], inflow[there] = (
                    choppy.thrust_n[middle],
                    choppy.inflow_mps[middle],
                )
                heading[there] = choppy.heading_deg[middle]
                node_thrust[:, there] = choppy.thrust_n
                node_inflow[:, there] = choppy.inflow_mps
                continue
            load = gusty_load_from_table(around.wind_mps[there], **asked, table=table)
            thrust[there], inflow[there] = load.mean.thrust_n, load.mean.inflow_mps
            node_thrust[:, there], node_inflow[:, there] = load.thrust_n, load.inflow_mps
            continue
        for first in range(0, shape[-1], LOT[kind.verb]):
            lot = slice(first, first + LOT[kind.verb])
            some = day._replace(
                surroundings=_of(around, lot), boat=own_boats(day.boat, draws, lot)
            )
            given = asks(kind, [_all(there)], [some])
            if kind.chop:
                given["chop"] = _pushed(given["chop"], draws.factor["chop_push"][lot])
            free = kind.verb != "creep" and not kind.insists
            fresh = {"fresh": legs_begin([_all(there)], [some])} if free else {}
            law = LAWS[kind.verb]
            mean = law(around.wind_mps[there, lot], **given, **fresh)
            gusty = in_gusts(law, nodes[others][:, there, lot], mean, given, free=free)
            thrust[there, lot], inflow[there, lot] = mean.thrust_n, mean.inflow_mps
            heading[there, lot] = mean.heading_deg
            for node, own_thrust, own_inflow in zip(
                others, gusty.thrust_n, gusty.inflow_mps, strict=True
            ):
                node_thrust[node, there, lot] = own_thrust
                node_inflow[node, there, lot] = own_inflow
            node_thrust[middle, there, lot] = mean.thrust_n
            node_inflow[middle, there, lot] = mean.inflow_mps
    form = draws.factor["thrust_form"]
    thrust *= form
    node_thrust *= form
    return MemberLoads(
        thrust_n=thrust,
        inflow_mps=inflow,
        heading_deg=heading,
        node_thrust_n=node_thrust,
        node_inflow_mps=node_inflow,
        node_share=share,
        node_deviation=deviation,
    )


def _pushed(chop: Chop, push: Array) -> Chop:
    """Return a chop that pushes each member by its own factor."""
    forces = {one.name: getattr(chop.forces, one.name) * push for one in fields(chop.forces)}
    return replace(chop, forces=replace(chop.forces, **forces))


def own_boats(boat: Boat, draws: Draws, lot: slice | NDArray[np.intp]) -> Boat:
    """Return the boats of some members: what the wind and the water do to each."""
    drag = boat.hull.drag_factor * draws.factor["hull_drag"][lot]
    wind = boat.windage.wind_factor * draws.factor["wind_load"][lot]
    return replace(
        boat,
        hull=replace(boat.hull, drag_factor=drag),
        windage=replace(boat.windage, wind_factor=wind),
    )


def _all(there: NDArray[np.intp]) -> Stretch:
    """Return instants as a stretch in which every one is worked out."""
    return Stretch(0, there, np.arange(there.size), there)


def _of(around: Surroundings, lot: slice) -> Surroundings:
    """Return the weather of some members."""
    return replace(
        around, **{one.name: getattr(around, one.name)[:, lot] for one in fields(around)}
    )
