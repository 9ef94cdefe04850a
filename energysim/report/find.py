"""
A question turned round, as a page of text and as one JSON document.

Depends on: results.find, report.document, report.odds, report.sections, report.terminal,
unit_format, clock, verdict.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, NamedTuple

from energysim.clock import clock_after, long_date
from energysim.report.document import SCHEMA, plain_data
from energysim.report.odds import in_a_hundred
from energysim.report.sections import Section, SectionTable, columns
from energysim.report.sections import Words as PageWords
from energysim.report.terminal import page
from energysim.unit_format import System, format_quantity
from energysim.verdict import minutes

if TYPE_CHECKING:
    from rich.console import Group

    from energysim.report.sections import Tone
    from energysim.results.find import FindResult, Interval, Tried

ROWS: Final = 16
"""Of what was tried, in the table. [count]"""


TONES: Final[dict[str, Tone]] = {"none": "bad", "found": "fair", "throughout": "good"}


class Words(NamedTuple):
    """How a question is talked about."""

    thing: str
    dimension: str | None  # of what a factor of 1 stands for
    planned: str  # what a factor is of
    notes: tuple[str, ...]


WORDS: Final[dict[str, Words]] = {
    "longest-hold": Words(
        "a hold of", None, "", ("Legs after it keep their lengths and begin so much later.",)
    ),
    "most-wind": Words(
        "wind of",
        "speed",
        "forecast",
        (
            "Wind and gusts of every hour are scaled together; the speed is that of the "
            "strongest hour. How far the forecast may be out stays as it is.",
        ),
    ),
    "most-stream": Words(
        "stream of",
        "speed",
        "planned stream",
        ("stream.scale is changed; the speed is the fastest the plan meets.",),
    ),
    "smallest-capacity": Words(
        "a bank of",
        "charge",
        "planned bank",
        (
            "The same kind of blocks, larger or smaller: what each gives in a given time and "
            "its mass go with it, its resistance against it.",
        ),
    ),
    "best-start": Words(
        "a start at",
        None,
        "",
        ("The whole plan is moved; tide, wind and the age of the forecast stay.",),
    ),
    "thrust-needed": Words(
        "a motor of",
        "force",
        "planned motor",
        (
            "Currents, and a breaker or limit that is given, are scaled with the thrust, and "
            "the area of a propeller that is given; voltage, mass and idle current stay.",
        ),
    ),
}


def find_document(result: FindResult) -> dict[str, Any]:
    """Return the answer as plain data, ready for `json`."""
    return {"schema": SCHEMA, **plain_data(result)}


def find_page(result: FindResult, *, system: System) -> Group:
    """
    Return the answer as something rich can print.

    Parameters
    ----------
    result : FindResult
        The answer.
    system : str
        "us" or "metric": the units printed.
    """
    return page(
        PageWords(
            heading=f"{result.title}, {long_date(result.start)}",
            verdict=_verdict(result, system),
            tone=TONES[result.outcome],
            sections=(
                Section(
                    title="What works", lines=tuple(_what_works(result, system)), untitled=True
                ),
                Section(title="Along the range", table=_tried(result, system)),
                Section(title="How this was found", lines=tuple(_how(result, system))),
            ),
        )
    )


def _verdict(result: FindResult, system: System) -> str:
    """Answer in a sentence or two."""
    wanted = f"{100.0 * result.wanted:.3g} of 100 days"
    words = WORDS[result.what]
    if result.answer is None:
        best = _value(result, result.best.value, system)
        return (
            f"No answer in range: the plan comes off on {wanted} nowhere between "
            f"{_range(result, system)}. The best is {words.thing} {best}: "
            f"{in_a_hundred(result.best.chance)} in 100."
        )
    answer = _value(result, result.answer.value, system)
    counted = f"{in_a_hundred(result.answer.chance)} of 100 days"
    if result.what == "best-start":
        return f"Best is {words.thing} {answer}: the plan comes off on {counted}."
    on = f" ({result.leg})" if result.leg else ""
    if result.outcome == "throughout":
        return (
            f"Works throughout the range: the plan comes off on {wanted} or more with "
            f"{words.thing} anything between {_range(result, system)}{on}."
        )
    most = result.answer is result.intervals[0].high
    thing = words.thing[0].upper() + words.thing[1:]
    return (
        f"{thing} {answer}{on} at {'most' if most else 'least'}: there the plan comes off on "
        f"{counted}; you asked for {100.0 * result.wanted:.3g}."
    )


def _what_works(result: FindResult, system: System) -> list[str]:
    planned = _value(result, result.planned.value, system)
    lines = [f"As planned, {planned}: {in_a_hundred(result.planned.chance)} in 100."]
    lines += [_stretch(result, one, system) for one in result.intervals]
    if len(result.intervals) > 1:
        lines.append(
            "More than one stretch works: what lies between them does not. Wind may relieve a "
            "stream, or a later tide an earlier one."
        )
    return lines


def _stretch(result: FindResult, one: Interval, system: System) -> str:
    """Say from where to where it works, and how sure it is at each end."""
    ends = []
    for end, open_end in (
        (one.low, one.low_is_range_end),
        (one.high, one.high_is_range_end),
    ):
        told = ", the end of what was tried" if open_end else ""
        value = _value(result, end.value, system)
        ends.append(f"{value}{told}: {in_a_hundred(end.chance)} in 100")
    return f"Works from {ends[0]}; to {ends[1]}."


def _tried(result: FindResult, system: System) -> SectionTable:
    """Return an even choice of what was tried."""
    every = max(1, -(-len(result.tried) // ROWS))
    chosen: list[Tried] = list(result.tried[::every])
    if chosen[-1] is not result.tried[-1]:
        chosen.append(result.tried[-1])
    return SectionTable(
        columns=columns("Tried", "Comes off, in 100", numbers="1", wraps="0"),
        rows=tuple(
            (_value(result, one.value, system), in_a_hundred(one.chance)) for one in chosen
        ),
        inset=True,
    )


def _how(result: FindResult, system: System) -> list[str]:
    step, near = (
        (minutes(result.grid_step), minutes(result.tolerance))
        if result.unit == "s"
        else (f"{result.grid_step:.3g} times", f"{result.tolerance:.3g}")
    )
    lines = [
        f"{result.members:,} days were run for each value, the same weather and boats every "
        f"time, seed {result.seed}. Coming off is every leg held, and the bank above your "
        "limit at the end.",
        "The ranges in brackets are what that many days leave open, 19 times in 20; how good "
        "the model is they do not say.",
        f"Tried between {_range(result, system)}, every {step}, and closer at each crossing, "
        f"to {near}. A stretch narrower than {step} may have been missed.",
        *WORDS[result.what].notes,
    ]
    if result.refused_why is not None:
        lines.append(
            f"For {result.refused} of the values there is no such day ({result.refused_why})."
        )
    return lines


def _range(result: FindResult, system: System) -> str:
    low = _value(result, result.range_low, system)
    return f"{low} and {_value(result, result.range_high, system)}"


def _value(result: FindResult, value: float, system: System) -> str:
    """Return a value as an angler would say it."""
    if result.what == "best-start":
        clock = clock_after(result.start, value)
        apart = clock.date().toordinal() - result.start.date().toordinal()
        day = {0: "", 1: " the next day", -1: " the day before"}[apart]
        return f"{clock:%H:%M}{day}"
    words = WORDS[result.what]
    if words.dimension is None or result.reference is None:
        return minutes(value)
    shown = format_quantity(value * result.reference, words.dimension, system=system)
    return f"{shown} ({value:.2f} times the {words.planned})"
