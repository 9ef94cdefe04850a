"""
What the weight of a bank does to the boat: frozen records for tables and pages.

Depends on: nothing.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

PlateNumber: TypeAlias = Literal["persons", "persons_weight", "total_weight"]
Verdict: TypeAlias = Literal["pass", "look again", "caution"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateCheck:
    """One number of the capacity plate against what goes aboard."""

    name: PlateNumber
    unit: Literal["1", "kg"]
    number: float  # aboard, as far as it is known
    limit: float  # as the plate gives it
    verdict: Verdict
    why: str

    @property
    def margin(self) -> float:
        """What the plate leaves; below 0 it is exceeded."""
        return self.limit - self.number


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightResult:
    """
    What the bank weighs, and how the boat takes it at rest.

    Sinkage, trim and heel are changes against the boat without the bank, each good to
    `relative_error` at best.
    """

    bank_kg: float
    persons_equivalent: float  # of the capacity plate
    immersion_kg_per_m: float
    sinkage_m: float
    trim_m: float | None  # draft at the bow less at the stern: above 0 is bow down
    trim_deg: float | None
    trim_words: str  # "bow down", "stern down", "hardly any trim", "not known"
    bow_sinkage_m: float | None  # at the forward end of the waterline; below 0 she rises
    stern_sinkage_m: float | None
    heel_deg: float | None  # to starboard
    relative_error: float
    plate: tuple[PlateCheck, ...]  # empty without a plate
    unknown: tuple[str, ...]  # what was not given, and what follows
    cautions: tuple[str, ...]
