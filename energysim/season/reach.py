"""
Whether a scenario and a climate reach over a season, and what to do where they do not.

Depends on: scenario, build.members, errors.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.build.members.climate import month_winds
from energysim.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from energysim.build.members.climate import MonthWinds
    from energysim.scenario.load import LoadedScenario
    from energysim.scenario.wind_climate import WindClimate

LONGEST: Final = 400
"""Dates of one season. [count]"""


def refuse_what_does_not_reach(
    loaded: LoadedScenario, first: date, last: date, *, has_climate: bool
) -> None:
    """Refuse a season the scenario cannot be laid on, and say what would do."""
    scenario, problems = loaded.scenario, []
    if not 0 <= (last - first).days < LONGEST:
        problems.append(
            Problem(
                path="--to",
                value=str(last),
                reason=f"is not within {LONGEST} days after {first}",
                hint="write the first date of the season after --from, the last after --to",
            )
        )
    stream = scenario.stream
    if stream is not None and (stream.events or stream.points or stream.file):
        own = "file" if stream.file else "event" if stream.events else "point"
        problems.append(
            loaded.locate(
                Problem(
                    path=f"stream.{own}",
                    reason="is the stream of its own dates; a season needs every date's",
                    hint="give the station's harmonic constants: stream.constants names a file "
                    "of them, [[stream.constituent]] has them typed in",
                )
            )
        )
    if scenario.wind.file is not None and not has_climate:
        problems.append(
            loaded.locate(
                Problem(
                    path="wind.file",
                    reason="is a forecast for its own hours; a season needs every date's wind",
                    hint="give a wind climate with --climate, or one wind: speed and from",
                )
            )
        )
    dated = [
        (f"leg[{number}].{key}", clock)
        for number, leg in enumerate(scenario.legs, start=1)
        for key, clock in (("start", leg.start), ("until", leg.until))
    ]
    if not has_climate:
        hours = enumerate(scenario.wind.hours, start=1)
        dated += [(f"wind.hour[{number}].at", hour.at) for number, hour in hours]
    problems += [
        loaded.locate(
            Problem(
                path=path,
                value=str(clock),
                reason="has a date of its own, and the plan is laid on many",
                hint="write the clock alone, or with 'next day'",
            )
        )
        for path, clock in dated
        if clock is not None and clock.on_date is not None
    ]
    if problems:
        raise ScenarioError(problems)


def winds_of_months(climate: WindClimate | None, days: Sequence[date]) -> dict[int, MonthWinds]:
    """Return the winds of every month of the season; refuse one the climate does not have."""
    if climate is None:
        return {}
    months = {day.month: day for day in days}
    found = {month: month_winds(climate, month) for month in months}
    problems = [
        Problem(
            path="--climate",
            reason=f"has no wind for {months[month]:%B}",
            hint="add that month, or leave it out of the season",
        )
        for month, winds in found.items()
        if winds is None
    ]
    if problems:
        raise ScenarioError(problems)
    return {month: winds for month, winds in found.items() if winds is not None}
