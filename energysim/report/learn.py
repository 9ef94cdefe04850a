"""
What a logged day taught, as a page of text and as one JSON document.

Depends on: results.learn, report.sections, report.terminal.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from rich.console import Group
from rich.table import Table

from energysim.report.sections import Section
from energysim.report.terminal import head, section, title

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import RenderableType

    from energysim.results.learn import Learned, LearnResult, LegFit, Misfit

SCHEMA = 1
READINGS = {"current": "amperes", "voltage": "volts", "soc": "state of charge"}


def learn_page(result: LearnResult) -> RenderableType:
    """
    Return the answer as something rich can print.

    Parameters
    ----------
    result : LearnResult
        The answer.
    """
    parts = head(f"{result.title}: what {result.log_name} says", _headline(result))
    parts.append(_factors(result.factors))
    parts += _section("How sure", _how_sure(result))
    parts += _section("What the log cannot tell", map(_capital, result.cannot_tell))
    parts += [title("\nHow well it fits"), _misfits(result.misfits)]
    if result.legs:
        parts += [title("\nAmperes, leg by leg"), _legs(result.legs)]
    parts += _section("The log", _of_the_log(result))
    return Group(*parts)


def learn_document(result: LearnResult) -> dict[str, Any]:
    """Return the answer as plain data, ready for `json`."""
    return {"schema": SCHEMA, **_plain(result)}


def _headline(result: LearnResult) -> str:
    """Say in plain words what was told, and what to make of it."""
    told = [one for one in result.factors if one.told]
    if not told:
        return (
            "The log tells none of the factors better than they were known before; leave the "
            "scenario as it is."
        )
    return " ".join(f"{_in_words(one)}." for one in told)


def _in_words(one: Learned) -> str:
    """Say one factor against the scenario's own, or that the log does not set them apart."""
    if one.low <= one.before <= one.high:
        return f"{one.name}: not set apart from the scenario's own {one.before:.2f}"
    change = one.value / one.before - 1.0
    side = "more" if change > 0.0 else "less"
    return f"{one.name}: {abs(change):.0%} {side} than the scenario says"


def _factors(factors: Iterable[Learned]) -> Table:
    table = _table("Factor", "Scenario", "Log says", "95 % interval", "if forecast")
    for one in factors:
        interval = f"{one.low:.2f} to {one.high:.2f}"
        wide = f"{one.low_as_forecast:.2f} to {one.high_as_forecast:.2f}"
        table.add_row(
            one.name,
            f"{one.before:.2f}",
            f"{one.value:.2f}" if one.told else "nothing",
            f"{interval}{' (open)' if one.at_the_edge else ''}",
            wide if one.told and wide != interval else "",
            style=None if one.told else "dim",
        )
    return table


def _how_sure(result: LearnResult) -> list[str]:
    lines = [
        "The interval holds the truth in about 95 of 100 such logs, if boat and bank behave as "
        "this program computes them and wind and stream were those of the scenario, but for "
        "errors of 20 minutes to some hours. An error that lasts all day hardly shows in a "
        "log: in trials with such of 6 hours it held drag and wind in some 80 of 100.",
        '"If forecast": the same if wind and stream were a forecast half a day old, with the '
        "spreads of `energysim list uncertainty`.",
    ]
    if result.push_spread is not None:
        lines.append(
            "Drag and wind changed together as the log has them, the mean amperes are good to "
            f"{result.push_spread:.0%} (one standard deviation)."
        )
    if result.with_prior:
        lines.append(
            "All factors were also held to what was known before (the list of spreads)."
        )
    lines += [
        f"{one.name}: the answer lies at the end of what was searched, so its interval is open "
        "there."
        for one in result.factors
        if one.at_the_edge
    ]
    lines += [f"{one.name}: {one.caution}." for one in result.factors if one.caution]
    return lines


def _misfits(misfits: Iterable[Misfit]) -> Table:
    table = _table("Reading", "Means", "Left out", "Off before", "Off now", "Lasts")
    for one in misfits:
        left_out = str(one.left_out)
        if one.worst_at is not None:
            left_out += f", worst {one.worst_at:%H:%M}"
        table.add_row(
            READINGS[one.name],
            str(one.bins),
            left_out,
            f"{one.rms_before:.2f} {one.unit}",
            f"{one.rms_after:.2f} {one.unit}",
            f"{one.memory_s / 60.0:.0f} min" if one.memory_s >= 60.0 else "no time",
        )
    return table


def _legs(legs: Iterable[LegFit]) -> Table:
    table = _table("Leg", "Logged", "Before", "Now")
    for one in legs:
        name = one.name if one.verb in one.name.lower() else f"{one.name} ({one.verb})"
        table.add_row(
            name, f"{one.logged_a:.1f} A", f"{one.before_a:.1f} A", f"{one.after_a:.1f} A"
        )
    return table


def _of_the_log(result: LearnResult) -> list[str]:
    return [
        f"Used from {result.first:%d %b %H:%M} to {result.last:%H:%M}, in means of 5 minutes.",
        *(f"{_capital(note)}." for note in result.notes),
    ]


def _capital(line: str) -> str:
    """Begin a sentence."""
    return line[0].upper() + line[1:]


def _table(*titles: str) -> Table:
    table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
    for number, head_of in enumerate(titles):
        table.add_column(
            head_of, justify="right" if number else "left", no_wrap=number > 0, overflow="fold"
        )
    return table


def _section(heading: str, lines: Iterable[str]) -> list[RenderableType]:
    return section(Section(title=heading, lines=tuple(lines)))


def _plain(value: object) -> Any:
    """Turn records, tuples and clocks into what JSON knows."""
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return float(f"{value:.10g}") if isinstance(value, float) else value
