"""
The questions about moving water: none, one stream all day, or the lines of a current table.

Depends on: cli.new.prompt, cli.new.draft, cli.new.phrases, scenario.clock.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any, Final

from energysim.cli.new.phrases import bearing, read_event, read_steady_stream
from energysim.clock import seconds_between
from energysim.errors import Problem, RefusedValueError, ScenarioError
from energysim.scenario.clock import LONGEST_QUIET_ROLL_S, read_clock, resolve_clock
from energysim.scenario.load import validate

if TYPE_CHECKING:
    from datetime import datetime

    from energysim.cli.new.draft import Draft
    from energysim.cli.new.prompt import Prompt

KINDS: Final = ("none", "steady", "table")


def ask_stream(prompt: Prompt, draft: Draft) -> None:
    """Ask what the water does, and lay it over the draft."""
    prompt.say(
        "Tide or river: none; steady, the same all day; or the table of slacks and maxima."
    )
    kind = prompt.ask("Stream", default="none", read=_kind, example=", ".join(KINDS[1:]))
    if kind == "none":
        draft.put("stream", None)
    elif kind == "steady":
        prompt.ask(
            "Its speed, and where the water sets to",
            default="1 kn 045",
            read=lambda answer: draft.put("stream", read_steady_stream(answer)),
            example="1.2 kn NE",
        )
    else:
        _ask_table(prompt, draft)


def _kind(answer: str) -> str:
    for kind in KINDS:
        if answer.lower() == kind or answer.lower() == kind[0]:
            return kind
    raise RefusedValueError(f"{answer[:40]!r} is not one of {', '.join(KINDS)}")


def _ask_table(prompt: Prompt, draft: Draft) -> None:
    """Ask for the sets and the lines of a current table, until it reaches over the plan."""
    sets = {}
    default = "045 deg"
    for key, tide in (("flood_toward", "flood"), ("ebb_toward", "ebb")):
        sets[key], opposite = prompt.ask(
            f"Where the {tide} sets to, true",
            default=default,
            read=lambda answer: _set(draft, answer),
            example="310 or NW",
        )
        default = f"{opposite:03.0f} deg"
    prompt.say(
        "The table, from before the first leg to after the last, a line each and an empty"
    )
    prompt.say("line at the end, such as:  04:50 slack    08:02 flood 1.9 kn    11:20 slack")
    rows: list[tuple[datetime, dict[str, str]]] = []

    def read(line: str) -> str:
        event = read_event(line)
        _refuse_event(draft, event, sets)
        row = _placed(draft, event, rows[-1][0] if rows else None)
        if any(seconds_between(row[0], other) == 0.0 for other, _ in rows):
            raise RefusedValueError(f"{event['at']} stands here already")
        rows.append(row)
        speed = f", {event['speed']}" if "speed" in event else ""
        return f"{row[0]:%a %H:%M} {event['kind']}{speed}"

    def finish() -> list[Problem]:
        # Lines that were forgotten are added at the end; the table has them in order.
        in_order = [event for _, event in sorted(rows, key=lambda row: row[0])]
        try:
            draft.put("stream", {**sets, "event": in_order})
        except ScenarioError as error:
            return list(error.problems)
        return draft.misfits(["stream"])

    prompt.ask_lines(what="line", read=read, finish=finish)


def _set(draft: Draft, answer: str) -> tuple[str, float]:
    """Return a set as the scenario writes it, and the direction opposite to it."""
    text = bearing(answer)
    stream = {"speed": "0 kn", "toward": text}
    scenario = validate({**draft.raw, "stream": stream})
    toward = scenario.stream.stream_toward_deg if scenario.stream is not None else None
    return text, ((toward or 0.0) + 180.0) % 360.0


def _refuse_event(draft: Draft, event: dict[str, str], sets: dict[str, Any]) -> None:
    """Refuse a line that no table could hold; that one line makes no table is no matter yet."""
    try:
        validate({**draft.raw, "stream": {**sets, "event": [event]}})
    except ScenarioError as error:
        own = [
            problem for problem in error.problems if problem.path.startswith("stream.event[")
        ]
        if own:
            raise RefusedValueError(own[0].reason, own[0].hint) from None


def _placed(
    draft: Draft, event: dict[str, str], before: datetime | None
) -> tuple[datetime, dict[str, str]]:
    """
    Return when a line is, and the line with its day said wherever that could be in doubt.

    A clock a little after midnight that follows one a little before it is the next day's; any
    other earlier clock is a line that was forgotten.
    """
    day = draft.scenario.day
    clock = read_clock(event["at"])
    instant = resolve_clock(clock, day.date, day.timezone)
    if before is None or clock.on_date is not None or clock.next_day:
        return instant, event
    day_of_before = before.astimezone(day.timezone).date()
    if seconds_between(before, instant) >= 0.0 and day_of_before <= day.date:
        return instant, event
    later = resolve_clock(clock, day.date + timedelta(days=1), day.timezone)
    if 0.0 <= seconds_between(before, later) <= LONGEST_QUIET_ROLL_S:
        return later, {**event, "at": f"{event['at']} next day"}
    return instant, event
