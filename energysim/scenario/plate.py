"""
The [plate] table: what the boat's capacity plate says, and the weights it counts.

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated, Self

from pydantic import Field, model_validator

from energysim.errors import RefusedValueError
from energysim.scenario.fields import Quantity
from energysim.scenario.table import ScenarioTable, only_with, refused

PlateWeight = Annotated[float, Quantity("mass", low="50 kg", high="10 t")]
PartWeight = Annotated[float, Quantity("mass", low="0 kg", high="5 t")]

_LIMITS = ("persons", "persons_weight", "total_weight")


class Plate(ScenarioTable):
    """The capacity plate: persons, and weight of persons, motor and gear."""

    persons: Annotated[int, Field(ge=1, le=50)] | None = Field(
        None, description="How many persons the plate allows."
    )
    persons_weight_kg: PlateWeight | None = Field(
        None,
        alias="persons_weight",
        description="Of all of them, as the plate gives it.",
    )
    total_weight_kg: PlateWeight | None = Field(
        None,
        alias="total_weight",
        description="Persons, motor and gear together, as the plate gives it.",
    )
    engine_weight_kg: PartWeight | None = Field(
        None,
        alias="engine_weight",
        description="Of the main engine with its battery and fuel; part of boat.mass as well.",
    )
    gear_weight_kg: PartWeight | None = Field(
        None,
        alias="gear_weight",
        description="Of everything loose aboard but the bow motor and its bank; part of "
        "boat.mass as well.",
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for something off the plate."""
        if not any(key in given for key in _LIMITS):
            yield RefusedValueError(
                "says nothing of what the plate allows", f"give one of: {'; '.join(_LIMITS)}"
            )
            return
        for key in ("engine_weight", "gear_weight"):
            yield from only_with(given, key, companions=("total_weight",))

    @model_validator(mode="after")
    def _check(self) -> Self:
        """Refuse a plate that allows more for the persons than for everything."""
        persons, total = self.persons_weight_kg, self.total_weight_kg
        fault = None
        if persons is not None and total is not None and persons > total:
            fault = RefusedValueError(
                "is more than 'total_weight'",
                "have the two changed places?",
                where=("persons_weight",),
            )
        return refused(self, fault)
