"""
When each leg begins and ends.

Depends on: clock, errors, scenario.clock, scenario.day, scenario.leg.
"""

from collections.abc import Sequence
from datetime import datetime
from typing import Final, NamedTuple

from energysim.clock import clock_after, seconds_between
from energysim.errors import RefusedValueError
from energysim.scenario.clock import refuse_long_roll, resolve_clock
from energysim.scenario.day import Day
from energysim.scenario.leg import Leg

LONGEST_PLAN_S: Final = 36 * 3600.0
"""A plan is one day out, with its night at most (ours)."""


class LegTimes(NamedTuple):
    """Zone-aware begin and end of a leg."""

    start: datetime
    end: datetime


def leg_times(day: Day, legs: Sequence[Leg]) -> tuple[LegTimes, ...]:
    """
    Return when each leg begins and ends, so that the day lies in order on one clock.

    Parameters
    ----------
    day : Day
        Its date and time zone.
    legs : sequence of Leg
        In the order of the file. The first needs a start; a gap between legs is time in which
        nothing is asked of the motor.

    Returns
    -------
    times : tuple of LegTimes
        One for each leg, in order, without overlap.

    Raises
    ------
    RefusedValueError
        (a ValueError) With `where` = (leg, key), when a leg has no start, overlaps the one
        before it, lasts no time, or the clock cannot be placed.
    """
    times: list[LegTimes] = []
    for number, leg in enumerate(legs):
        key = "start"
        try:
            start = _start(day, leg, times)
            key = "until" if leg.until is not None else "for"
            times.append(LegTimes(start=start, end=_end(day, leg, start)))
            if seconds_between(times[0].start, times[-1].end) > LONGEST_PLAN_S:
                key = "until" if leg.until is not None else "for"
                _refuse_long_plan()
        except RefusedValueError as error:
            raise RefusedValueError(error.reason, error.hint, where=(number, key)) from None
    return tuple(times)


def _start(day: Day, leg: Leg, before: Sequence[LegTimes]) -> datetime:
    """Place the start after the leg before it."""
    if not before:
        if leg.start is None:
            raise RefusedValueError(
                "is missing: the first leg sets the clock", 'such as start = "06:30"'
            )
        return resolve_clock(leg.start, day.date, day.timezone)
    previous = before[-1]
    if leg.start is None:
        return previous.end
    # After the previous start, not its end: an earlier clock is then seen as an overlap.
    start = resolve_clock(leg.start, day.date, day.timezone, previous.start)
    if seconds_between(previous.end, start) < 0.0:
        raise RefusedValueError(
            f"{leg.start} is before {previous.end:%H:%M}, when the leg before it ends",
            "start later, or shorten that leg",
        )
    refuse_long_roll(leg.start, start, previous.start, previous.end, day.timezone)
    return start


def _end(day: Day, leg: Leg, start: datetime) -> datetime:
    """Add the length, or place the clock it lasts until."""
    if leg.until is None:
        return clock_after(start, leg.duration_s or 0.0)
    end = resolve_clock(leg.until, day.date, day.timezone, start)
    if seconds_between(start, end) == 0.0:
        raise RefusedValueError(f"{leg.until} is when the leg begins", "give a later time")
    refuse_long_roll(leg.until, end, start, start, day.timezone)
    return end


def _refuse_long_plan() -> None:
    """Say how long a plan may be."""
    hours = LONGEST_PLAN_S / 3600.0
    raise RefusedValueError(
        f"ends more than {hours:.0f} h after the plan begins", "make two scenarios of it"
    )
