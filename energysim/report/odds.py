"""
What a page says of the odds of a day, and the odds as one JSON document.

Depends on: results.odds, report.document, report.sections, unit_format, verdict.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from energysim.clock import long_date
from energysim.report.document import SCHEMA, plain_data
from energysim.report.sections import Section, SectionTable, Words, columns
from energysim.results.odds import FAIR, GOOD
from energysim.unit_format import System, format_quantity
from energysim.verdict import minutes

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from energysim.results.odds import Chance, LegOdds, Mark, OddsResult, SourceOdds

WORDS = {
    "wind_error": "the wind forecast, hour by hour",
    "wind_bias": "the wind forecast, all day long",
    "gust_factor": "how hard it gusts",
    "stream_strength": "how strong the stream runs",
    "stream_timing": "when the tide turns",
    "stream_residual": "water that moves without the tide",
    "wind_load": "how much wind the boat catches",
    "hull_drag": "how the hull drags",
    "thrust_form": "the model of how a boat is held",
    "chop_height": "how high the chop is",
    "chop_push": "how hard the chop pushes",
    "motor": "what the motor draws",
    "capacity": "what the bank gives",
    "age": "how worn the bank is",
    "resistance": "the resistance inside the bank",
    "well_rate": "how the bank recovers in a rest",
    "house_load": "what all but the motor draws",
    "supply": "what panel and engine give",
    "start_charge": "how full the bank starts",
}
CHANCES: Final = "The chances"
LEAST_SHARE = 0.01  # less is not worth a line
MARK_ROWS = 12


def odds_document(result: OddsResult) -> dict[str, Any]:
    """Return the odds as plain data, ready for `json`."""
    left_out = {"member_end_soc", "member_off_s", "member_fine"}
    return {"schema": SCHEMA, **plain_data(result, left_out=left_out)}


def odds_words(result: OddsResult, *, system: System) -> Words:
    """
    Return everything there is to say of the odds.

    Parameters
    ----------
    result : OddsResult
        The odds.
    system : {"us", "metric"}
        The units printed.
    """
    plan = result.whole_plan.chance
    sections = (
        Section(title=CHANCES, lines=tuple(_chances(result)), untitled=True),
        Section(title="The legs", table=_legs(result.legs)),
        Section(title="The charge through the day", table=_marks(result.marks)),
        Section(title="What the spread hangs on", table=_what_drives(result, system)),
        Section(title="How this was counted", lines=tuple(_how(result))),
    )
    return Words(
        heading=f"{result.title}, {long_date(result.start)}",
        verdict=_verdict(result),
        tone="good" if plan >= GOOD else "fair" if plan >= FAIR else "bad",
        sections=tuple(section for section in sections if not section.is_empty),
    )


def _verdict(result: OddsResult) -> str:
    """Say in a sentence or two how the day is likely to go."""
    return (
        f"In 100 such days about {in_a_hundred(result.whole_plan)} go as planned: every leg "
        f"held, and the bank above your {result.limit_soc:.0%} limit at {result.end:%H:%M}."
    )


def _chances(result: OddsResult) -> list[str]:
    home = "the bank still alive at the end"
    if result.home_distance_m is not None:
        home += ", with enough left to bring the boat home against the day's worst"
    end = result.end_soc
    return [
        f"In 100 such days about {in_a_hundred(result.above_limit)} end above your limit.",
        f"Home on the bow motor alone: about {in_a_hundred(result.home)} in 100 ({home}).",
        f"Charge at the end: nine days in ten above {end.p10:.0%}, half above {end.p50:.0%}, "
        f"one in ten above {end.p90:.0%}. If all is as planned: "
        f"{result.planned_end_soc:.0%}.",
    ]


def in_a_hundred(chance: Chance) -> str:
    """Return a chance as days in a hundred, with what the counting leaves open."""
    if chance.chance in {0.0, 1.0} and chance.high - chance.low < 0.005:
        return f"{100.0 * chance.chance:.0f}"
    low, high = 100.0 * chance.low, 100.0 * chance.high
    return f"{100.0 * chance.chance:.0f} ({low:.0f} to {high:.0f})"


def _legs(legs: Iterable[LegOdds]) -> SectionTable:
    rows = []
    for leg in legs:
        off = ""
        if leg.off_station_s is not None and leg.off_station_s.p90 >= 1.0:
            off = f"1 in 10 over {minutes(leg.off_station_s.p90)}"
        soc = leg.soc_after
        rows.append(
            (
                leg.name if leg.verb in leg.name.lower() else f"{leg.name} ({leg.verb})",
                f"{leg.start:%H:%M}-{leg.end:%H:%M}",
                "" if leg.held is None else in_a_hundred(leg.held),
                off,
                f"{soc.p10:.0%} {soc.p50:.0%} {soc.p90:.0%}",
            )
        )
    return SectionTable(
        columns=columns(
            "Leg", "Clock", "Held, in 100", "Off station", "Left after",
            numbers="234", wraps="03",
        ),
        rows=tuple(rows),
        caption="Held, in 100: on so many of a hundred such days; in brackets what the "
        "counting leaves open. Left after: one day in ten is below the first, half below the "
        "second, one in ten above the third.",
    )  # fmt: skip


def _marks(marks: Sequence[Mark]) -> SectionTable:
    """Return every so many of the marks, the last among them."""
    whole = [mark for mark in marks if mark.at.minute in {0, 30} and mark.at.second == 0]
    if len(whole) < 3:  # long steps that miss the half hours
        whole = list(marks)
    rows = whole[:: max(1, -(-len(whole) // MARK_ROWS))]
    if rows[-1] is not marks[-1]:
        rows = [*rows, marks[-1]]
    return SectionTable(
        columns=columns(
            "Clock", "1 in 10 below", "half below", "1 in 10 above", numbers="0123"
        ),
        rows=tuple(
            (
                f"{mark.at:%H:%M}",
                f"{mark.soc.p10:.0%}",
                f"{mark.soc.p50:.0%}",
                f"{mark.soc.p90:.0%}",
            )
            for mark in rows
        ),
        caption="The charge left by the clock: one day in ten is below the first, half of them "
        "below the second, one in ten above the third.",
        inset=True,
    )


def _what_drives(result: OddsResult, system: System) -> SectionTable | None:
    """Return what the spread of the charge goes with, and what each may be out by."""
    rows = [
        (WORDS[row.key], _spread(row, system), f"{row.share:.0%}")
        for row in result.sources
        if row.share >= LEAST_SHARE
    ]
    if not rows:
        return None
    left = 1.0 - result.explained
    if left >= LEAST_SHARE:
        rows.append(("together, and what no one of them explains", "", f"{left:.0%}"))
    return SectionTable(
        columns=columns("What is not known", "Out by about", "Share", numbers="12", wraps="0"),
        rows=tuple(rows),
        caption="Share: of what the charge left at the end differs by from day to day, as far "
        "as each goes with it by itself.",
        inset=True,
    )


def _spread(row: SourceOdds, system: System) -> str:
    if row.unit == "m/s":
        return format_quantity(row.spread, "speed", system=system, digits=1)
    if row.unit == "s":
        return minutes(row.spread)
    return f"{row.spread:.0%}"


def _how(result: OddsResult) -> list[str]:
    allowed = "less than a minute, or than a hundredth of the leg where that is more"
    lines = [
        f"{result.members:,} days were run, each with weather, tide, boat and bank drawn as "
        f"far as they are not known, seed {result.seed}. The ranges in brackets are what that "
        "many leave open, 19 times in 20; how good the model is they do not say.",
        f"The forecast is taken to be {result.lead_s / 3600.0:g} h old at the start. Every "
        "spread is one standard deviation; energysim list uncertainty --sources says where "
        "each comes from, and [uncertainty] in the scenario changes it.",
        f"A leg counts as held if the boat is off station for {allowed}. Left after it: one "
        "day in ten below the first, half below the second, one in ten above the third.",
        "Shares are of the rank of the charge left at the end, as far as each source goes "
        "with it by itself.",
    ]
    lines.append(
        "Not drawn, and the same every day: blocks of one bank unlike each other, air and "
        "water warmth, the hours of the legs, a bank of the house's own, the stream a strong "
        "wind drags along, and the night on the charger."
    )
    if result.from_table:
        lines.append("Holding was read from a table of the boat, within 1% of the laws.")
    return lines
