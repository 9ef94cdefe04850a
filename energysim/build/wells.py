"""
How fast a block gives, by both laws, from the ratings of its label.

A label has its ampere-hours, often the reserve minutes, now and then a third figure. Two
ratings fix Peukert's exponent and leave the pace of the wells open, so that pace is a stated
choice with a range; a third fixes it.

Depends on: scenario, errors, physics, build.block, build.ratings.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build.ratings import label_ratings
from energysim.errors import Problem, ScenarioError
from energysim.physics.discharge import (
    RESERVE_CURRENT_A,
    capacity_lasting_ah,
    peukert_runtime_h,
)
from energysim.physics.ratings import peukert_exponent_from_ratings
from energysim.physics.wells_fit import (
    wells_from_ratings,
    wells_from_two_ratings,
    wells_misfit,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.block import Block
    from energysim.physics.wells import Wells
    from energysim.scenario.bank import Label

    Array = NDArray[np.float64]

UNUSUAL_EXPONENT: Final = 1.5
LAWS_IN_WORDS: Final = {"kinetic": "two wells", "peukert": "Peukert's law"}
FASTER: Final = 1.25
FASTEST_PER_H: Final = 1e4  # a slip on a label is found before this
LEAST_SHARE, LEAST_RATE, MOST_RATE = 0.1, 0.05, 5.0
"""Wells of a lead-acid block beyond these are doubted (ours, about what fits have given)."""

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
    law = label.law or block.chemistry.law
    if label.law is None:
        notes.append(f"discharge by {LAWS_IN_WORDS[law]}, usual for {block.chemistry.label}")
    times, capacities = label_ratings(label, block, warnings)
    exponent = _exponent(label, block, times, capacities, notes)
    if exponent > UNUSUAL_EXPONENT:
        warnings.append(
            f"the label implies a Peukert exponent of {exponent:.2f}; above "
            f"{UNUSUAL_EXPONENT:g} is not usual: check its figures"
        )
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


def _exponent(
    label: Label, block: Block, times: Array, capacities: Array, notes: list[str]
) -> float:
    """Return Peukert's exponent: the user's, the label's, or the chemistry's."""
    if label.peukert_exponent is not None:
        if len(times) == 2 and not label.ratings:
            notes.append("the exponent given stands in place of the label's reserve minutes")
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
                f"no two wells give all {len(times)} ratings of the label: "
                f"{str(error).removeprefix('capacity_ah = ')}; the first and the hardest of "
                "them are kept"
            )
            hardest = int(np.argmin(times))
            times, capacities = times[[0, hardest]], capacities[[0, hardest]]
        else:
            rate = float(np.asarray(wells.rate_per_h))
            share = float(np.asarray(wells.available_share))
            notes.append(f"the wells level out at {rate:.2g} per h (from the ratings)")
            if share < 1.0 and not (share > LEAST_SHARE and LEAST_RATE < rate < MOST_RATE):
                warnings.append(
                    f"the label's {len(times)} ratings make wells no such battery has "
                    f"({share:.0%} at hand, levelling out at {rate:.2g} per h): check them"
                )
            return wells, None, None
    if len(times) == 1 or (label.peukert_exponent is not None and not label.ratings):
        times, capacities = with_implied(block, exponent)
    if label.well_rate_per_h is not None:
        return _wells_as_told(label.well_rate_per_h, times, capacities), None, None
    wells, slow, fast = (
        _wells_no_slower(rate, times, capacities) for rate in block.chemistry.well_rate_per_h
    )
    notes.append(
        f"the wells level out at {_number(wells.rate_per_h)} per h, which the label leaves "
        f"open: {_number(slow.rate_per_h)} to {_number(fast.rate_per_h)} (our choice)"
    )
    return wells, slow, fast


def with_implied(block: Block, exponent: float) -> tuple[Array, Array]:
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


def _wells_as_told(rate_per_h: float, times: Array, capacities: Array) -> Wells:
    """Return the wells of two ratings at the user's rate; one no wells can have is refused."""
    try:
        return wells_from_two_ratings(times, capacities, rate_per_h=rate_per_h)
    except ValueError as error:
        raise ScenarioError(
            Problem(
                path="bank.well_rate",
                value=f"{rate_per_h:g} per h",
                reason=f"no two wells give the label at this rate: {error}",
                hint="a higher rate, or check the label",
            )
        ) from None


def _wells_no_slower(rate_per_h: float, times: Array, capacities: Array) -> Wells:
    """Return the wells of two ratings at a rate, or at the next higher one that gives them."""
    # A label that falls off steeply needs wells that level out fast; fast enough always does.
    while True:
        try:
            return wells_from_two_ratings(times, capacities, rate_per_h=rate_per_h)
        except ValueError:
            rate_per_h *= FASTER
            if rate_per_h > FASTEST_PER_H:
                raise


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
    return f"{float(np.asarray(value)):.2g}"
