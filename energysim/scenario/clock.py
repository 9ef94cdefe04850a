"""
Clock times as a plan gives them ("06:30", "1:30 next day"), and the instants they stand for.

A clock without a date belongs to the day, or to the next day when it comes earlier than the
clock before it. Daylight-saving nights are never guessed at: a time that does not exist, or
that comes twice with nothing to tell which, is refused.

Depends on: clock, errors.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Final

from energysim.clock import seconds_between
from energysim.errors import RefusedValueError

_EXAMPLE: Final = "write a time such as '06:30', '01:30 next day' or '2026-05-16 06:30'"

_CLOCK: Final = re.compile(
    r"(?:(?P<date>[0-9]{4}-[0-9]{2}-[0-9]{2})[T\s]\s*)?"
    r"(?P<hour>[0-9]{1,2}):(?P<minute>[0-9]{2})(?::(?P<second>[0-9]{2}))?"
    r"\s*(?P<half>[aApP]\.?[mM]\.?)?"
    r"\s*(?P<offset>Z|[+-][0-9]{2}:?[0-9]{2})?"
    r"(?P<next>\s+next\s+day)?"
)

LONGEST_QUIET_ROLL_S: Final = 12 * 3600.0
"""
A clock earlier than the one before it rolls over midnight only when that leaves less than this
between them (ours): 23:40 then 01:10 is a night on the water, 09:00 then 08:00 a slip.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """A time of day, with whatever the user added to say which day."""

    time_of_day: time
    on_date: date | None = None
    next_day: bool = False
    offset: tzinfo | None = None  # from UTC, where the user wrote one

    def __str__(self) -> str:
        shown = (
            f"{self.time_of_day:%H:%M:%S}"
            if self.time_of_day.second
            else f"{self.time_of_day:%H:%M}"
        )
        dated = f"{self.on_date} {shown}" if self.on_date else shown
        return f"{dated} next day" if self.next_day else dated


def read_clock(value: object) -> Clock:
    """
    Return the clock a scenario value stands for.

    Parameters
    ----------
    value : str, datetime.time, datetime.datetime or Clock
        Text, or one of TOML's own times.

    Returns
    -------
    clock : Clock
        Not yet an instant: see `resolve_clock`.

    Raises
    ------
    RefusedValueError
        (a ValueError) When it is not a time of day.

    Examples
    --------
    >>> str(read_clock("6:30 pm"))
    '18:30'
    """
    if isinstance(value, Clock):
        return value
    if isinstance(value, datetime):
        return Clock(
            time_of_day=value.time().replace(microsecond=0),
            on_date=value.date(),
            offset=value.tzinfo,
        )
    if isinstance(value, time):
        return Clock(time_of_day=value.replace(microsecond=0, tzinfo=None), offset=value.tzinfo)
    if not isinstance(value, str):
        raise RefusedValueError(f"{value!r} is not a time of day", _EXAMPLE)
    match = _CLOCK.fullmatch(value.strip())
    if match is None:
        raise RefusedValueError(f"{value[:40]!r} is not a time of day", _EXAMPLE)
    hour = int(match["hour"])
    if hour == 24:
        raise RefusedValueError(f"{value!r} has an hour of 24", "write '00:00 next day'")
    if match["half"]:
        if not 1 <= hour <= 12:
            raise RefusedValueError(f"{value!r} mixes a 24-hour clock with am or pm", _EXAMPLE)
        hour = hour % 12 + (12 if match["half"][0] in "pP" else 0)
    try:
        clock = time(hour, int(match["minute"]), int(match["second"] or 0))
        day = date.fromisoformat(match["date"]) if match["date"] else None
        offset = _offset(match["offset"])
    except ValueError as error:
        raise RefusedValueError(f"{value!r} does not exist: {error}", _EXAMPLE) from None
    if day is not None and match["next"]:
        raise RefusedValueError(f"{value!r} has a date and 'next day'", "keep one of the two")
    return Clock(time_of_day=clock, on_date=day, next_day=bool(match["next"]), offset=offset)


def resolve_clock(
    clock: Clock | str | time, day: date, zone: tzinfo, after: datetime | None = None
) -> datetime:
    """
    Return the instant a clock time of the plan stands for.

    Parameters
    ----------
    clock : Clock, str or datetime.time
        The time as written.
    day : datetime.date
        The day of the plan.
    zone : datetime.tzinfo
        The clock the user reads.
    after : datetime, optional
        Zone-aware. The instant is not before it: a clock without a date rolls over midnight
        to keep to that.

    Returns
    -------
    instant : datetime
        In `zone`.

    Raises
    ------
    RefusedValueError
        (a ValueError) When the time does not exist that night, comes twice with nothing to
        tell which, or has a date that puts it before `after`.
    """
    clock = read_clock(clock)
    if clock.on_date is not None:
        return _not_before(after, _instant(clock, clock.on_date, zone, after), clock)
    if clock.next_day:
        return _not_before(after, _instant(clock, day + timedelta(days=1), zone, after), clock)
    first_day = day if after is None else after.astimezone(zone).date()
    instant = _instant(clock, first_day, zone, after)
    if after is not None and seconds_between(after, instant) < 0.0:
        instant = _instant(clock, first_day + timedelta(days=1), zone, after)
    return instant


def resolve_in_order(
    clocks: Sequence[Clock], day: date, zone: tzinfo, *, key: str = "at"
) -> tuple[datetime, ...]:
    """
    Return the instants of a list of clocks that go forward, as rows of a tide table do.

    Parameters
    ----------
    clocks : sequence of Clock
        In the order of the file.
    day : datetime.date
        The day of the plan, and of the first clock unless that has a date.
    zone : datetime.tzinfo
        The clock the user reads.
    key : str
        The key a message about one row should point at.

    Returns
    -------
    instants : tuple of datetime
        Strictly increasing.

    Raises
    ------
    RefusedValueError
        (a ValueError) With `where` telling the row, when one repeats, goes back, or rolls
        over midnight by more than `LONGEST_QUIET_ROLL_S` without saying so.
    """
    instants: list[datetime] = []
    for row, clock in enumerate(clocks):
        before = instants[-1] if instants else None
        try:
            instants.append(_next_instant(clock, day, zone, before))
        except RefusedValueError as error:
            raise RefusedValueError(error.reason, error.hint, where=(row, key)) from None
    return tuple(instants)


def _next_instant(clock: Clock, day: date, zone: tzinfo, before: datetime | None) -> datetime:
    """Place one row of a list after the row before it."""
    instant = resolve_clock(clock, day, zone, before)
    if before is not None:
        if seconds_between(before, instant) == 0.0:
            raise RefusedValueError(f"{clock} stands here twice", "keep one of the two")
        refuse_long_roll(clock, instant, before, before, zone)
    return instant


def refuse_long_roll(
    clock: Clock, instant: datetime, before: datetime, free_from: datetime, zone: tzinfo
) -> None:
    """Refuse a silent roll over midnight that is more likely a slip of the pen."""
    dated = clock.on_date is not None or clock.next_day
    rolled = instant.astimezone(zone).date() > before.astimezone(zone).date()
    gap_s = seconds_between(free_from, instant)
    if rolled and not dated and gap_s > LONGEST_QUIET_ROLL_S:
        raise RefusedValueError(
            f"{clock} is earlier than {before.astimezone(zone):%H:%M}, which stands before it",
            f"put them in order, or write '{clock} next day'",
        )


def _offset(text: str | None) -> tzinfo | None:
    """Read "-04:00", "-0400" or "Z"."""
    if text is None:
        return None
    return datetime.fromisoformat(f"2000-01-01T00:00:00{text}").tzinfo


def _not_before(after: datetime | None, instant: datetime, clock: Clock) -> datetime:
    """Refuse a dated time that goes backwards."""
    if after is not None and seconds_between(after, instant) < 0.0:
        raise RefusedValueError(
            f"{clock} comes before {after:%Y-%m-%d %H:%M}, which stands before it",
            "put them in order of time",
        )
    return instant


def _instant(clock: Clock, day: date, zone: tzinfo, after: datetime | None) -> datetime:
    """Place a clock on a date; daylight-saving doubles are told apart by `after` alone."""
    local = datetime.combine(day, clock.time_of_day)
    if clock.offset is not None:
        return local.replace(tzinfo=clock.offset).astimezone(zone)
    # Compare in UTC: Python ignores fold when both sides share a zone.
    first, second = (local.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    if first.astimezone(zone).replace(tzinfo=None) != local:
        raise RefusedValueError(
            f"{clock} does not exist on {day}: the clocks go forward over it",
            "take the time before or after the gap",
        )
    if first != second:
        if after is not None and seconds_between(after, first) < 0.0:
            return second.astimezone(zone)
        raise RefusedValueError(
            f"{clock} comes twice on {day}: the clocks go back",
            f"add the offset from UTC, '{clock}{_spelt(first, zone)}' for the first or "
            f"'{clock}{_spelt(second, zone)}' for the second",
        )
    return first.astimezone(zone)


def _spelt(instant: datetime, zone: tzinfo) -> str:
    """Spell the zone's offset at an instant: "-04:00"."""
    digits = f"{instant.astimezone(zone):%z}"
    return f"{digits[:3]}:{digits[3:5]}"
