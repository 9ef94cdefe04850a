"""
The ratings of a label: ampere-hours, reserve minutes, and whatever else stands on it.

Depends on: scenario, errors, physics, build.block.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.block import SECONDS_PER_HOUR
from energysim.errors import Problem, ScenarioError
from energysim.physics.discharge import MINUTES_PER_HOUR, RESERVE_CURRENT_A
from energysim.physics.ratings import peukert_exponent_from_reserve, reserve_capacity_ah

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.build.block import Block
    from energysim.scenario.bank import Label

    Array = NDArray[np.float64]

SAME_TIME: Final = 1e-3


def label_ratings(label: Label, block: Block, warnings: list[str]) -> tuple[Array, Array]:
    """
    Return the times in h and ampere-hours the label has, the rated pair first.

    A reserve that says nothing is left out with a warning.

    Raises
    ------
    ScenarioError
        Two figures stand for one time, or a harder discharge would give more.
    """
    rows = [(block.rated_time_h, block.capacity_ah, "bank.capacity")]
    if block.reserve_min is not None and not block.is_lithium:
        if block.capacity_ah / block.rated_time_h < RESERVE_CURRENT_A:
            _refuse_generous_reserve(block, block.reserve_min)
            reserve_ah = float(reserve_capacity_ah(block.reserve_min))
            rows.append((block.reserve_min / MINUTES_PER_HOUR, reserve_ah, "bank.reserve"))
        elif label.reserve_s is not None:
            warnings.append(
                f"the label's reserve is left out: {block.capacity_ah:g} Ah over "
                f"{block.rated_time_h:g} h are {RESERVE_CURRENT_A:g} A or more already, the "
                "current a reserve is measured at"
            )
    rows += [
        (rating.time_s / SECONDS_PER_HOUR, rating.capacity_ah, f"bank.rating[{place}]")
        for place, rating in enumerate(label.ratings, start=1)
    ]
    _refuse_contradictions(rows)
    return np.array([row[0] for row in rows]), np.array([row[1] for row in rows])


def _refuse_generous_reserve(block: Block, reserve_min: float) -> None:
    """Refuse a reserve that gives more at 25 A than the rated discharge does."""
    try:
        peukert_exponent_from_reserve(
            reserve_min, capacity_ah=block.capacity_ah, rated_time_h=block.rated_time_h
        )
    except ValueError as error:
        raise ScenarioError(
            Problem(
                path="bank.reserve",
                value=f"{reserve_min:g} min",
                reason=str(error),
                hint="check the label, or give bank.peukert_exponent instead",
            )
        ) from None


def _refuse_contradictions(rows: Sequence[tuple[float, float, str]]) -> None:
    """Refuse two figures for one time, and a longer discharge that gives less or asks more."""
    in_order = sorted(rows)
    for (time_h, charge_ah, place), (longer_h, more_ah, other) in pairwise(in_order):
        if longer_h - time_h < SAME_TIME:
            reason = f"stands for the same {time_h:.3g} h as another figure of the label"
        elif more_ah < charge_ah * (1.0 - SAME_TIME):
            reason = (
                f"{more_ah:g} Ah over {longer_h:.3g} h is less than {charge_ah:g} Ah over "
                f"{time_h:.3g} h: a gentler discharge cannot give less"
            )
        elif more_ah / longer_h >= charge_ah / time_h:
            reason = (
                f"{more_ah:g} Ah over {longer_h:.3g} h is a larger current than "
                f"{charge_ah:g} Ah over {time_h:.3g} h"
            )
        else:
            continue
        path = max(place, other)  # of the two the further one: "bank.rating[n]"
        raise ScenarioError(Problem(path=path, reason=reason, hint="check the label"))
