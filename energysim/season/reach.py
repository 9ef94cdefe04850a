"""
Whether a scenario and a climate reach over a season, and what to do where they do not.

Depends on: scenario, build.members, errors.
"""

from __future__ import annotations

from datetime import timedelta
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
    boats: Sequence[LoadedScenario], first: date, last: date, *, climate: WindClimate | None
) -> None:
    """Refuse a season some boat's scenario cannot be laid on, and say what would do."""
    problems = []
    count = (last - first).days + 1
    if not 1 <= count <= LONGEST:
        problems.append(
            Problem(
                path="--to",
                value=str(last),
                reason=f"is not within {LONGEST} days after {first}",
                hint="write the first date of the season after --from, the last after --to",
            )
        )
    else:
        winds_of_months(climate, [first + timedelta(days=number) for number in range(count)])
    for loaded in boats:
        found = _of_its_own_dates(loaded, has_climate=climate is not None)
        problems += [loaded.locate(problem) for problem in found]
    if problems:
        raise ScenarioError(problems)


def _of_its_own_dates(loaded: LoadedScenario, *, has_climate: bool) -> list[Problem]:
    """Return what of a scenario holds for its own dates alone."""
    scenario, problems = loaded.scenario, []
    stream = scenario.stream
    if stream is not None and (stream.events or stream.points or stream.file):
        own = "file" if stream.file else "event" if stream.events else "point"
        problems.append(
            Problem(
                path=f"stream.{own}",
                reason="is the stream of its own dates; a season needs every date's",
                hint="give the station's harmonic constants: stream.constants names a file "
                "of them, [[stream.constituent]] has them typed in",
            )
        )
    if scenario.wind.file is not None and not has_climate:
        problems.append(
            Problem(
                path="wind.file",
                reason="is a forecast for its own hours; a season needs every date's wind",
                hint="give a wind climate with --climate, or one wind: speed and from",
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
        Problem(
            path=path,
            value=str(clock),
            reason="has a date of its own, and the plan is laid on many",
            hint="write the clock alone, or with 'next day'",
        )
        for path, clock in dated
        if clock is not None and clock.on_date is not None
    ]
    return problems


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
