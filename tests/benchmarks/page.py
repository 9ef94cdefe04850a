"""How the benchmarks are told: what `all.py` has measured, as markdown tables of ratios."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

import forces
import library
import naive
import start_up
from measure import Spent, machine

import energysim

LOOP, NAIVE, LIBRARY = "the loop", "solve_ivp", "the library"
SHIPPED = next(iter(naive.DAYS))
TABLE, LAWS = "loads from the table", "loads by the laws"


class Answer(NamedTuple):
    """A whole answer and the days it runs."""

    name: str
    days: int
    work: Callable[[], Any]


class Told(NamedTuple):
    """What the battery library says of its own day, or why there is none."""

    day: dict[str, Any] | None
    missing: str = ""


def page(
    spent: Mapping[str, Spent],
    *,
    rounds: int,
    workers: int,
    commands: Sequence[str],
    answers: Sequence[Answer],
    library_told: Told,
) -> str:
    """Return the page."""
    lines = [
        "# Benchmarks",
        "",
        f"`python tests/benchmarks/all.py`: energysim {energysim.__version__} on {machine()};",
        f"medians of rounds taken in turn ({rounds}). Ratios by processor time, by the wall in",
        f"brackets; answers from the comparison down on {workers} processes.",
        "",
        "## Starting",
        "",
        *_starting(spent, commands),
        "",
        "## One day's bank",
        "",
        "The same equations, demand and blocks. `solve_ivp` has rtol 1e-6; the loop holds",
        "voltage and resistance over a minute, which is most of the difference of the ends.",
        "Its arrays are made for many days at once: with one it gains little, on a strained",
        "day nothing, and compiled code is quicker. What it is for stands below.",
        "",
        *_bank(spent),
        "",
        *_library(spent, library_told),
        "",
        "## Whole answers",
        "",
        "A day of an answer is run with its weather, loads and motor (but for the sweep); the",
        "last columns hold against it what the others take for a day's bank alone, which is to",
        "their advantage.",
        "",
        *_answers(spent, answers, has_library=library_told.day is not None),
        "",
        *_loads(spent),
    ]
    return "\n".join(lines) + "\n"


def _starting(spent: Mapping[str, Spent], commands: Sequence[str]) -> list[str]:
    """Return what each command takes, as its share of the first."""
    rows = [
        (
            f"`energysim {name}`" if start_up.COMMANDS[name][0] == "-m" else name,
            _both(spent[name].over(spent[commands[0]])),
            f"{start_up.AIMS[name]:.2f}" if name in start_up.AIMS else "",
        )
        for name in commands
    ]
    return _table(("a process", f"of {commands[0]}", "aim"), rows)


def _bank(spent: Mapping[str, Spent]) -> list[str]:
    """Return one day's bank by loop and integrator, with where each ends."""
    rows = []
    for name, changes in naive.DAYS.items():
        plan = naive.planned(changes)
        ratio = spent[f"{NAIVE}: {name}"].over(spent[f"{LOOP}: {name}"])
        for how, times, end in (
            ("the loop", "1", naive.by_the_loop(plan)),
            ("`solve_ivp`", _both(ratio), naive.by_solve_ivp(plan)),
        ):
            ended = f"{100.0 * end.soc:.3f} %", f"{end.drawn_ah:.3f} Ah"
            rows.append((f"{name}: {how}", times, *ended))
    return _table(("one day's bank", "times the loop", "state of charge", "drawn"), rows)


def _library(spent: Mapping[str, Spent], told: Told) -> list[str]:
    """Return the library's day beside the loop's, or why there is none."""
    if told.day is None:
        return [f"A general-purpose battery library was not measured: {told.missing}."]
    here = library.ours(naive.planned({}))
    there = library.BlockEnd(told.day["charge"], told.day["near_ah"])
    ratio = spent[LIBRARY].over(spent[f"{LOOP}: {SHIPPED}"])
    rows = [
        (how, times, f"{100.0 * end.charge:.3f} %", f"{end.near_ah:.3f} Ah")
        for how, times, end in (
            ("the loop", "1", here),
            (f"{library.NAME} {told.day['version']}", _both(ratio), there),
        )
    ]
    return [
        "A general-purpose battery library, compiled, is told the amperes the loop has worked",
        "out, and steps them from Python, a minute at once; its wells come from three ratings.",
        "",
        *_table((SHIPPED, "times the loop", "in both wells", "in the available well"), rows),
    ]


def _answers(
    spent: Mapping[str, Spent], answers: Sequence[Answer], *, has_library: bool
) -> list[str]:
    """Return a day of each answer beside a plain day, and beside a day's bank of the others."""
    plain = spent[answers[0].name]
    others = [spent[f"{NAIVE}: {SHIPPED}"]] + ([spent[LIBRARY]] if has_library else [])
    rows = []
    for answer in answers:
        one = spent[answer.name].times(1.0 / answer.days)
        cells = (_both(one.over(plain)), *(_both(other.over(one)) for other in others))
        rows.append((answer.name, f"{answer.days:,}", *cells))
    titles = [
        "an answer",
        "days in it",
        "a day of it / a plain day",
        "`solve_ivp` / a day of it",
    ]
    if has_library:
        titles.append("the library / a day of it")
    return _table(tuple(titles), rows)


def _loads(spent: Mapping[str, Spent]) -> list[str]:
    """Tell what the boat's table saves."""
    if TABLE not in spent:
        return ["Holding loads from the boat's table were not measured."]
    ratio = spent[LAWS].times(1.0 / forces.FEW).over(spent[TABLE].times(1.0 / forces.LOT))
    return [
        "Holding loads of a gusty day, wind across the tide: by the laws a member takes",
        f"{_both(ratio)} times as long as from the boat's table, its making not counted.",
    ]


def _both(ratio: Spent) -> str:
    """Write a ratio by processor time, and by the wall in brackets."""
    return f"{_short(ratio.processor)} ({_short(ratio.wall)})"


def _short(value: float) -> str:
    """Write a number to two digits, or three from 1 to 100."""
    if value >= 100.0:
        return f"{float(f'{value:.2g}'):,.0f}"
    return f"{value:.3g}" if value >= 1.0 else f"{value:.2g}"


def _table(titles: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> list[str]:
    """Write a markdown table, all but the first column to the right."""
    rule = ("---", *("---:" for _ in titles[1:]))
    return ["| " + " | ".join(row) + " |" for row in (titles, rule, *rows)]
