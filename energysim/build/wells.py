"""
How fast a block gives, by both laws, from the ratings of its label.

A label has its ampere-hours, often the reserve minutes, now and then a third figure. Two
ratings fix Peukert's exponent and leave the pace of the wells open, so that pace is a stated
choice with a range; a third fixes it.

Depends on: scenario, errors, physics, build.block.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.block import SECONDS_PER_HOUR
from energysim.errors import Problem, ScenarioError
from energysim.physics.discharge import (
    RESERVE_CURRENT_A,
    capacity_lasting_ah,
    peukert_runtime_h,
)
from energysim.physics.ratings import (
    peukert_exponent_from_ratings,
    peukert_exponent_from_reserve,
    reserve_capacity_ah,
)
from energysim.physics.wells_fit import (
    wells_from_ratings,
    wells_from_two_ratings,
    wells_misfit,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.build.block import Block
    from energysim.physics.wells import Wells
    from energysim.scenario.bank import Label

    Array = NDArray[np.float64]

UNUSUAL_EXPONENT: Final = 1.5
SAME_TIME: Final = 1e-3
MINUTES_PER_HOUR: Final = 60.0
LAWS_IN_WORDS: Final = {"kinetic": "two wells", "peukert": "Peukert's law"}
HARDER: Final = 2.0
"""A block rated at more than half the reserve's 25 A is judged at twice its rated current."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Discharge:
    """Both laws of one new block at 25 degC."""

    kinetic: bool  # which of the two the day is told by
    exponent: float  # Peukert's
    wells: Wells  # numbers
    slow_wells: Wells | None  # at the ends of the rate's range; None where it is no choice
    fast_wells: Wells | None
    notes: tuple[str, ...]
    warnings: tuple[str, ...]


def build_discharge(label: Label, block: Block) -> Discharge:
    """
    Return both laws of discharge of a block, and how far they miss the label.

    Raises
    ------
    ScenarioError
        The label contradicts itself: a harder discharge would give more, or two figures stand
        for one time.
    """
    notes: list[str] = []
    warnings: list[str] = []
    times, capacities = _ratings(label, block, warnings)
    exponent = _exponent(label, block, times, capacities, notes)
    if exponent > UNUSUAL_EXPONENT:
        warnings.append(
            f"the label implies a Peukert exponent of {exponent:.2f}; above "
            f"{UNUSUAL_EXPONENT:g} is not usual: check its figures"
        )
    law = label.law or block.chemistry.law
    if label.law is None:
        notes.append(f"discharge by {LAWS_IN_WORDS[law]}, usual for {block.chemistry.label}")
    wells, slow, fast = _wells(label, block, times, capacities, exponent, notes, warnings)
    if len(times) > 2:
        notes.append(_misfits(block, exponent, wells, times, capacities))
    return Discharge(
        kinetic=law == "kinetic",
        exponent=exponent,
        wells=wells,
        slow_wells=slow,
        fast_wells=fast,
        notes=tuple(notes),
        warnings=tuple(warnings),
    )


def _ratings(label: Label, block: Block, warnings: list[str]) -> tuple[Array, Array]:
    """Return the times in h and ampere-hours the label has, the rated pair first."""
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


def _exponent(
    label: Label, block: Block, times: Array, capacities: Array, notes: list[str]
) -> float:
    """Return Peukert's exponent: the user's, the label's, or the chemistry's."""
    if label.peukert_exponent is not None:
        return label.peukert_exponent
    if len(times) == 1:
        usual = block.chemistry.peukert_exponent
        notes.append(f"Peukert's exponent {usual:g}, usual for {block.chemistry.label}")
        return usual
    exponent = float(peukert_exponent_from_ratings(times, capacities)[0])
    by_reserve = len(times) == 2 and not label.ratings
    source = (
        "the label's reserve minutes" if by_reserve else f"the label's {len(times)} ratings"
    )
    notes.append(f"Peukert's exponent {exponent:.3f}, from {source}")
    return exponent


def _wells(
    label: Label,
    block: Block,
    times: Array,
    capacities: Array,
    exponent: float,
    notes: list[str],
    warnings: list[str],
) -> tuple[Wells, Wells | None, Wells | None]:
    """Return the wells; where their rate is a choice, also those at the ends of its range."""
    if len(times) > 2:
        if label.well_rate_per_h is not None:
            raise ScenarioError(
                Problem(
                    path="bank.well_rate",
                    value=f"{label.well_rate_per_h:g} per h",
                    reason=f"follows from the label's {len(times)} ratings",
                    hint="take it away, or one of the ratings",
                )
            )
        try:
            wells = wells_from_ratings(times, capacities)
        except ValueError as error:
            warnings.append(
                f"no two wells give all {len(times)} ratings of the label ({error}); the "
                "first and the hardest of them are kept"
            )
            hardest = int(np.argmin(times))
            times, capacities = times[[0, hardest]], capacities[[0, hardest]]
        else:
            notes.append(f"the wells level out at {_number(wells.rate_per_h)} per h (solved)")
            return wells, None, None
    if len(times) == 1 or (label.peukert_exponent is not None and not label.ratings):
        times, capacities = _with_implied(block, exponent)
    rate, low, high = block.chemistry.well_rate_per_h
    chosen = label.well_rate_per_h
    wells = _wells_at(rate if chosen is None else chosen, times, capacities)
    if chosen is not None:
        return wells, None, None
    notes.append(
        f"the wells level out at {rate:g} per h, which two ratings leave open: {low:g} to "
        f"{high:g} (our choice)"
    )
    return wells, _wells_at(low, times, capacities), _wells_at(high, times, capacities)


def _with_implied(block: Block, exponent: float) -> tuple[Array, Array]:
    """Return the rated pair and the one Peukert's law gives at a reserve's current."""
    current = max(RESERVE_CURRENT_A, HARDER * block.capacity_ah / block.rated_time_h)
    hours = float(
        peukert_runtime_h(
            current,
            capacity_ah=block.capacity_ah,
            rated_time_h=block.rated_time_h,
            exponent=exponent,
        )
    )
    return np.array([block.rated_time_h, hours]), np.array([block.capacity_ah, current * hours])


def _wells_at(rate_per_h: float, times: Array, capacities: Array) -> Wells:
    """Return the wells of two ratings at a stated pace; a pair no wells give is refused."""
    try:
        return wells_from_two_ratings(times, capacities, rate_per_h=rate_per_h)
    except ValueError as error:
        raise ScenarioError(
            Problem(
                path="bank.well_rate",
                value=f"{rate_per_h:g} per h",
                reason=f"no two wells give the label at this rate: {error}",
                hint="another rate, or check the label",
            )
        ) from None


def _misfits(
    block: Block, exponent: float, wells: Wells, times: Array, capacities: Array
) -> str:
    """Say how far each law misses the ratings it was fitted to."""
    by_peukert = capacity_lasting_ah(
        times, capacity_ah=block.capacity_ah, rated_time_h=block.rated_time_h, exponent=exponent
    )
    peukert = float(np.abs(by_peukert / capacities - 1.0).max())
    kinetic = float(np.abs(wells_misfit(times, capacities, wells=wells)).max())
    return (
        f"against the label's {len(times)} ratings Peukert's law is out by up to "
        f"{peukert:.1%}, the two wells by up to {kinetic:.1%}"
    )


def _number(value: object) -> str:
    return f"{float(np.asarray(value)):.2f}"
