"""
The bank block by block: which differ, which are counted together, what each is called.

Depends on: scenario, errors.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from energysim.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from energysim.scenario.bank import BlockRow, Tapped

    Place = tuple[int, int]  # string and number, from 1


class BlockState(NamedTuple):
    """What may tell one block of a bank from another; alike blocks compare equal."""

    capacity_fraction: float
    temperature_degc: float
    resistance_ohm: float | None  # full, at 25 degC, as measured; None from the chemistry
    start_soc: float
    tapped_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A bank as kinds of string, each of kinds of block; short rows are filled up."""

    states: tuple[tuple[BlockState, ...], ...]  # [string][block]
    string_count: tuple[int, ...]  # alike strings
    block_count: tuple[tuple[int, ...], ...]  # alike blocks in one such string; 0 fills up
    names: tuple[tuple[str, ...], ...]  # "string 1 block 2 (sounder)"; "" where it fills up
    places: tuple[tuple[tuple[Place, ...], ...], ...]  # of the blocks each kind stands for

    @property
    def is_plain(self) -> bool:
        """Whether all blocks are alike, and nothing hangs on one of them."""
        return self.states == ((self.states[0][0],),) and self.states[0][0].tapped_w <= 0.0


def lay_out(
    usual: BlockState,
    *,
    series: int,
    parallel: int,
    rows: Sequence[BlockRow] = (),
    tapped: Sequence[Tapped] = (),
) -> Layout:
    """
    Return the bank's blocks, alike ones counted together.

    Parameters
    ----------
    usual : BlockState
        A block nothing else is said of.
    series, parallel : int
        Blocks in a string, strings side by side. [count]
    rows, tapped : sequence of BlockRow, Tapped
        What the scenario says of single blocks.

    Raises
    ------
    ScenarioError
        A row is about a block the bank does not have.
    """
    _refuse_strangers("bank.block", rows, series, parallel)
    _refuse_strangers("bank.tapped", tapped, series, parallel)
    changed = {(row.string, row.number): row for row in rows}
    taps: dict[Place, float] = {}
    hung: dict[Place, str] = {}
    for tap in tapped:
        place = (tap.string, tap.number)
        taps[place] = taps.get(place, 0.0) + tap.load_w
        hung[place] = f"{hung[place]}, {tap.name}" if place in hung else tap.name
    # From the make-up of a string (each kind of block, and where it stands) to such strings.
    alike: dict[tuple[tuple[BlockState, tuple[int, ...]], ...], list[int]] = {}
    for string in range(1, parallel + 1):
        kinds: dict[BlockState, tuple[int, ...]] = {}
        for number in range(1, series + 1):
            state = _state(usual, changed, taps, (string, number))
            kinds[state] = (*kinds.get(state, ()), number)
        alike.setdefault(tuple(kinds.items()), []).append(string)
    longest = max(len(kinds) for kinds in alike)
    states, counts, names, places = [], [], [], []
    for kinds_here, strings in alike.items():
        gap = longest - len(kinds_here)
        standing = [numbers for _, numbers in kinds_here]
        states.append(tuple([state for state, _ in kinds_here] + [kinds_here[0][0]] * gap))
        counts.append(tuple([len(numbers) for numbers in standing] + [0] * gap))
        named = [
            _name(strings, numbers, series, parallel) + _hung_on(hung, strings, numbers)
            for numbers in standing
        ]
        names.append(tuple(named + [""] * gap))
        where = [tuple((s, n) for s in strings for n in numbers) for numbers in standing]
        places.append(tuple(where + [()] * gap))
    return Layout(
        states=tuple(states),
        string_count=tuple(len(strings) for strings in alike.values()),
        block_count=tuple(counts),
        names=tuple(names),
        places=tuple(places),
    )


def _state(
    usual: BlockState,
    changed: Mapping[Place, BlockRow],
    taps: Mapping[Place, float],
    place: Place,
) -> BlockState:
    """Return one block: the usual one, but for what is said of it."""
    state = usual._replace(tapped_w=taps.get(place, 0.0))
    row = changed.get(place)
    if row is None:
        return state
    said = {
        "capacity_fraction": row.capacity_fraction,
        "temperature_degc": row.temperature_degc,
        "resistance_ohm": row.resistance_ohm,
        "start_soc": row.start_soc,
    }
    return state._replace(**{key: value for key, value in said.items() if value is not None})


def _refuse_strangers(
    path: str, rows: Sequence[BlockRow | Tapped], series: int, parallel: int
) -> None:
    """Refuse rows about blocks beyond the bank's."""
    problems = []
    for place, row in enumerate(rows, start=1):
        for key, value, most, what in (
            ("string", row.string, parallel, "string"),
            ("number", row.number, series, "block to a string"),
        ):
            if value > most:
                problems.append(
                    Problem(
                        path=f"{path}[{place}].{key}",
                        value=value,
                        reason=f"the bank has {most} {_plural(what, most)}",
                        hint="counted from 1; see bank.series and bank.parallel",
                    )
                )
    if problems:
        raise ScenarioError(problems)


def _plural(what: str, count: int) -> str:
    """Return "block to a string" or "blocks to a string"."""
    head, _, tail = what.partition(" ")
    return f"{head}{'s' if count > 1 else ''} {tail}".strip()


def _name(strings: Sequence[int], numbers: Sequence[int], series: int, parallel: int) -> str:
    """Return what some alike blocks are called: "string 1 block 2", "blocks 1, 3"."""
    parts = []
    if parallel > 1:
        parts.append(_listed("string", strings, parallel))
    if series > 1 or not parts:
        parts.append(_listed("block", numbers, series))
    return " ".join(parts)


def _hung_on(hung: Mapping[Place, str], strings: Sequence[int], numbers: Sequence[int]) -> str:
    """Return what hangs on these blocks alone: " (sounder, lights)"."""
    things = {hung.get((string, number), "") for string in strings for number in numbers}
    told = ", ".join(sorted(things - {""}))
    return f" ({told})" if told else ""


def _listed(what: str, numbers: Sequence[int], whole: int) -> str:
    """Return "block 2", "blocks 1, 3", or "every block" where it is all of several."""
    if len(numbers) == whole and whole > 1:
        return f"every {what}"
    return f"{what}{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"
