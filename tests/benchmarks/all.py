"""
Every benchmark in one run, as one page of ratios.

    python tests/benchmarks/all.py [--rounds N] [--write] [--tiny] [--without-library]

Three tables: what starting takes beside importing the libraries alone; one day's bank by the
package's loop, by scipy's `solve_ivp` on the same equations (`naive.py`) and by a
general-purpose battery library stepping the same amperes (`library.py`, in an environment of
its own), each with where it ends; and whole answers, a day of each held against those. All is
measured in turn, round after round, and told as ratios of medians, by processor time and, in
brackets, by the wall. Others on the machine make the wall's unsure first.

`--write` puts the page into table.md beside this file: for that, let the machine be at rest.
Five rounds take a quarter of an hour on two processors. `--tiny` runs everything at sizes that
mean nothing, to see that it runs; only the boat's table, seconds in the making, is left out.
"""

import argparse
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

import compare
import forces
import library
import naive
import odds
import season
import start_up
import sweep
from measure import Spent, in_turn, say
from page import LAWS, LIBRARY, LOOP, NAIVE, SHIPPED, TABLE, Answer, Told, page

from energysim.build import build_day
from energysim.build.boat import build_boat
from energysim.build.motor import build_motor
from energysim.cli.workers import workers as sharing
from energysim.odds import run_odds
from energysim.runner import run_day
from energysim.scenario.load import load_scenario
from energysim.simulate import simulate

PAGE = Path(__file__).with_name("table.md")
ROUNDS = 5


class Sizes(NamedTuple):
    """How much is run."""

    commands: tuple[str, ...] = tuple(start_up.COMMANDS)  # the first is the yardstick
    sweep: int = 10_000  # members
    lot: int = 1_000  # of them carried at once
    options: int = compare.OPTIONS[-1]
    dates: int = season.DATES
    date_members: int = season.MEMBERS
    odds: int = odds.MEMBERS
    has_table: bool = True  # loads from the table of the boat
    workers: int = 2
    warm: bool = True


FULL = Sizes()
TINY = Sizes(
    commands=("python alone", "--version"),
    sweep=4,
    lot=2,
    options=2,
    dates=1,
    date_members=2,
    odds=2,
    has_table=False,
    workers=1,
    warm=False,
)


def answers_of(sizes: Sizes) -> list[Answer]:
    """Return the whole answers to be timed, the plain day first."""
    estuary = load_scenario(naive.SCENARIO)
    plan = build_day(estuary)
    lot = sweep.tiled(plan, sizes.lot, "kinetic")
    lots = sizes.sweep // sizes.lot
    return [
        Answer("a plain day", 1, partial(run_day, estuary, with_changes=False)),
        Answer("a day with what to change", 1, partial(run_day, estuary)),
        Answer(
            f"a sweep of {sizes.sweep:,} members, the loop alone, {sizes.lot:,} at once",
            lots * sizes.lot,
            lambda: [simulate(*lot, plan.motor) for _ in range(lots)],
        ),
        Answer(
            f"a comparison of {sizes.options} options",
            sizes.options,
            partial(compare.whole, compare.with_options(sizes.options), workers=sizes.workers),
        ),
        Answer(
            f"a season of {sizes.dates} dates, {sizes.date_members} members each, in chop",
            season.days_run(sizes.dates, sizes.date_members),
            partial(
                season.season, sizes.dates, members=sizes.date_members, workers=sizes.workers
            ),
        ),
        Answer(
            f"the odds of a day, {sizes.odds:,} members, in smooth water",
            sizes.odds,
            partial(odds_of_a_day, sizes.odds, sizes.workers),
        ),
    ]


def odds_of_a_day(members: int, workers: int) -> None:
    """Run the odds of the day of odds.py, all of it: its boat's table is made anew."""
    with sharing(workers) as executor:
        run_odds(odds.loaded(), members=members, seed=1, executor=executor)


def loads() -> dict[str, Callable[[], Any]]:
    """Return the holding loads of many members from the boat's table, and of a few by laws."""
    scenario = load_scenario(forces.SCENARIO).scenario
    boat = build_boat(scenario, bank_mass_kg=60.0)
    table, motor = forces.table_of(boat), build_motor(scenario).motor
    many, few = (forces.day(0, members=m, off_deg=70.0) for m in (forces.LOT, forces.FEW))
    return {
        TABLE: partial(forces.by_table, table, motor, *many, stage="and gusts"),
        LAWS: partial(forces.by_laws, boat, *few),
    }


def measured(
    sizes: Sizes, answers: list[Answer], python: Path | None, rounds: int
) -> dict[str, Spent]:
    """Do everything in turn, round after round; return the medians by name."""
    plans = {name: naive.planned(changes) for name, changes in naive.DAYS.items()}
    works: dict[str, Callable[[], Any]] = {}
    for name, plan in plans.items():
        works[f"{LOOP}: {name}"] = partial(naive.by_the_loop, plan)
        works[f"{NAIVE}: {name}"] = partial(naive.by_solve_ivp, plan)
    if python is not None:
        works[LIBRARY] = library.one_day(python, library.load_of(plans[SHIPPED]))
    if sizes.has_table:
        works |= loads()
    works |= {answer.name: answer.work for answer in answers}
    with tempfile.TemporaryDirectory() as cache:
        environment = start_up.as_installed(cache)
        for name in sizes.commands:
            works[name] = partial(start_up.run, start_up.COMMANDS[name], environment)
        return in_turn(works, rounds, warm=sizes.warm)


def run_all(sizes: Sizes, *, rounds: int, with_library: bool = True) -> str:
    """Measure everything and return the page."""
    python, told = None, Told(None, "left out of this run")
    answers = answers_of(sizes)
    with tempfile.TemporaryDirectory() as folder:
        if with_library:
            try:
                python = library.installed(Path(folder))
                told = Told(library.stepped(python, library.load_of(naive.planned({}))))
            except library.MissingLibraryError as missing:
                told = Told(None, str(missing))
        spent = measured(sizes, answers, python, rounds)
    return page(
        spent,
        rounds=rounds,
        workers=sizes.workers,
        commands=sizes.commands,
        answers=answers,
        library_told=told,
    )


def main() -> None:
    """Print the page, and write it where that is asked for."""
    parser = argparse.ArgumentParser(description="All benchmarks as one page of ratios.")
    parser.add_argument("--rounds", type=int, default=ROUNDS, metavar="N")
    parser.add_argument("--write", action="store_true", help=f"replace {PAGE.name}")
    parser.add_argument("--tiny", action="store_true", help="sizes that mean nothing")
    parser.add_argument("--without-library", action="store_true", help="install nothing")
    asked = parser.parse_args()
    if asked.tiny and asked.write:
        parser.error("--tiny is not for the page")
    text = run_all(
        TINY if asked.tiny else FULL,
        rounds=asked.rounds,
        with_library=not asked.without_library,
    )
    say(text)
    if asked.write:
        PAGE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
