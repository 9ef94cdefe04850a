"""
The tables of a day: its legs, and what to change.

Depends on: results, unit_format, verdict, report.sections.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from energysim.report.sections import SectionTable, columns
from energysim.report.signed import points
from energysim.unit_format import System, format_quantity
from energysim.verdict import minutes

if TYPE_CHECKING:
    from collections.abc import Iterable

    from energysim.results.day import Change, DayResult, LegResult

VERB_WORDS = {
    "run": "run",
    "hold": "hold",
    "creep": "creep",
    "drift": "drift",
    "rest": "rest",
}
WORTH_S = 30.0  # seconds off station that are worth a word
OUTCOME_WORDS = {
    "holds": "holds",
    "short": "off station",
    "deep": "below limit",
    "empty": "bank gives out",
}


def legs_table(legs: Iterable[LegResult], result: DayResult, system: System) -> SectionTable:
    """Return a row a leg, and the whole day."""
    rows = []
    for leg in legs:
        powered = leg.mean_thrust_n > 0.0
        thrust = format_quantity(leg.mean_thrust_n, "force", system=system, digits=0)
        rows.append(
            (
                leg.name
                if VERB_WORDS[leg.verb] in leg.name.lower()
                else f"{leg.name} ({leg.verb})",
                f"{leg.start:%H:%M}-{leg.end:%H:%M}",
                f"{thrust} {leg.thrust_share:.0%}" if powered else "",
                f"{leg.peak_current_a:.0f} A" if leg.peak_current_a > 0.5 else "",
                f"{leg.charge_ah:.1f} Ah",
                f"{leg.soc_after:.0%}",
                f"{minutes(leg.off_station_s)}: {leg.cause}"
                if leg.off_station_s >= WORTH_S
                else "",
            )
        )
    return SectionTable(
        columns=columns(
            "Leg", "Clock", "Thrust", "Peak", "Used", "Left", "Off station",
            numbers="2345", wraps="06",
        ),
        rows=tuple(rows),
        total=(
            "Whole day",
            f"{result.start:%H:%M}-{result.end:%H:%M}",
            "",
            f"{result.peak_current_a:.0f} A",
            f"{result.charge_drawn_ah:.1f} Ah",
            f"{result.end_soc:.0%}",
            minutes(result.off_station_s) if result.off_station_s >= WORTH_S else "none",
        ),
        caption="Thrust is the mean wanted on a leg, and its share of the motor's rated "
        "thrust; peak is the current in the gusts; left is the charge after the leg at the "
        "rate you draw.",
    )  # fmt: skip


def changes_table(changes: Iterable[Change]) -> SectionTable:
    """Return a row for each thing tried."""
    return SectionTable(
        columns=columns(
            "If you", "Ends at", "Change", "Off station", "The day", numbers="123", wraps="04"
        ),
        rows=tuple(_change(change) for change in changes),
        caption="The same day with one thing otherwise, the most helpful first.",
        inset=True,
    )


def _change(change: Change) -> tuple[str, ...]:
    if change.skipped:
        return (change.name, "", "", "", f"not tried: {change.skipped}")
    return (
        change.name,
        f"{change.end_soc:.0%}",
        points(change.end_soc_change),
        minutes(change.off_station_s) if change.off_station_s >= WORTH_S else "none",
        OUTCOME_WORDS[change.outcome],
    )
