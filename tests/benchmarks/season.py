"""
How long a month of dates takes, each with its tide, a wind of its month and its members.

    python tests/benchmarks/season.py [dates] [members] [workers] [rounds]

The headland's day, a centre console in a chop off a ledge, on so many dates from the first of
May: its odds, its planned day and four other starts of it. Told is what one day run costs, all
of them counted alike.
"""

from datetime import date, timedelta
from functools import partial
from pathlib import Path

from measure import argument, in_turn, say

from energysim.cli.workers import workers as sharing
from energysim.results.season import SeasonResult
from energysim.scenario.load import load_scenario
from energysim.scenario.wind_climate import read_climate_file
from energysim.season import run_season
from energysim.season.date import SHIFTS_S

FOLDER = Path(__file__).parents[2] / "scenarios" / "headland"
FIRST = date(2026, 5, 1)
DATES, MEMBERS, WORKERS, ROUNDS = 31, 64, 2, 3


def season(dates: int, *, members: int, workers: int) -> SeasonResult:
    """Lay the headland's day on so many dates."""
    loaded = load_scenario(FOLDER / "headland.toml")
    climate = read_climate_file(
        FOLDER / "wind_climate.csv", timezone=loaded.scenario.day.timezone
    )
    with sharing(workers) as executor:
        return run_season(
            loaded,
            first=FIRST,
            last=FIRST + timedelta(days=dates - 1),
            climate=climate,
            members=members,
            executor=executor,
        )


def days_run(dates: int, members: int) -> int:
    """Return how many days such a season runs."""
    return dates * (members + len(SHIFTS_S))


def main() -> None:
    """Time a season and print what a day of it costs."""
    dates, members = argument(1, DATES), argument(2, MEMBERS)
    workers, rounds = argument(3, WORKERS), argument(4, ROUNDS)
    work = partial(season, dates, members=members, workers=workers)
    spent = in_turn({"season": work}, rounds)["season"]
    days = days_run(dates, members)
    say(
        f"{dates} dates of {members} members, {workers} of processes  {spent.wall:6.2f} s"
        f"  {spent.processor:6.2f} s of processor  {1000.0 * spent.processor / days:.1f} ms of"
        f" processor for each of {days:,} days"
    )


if __name__ == "__main__":
    main()
