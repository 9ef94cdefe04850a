"""
The day's plan laid on every date of a season, here or in other processes.

Depends on: scenario, season.date, season.reach, season.tide, results_season.
"""

from __future__ import annotations

from concurrent.futures import BrokenExecutor
from contextlib import suppress
from datetime import timedelta
from typing import TYPE_CHECKING, Final

from energysim.errors import ScenarioError
from energysim.physics.draws import BLOCK
from energysim.results_season import SeasonDate, SeasonResult
from energysim.scenario.uncertainty import Uncertainty
from energysim.season.date import SHIFTS_S, Asked, Found, date_odds
from energysim.season.reach import refuse_what_does_not_reach, winds_of_months
from energysim.season.tide import streams_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from concurrent.futures import Executor, Future
    from datetime import date

    from energysim.errors import Problem
    from energysim.scenario.load import LoadedScenario
    from energysim.scenario.wind_climate import WindClimate

MEMBERS: Final = 64
"""Days run for each date unless asked otherwise: a chance to within 12 in 100 at worst."""


def run_season(
    loaded: LoadedScenario,
    *,
    first: date,
    last: date,
    climate: WindClimate | None = None,
    climate_name: str = "",
    members: int | None = None,
    seed: int | None = None,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> SeasonResult:
    """
    Return what the day's plan comes to on every date from the first to the last.

    Under a climate each of a date's members has a wind of the month, drawn by its share, and
    the planned day the month's usual wind (median speed, most frequent direction). Without one
    the scenario's own wind blows every day. What else is not known is drawn as for the odds of
    a day, the same for every date, so that two dates differ by tide and wind alone.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario whose stream reaches every date.
    first, last : datetime.date
        Of the season, both in it.
    climate : WindClimate or None
        The wind of its months.
    climate_name : str
        What to call it.
    members : int or None
        Days run for each date, 1 to 256; None takes 64.
    seed : int or None
        What the draws begin from; None takes the scenario's.
    executor : concurrent.futures.Executor or None
        Who does the work, a date at once; the answer is the same to the bit.
    progress : callable or None
        Told how many dates are done, and of how many.

    Raises
    ------
    ScenarioError, FileError
        The stream or the wind does not reach over the season, or the plan fits no date of it.
    """
    count = MEMBERS if members is None else members
    if not 1 <= count <= BLOCK:
        raise ValueError(f"members = {members}; it must be from 1 to {BLOCK}")
    refuse_what_does_not_reach(loaded, first, last, has_climate=climate is not None)
    table = loaded.scenario.uncertainty or Uncertainty.model_validate({})
    chosen = table.seed if seed is None else seed
    days = [first + timedelta(days=number) for number in range((last - first).days + 1)]
    winds = winds_of_months(climate, days)
    asked = [Asked(loaded, day, winds.get(day.month), count, chosen) for day in days]
    streams = streams_of(loaded, days)
    dates = []
    problems: list[Problem] = []
    limit = 0.0
    for number, (one, found) in enumerate(zip(asked, _found(asked, executor), strict=True)):
        limit = max(limit, found.limit_soc)
        problems += found.problems
        dates.append(
            SeasonDate(
                date=one.day,
                **streams[number]._asdict(),
                odds=found.odds,
                skipped=found.problems[0].reason if found.problems else "",
            )
        )
        if progress is not None:
            progress(number + 1, len(asked))
    if all(one.odds is None for one in dates):
        raise ScenarioError(problems[:1])
    return SeasonResult(
        title=loaded.scenario.title,
        first=first,
        last=last,
        members=count,
        seed=chosen,
        wind="own" if climate is None else "history" if climate.history else "frequencies",
        climate=climate_name,
        limit_soc=limit,
        tried_starts_s=tuple(sorted(SHIFTS_S)),
        dates=tuple(dates),
    )


def _found(asked: Sequence[Asked], executor: Executor | None) -> Iterator[Found]:
    """Yield every date's odds, in order; what a lost worker had is done here."""
    if executor is None:
        yield from map(date_odds, asked)
        return
    futures: list[Future[Found]] = []
    with suppress(BrokenExecutor):
        futures.extend(executor.submit(date_odds, one) for one in asked)
    try:
        for number, one in enumerate(asked):
            try:
                yield futures[number].result() if number < len(futures) else date_odds(one)
            except BrokenExecutor:
                yield date_odds(one)
    finally:
        for future in futures:
            future.cancel()
