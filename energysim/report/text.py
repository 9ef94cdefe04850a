"""
The day as a page of text, for a terminal or a pipe.

Depends on: results, clock, units, verdict.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from energysim.clock import clock_span
from energysim.report.bank import block_lines, house_lines, law_lines
from energysim.report.night import recharge_lines, trip_lines
from energysim.report.wear import wear_lines
from energysim.unit_format import System, format_quantity
from energysim.verdict import minutes

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import RenderableType

    from energysim.results import (
        Bracket,
        Change,
        DayResult,
        LegResult,
        TightestHour,
        WayHome,
    )

VERB_WORDS = {
    "run": "run",
    "hold": "hold",
    "creep": "creep",
    "drift": "drift",
    "rest": "rest",
}
WORTH_S = 30.0  # seconds off station that are worth a word
NOTHING_TO_GIVE_N = 4.5  # about a pound-force: a share of it is no longer news
OUTCOME_STYLE = {"holds": "green", "short": "yellow", "deep": "yellow", "empty": "red"}
OUTCOME_WORDS = {
    "holds": "holds",
    "short": "off station",
    "deep": "below limit",
    "empty": "bank gives out",
}


def day_page(result: DayResult, *, system: System) -> RenderableType:
    """
    Return the whole answer as something rich can print.

    Parameters
    ----------
    result : DayResult
        The day.
    system : str
        "us" or "metric": the units printed.
    """
    parts: list[RenderableType] = [
        Text(
            f"{result.title}, {result.start:%A} {result.start.day} {result.start:%B %Y}", "bold"
        ),
        Padding(Text(result.verdict, OUTCOME_STYLE[result.outcome]), (1, 2)),
        _legs_table(result.legs, result, system),
        _books(result),
    ]
    parts += _section("How the boat lies", _lying(result.legs))
    if result.tightest is not None:
        parts += _section("The tightest hour", [_tightest(result.tightest, system)])
    if result.changes:
        parts += [Text("\nWhat to change", "bold"), _changes_table(result.changes)]
    parts += _section("The way home on the bow motor alone", _way_home(result.way_home, system))
    if result.recharge is not None:
        parts += _section("The night at the charger", recharge_lines(result.recharge))
    if result.trip is not None:
        parts += _section("The trip", trip_lines(result.trip, words=OUTCOME_WORDS))
    if result.wear is not None:
        parts += _section("What such days cost", wear_lines(result.wear))
    parts += _section("Warnings", result.warnings)
    parts += _section(
        "Taken for granted, because the scenario does not say", result.assumptions
    )
    parts += _section("Cautions", result.cautions)
    return Group(*parts)


def _section(title: str, lines: Iterable[str]) -> list[RenderableType]:
    texts = list(lines)
    if not texts:
        return []
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=2, justify="right")
    grid.add_column(overflow="fold")
    for line in texts:
        grid.add_row("-", Text(line))
    return [Text(f"\n{title}", "bold"), grid]


def _legs_table(legs: Iterable[LegResult], result: DayResult, system: System) -> Table:
    table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
    table.add_column("Leg", overflow="fold")
    table.add_column("Clock", no_wrap=True)
    table.add_column("Thrust", justify="right", no_wrap=True)
    table.add_column("Peak", justify="right", no_wrap=True)
    table.add_column("Used", justify="right", no_wrap=True)
    table.add_column("Left", justify="right", no_wrap=True)
    table.add_column("Off station", overflow="fold")
    for leg in legs:
        powered = leg.mean_thrust_n > 0.0
        thrust = format_quantity(leg.mean_thrust_n, "force", system=system, digits=0)
        name = (
            leg.name if VERB_WORDS[leg.verb] in leg.name.lower() else f"{leg.name} ({leg.verb})"
        )
        table.add_row(
            Text(name),  # as typed: brackets in a name are no markup
            f"{leg.start:%H:%M}-{leg.end:%H:%M}",
            f"{thrust} {leg.thrust_share:.0%}" if powered else "",
            f"{leg.peak_current_a:.0f} A" if leg.peak_current_a > 0.5 else "",
            f"{leg.charge_ah:.1f} Ah",
            f"{leg.soc_after:.0%}",
            f"{minutes(leg.off_station_s)}: {leg.cause}"
            if leg.off_station_s >= WORTH_S
            else "",
        )
    table.add_section()
    table.add_row(
        "Whole day",
        f"{result.start:%H:%M}-{result.end:%H:%M}",
        "",
        f"{result.peak_current_a:.0f} A",
        f"{result.charge_drawn_ah:.1f} Ah",
        f"{result.end_soc:.0%}",
        minutes(result.off_station_s) if result.off_station_s >= WORTH_S else "none",
    )
    return table


def _bracket(bracket: Bracket) -> str:
    """Say what the day comes to if the forces are out by their spread."""

    def part(end_soc: float, off_s: float, outcome: str) -> str:
        words = f"ends at {end_soc:.0%}"
        if outcome in {"deep", "empty"}:
            words += f" ({OUTCOME_WORDS[outcome]})"
        return f"{words}, {minutes(off_s)} off station" if off_s >= 60.0 else words

    harder = part(bracket.harder_end_soc, bracket.harder_off_station_s, bracket.harder_outcome)
    easier = part(bracket.easier_end_soc, bracket.easier_off_station_s, bracket.easier_outcome)
    less = 1.0 - 1.0 / (1.0 + bracket.spread)
    return (
        f"How sure: forces on a boat are known to about a third. If they are "
        f"{bracket.spread:.0%} more, it {harder}; if {less:.0%} less, it {easier}."
    )


def _books(result: DayResult) -> RenderableType:
    lines = [
        f"Left at the end: {result.end_soc:.1%} at the rate you draw, "
        f"{result.end_charge:.1%} by ampere-hours alone; your limit is {result.limit_soc:.0%}.",
        *law_lines(result.bank),
        f"Out of the bank: {result.charge_drawn_ah:.1f} Ah, {result.energy_drawn_wh:.0f} Wh; "
        f"lowest voltage {result.lowest_voltage_v:.1f} V.",
        *block_lines(result.bank),
        _bracket(result.bracket),
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
    return Group(*_section("The bank", lines))


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


def _changes_table(changes: Iterable[Change]) -> Table:
    table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
    table.add_column("  If you", overflow="fold")
    table.add_column("Ends at", justify="right", no_wrap=True)
    table.add_column("Change", justify="right", no_wrap=True)
    table.add_column("Off station", justify="right", no_wrap=True)
    table.add_column("The day", overflow="fold")
    for change in changes:
        if change.skipped:
            table.add_row(
                Text(f"  {change.name}"), "", "", "", Text(f"not tried: {change.skipped}")
            )
            continue
        table.add_row(
            Text(f"  {change.name}"),
            f"{change.end_soc:.0%}",
            f"{100 * change.end_soc_change:+.0f} points",
            minutes(change.off_station_s) if change.off_station_s >= WORTH_S else "none",
            OUTCOME_WORDS[change.outcome],
        )
    return table


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
