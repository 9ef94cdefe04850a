"""
Run all options of a file, several at once, and put them in order.

Days are built together, so that each law is asked once; all options of one motor are members
of one sweep, with the hours after the day as further steps. What an option comes to does not
depend on the others.

Depends on: comparison.expand, comparison.drawn, comparison.read, comparison.rank, build, plan,
simulate, results.compare.
"""

from __future__ import annotations

import sys
import threading
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import TYPE_CHECKING, Final, NamedTuple

from energysim.build import DayAsked, build_days
from energysim.clock import clock_after
from energysim.comparison.drawn import (
    drawn_steadily,
    hardest_hour,
    steady_power_w,
    with_more_of,
)
from energysim.comparison.expand import expand
from energysim.comparison.rank import RULES, ranked, reason
from energysim.comparison.read import Ran, read_option, why_not
from energysim.errors import Problem, ScenarioError
from energysim.plan import stacked_banks, stacked_demands
from energysim.results.compare import (
    Change,
    CompareResult,
    HardestHour,
    Impossible,
    OptionDay,
    OptionRow,
)
from energysim.scenario.option import THE_FILE
from energysim.simulate import one_member, simulate
from energysim.stow.words import rules
from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from energysim.comparison.expand import Asked
    from energysim.comparison.read import Fits
    from energysim.physics.motor import Motor
    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario
    from energysim.scenario.locker import Locker
    from energysim.simulate import Bank, Demand, Flows
    from energysim.unit_format import System

AT_ONCE: Final = 25
"""Options built and run together; more only ask for more memory."""

CAUTIONS: Final = (
    "A planning estimate, never an approval. Wiring, gas, restraint and the capacity plate "
    "follow the local codes and the makers' papers; have a qualified marine electrician look "
    "at the boat before anything is bought or joined.",
    "The order is by the rule that is printed, for this one day, this boat and these prices. "
    "Another day can turn it round.",
    "Batteries of the list are typical ones of their case: middle of the range sold (common "
    "practice). Measure the case and read the label of the one in the shop.",
    "Lives are wide estimates: published curves differ by a factor of two and more.",
)


class _Built(NamedTuple):
    """An option and its day, or why there is none."""

    day: OptionDay | None
    reason: str
    hour: HardestHour | None
    assumptions: tuple[str, ...]


class _Told(NamedTuple):
    """What all options are read with."""

    trips_a_year: float | None
    system: System


def compare(
    loaded: LoadedScenario,
    *,
    rank: str | None = None,
    system: System = "us",
    workers: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> CompareResult:
    """
    Hold every option of a file against the baseline, on the file's own day.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario with [[option]] rows, a grid in [options], or both.
    rank : str, optional
        A key of `comparison.rank.RULES`; left out, what [options] says.
    system : {"us", "metric"}
        The units of sentences: what a locker lacks, and what is kept free in it.
    workers : int
        Processes that share the work; the answer does not depend on it. [count]
    progress : callable, optional
        Told how many options are done, of how many.

    Raises
    ------
    ScenarioError
        There is nothing to compare, a row is not valid, or the baseline cannot be run.
    """
    table = loaded.scenario.options
    asked = options_of(loaded)
    prices = loaded.scenario.prices
    trips = None if prices is None else prices.trips_a_year
    built = _all(asked, _Told(trips, system), workers, progress)
    baseline = (None if table is None else table.baseline) or THE_FILE
    base = next(
        one for option, one in zip(asked, built, strict=True) if option.name == baseline
    )
    if base.day is None:
        raise ScenarioError(
            loaded.locate(_problem(f"the baseline, {baseline}, cannot be run: {base.reason}"))
        )
    rank = rank or ("day" if table is None else table.rank)
    found = [
        (option, one.day)
        for option, one in zip(asked, built, strict=True)
        if one.day is not None
    ]
    named = [(option.name, day) for option, day in found]
    order = ranked(named, rank)
    scenario = loaded.scenario
    return CompareResult(
        title=scenario.title,
        on=scenario.day.date,
        boat=_boat(loaded),
        baseline=baseline,
        rank=rank,
        rule=RULES[rank],
        reason=reason([named[number] for number in order], rank),
        hardest=base.hour,
        rows=tuple(
            OptionRow(
                name=found[number][0].name,
                says=found[number][0].says,
                place=place,
                day=found[number][1],
                change=_change(found[number][1], base.day),
            )
            for place, number in enumerate(order, start=1)
        ),
        impossible=tuple(
            Impossible(name=option.name, says=option.says, reason=one.reason)
            for option, one in zip(asked, built, strict=True)
            if one.day is None
        ),
        prices_of=None if table is None else table.prices_of,
        trips_a_year=trips,
        assumptions=base.assumptions,
        rules=rules(scenario.lockers, system) if scenario.lockers else (),
        cautions=CAUTIONS,
    )


def options_of(loaded: LoadedScenario) -> tuple[Asked, ...]:
    """
    Return the options of a file as scenarios of their own, the file itself first.

    Raises
    ------
    ScenarioError
        There is nothing to compare, or a row is not valid.
    """
    table = loaded.scenario.options
    if not loaded.scenario.option and (table is None or not table.cases):
        raise ScenarioError(
            loaded.locate(
                _problem(
                    "there is nothing to compare",
                    "add [[option]] or [options]; "
                    "energysim example shop prints a file that has both",
                )
            )
        )
    return expand(loaded)


def options(loaded: LoadedScenario) -> dict[str, LoadedScenario]:
    """
    Return the options of a file as scenarios of their own, by name: each can be run or drawn.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario with [[option]] rows, a grid in [options], or both.

    Returns
    -------
    dict of str to LoadedScenario
        The file itself first, called "as it is". A place of the grid that no listed battery
        fills is left out; `compare` says why under `impossible`.

    Raises
    ------
    ScenarioError
        There is nothing to compare, or a row is not valid.
    """
    return {one.name: one.loaded for one in options_of(loaded) if one.loaded is not None}


def _problem(why: str, hint: str = "") -> Problem:
    return Problem(path="", reason=why, hint=hint)


def _all(
    asked: Sequence[Asked],
    told: _Told,
    workers: int,
    progress: Callable[[int, int], None] | None,
) -> list[_Built]:
    """Run all options, in chunks; more processes share the chunks."""
    size = AT_ONCE if workers == 1 else max(1, min(AT_ONCE, -(-len(asked) // (2 * workers))))
    chunks = [
        (tuple(asked[first : first + size]), told) for first in range(0, len(asked), size)
    ]
    done: list[_Built] = []
    for part in _mapped(chunks, workers):
        done += part
        if progress is not None:
            progress(len(done), len(asked))
    return done


def _mapped(
    chunks: Sequence[tuple[tuple[Asked, ...], _Told]], workers: int
) -> Iterator[list[_Built]]:
    """Run chunks here, or in processes of their own."""
    if workers == 1 or len(chunks) == 1:
        yield from map(_run, chunks)
        return
    # A process split off has everything imported already; elsewhere it must begin anew.
    kind = "fork" if sys.platform == "linux" and threading.active_count() == 1 else "spawn"
    with ProcessPoolExecutor(workers, mp_context=get_context(kind)) as pool:
        yield from pool.map(_run, chunks)


def _run(chunk: tuple[tuple[Asked, ...], _Told]) -> list[_Built]:
    """Build and run some options together."""
    asked, told = chunk
    ready = [option.loaded for option in asked if option.loaded is not None]
    plans = build_days([DayAsked(one) for one in ready])
    days = [plan for plan in plans if not isinstance(plan, ScenarioError)]
    ran = iter(_swept([one for one, plan in zip(ready, plans, strict=True)
                       if not isinstance(plan, ScenarioError)], days))  # fmt: skip
    fits: Fits = {}
    queue = iter(plans)
    built = []
    for option in asked:
        if option.loaded is None:
            built.append(_Built(None, option.reason, None, ()))
            continue
        plan = next(queue)
        if isinstance(plan, ScenarioError):
            built.append(_Built(None, why_not(plan), None, ()))
            continue
        one = next(ran)
        try:
            day = read_option(one, fits=fits, **told._asdict())
        except ScenarioError as error:
            built.append(_Built(None, why_not(error), None, ()))
            continue
        built.append(_Built(day, "", _hour(plan), plan.assumptions))
    return built


def _swept(loaded: Sequence[LoadedScenario], plans: Sequence[DayPlan]) -> list[Ran]:
    """Run days side by side, those of one motor in one sweep, and each bank drawn steadily."""
    longer = [with_more_of(plan.demand, hardest_hour(plan)) for plan in plans]
    steady = [drawn_steadily(plan) for plan in plans]
    flows: dict[int, Flows] = {}
    steady_flows: dict[int, Flows] = {}
    for motor in {id(plan.motor): plan.motor for plan in plans}.values():
        members = [number for number, plan in enumerate(plans) if plan.motor is motor]
        flows.update(
            _apart(members, [longer[n] for n in members], [plans[n].bank for n in members],
                   motor)
        )  # fmt: skip
        steady_flows.update(
            _apart(members, [steady[n][0] for n in members], [steady[n][1] for n in members],
                   motor)
        )  # fmt: skip
    return [
        Ran(
            loaded=one,
            plan=plan,
            flows=one_member(flows[number], 0, steps=len(plan.demand.step_s), bank=plan.bank),
            longer=(longer[number], flows[number]),
            steady=(steady[number][0], steady_flows[number], steady[number][1]),
            steady_w=steady_power_w(plan),
        )
        for number, (one, plan) in enumerate(zip(loaded, plans, strict=True))
    ]


def _apart(
    members: Sequence[int], demands: Sequence[Demand], banks: Sequence[Bank], motor: Motor
) -> Iterator[tuple[int, Flows]]:
    """Sweep days of one motor; return each one's flows with its number."""
    flows = simulate(stacked_demands(demands), stacked_banks(banks), motor)
    for place, (number, demand, bank) in enumerate(zip(members, demands, banks, strict=True)):
        yield number, one_member(flows, place, steps=len(demand.step_s), bank=bank)


def _hour(plan: DayPlan) -> HardestHour | None:
    """Return the hour that asks most, by the clock."""
    hour = hardest_hour(plan)
    if hour is None:
        return None
    middle = int(hour.weight.argmax())
    leg = plan.leg_of_step[middle]
    return HardestHour(
        start=clock_after(plan.start, hour.from_s),
        end=clock_after(plan.start, hour.to_s),
        leg="" if leg < 0 else plan.legs[leg].name,
        power_w=hour.power_w,
    )


def _change(day: OptionDay, base: OptionDay) -> Change:
    """Return an option less the baseline."""
    trip, base_trip = day.money.price_per_trip, base.money.price_per_trip
    left, base_left = day.hold_left, base.hold_left
    return Change(
        usable_wh=day.usable_wh - base.usable_wh,
        end_soc=day.end_soc - base.end_soc,
        hold_left_s=None
        if left is None or base_left is None or left.more or base_left.more
        else left.seconds - base_left.seconds,
        off_station_s=day.off_station_s - base.off_station_s,
        mass_kg=day.load.mass_kg - base.load.mass_kg,
        price_per_trip=None
        if trip is None or base_trip is None or day.money.currency != base.money.currency
        else trip.value - base_trip.value,
    )


def _inside(box: Locker) -> str:
    """Return a locker's three sides in inches and in centimetres, as they are measured."""
    sides = (box.length_m, box.width_m, box.height_m)
    us, metric = (
        " x ".join(f"{round(side / unit, 1):g}" for side in sides) for unit in (0.0254, 0.01)
    )
    return f"{us} in ({metric} cm) inside"


def _boat(loaded: LoadedScenario) -> tuple[tuple[str, str], ...]:
    """Say what the day was run with, for the customer to check."""
    scenario = loaded.scenario
    boat, motor = scenario.boat, scenario.motor

    def both(value: float, dimension: str) -> str:
        us, metric = (format_quantity(value, dimension, system=s) for s in ("us", "metric"))
        return f"{us} ({metric})"

    people = both(boat.person_mass_kg, "mass")
    rows = [
        ("Boat", f"{boat.hull}, {both(boat.length_m, 'length')} long, "
                 f"{both(boat.beam_m, 'length')} wide, {both(boat.mass_kg, 'mass')}"),
        ("People", f"{boat.people}, {people} each"),
        ("Motor", f"{motor.voltage_v:g} V"
                  + (f", {both(motor.thrust_n, 'force')}" if motor.thrust_n else "")),
        *(("Locker " + box.name, _inside(box)) for box in scenario.lockers),
    ]  # fmt: skip
    return tuple(rows)
