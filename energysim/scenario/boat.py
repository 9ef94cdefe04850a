"""
The [boat] table.

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from energysim.scenario.fields import Area, Factor, Name, Quantity
from energysim.scenario.table import ScenarioTable

HullLength = Annotated[float, Quantity("length", low="2 m", high="15 m")]
HullBeam = Annotated[float, Quantity("length", low="0.5 m", high="5 m")]
Freeboard = Annotated[float, Quantity("length", low="0.05 m", high="3 m")]
BowHeight = Annotated[float, Quantity("length", low="0.1 m", high="4 m")]
BoatMass = Annotated[float, Quantity("mass", low="20 kg", high="10 t")]
PersonMass = Annotated[float, Quantity("mass", low="20 kg", high="250 kg")]


class Boat(ScenarioTable):
    """The boat that is held."""

    also_called: ClassVar[Mapping[str, str]] = {
        "type": "hull", "kind": "hull", "loa": "length", "width": "beam",
        "weight": "mass", "persons": "people", "crew": "people",
    }  # fmt: skip

    hull: Name = Field(description="The kind of hull, a name from the list of hulls.")
    length_m: HullLength = Field(alias="length", description="Length of the hull.")
    beam_m: HullBeam = Field(alias="beam", description="Greatest width of the hull.")
    freeboard_m: Freeboard = Field(
        alias="freeboard", description="Height of the side above the water, amidships."
    )
    bow_height_m: BowHeight | None = Field(
        None,
        alias="bow_height",
        description="From the water to where the bow motor is mounted; a quarter more than the "
        "freeboard when left out.",
    )
    mass_kg: BoatMass = Field(
        alias="mass",
        description="Boat, engine, fuel and gear, without people and without the bank.",
    )
    people: Annotated[int, Field(ge=1, le=30)] = Field(2, description="How many are aboard.")
    person_mass_kg: PersonMass = Field(
        "185 lb",
        alias="person_mass",
        validate_default=True,
        description="Each person's mass, as capacity plates count it (common practice).",
    )
    outboard: Literal["tilted", "down"] = Field(
        "tilted", description="Whether the main engine's leg stays in the water."
    )
    frontal_area_m2: Area | None = Field(
        None, alias="frontal_area", description="Windage seen from ahead, instead of the rule."
    )
    lateral_area_m2: Area | None = Field(
        None, alias="lateral_area", description="Windage seen from abeam, instead of the rule."
    )
    drag_factor: Factor = Field(
        1.0, description="The owner's correction of the water's drag; more is more drag."
    )
    wind_factor: Factor = Field(
        1.0, description="The owner's correction of the wind's push; more is more push."
    )
