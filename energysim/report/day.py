"""
What a page says of a day: the verdict, the legs, the bank, what to change, the way home.

Depends on: clock, results, unit_format, verdict, report.sections, report.day_tables,
report.bank, report.night, report.wear.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.clock import clock_span, long_date
from energysim.report.bank import block_lines, house_lines, law_lines
from energysim.report.day_tables import OUTCOME_WORDS, WORTH_S, changes_table, legs_table
from energysim.report.in_units import sentence
from energysim.report.night import recharge_lines, trip_lines
from energysim.report.sections import Section, Words
from energysim.report.wear import wear_lines
from energysim.unit_format import System, format_quantity
from energysim.verdict import minutes

if TYPE_CHECKING:
    from collections.abc import Iterable

    from energysim.report.sections import Tone
    from energysim.results.day import (
        Bracket,
        DayResult,
        LegResult,
        TightestHour,
        WayHome,
    )

NOTHING_TO_GIVE_N = 4.5  # about a pound-force: a share of it is no longer news
OUTCOME_TONE: Final[dict[str, Tone]] = {
    "holds": "good",
    "short": "fair",
    "deep": "fair",
    "empty": "bad",
}
LEGS: Final = "Leg by leg"
BANK: Final = "The bank"
LYING: Final = "How the boat lies"
TIGHTEST: Final = "The tightest hour"
CHANGES: Final = "What to change"
HOME: Final = "The way home on the bow motor alone"
NIGHT: Final = "The night at the charger"
WARNINGS: Final = "Warnings"
ASSUMED: Final = "Taken for granted, because the scenario does not say"
CAUTIONS: Final = "Cautions"
HOW_SURE: Final = "How sure"


def day_words(result: DayResult, *, system: System) -> Words:
    """
    Return everything there is to say of a day.

    Parameters
    ----------
    result : DayResult
        The day.
    system : {"us", "metric"}
        The units printed.
    """
    hour, night, trip, wear = result.tightest, result.recharge, result.trip, result.wear
    sections = (
        Section(title=LEGS, table=legs_table(result.legs, result, system), untitled=True),
        Section(title=BANK, lines=tuple(_books(result, system))),
        Section(title=LYING, lines=tuple(_lying(result.legs))),
        Section(title=TIGHTEST, lines=() if hour is None else (_tightest(hour, system),)),
        Section(title=CHANGES, table=changes_table(result.changes) if result.changes else None),
        Section(title=HOME, lines=tuple(_way_home(result.way_home, system))),
        Section(
            title=NIGHT,
            lines=() if night is None else tuple(recharge_lines(night, system=system)),
        ),
        Section(
            title="The trip",
            lines=() if trip is None else tuple(trip_lines(trip, words=OUTCOME_WORDS)),
        ),
        Section(
            title="What such days cost", lines=() if wear is None else tuple(wear_lines(wear))
        ),
        Section(
            title=WARNINGS, lines=tuple(sentence(one, system=system) for one in result.warnings)
        ),
        Section(
            title=ASSUMED,
            lines=tuple(sentence(one, system=system) for one in result.assumptions),
        ),
        Section(title=CAUTIONS, lines=tuple(result.cautions)),
    )
    return Words(
        heading=f"{result.title}, {long_date(result.start)}",
        verdict=result.verdict,
        tone=OUTCOME_TONE[result.outcome],
        sections=tuple(section for section in sections if not section.is_empty),
    )


def how_sure(bracket: Bracket) -> tuple[str, str]:
    """Return a label, and what the day comes to if the forces are out by their spread."""

    def part(end_soc: float, off_s: float, outcome: str) -> str:
        words = f"ends at {end_soc:.0%}"
        if outcome in {"deep", "empty"}:
            words += f" ({OUTCOME_WORDS[outcome]})"
        return f"{words}, {minutes(off_s)} off station" if off_s >= 60.0 else words

    harder = part(bracket.harder_end_soc, bracket.harder_off_station_s, bracket.harder_outcome)
    easier = part(bracket.easier_end_soc, bracket.easier_off_station_s, bracket.easier_outcome)
    less = 1.0 - 1.0 / (1.0 + bracket.spread)
    return HOW_SURE, (
        f"forces on a boat are known to about a third. If they are "
        f"{bracket.spread:.0%} more, it {harder}; if {less:.0%} less, it {easier}."
    )


def sure_line(result: DayResult) -> str:
    """Return how sure the answer is as one sentence of the bank's."""
    return ": ".join(how_sure(result.bracket))


def _books(result: DayResult, system: System) -> list[str]:
    lines = [
        f"Left at the end: {result.end_soc:.1%} at the rate you draw, "
        f"{result.end_charge:.1%} by ampere-hours alone; your limit is {result.limit_soc:.0%}.",
        *law_lines(result.bank),
        f"Out of the bank: {result.charge_drawn_ah:.1f} Ah, {result.energy_drawn_wh:.0f} Wh; "
        f"lowest voltage {result.lowest_voltage_v:.1f} V.",
        *block_lines(result.bank, system=system),
        sure_line(result),
    ]
    if result.limit_reached_at is not None:
        lines.append(f"Your limit comes at {result.limit_reached_at:%H:%M}.")
    if result.cutoff_reached_at is not None:
        lines.append(f"The bank's own end comes at {result.cutoff_reached_at:%H:%M}.")
    if result.bank.first_end is not None:
        first = result.bank.first_end
        lines.append(f"What stops you first: {first.cause}, at {first.at:%H:%M}.")
    if result.gust_short_s >= WORTH_S:
        lines.append(
            f"In the gusts the motor is at its end for {minutes(result.gust_short_s)}."
        )
    if result.house is not None:
        lines += house_lines(result.house)
    return lines


def _lying(legs: Iterable[LegResult]) -> list[str]:
    """Say where the boat sails about, and how the bursts come."""
    lines = [
        f"On {leg.name!r} wind and stream oppose for {minutes(leg.sails_about_s)}: the boat "
        "sails about and may swing round; expect more than the mean."
        for leg in legs
        if leg.sails_about_s >= 60.0
    ]
    lines += [
        f"On {leg.name!r} in bursts: the motor runs {leg.running_share:.0%} of the time; at "
        f"the strongest push a burst begins every {leg.burst_cycle_s:.0f} s."
        for leg in legs
        if leg.burst_cycle_s is not None
    ]
    return lines


def _tightest(hour: TightestHour, system: System) -> str:
    wanted = format_quantity(hour.thrust_n, "force", system=system, digits=0)
    there = format_quantity(hour.available_n, "force", system=system, digits=0)
    wind = format_quantity(hour.wind_mps, "speed", system=system, digits=0)
    of_what = f"of the {there} there is ({hour.share:.0%})"
    if hour.available_n < NOTHING_TO_GIVE_N:
        of_what = "and the bank has next to nothing left to give"
    text = (
        f"{clock_span(hour.start, hour.end)}, {hour.leg}: wants {wanted} {of_what}. "
        f"Wind at the boat {wind} from {hour.wind_from_deg:03.0f}"
    )
    if hour.stream_mps > 0.05:
        stream = format_quantity(hour.stream_mps, "speed", system=system, digits=1)
        text += f", stream {stream} toward {hour.stream_toward_deg:03.0f}"
    return text + "."


def _way_home(home: WayHome, system: System) -> list[str]:
    wind = format_quantity(home.wind_mps, "speed", system=system, digits=0)
    against = f"the day's worst dead ahead (wind at the boat {wind}"
    if home.stream_mps > 0.05:
        against += (
            f", stream {format_quantity(home.stream_mps, 'speed', system=system, digits=1)}"
        )
    against += ")"
    if not home.possible:
        return [f"None: against {against} the bow motor makes no headway at all."]
    speed = format_quantity(home.speed_mps, "speed", system=system, digits=1)
    lines = [
        f"Against {against}, at {speed} over the ground and {home.current_a:.0f} A: "
        f"{_range(home.range_start_m, system)} from a bank as it starts the day, "
        f"{_range(home.range_end_m, system)} from what is left at the end."
    ]
    if home.distance_m is not None:
        away = _range(home.distance_m, system)
        if home.range_start_m < home.distance_m:
            lines.append(f"Home is {away} away: out of reach all day.")
        elif home.last_at is None:
            lines.append(f"Home is {away} away: in reach all day.")
        else:
            lines.append(f"Home is {away} away: out of reach after {home.last_at:%H:%M}.")
    lines.append("No plan for an emergency: carry another way home, and call for help early.")
    return lines


def _range(distance_m: float, system: System) -> str:
    if system == "us":
        return f"{distance_m / 1852.0:.1f} nmi"
    return f"{distance_m / 1000.0:.1f} km"
