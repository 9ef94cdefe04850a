"""
The tides a prediction is made of: what is known of each, wherever the boat is.

Depends on: nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Constituents:
    """Tides by name, each with its speed, its argument and its node rule."""

    name: tuple[str, ...]
    aliases: tuple[tuple[str, ...], ...]  # other spellings of each name
    speed_degph: NDArray[np.float64]  # degrees an hour, shape (constituents,)
    doodson: NDArray[np.float64]  # (constituents, 5): of 15 deg/h, moon, sun, perigees
    phase_deg: NDArray[np.float64]  # constant part of the argument, shape (constituents,)
    node_rule: tuple[tuple[tuple[str, int], ...], ...]  # laws and powers, as parse_node_rule


def parse_node_rule(text: str) -> tuple[tuple[str, int], ...]:
    """
    Return a node rule such as "M2^2*K1^-1" as laws and powers.

    Parameters
    ----------
    text : str
        Laws of `node_factors` with their powers, joined by asterisks.

    Returns
    -------
    tuple of (str, int)
        Law and power, in the order written.

    Raises
    ------
    ValueError
        If a part is not of the form name^power.

    Examples
    --------
    >>> parse_node_rule("M2^2*K1^-1")
    (('M2', 2), ('K1', -1))
    """
    rule = []
    for part in text.split("*"):
        law, mark, power = part.strip().partition("^")
        if not (law and mark and power.lstrip("-").isdigit()):
            raise ValueError(f"node rule {text!r}: {part!r} is not of the form 'M2^1'")
        rule.append((law, int(power)))
    return tuple(rule)


def select_constituents(constituents: Constituents, *, name: Sequence[str]) -> Constituents:
    """
    Return the tides named, in that order, whatever spelling of the name is used.

    Parameters
    ----------
    constituents : Constituents
        All that are known.
    name : sequence of str
        Those wanted; large or small letters, or another agency's name.

    Returns
    -------
    Constituents
        One row for each name.

    Raises
    ------
    ValueError
        If a name is not known or comes twice; the message lists those known.
    """
    row_of: dict[str, int] = {}
    for row, (known, others) in enumerate(
        zip(constituents.name, constituents.aliases, strict=True)
    ):
        for spelling in (known, *others):
            row_of[spelling.casefold()] = row
    unknown = [wanted for wanted in name if wanted.casefold() not in row_of]
    if unknown:
        raise ValueError(
            f"constituents not known: {', '.join(unknown)}; "
            f"known are {', '.join(constituents.name)}"
        )
    rows = [row_of[wanted.casefold()] for wanted in name]
    doubled = sorted({constituents.name[row] for row in rows if rows.count(row) > 1})
    if doubled:
        raise ValueError(f"constituents named twice: {', '.join(doubled)}")
    return Constituents(
        name=tuple(constituents.name[row] for row in rows),
        aliases=tuple(constituents.aliases[row] for row in rows),
        speed_degph=constituents.speed_degph[rows],
        doodson=constituents.doodson[rows],
        phase_deg=constituents.phase_deg[rows],
        node_rule=tuple(constituents.node_rule[row] for row in rows),
    )
