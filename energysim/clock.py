"""
Zone-aware clock arithmetic.

Depends on: nothing.
"""

from datetime import UTC, datetime, timedelta


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
