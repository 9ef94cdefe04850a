"""
The loop: carry the bank through the day, step by step, all members at once.

Everything that does not depend on the bank (wind, stream, thrust, electrical demand) arrives
ready in `Demand`, as arrays over (step, member). A single day is a sweep with one member.

Two books are kept apart. The *ledger* counts the real ampere-hours that left the bank. The
*level* is the law's own state, which drives the voltage and ends at 0; `read_books` reads
from it what share of today's capacity this way of drawing still lets out.
"""

from energysim.simulate.books import (
    Books,
    Drawn,
    block_books,
    nothing_drawn,
    plain_books,
    read_books,
)
from energysim.simulate.ends import Ends, draw_on_bank, kept_by_cutoff
from energysim.simulate.loop import simulate
from energysim.simulate.members import one_member
from energysim.simulate.one_block import OneBlock, as_one_block
from energysim.simulate.plain import is_plain
from energysim.simulate.records import (
    BOARD_OPENED,
    BY_BLOCK,
    BY_STRING,
    CARRIED,
    CURRENT_LIMIT,
    CUT_OFF,
    DROP_OUT,
    EDGE_BOOKS,
    EMPTY,
    FULL_THROTTLE,
    LIVES,
    RAN_EMPTY,
    Bank,
    BlockFlows,
    Demand,
    Flows,
    Row,
)
from energysim.simulate.rest import rest_voltage, rest_voltages
from energysim.simulate.tightest import (
    ends_of,
    full_throttle_bus_v,
    thrust_at_current_n,
    tightest_end,
)
from energysim.simulate.walk import rows_of, running_bank, walk

__all__ = [
    "BOARD_OPENED",
    "BY_BLOCK",
    "BY_STRING",
    "CARRIED",
    "CURRENT_LIMIT",
    "CUT_OFF",
    "DROP_OUT",
    "EDGE_BOOKS",
    "EMPTY",
    "FULL_THROTTLE",
    "LIVES",
    "RAN_EMPTY",
    "Bank",
    "BlockFlows",
    "Books",
    "Demand",
    "Drawn",
    "Ends",
    "Flows",
    "OneBlock",
    "Row",
    "as_one_block",
    "block_books",
    "draw_on_bank",
    "ends_of",
    "full_throttle_bus_v",
    "is_plain",
    "kept_by_cutoff",
    "nothing_drawn",
    "one_member",
    "plain_books",
    "read_books",
    "rest_voltage",
    "rest_voltages",
    "rows_of",
    "running_bank",
    "simulate",
    "thrust_at_current_n",
    "tightest_end",
    "walk",
]
