"""
Files on the stream: predictions as a table or JSON, or harmonic constants.

Depends on: errors, text_file, `scenario.stream_record`; and `scenario.stream_csv`,
`scenario.stream_json`, `scenario.stream_constants`, each imported when a file is of its kind.
"""

from functools import lru_cache
from pathlib import Path
from zoneinfo import ZoneInfo

from energysim.errors import Problem, ScenarioError
from energysim.scenario.stream_record import StreamConstants, StreamRecord
from energysim.text_file import read_text

__all__ = ["StreamConstants", "StreamRecord", "read_constants_file", "read_stream_file"]


def read_stream_file(path: Path, *, timezone: ZoneInfo | None) -> StreamRecord:
    """
    Return the stream a file of predictions gives, whichever of the known kinds it is.

    Parameters
    ----------
    path : Path
        A table (the agency's list of events, or our own) or the agency's JSON.
    timezone : ZoneInfo or None
        Zone of clock times that name none, in the file or its first row.

    Returns
    -------
    StreamRecord
        Speeds in m/s, times in UTC, increasing, without gaps.

    Raises
    ------
    FileError
        If the file cannot be read.
    ScenarioError
        If it says something it may not; every problem with its line.
    """
    return _record(_text_of(path), str(path), timezone)


@lru_cache(maxsize=4)  # by content: a day and its variants read the same predictions
def _record(text: str, file: str, timezone: ZoneInfo | None) -> StreamRecord:
    """Return the record a file's text holds."""
    if text.lstrip().startswith(("{", "[")):
        from energysim.scenario.stream_json import record_from_json  # noqa: PLC0415 - start-up

        return record_from_json(text, file=file, timezone=timezone)
    from energysim.scenario.stream_csv import record_from_csv  # noqa: PLC0415 - start-up

    return record_from_csv(text, file=file, timezone=timezone)


def read_constants_file(path: Path) -> StreamConstants:
    """
    Return the harmonic constants of a current, from the agency's JSON.

    Parameters
    ----------
    path : Path
        The agency's answer for one station and one bin.

    Returns
    -------
    StreamConstants
        Speeds in m/s, phases for UTC.

    Raises
    ------
    FileError
        If the file cannot be read.
    ScenarioError
        If it says something it may not.
    """
    from energysim.scenario.stream_constants import (  # noqa: PLC0415 - start-up
        constants_from_json,
    )

    return constants_from_json(_text_of(path), file=str(path))


def _text_of(path: Path) -> str:
    """Return a file's text, or say in plain words why it cannot be had."""
    text = read_text(path, what="a table of predictions")
    if text.lstrip().startswith("<"):
        raise ScenarioError(
            Problem(
                file=str(path),
                line=1,
                reason="is a web page, not a table of predictions",
                hint="save the data itself, as CSV or JSON",
            )
        )
    return text
