"""
Say in one line what the day comes to, as something a person can act on.

Depends on: results.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from energysim.results.day import LegResult
    from energysim.results.recharge import Recharge

OFF_STATION_MATTERS_S = 60.0


def outcome_of(
    *,
    limit_reached_at: datetime | None,
    cutoff_reached_at: datetime | None,
    off_station_s: float,
) -> str:
    """
    Return the day's outcome as one word.

    Returns
    -------
    str
        "empty": the bank gives out before the plan is done; "deep": it goes below the plan's
        limit; "short": the motor cannot hold for a minute or more; "holds": none of these.
    """
    if cutoff_reached_at is not None:
        return "empty"
    if limit_reached_at is not None:
        return "deep"
    return "short" if off_station_s >= OFF_STATION_MATTERS_S else "holds"


def verdict_line(
    *,
    outcome: str,
    end: datetime,
    end_soc: float,
    limit_soc: float,
    limit_reached_at: datetime | None,
    cutoff_reached_at: datetime | None,
    off_station_s: float,
    legs: Sequence[LegResult],
    recharge: Recharge | None,
) -> str:
    """Return the verdict: what happens to the boat, where the bank ends, and the night."""
    parts = [
        _boat_part(
            outcome, off_station_s, legs, cutoff_reached_at, limit_reached_at, limit_soc
        ),
        _bank_part(outcome, end, end_soc, limit_soc),
        _night_part(recharge),
    ]
    return " ".join(part for part in parts if part)


def _boat_part(
    outcome: str,
    off_station_s: float,
    legs: Sequence[LegResult],
    cutoff_reached_at: datetime | None,
    limit_reached_at: datetime | None,
    limit_soc: float,
) -> str:
    if outcome == "empty" and cutoff_reached_at is not None:
        leg = _leg_at(legs, cutoff_reached_at)
        return (
            f"Does not last: the bank gives out at {cutoff_reached_at:%H:%M}{leg}"
            f"{_and_short(off_station_s)}."
        )
    if outcome == "deep" and limit_reached_at is not None:
        leg = _leg_at(legs, limit_reached_at)
        return (
            f"Too deep: below your {limit_soc:.0%} limit from {limit_reached_at:%H:%M}{leg}"
            f"{_and_short(off_station_s)}."
        )
    if outcome == "short":
        worst = max(legs, key=lambda leg: leg.off_station_s)
        return (
            f"The bank lasts, but the motor cannot hold for {minutes(off_station_s)} "
            f"({worst.name}: {worst.cause})."
        )
    return "Holds the whole plan."


def _and_short(off_station_s: float) -> str:
    """Return what is lost on the water beside what the bank loses; nothing under a minute."""
    if off_station_s < OFF_STATION_MATTERS_S:
        return ""
    return f", {minutes(off_station_s)} off station in all"


def _bank_part(outcome: str, end: datetime, end_soc: float, limit_soc: float) -> str:
    points = 100.0 * (end_soc - limit_soc)
    if outcome == "empty":
        return f"Charge at {end:%H:%M}: {end_soc:.0%}."
    side = "above" if points >= 0 else "below"
    limit = f" your {limit_soc:.0%} limit" if outcome != "deep" else " it"
    apart = f"{abs(points):.0f} point{'' if round(abs(points)) == 1 else 's'}"
    return f"Ends at {end_soc:.0%} at {end:%H:%M}, {apart} {side}{limit}."


def _night_part(recharge: Recharge | None) -> str:
    if recharge is None:
        return ""
    if recharge.full_at is None:
        return f"It will not charge: {recharge.note}."
    if recharge.full_at <= recharge.ready_by:
        return f"Full again by {recharge.full_at:%H:%M}."
    return (
        f"Not full by {recharge.ready_by:%H:%M}: {recharge.soc_when_ready:.0%} then, "
        f"full at {recharge.full_at:%H:%M}."
    )


def _leg_at(legs: Sequence[LegResult], moment: datetime) -> str:
    for leg in legs:
        if leg.start <= moment <= leg.end:
            return f" on {leg.name!r}"
    return ""


def minutes(seconds: float) -> str:
    """Return a length of time as people say it: '40 s', '35 min', '2 h 05 min'."""
    if 0.0 < seconds < 60.0:
        return f"{seconds:.0f} s"
    whole = round(seconds / 60.0)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d} min"
