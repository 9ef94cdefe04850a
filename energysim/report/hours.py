"""
The day read at round clock times: the table that stands beside its chart.

Depends on: results, unit_format, clock, report.sections.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.clock import clock_after
from energysim.report.sections import SectionTable, columns
from energysim.unit_format import System, format_quantity

if TYPE_CHECKING:
    from energysim.results.day import DayResult

EVERY_MIN: Final = (15, 30, 60, 120, 180, 360)
MOST_ROWS: Final = 24
COLUMNS: Final = columns(
    "Clock", "Leg", "Left", "Wanted", "Available", "Current", "Wind", "Stream",
    numbers="234567", wraps="1",
)  # fmt: skip
CAPTION: Final = (
    "Charge left is that at the end of the step that begins at the clock; thrust, current, "
    "wind and stream are those during it. Wanted is the thrust that keeps the boat where the "
    "plan wants it; available is the most the motor could give."
)


def hours_table(result: DayResult, *, system: System) -> tuple[SectionTable, int]:
    """
    Return the day at round clock times, and how many minutes lie between.

    Every row is a row of the step table: its clock is the step's start, the charge left is that
    at the step's end. The first and the last step are always among them.

    Parameters
    ----------
    result : DayResult
        The day.
    system : {"us", "metric"}
        The units printed.

    Returns
    -------
    table : SectionTable
        A row a clock time.
    every_min : int
        Minutes from row to row.
    """
    elapsed = result.series["elapsed"]
    last = len(elapsed) - 1
    length_s = float(elapsed[last])
    every_min = next(
        (every for every in EVERY_MIN if length_s / (60.0 * every) <= MOST_ROWS - 2),
        EVERY_MIN[-1],
    )
    into_s = (result.start.hour * 60 + result.start.minute) * 60 + result.start.second
    first_s = -into_s % (60.0 * every_min)
    count = int((length_s - first_s) // (60.0 * every_min)) + 1
    # A round time within a second before a step's start is that step's.
    at_s = [first_s + 60.0 * every_min * number - 1.0 for number in range(count)]
    steps = sorted({0, *(min(int(elapsed.searchsorted(s)), last) for s in at_s), last})
    rows = tuple(_row(result, step, system) for step in steps)
    table = SectionTable(columns=COLUMNS, rows=rows, caption=CAPTION)
    return table, every_min


def _row(result: DayResult, step: int, system: System) -> tuple[str, ...]:
    """Put one step into words."""
    at = {key: float(values[step]) for key, values in result.series.items()}
    wanted = "off"
    if at["thrust_wanted"] > 0.0:
        wanted = format_quantity(at["thrust_wanted"], "force", system=system, digits=0)
    wind = format_quantity(at["wind"], "speed", system=system, digits=0)
    stream = format_quantity(at["stream"], "speed", system=system, digits=1)
    if at["stream"] > 0.05:
        stream += f" toward {at['stream_toward']:03.0f}"
    return (
        f"{clock_after(result.start, at['elapsed']):%H:%M}",
        result.leg_of_step[step],
        f"{at['soc']:.0%}",
        wanted,
        format_quantity(at["thrust_available"], "force", system=system, digits=0),
        format_quantity(at["current"], "current", system=system, digits=1),
        f"{wind} from {at['wind_from']:03.0f}",
        stream,
    )
