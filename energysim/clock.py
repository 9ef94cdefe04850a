"""
Zone-aware clock arithmetic.

Depends on: nothing.
"""

from datetime import UTC, date, datetime, timedelta


def clock_after(start: datetime, seconds: float) -> datetime:
    """
    Return the local clock a number of elapsed seconds after a zone-aware start.

    Python adds a timedelta to the wall clock; going through UTC makes a day of 23 or 25 hours
    come out right.

    Parameters
    ----------
    start : datetime
        Zone-aware.
    seconds : float
        Elapsed time. [s]

    Returns
    -------
    datetime
        In the zone of `start`.
    """
    return (start.astimezone(UTC) + timedelta(seconds=seconds)).astimezone(start.tzinfo)


def seconds_between(start: datetime, end: datetime) -> float:
    """Return the seconds between two zone-aware clocks, over any clock change."""
    return (end.astimezone(UTC) - start.astimezone(UTC)).total_seconds()


def long_date(day: date) -> str:
    """
    Return a date as a heading says it.

    Examples
    --------
    >>> long_date(date(2026, 5, 6))
    'Wednesday 6 May 2026'
    """
    return f"{day:%A} {day.day} {day:%B %Y}"


def clock_span(start: datetime, end: datetime) -> str:
    """
    Return two clocks as a reader writes them: "10:30 to 11:30".

    Where the clocks are changed in between, each has its zone's name: the same number may
    stand on the wall twice.

    Examples
    --------
    >>> from zoneinfo import ZoneInfo
    >>> start = datetime(2026, 11, 1, 1, 24, tzinfo=ZoneInfo("America/New_York"))
    >>> clock_span(start, clock_after(start, 3600.0))
    '01:24 EDT to 01:24 EST'
    """
    zoned = start.utcoffset() != end.utcoffset()
    return " to ".join(
        f"{clock:%H:%M %Z}" if zoned else f"{clock:%H:%M}" for clock in (start, end)
    )
