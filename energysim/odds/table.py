"""
One response table for many days of one boat: made once, where that is worth it.

Depends on: physics, build.members.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.build.members.draws import fastest_stream_mps
from energysim.build.members.loads import in_table
from energysim.physics.draws import BLOCK
from energysim.physics.response_table import hold_table

if TYPE_CHECKING:
    from energysim.build.members import MembersPlan
    from energysim.physics.response_table import HoldTable

PAYS_FROM: Final = 200_000
"""
Loads of holds, over all members and days, from which the seconds a table takes to make
are won back (measured). [count]
"""

SLOWEST_MPS: Final = 0.1
"""A table needs some stream to be made for. [m/s]"""

ROOM: Final = 1.01
"""Between the minutes at which a stream is looked at it runs a hair faster. [1]"""


def held_in_table(plan: MembersPlan) -> int:
    """Return at how many instants of a plan a member's load can be read from a table."""
    return sum(place.there.size for place in plan.places if in_table(place.kind))


def table_of_days(
    plan: MembersPlan, *, days: int, members: int, most_stream_mps: float
) -> HoldTable | None:
    """
    Return a table good for many days of a plan's boat; None where none is worth its making.

    Parameters
    ----------
    plan : MembersPlan
        One of them.
    days : int
        How many there are.
    members : int
        Of each.
    most_stream_mps : float
        The fastest forecast for any leg of any of them. [m/s]
    """
    worked_out = members if members < BLOCK else -(-members // BLOCK) * BLOCK
    if held_in_table(plan) * worked_out * days < PAYS_FROM:
        return None
    fastest = fastest_stream_mps(ROOM * most_stream_mps, plan.spreads)
    chop = plan.scenario.chop
    return hold_table(
        plan.day.boat,
        most_stream_mps=max(fastest, SLOWEST_MPS),
        depth_m=None if chop is None else chop.depth_m,
    )
