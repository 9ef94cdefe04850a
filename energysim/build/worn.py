"""
What use and storage have left of a battery before the day begins.

Depends on: scenario, errors, physics, build.block.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.errors import Problem, ScenarioError
from energysim.physics.ageing import aged_capacity_fraction, cycle_wear
from energysim.physics.storage import soc_after_storage

if TYPE_CHECKING:
    from energysim.build.block import Block
    from energysim.scenario.bank import Label

SECONDS_PER_YEAR: Final = 365.25 * 86400.0
SECONDS_PER_DAY: Final = 86400.0
END_OF_LIFE: Final = 0.8
"""Capacity at which a battery is called worn out (IEEE 450 and 1188, from memory)."""

RESISTANCE_AT_END: Final = 1.75
"""Resistance at the end of life over that when new: 1.5 to 2 (from memory)."""


def capacity_left(label: Label, block: Block) -> tuple[float, tuple[str, ...], tuple[str, ...]]:
    """
    Return what age has left of the label's capacity, with notes and warnings.

    A measured figure wins over a guess from age and use; where both are given, it is said.

    Raises
    ------
    ScenarioError
        The bank is so old that a guess means nothing.
    """
    if label.age_s is None:
        return label.capacity_fraction, (), ()
    years = label.age_s / SECONDS_PER_YEAR
    guess, how = _guessed(label, block, years)
    if label.capacity_is_measured:
        told = (
            f"the measured {label.capacity_fraction:.0%} of the label stands; {how} would have "
            f"made it {guess:.0%}"
        )
        return label.capacity_fraction, (told,), ()
    notes = (
        f"{guess:.0%} of the label is left, guessed from {how}; the loss may be half or "
        "twice that",
    )
    warnings: tuple[str, ...] = ()
    if guess < END_OF_LIFE:
        warnings = (
            f"by its age and use the bank is past its life ({guess:.0%} of the label left, a "
            "guess that is least sure there): measure what it still holds",
        )
    return guess, notes, warnings


def _guessed(label: Label, block: Block, years: float) -> tuple[float, str]:
    """Return the guess and what it rests on."""
    trips = (label.trips_a_year or 0.0) * years
    depth = label.usual_depth or label.depth_of_discharge or block.chemistry.depth_of_discharge
    how = f"{years:g} years"
    if trips:
        how += f" of {label.trips_a_year:g} trips {depth:.0%} deep"
    law = block.chemistry.life_law
    try:
        fraction = aged_capacity_fraction(
            years, wear=cycle_wear(depth, trips=trips, law=law), law=law
        )
    except ValueError:
        raise ScenarioError(
            Problem(
                path="bank.age",
                value=how,
                reason="is several lives of such a battery: no guess from it means anything",
                hint="measure it and give capacity_fraction, or check trips_a_year",
            )
        ) from None
    return float(fraction), how


def worn_resistance_factor(capacity_fraction: float) -> float:
    """Return the resistance over that of a new block: it rises as the capacity falls (ours)."""
    worn = (1.0 - capacity_fraction) / (1.0 - END_OF_LIFE)
    return 1.0 + (RESISTANCE_AT_END - 1.0) * worn


def morning_soc(start_soc: float, label: Label, block: Block, temperature_degc: float) -> float:
    """Return the state of charge once the block has stood as long as the scenario says."""
    return float(
        soc_after_storage(
            start_soc,
            days=label.stored_s / SECONDS_PER_DAY,
            per_month=block.chemistry.self_discharge_per_month,
            temperature_degc=temperature_degc,
            doubling_degc=block.chemistry.self_discharge_doubling_degc,
        )
    )
