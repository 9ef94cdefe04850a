"""
The day as one JSON document, and its steps as CSV; what other documents are made with.

Keys carry SI suffixes; times are ISO 8601 with their offset; there is never a NaN.

Depends on: results.
"""

from __future__ import annotations

import csv
import io
import json
from dataclasses import fields, is_dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from energysim.clock import clock_after
from energysim.results.day import columns

if TYPE_CHECKING:
    from collections.abc import Collection

    from energysim.results.day import DayResult

SCHEMA = 1
LEFT_OUT = {"series", "leg_of_step"}


def day_document(result: DayResult) -> dict[str, Any]:
    """Return the day as plain data, ready for `json`; the steps are left to `series_csv`."""
    return {"schema": SCHEMA, **plain_data(result, left_out=LEFT_OUT)}


def document_text(document: dict[str, Any]) -> str:
    """Write a document as JSON text; a number that is not finite is a bug and raises."""
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def series_csv(result: DayResult) -> str:
    """
    Return the step table as CSV text, a header with units and a row a step.

    The clock is that of the step's start; state of charge and the books are those at its end.
    """
    described = columns()
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    keys = list(result.series)
    writer.writerow(["clock", "leg", *(f"{key} [{described[key].unit}]" for key in keys)])
    rows = zip(*(result.series[key].tolist() for key in keys), strict=True)
    for leg, row in zip(result.leg_of_step, rows, strict=True):
        clock = clock_after(result.start, row[keys.index("elapsed")])
        writer.writerow([clock.isoformat(), leg, *(f"{value:.6g}" for value in row)])
    return out.getvalue()


def plain_data(value: object, *, left_out: Collection[str] = ()) -> Any:
    """
    Turn records, tuples and clocks into what JSON knows.

    Parameters
    ----------
    value : object
        A record, or anything one may hold.
    left_out : collection of str
        Fields that are no part of the document.
    """
    if is_dataclass(value):
        return {
            field.name: plain_data(getattr(value, field.name), left_out=left_out)
            for field in fields(value)
            if field.name not in left_out
        }
    if isinstance(value, date):  # a clock is one too
        return value.isoformat()
    if isinstance(value, tuple):
        return [plain_data(item, left_out=left_out) for item in value]
    if isinstance(value, float):
        return float(f"{value:.10g}")
    return value
