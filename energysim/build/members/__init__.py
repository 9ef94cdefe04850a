"""
Many days like the planned one: what may be otherwise is drawn, and what follows is worked out.

`plan_members` makes ready whatever all of them share; `members_of_block` gives one fixed block
of them, the same to the bit whoever asks for it. The bank they run on comes beside the demand.
"""

from energysim.build.members.block import BlockOfMembers, members_of_block
from energysim.build.members.draws import draw_block
from energysim.build.members.plan import MembersPlan, plan_members
from energysim.build.members.spreads import SOURCES, Spreads, spreads_of

__all__ = [
    "SOURCES",
    "BlockOfMembers",
    "MembersPlan",
    "Spreads",
    "draw_block",
    "members_of_block",
    "plan_members",
    "spreads_of",
]
