"""
What somebody in a hurry reads: the reason, what to do, how sure it is, in a line each.

Depends on: clock, results, results.odds, results.compare, report.odds, report.day.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from energysim.clock import clock_span
from energysim.report.day import how_sure
from energysim.report.day_tables import OUTCOME_WORDS
from energysim.report.odds import in_a_hundred

if TYPE_CHECKING:
    from collections.abc import Iterator

    from energysim.results.compare import CompareResult
    from energysim.results.day import Change, DayResult
    from energysim.results.odds import OddsResult

MOST_CHANGES = 2  # more are in the table


class BriefLine(NamedTuple):
    """A word in front, and what there is to say."""

    label: str
    text: str
    section: str  # the title of the section that says more; empty where there is none


def brief(
    result: DayResult,
    *,
    odds: OddsResult | None,
    odds_title: str,
    comparison: CompareResult | None,
    comparison_title: str,
) -> tuple[BriefLine, ...]:
    """
    Return the lines that stand right under the verdict.

    Parameters
    ----------
    result : DayResult
        The day.
    odds : OddsResult or None
        Its odds, where they were asked for.
    comparison : CompareResult or None
        Its options, where it has some.
    odds_title, comparison_title : str
        The sections that say more.
    """
    lines = [BriefLine("Why", why, "") for why in _why(result)]
    lines += [BriefLine("What to do", text, "What to change") for text in _what_to_do(result)]
    lines.append(BriefLine(*how_sure(result.bracket), ""))
    if odds is not None:
        lines.append(
            BriefLine(
                "The odds",
                f"in 100 such days about {in_a_hundred(odds.whole_plan)} go as planned.",
                odds_title,
            )
        )
    if comparison is not None:
        lines.append(BriefLine("The options", comparison.reason, comparison_title))
    return tuple(lines)


def _why(result: DayResult) -> Iterator[str]:
    """Say what the day comes down to: what takes most, or what asks most of the motor."""
    if result.outcome in {"deep", "empty"} and result.charge_drawn_ah > 0.0:
        costliest = max(result.legs, key=lambda leg: leg.charge_ah)
        yield (
            f"{costliest.name} takes most, {costliest.charge_ah:.0f} of the "
            f"{result.charge_drawn_ah:.0f} Ah of the day."
        )
    elif result.tightest is not None:
        hour = result.tightest
        yield (
            f"the hardest hour, {clock_span(hour.start, hour.end)} ({hour.leg}), wants "
            f"{hour.share:.0%} of the thrust there is."
        )


def _what_to_do(result: DayResult) -> Iterator[str]:
    """Name what would mend a day that fails, or what gives one that holds more to spare."""
    tried = [change for change in result.changes if not change.skipped]
    if not tried:
        return
    better = [c for c in tried if c.end_soc_change > 0.005 or c.off_station_change_s < -30.0]
    if result.outcome == "holds":
        if better:
            yield f"nothing need change. To have more in hand: {_told(better)}."
        return
    mended = [change for change in tried if change.outcome == "holds"]
    if mended:
        yield f"it holds if you {_told(mended)}."
    elif better:
        yield (
            f"nothing tried makes it hold: make the plan shorter, or wait for another day. "
            f"Nearest: {_told(better[:1], with_outcome=True)}."
        )
    else:
        yield "nothing tried helps: make the plan shorter, or wait for another day."


def _told(changes: list[Change], *, with_outcome: bool = False) -> str:
    """Name the most helpful of some changes, each with where the bank would end."""
    return ", or ".join(
        f"{change.name} (ends at {change.end_soc:.0%}"
        f"{', ' + OUTCOME_WORDS[change.outcome] if with_outcome else ''})"
        for change in changes[:MOST_CHANGES]
    )
