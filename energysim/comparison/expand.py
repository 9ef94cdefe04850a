"""
From the options of a file to whole scenarios, one each.

A battery in place of the file's takes over nothing of what is told of the file's own blocks:
neither their age nor their label nor their price.

Depends on: errors, scenario, catalogue.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from energysim.catalogue import batteries
from energysim.errors import Problem, RefusedValueError, ScenarioError
from energysim.scenario.bank import OF_THE_BLOCK
from energysim.scenario.load import LoadedScenario, located, validate
from energysim.scenario.option import THE_FILE
from energysim.scenario.overlay import overlay
from energysim.scenario.paths import parse_path

if TYPE_CHECKING:
    from energysim.scenario.option import Options

NAMES_A_BATTERY: Final = ("battery", "chemistry", "capacity")
OF_THE_PRICE: Final = ("bank", "block")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One option to run."""

    name: str
    says: tuple[str, ...]  # what it lays over the file
    loaded: LoadedScenario | None
    reason: str = ""  # why it cannot be run, where that is known already


def expand(loaded: LoadedScenario) -> tuple[Asked, ...]:
    """
    Return the file itself, its rows of options, and the grid, each as a scenario of its own.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario.

    Returns
    -------
    asked : tuple of Asked
        The file first. A battery of the grid that is not listed has a reason in place of a
        scenario.

    Raises
    ------
    ScenarioError
        Two options bear one name, the baseline is none of them, or a row lays something over
        the file that may not stand there; every problem at once, with its place.
    """
    rows = loaded.scenario.option
    bare = {key: value for key, value in loaded.raw.items() if key not in {"option", "options"}}
    plain = replace(loaded, raw=bare, scenario=validate(bare))
    asked = [Asked(name=THE_FILE, says=(), loaded=plain)]
    problems = _name_problems(loaded)
    for number, row in enumerate(rows):
        try:
            other = _laid(plain, row.keys, loaded.scenario.options)
        except ScenarioError as error:
            problems += [_in_row(loaded, number, problem) for problem in error.problems]
            continue
        asked.append(Asked(name=row.name, says=tuple(_spelt(row.keys)), loaded=other))
    if problems:
        name = "standard input" if loaded.path is None else str(loaded.path)
        raise located(ScenarioError(problems), source_text=loaded.source_text, name=name)
    if loaded.scenario.options is not None:
        asked += _grid(plain, loaded.scenario.options)
    return tuple(asked)


def _name_problems(loaded: LoadedScenario) -> list[Problem]:
    """Refuse names that lead two ways, or nowhere."""
    options = loaded.scenario.options
    names = [THE_FILE, *(row.name for row in loaded.scenario.option)]
    problems = [
        Problem(
            path=f"option[{number}].name",
            value=name,
            reason="bears the name of an earlier option"
            if name != THE_FILE
            else "is what the file itself is called",
            hint="give each option a name of its own",
        )
        for number, name in enumerate(names)
        if name in names[:number]
    ]
    if options is None or options.baseline is None:
        return problems
    names += [_grid_name(*place) for place in _places(options)]
    if options.baseline not in names:
        problems.append(
            Problem(
                path="options.baseline",
                value=options.baseline,
                reason="is none of the options",
                hint=f"they are {', '.join(names[:8])}{' ...' if len(names) > 8 else ''}",
            )
        )
    return problems


def _grid(plain: LoadedScenario, options: Options) -> list[Asked]:
    """Return every place of the grid."""
    asked = []
    for place in _places(options):
        case, kind, strings = place
        battery = _battery_name(case, kind)
        keys = {"bank": {"battery": battery, "parallel": strings}}
        name, says = _grid_name(*place), tuple(_spelt(keys))
        reason, other = "", None
        if battery not in batteries():
            reason = f"no {battery} in the list of batteries (energysim list batteries)"
        else:
            try:
                other = _laid(plain, keys, options)
            except ScenarioError as error:
                reason = reason_of(error)
        asked.append(Asked(name=name, says=says, loaded=other, reason=reason))
    return asked


def _places(options: Options) -> list[tuple[str, str, int]]:
    """Return the places of the grid, strings changing fastest."""
    return list(
        dict.fromkeys(
            (case, kind, strings)
            for case in options.cases
            for kind in options.chemistries
            for strings in options.strings
        )
    )


def _battery_name(case: str, kind: str) -> str:
    """Return the name a block has in the list; "31-lfp-24v" is asked for as lfp-24v."""
    return f"{case}-{kind}".lower()


def _grid_name(case: str, kind: str, strings: int) -> str:
    """Return what a place of the grid is called."""
    name = _battery_name(case, kind)
    return name if strings == 1 else f"{name}, {strings} strings"


def reason_of(error: ScenarioError) -> str:
    """Return why an option cannot be, in one line, without its place."""
    return "; ".join(
        str(replace(problem, file="", line=None, column=None)) for problem in error.problems
    )


def _laid(
    plain: LoadedScenario, keys: Mapping[str, Any], options: Options | None
) -> LoadedScenario:
    """Lay keys over the file, and take away what was true of the file's own bank only."""
    nested = _nested(keys)
    raw = dict(plain.raw)
    bank, prices = _table(nested, "bank"), _table(nested, "prices")
    if any(key in bank for key in NAMES_A_BATTERY):
        kept = {
            key: value
            for key, value in _table(raw, "bank").items()
            if key not in OF_THE_BLOCK or key == "parallel"
        }
        raw["bank"] = kept
    if "prices" in raw:
        raw["prices"] = _prices_left(_table(raw, "prices"), bank=bank, prices=prices)
    raw = overlay(raw, nested)
    battery = _table(raw, "bank").get("battery")
    told = {} if options is None else options.block_prices
    if battery in told and "prices" in raw and not _priced(_table(raw, "prices")):
        raw["prices"] = {**_table(raw, "prices"), "block": told[battery]}
    if "prices" in raw and not _priced(_table(raw, "prices"), "energy_per_kwh"):
        del raw["prices"]
    return replace(plain, raw=raw, scenario=validate(raw))


def _prices_left(
    told: Mapping[str, Any], *, bank: Mapping[str, Any], prices: Mapping[str, Any]
) -> dict[str, Any]:
    """Return the file's prices that are still true of an option's bank."""
    gone: set[str] = set()
    if any(key in prices for key in OF_THE_PRICE) or any(
        key in bank for key in NAMES_A_BATTERY
    ):
        gone = set(OF_THE_PRICE)
    elif "series" in bank or "parallel" in bank:
        gone = {"bank"}  # of another number of blocks
    return {key: value for key, value in told.items() if key not in gone}


def _priced(prices: Mapping[str, Any], *more: str) -> bool:
    """Whether some price is among them."""
    return any(key in prices for key in (*OF_THE_PRICE, *more))


def _table(raw: Mapping[str, Any], key: str) -> dict[str, Any]:
    """Return a table, empty where there is none or something else stands there."""
    table = raw.get(key)
    return dict(table) if isinstance(table, Mapping) else {}


def _nested(keys: Mapping[str, Any]) -> dict[str, Any]:
    """Return keys as tables, also those spelt "bank.battery" in quotes."""
    nested: dict[str, Any] = {}
    for spelt, value in keys.items():
        head, dot, rest = spelt.partition(".")
        if dot and "[" not in spelt:
            inner = _nested({rest: value})
            before = nested.get(head)
            nested[head] = {**before, **inner} if isinstance(before, dict) else inner
        elif isinstance(value, Mapping) and isinstance(nested.get(spelt), dict):
            nested[spelt] = {**nested[spelt], **value}
        else:
            nested[spelt] = value
    return nested


def _spelt(keys: Mapping[str, Any], head: str = "") -> list[str]:
    """Return what an option says, a line a key."""
    lines: list[str] = []
    for key, value in keys.items():
        path = f"{head}{key}"
        if isinstance(value, Mapping):
            lines += _spelt(value, f"{path}.")
        elif isinstance(value, list) and value and isinstance(value[0], Mapping):
            for number, row in enumerate(value, start=1):
                lines += _spelt(row, f"{path}[{number}].")
        else:
            lines.append(f"{path} = {value}")
    return lines


def _in_row(loaded: LoadedScenario, number: int, problem: Problem) -> Problem:
    """Point at the row of the option, where the key stands in it."""
    here = ("option", number)
    try:
        path = parse_path(problem.path) if problem.path else ()
    except RefusedValueError:
        path = ()
    places = loaded.positions
    spelt = [(*here, *path[:end]) for end in range(len(path), 0, -1)]
    spelt += [(*here, ".".join(map(str, path)))]
    for place in (*spelt, here):
        if place in places:
            found = places[place].value if len(place) > 2 else places[place].key
            name = "standard input" if loaded.path is None else str(loaded.path)
            return replace(
                problem,
                path=f"option[{number + 1}].{problem.path}".rstrip("."),
                file=name,
                line=found.line,
                column=found.column,
            )
    return problem
