"""
Which output of the charger feeds which block.

Depends on: scenario, errors.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from energysim.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.scenario.charger import Charger

    Place = tuple[int, int]  # string and number of a block, from 1

PLACE = re.compile(r"(?:(?P<string>\d{1,3})\s*\.\s*)?(?P<number>\d{1,3})", re.ASCII)


class WiredOutput(NamedTuple):
    """One output at work."""

    current_a: float
    places: tuple[Place, ...]


def wire_up(table: Charger, *, series: int, parallel: int) -> tuple[WiredOutput, ...]:
    """
    Return the outputs at work, each with the blocks it feeds.

    Parameters
    ----------
    table : Charger
        Its outputs and, where they are not simply one to a block, what each feeds.
    series, parallel : int
        Blocks in a string, strings side by side. [count]

    Raises
    ------
    ScenarioError
        There are fewer outputs than blocks and no wiring that shares them, a block is left out
        or fed twice, or one output would lie across blocks of different voltage.
    """
    blocks = [(s, n) for s in range(1, parallel + 1) for n in range(1, series + 1)]
    wanted = len(table.feeds) or len(blocks)
    if isinstance(table.outputs, tuple):
        currents = table.outputs
    else:
        currents = (table.current_a or 0.0,) * (table.outputs or wanted)
    if table.feeds:
        fed = [
            _places(entry, place, series, parallel) for place, entry in enumerate(table.feeds)
        ]
        _refuse_gaps(fed, blocks)
    elif len(currents) < len(blocks):
        raise ScenarioError(
            Problem(
                path="charger.outputs",
                value=len(currents),
                reason=f"is fewer than the bank's {len(blocks)} blocks; each needs its own",
                hint="more outputs, or say which blocks share one by charger.feeds, such as "
                '["1.1 + 2.1"]',
            )
        )
    else:
        fed = [(block,) for block in blocks]
    # Outputs beyond the wiring stay idle.
    return tuple(
        WiredOutput(current, places)
        for current, places in zip(currents[: len(fed)], fed, strict=True)
    )


def _places(entry: str, row: int, series: int, parallel: int) -> tuple[Place, ...]:
    """Read "1.2 + 2.2"; a bare number will do where there is one string, or one in series."""
    path = f"charger.feeds[{row + 1}]"
    places = []
    for part in entry.split("+"):
        match = PLACE.fullmatch(part.strip())
        if match is None or (match["string"] is None and series > 1 and parallel > 1):
            raise ScenarioError(
                Problem(
                    path=path,
                    value=entry,
                    reason=f"{part.strip()!r} is not a block, written string.block",
                    hint="such as '1.2', or '1.1 + 2.1' for two blocks side by side",
                )
            )
        number = int(match["number"])
        if match["string"] is not None:
            place = (int(match["string"]), number)
        else:
            place = (1, number) if parallel == 1 else (number, 1)
        if not (1 <= place[0] <= parallel and 1 <= place[1] <= series):
            raise ScenarioError(
                Problem(
                    path=path,
                    value=entry,
                    reason=f"the bank has no block {part.strip()}: it has {parallel} "
                    f"string{'s' if parallel > 1 else ''} of {series}",
                    hint="string and block are counted from 1",
                )
            )
        places.append(place)
    if len({number for _, number in places}) > 1:
        raise ScenarioError(
            Problem(
                path=path,
                value=entry,
                reason="puts one output across blocks that stand at different voltages, which "
                "would short one of them",
                hint="share an output only between blocks of the same number in their strings",
            )
        )
    return tuple(places)


def _refuse_gaps(fed: Sequence[tuple[Place, ...]], blocks: Sequence[Place]) -> None:
    """Refuse wiring that leaves a block out, or feeds one twice."""
    told = [place for places in fed for place in places]
    wrong = {
        "feeds {} twice": sorted({place for place in told if told.count(place) > 1}),
        "leaves out {}": [place for place in blocks if place not in told],
    }
    problems = [
        Problem(
            path="charger.feeds",
            reason=words.format(
                "block " + ", ".join(f"{string}.{number}" for string, number in places)
            ),
            hint="every block of the bank once",
        )
        for words, places in wrong.items()
        if places
    ]
    if problems:
        raise ScenarioError(problems)
