"""
Stream predictions from the agency's JSON: slacks and maxima, or a series.

The answers name their units but not the zone of their clock times: those without an offset
are taken in the scenario's zone.

Depends on: errors, `scenario.agency_answer`, `scenario.file_times`, `scenario.stream_record`.
"""

from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

from energysim.errors import Problem, ScenarioError
from energysim.scenario.agency_answer import (
    load_json,
    number_at,
    one_value,
    small_keys,
    speed_factor,
)
from energysim.scenario.file_times import FileTime, ZoneRule, parse_time
from energysim.scenario.stream_record import (
    Row,
    StreamRecord,
    event_named,
    record_from_rows,
)


def record_from_json(text: str, *, file: str, timezone: ZoneInfo | None) -> StreamRecord:
    """
    Return the stream of an answer with current predictions.

    Parameters
    ----------
    text : str
        The whole file.
    file : str
        Its name, for the problems.
    timezone : ZoneInfo or None
        The zone of clock times without an offset.

    Returns
    -------
    StreamRecord
        Speeds in m/s, times in UTC.

    Raises
    ------
    ScenarioError
        If the answer holds something else, or its rows cannot be read.
    """
    answer = load_json(text, file=file)
    _refuse_other_answers(answer, file=file)
    predictions = answer.get("current_predictions")
    inside = small_keys(predictions) if isinstance(predictions, dict) else {}
    listed = inside.get("cp")
    if not isinstance(listed, list) or not listed:
        raise ScenarioError(
            Problem(file=file, path="current_predictions.cp", reason="holds no predictions")
        )
    factor = speed_factor(inside.get("units"), file=file, path="current_predictions.units")
    rows: list[Row] = []
    problems: list[Problem] = []
    entries = [small_keys(entry) if isinstance(entry, dict) else {} for entry in listed]
    for index, entry in enumerate(entries):
        path = f"current_predictions.cp[{index + 1}]"
        try:
            row = _read_entry(entry, factor, path=path)
            if rows and _shape(row) != _shape(rows[0]):
                raise ValueError("is of another kind than the first row")  # noqa: TRY301
            rows.append(row)
        except ValueError as error:
            problems.append(Problem(file=file, path=path, reason=str(error)))
    if problems:
        raise ScenarioError(problems)
    return record_from_rows(
        rows,
        file=file,
        zone_rule=ZoneRule.LOCAL,
        timezone=timezone,
        flood_toward_deg=one_value(entries, "meanflooddir", file=file),
        ebb_toward_deg=one_value(entries, "meanebbdir", file=file),
    )


def _refuse_other_answers(answer: Mapping[str, Any], *, file: str) -> None:
    """Say what the file is, when it is one of the agency's other answers."""
    if "harmonicconstituents" in answer:
        raise ScenarioError(
            Problem(
                file=file,
                reason="holds harmonic constants, not predictions",
                hint="name it under stream.constants",
            )
        )
    if "predictions" in answer:
        raise ScenarioError(
            Problem(
                file=file,
                reason="holds tide heights; the stream needs current predictions",
            )
        )


def _read_entry(entry: Mapping[str, Any], factor: float, *, path: str) -> Row:
    """Return one prediction."""
    text = str(entry.get("time", ""))
    time = FileTime(text=text, clock=parse_time(text), path=f"{path}.Time")
    event = event_named(entry["type"]) if entry.get("type") not in (None, "") else None
    if event == "slack":
        return Row(time=time, speed_mps=0.0, event=event)
    if entry.get("velocity_major") is not None:
        return Row(
            time=time, speed_mps=number_at(entry, "velocity_major") * factor, event=event
        )
    if event is not None:
        raise ValueError(f"is {event} without a Velocity_Major")
    speed_mps = number_at(entry, "speed") * factor
    if speed_mps < 0.0:
        raise ValueError("has a negative speed beside its direction")
    return Row(time=time, speed_mps=speed_mps, toward_deg=number_at(entry, "direction") % 360.0)


def _shape(row: Row) -> tuple[bool, bool]:
    """Kinds that may not be mixed: an event or not, with a set or not."""
    return row.event is not None, row.toward_deg is not None
