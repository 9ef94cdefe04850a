"""
The day's plan laid on every date of a season, for one boat or many, here or by others.

Depends on: scenario, errors, sharing, season.boat, season.date, season.reach, results.season.
"""

from __future__ import annotations

from collections import deque
from datetime import timedelta
from itertools import islice
from typing import TYPE_CHECKING, Final

from energysim.errors import ScenarioError
from energysim.results.season import SeasonDate, SeasonResult
from energysim.season.boat import Question, made_ready
from energysim.season.date import SHIFTS_S, date_odds
from energysim.season.reach import refuse_what_does_not_reach
from energysim.sharing import shared

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from concurrent.futures import Executor
    from datetime import date

    from energysim.scenario.load import LoadedScenario
    from energysim.scenario.wind_climate import WindClimate
    from energysim.season.boat import Ready
    from energysim.season.date import Boat, Found
    from energysim.season.tide import StreamOfDate

    Progress = Callable[[int, int], None]

MEMBERS: Final = 64
"""Days run for each date unless asked otherwise: a chance to within 12 in 100 at worst."""

MOST_MEMBERS: Final = 100_000
"""Of one date: one process holds what they came to, some 100 MB. [count]"""

BOATS_AHEAD: Final = 4
"""Boats made ready before their first date is handed out. [count]"""

DATES_AHEAD: Final = 512
"""Dates handed out and not yet read: tables of a dozen boats at most. [count]"""


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
    progress: Progress | None = None,
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
        Days run for each date, 1 to 100,000; None takes 64.
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
    fleet = run_fleet(
        [loaded],
        first=first,
        last=last,
        climate=climate,
        climate_name=climate_name,
        members=members,
        seed=seed,
        executor=executor,
        progress=progress,
    )
    (result,) = fleet
    return result


def run_fleet(
    boats: Sequence[LoadedScenario],
    *,
    first: date,
    last: date,
    climate: WindClimate | None = None,
    climate_name: str = "",
    members: int | None = None,
    seed: int | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
) -> Iterator[SeasonResult]:
    """
    Yield the season of one boat after the other; all their dates are one row of work.

    Parameters
    ----------
    boats : sequence of LoadedScenario
        Each as for `run_season`.
    first, last, climate, climate_name, members, seed, executor, progress
        As for `run_season`; dates are counted over all boats.

    Raises
    ------
    ScenarioError, FileError
        As `run_season`: what does not reach is told of all boats at once, before any work.
    """
    count = MEMBERS if members is None else members
    if not 1 <= count <= MOST_MEMBERS:
        raise ValueError(f"members = {members}; it must be from 1 to {MOST_MEMBERS}")
    refuse_what_does_not_reach(boats, first, last, climate=climate)
    days = tuple(first + timedelta(days=number) for number in range((last - first).days + 1))
    question = Question(days, climate, count, seed)
    asked = ((question, boat) for boat in boats)
    fleet = shared(made_ready, asked, executor if len(boats) > 1 else None, ahead=BOATS_AHEAD)
    out: deque[Ready] = deque()
    found = shared(date_odds, _dates(fleet, days, out), executor, ahead=DATES_AHEAD)
    for number, loaded in enumerate(boats):
        dates = []
        for done, one in enumerate(islice(found, len(days)), start=1):
            dates.append(one)
            if progress is not None:
                progress(number * len(days) + done, len(boats) * len(days))
        ready = out.popleft()
        if all(one.odds is None for one in dates):
            raise ScenarioError(dates[0].problems[:1])
        yield SeasonResult(
            title=loaded.scenario.title,
            first=first,
            last=last,
            members=count,
            seed=ready.boat.seed,
            wind="own" if climate is None else "history" if climate.history else "frequencies",
            climate=climate_name,
            limit_soc=max(one.limit_soc for one in dates),
            tried_starts_s=tuple(sorted(SHIFTS_S)),
            from_table=ready.boat.table is not None,
            dates=tuple(map(_date, days, ready.streams, dates)),
        )


def _dates(
    fleet: Iterator[Ready], days: Sequence[date], out: deque[Ready]
) -> Iterator[tuple[Boat, date]]:
    """Yield every boat's dates; boats whose dates are handed out are added to `out`."""
    for ready in fleet:
        out.append(ready)
        for day in days:
            yield ready.boat, day


def _date(day: date, stream: StreamOfDate, found: Found) -> SeasonDate:
    """Lay what a date came to beside its tide."""
    return SeasonDate(
        date=day,
        **stream._asdict(),
        odds=found.odds,
        skipped=found.problems[0].reason if found.problems else "",
    )
