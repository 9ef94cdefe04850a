"""
Run the members of a day, in this process or in others, and tell the odds.

Depends on: scenario, build.members, odds.chunk, odds.table, odds.tell,
sharing.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, NamedTuple

from energysim.build.members import plan_members
from energysim.odds.chunk import Chunk, joined, work
from energysim.odds.table import held_in_table
from energysim.odds.tell import odds_result
from energysim.physics.draws import BLOCK
from energysim.scenario.uncertainty import Uncertainty
from energysim.sharing import shared

if TYPE_CHECKING:
    from collections.abc import Callable
    from concurrent.futures import Executor

    from energysim.build.members import MembersPlan
    from energysim.odds.chunk import MembersRead
    from energysim.physics.response_table import HoldTable
    from energysim.results.odds import OddsResult
    from energysim.scenario.load import LoadedScenario

    Progress = Callable[[int, int], None]

BLOCKS_AT_ONCE: Final = 5
"""
Blocks carried through the loop together where loads are quick: fewer wait on the calling of
each step, more save little and share out worse. Memory is no matter: most of it goes for the
making of the table. Where loads go by the laws they take the time, and one block at once shares
them out best. [count]
"""


def run_odds(
    loaded: LoadedScenario,
    *,
    members: int | None = None,
    seed: int | None = None,
    shift_s: float = 0.0,
    table: HoldTable | None = None,
    executor: Executor | None = None,
    blocks_at_once: int | None = None,
    progress: Progress | None = None,
) -> OddsResult:
    """
    Return the odds of a day: how often it comes off when forecast, boat and bank are otherwise.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario; its [uncertainty] says how far things may be out.
    members : int or None
        Days to run; None takes the scenario's.
    seed : int or None
        What the draws begin from; None takes the scenario's. Two scenarios run from one seed
        have the same weather and boats, member by member.
    shift_s : float
        Start the whole plan this much later; tide and wind stay. [s]
    table : HoldTable or None
        Of this boat, as `odds.table.table_of_days` makes it for many days; None makes one for
        this day alone where it pays.
    executor : concurrent.futures.Executor or None
        Who does the work; None does it here. The answer is the same to the bit.
    blocks_at_once : int or None
        Blocks of 256 members in one piece of work, for tests and for tuning.
    progress : callable or None
        Told how many members are done, and of how many.

    Returns
    -------
    OddsResult
        The whole answer.

    Raises
    ------
    ScenarioError, FileError
        As `build_day`.
    """
    own = loaded.scenario.uncertainty or Uncertainty.model_validate({})
    count = own.members if members is None else members
    plan = plan_members(
        loaded,
        seed=own.seed if seed is None else seed,
        members=count,
        shift_s=shift_s,
        from_table=None if table is None else False,
    )
    if table is not None and held_in_table(plan):
        plan = replace(plan, table=table)
    read = run_members(
        plan,
        count,
        executor=executor,
        blocks_at_once=blocks_at_once,
        progress=progress,
    )
    return odds_result(plan, read)


def run_members(
    plan: MembersPlan,
    members: int,
    *,
    executor: Executor | None = None,
    blocks_at_once: int | None = None,
    progress: Progress | None = None,
) -> MembersRead:
    """
    Run members of a plan, and return what each came to, in order.

    Work goes by blocks of 256 members, so that a member is the same whoever runs it and however
    many others there are. A worker that dies costs time only: what it had is done here.

    Parameters
    ----------
    plan : MembersPlan
        The day.
    members : int
        How many, from the first.
    executor, blocks_at_once, progress
        As in `run_odds`.
    """
    if members < 1:
        raise ValueError(f"members = {members}; it must be at least 1")
    blocks = -(-members // BLOCK)
    at_once = blocks_at_once or (1 if plan.table is None else BLOCKS_AT_ONCE)
    pieces = (
        (plan, Span(first, min(at_once, blocks - first))) for first in range(0, blocks, at_once)
    )
    parts = []
    for done, part in enumerate(shared(_work, pieces, executor), start=1):
        parts.append(part)
        if progress is not None:
            progress(min(done * at_once * BLOCK, members), members)
    return joined(parts).first(members)


class Span(NamedTuple):
    """Some blocks one after the other."""

    first_block: int
    blocks: int


def _work(plan: MembersPlan, span: Span) -> MembersRead:
    """Carry some blocks of a plan through the day."""
    return work(Chunk(plan, span.first_block, span.blocks))
