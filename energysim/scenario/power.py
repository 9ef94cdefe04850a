"""
The tables around the battery: [cable] and [charger].

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated

from pydantic import Field

from energysim.errors import RefusedValueError
from energysim.scenario.fields import (
    CableSize,
    ClockTime,
    Count,
    Current,
    PositiveRatio,
    Quantity,
    Resistance,
)
from energysim.scenario.table import ScenarioTable, exactly_one

CableLength = Annotated[float, Quantity("length", low="0 m", high="30 m")]


class Cable(ScenarioTable):
    """The leads between bank and motor."""

    gauge: CableSize | None = Field(None, description="Size of the conductor.")
    length_m: CableLength | None = Field(
        None, alias="length", description="One way, bank to motor."
    )
    resistance_ohm: Resistance | None = Field(
        None, alias="resistance", description="Out and back, measured, instead of the size."
    )
    contact_resistance_ohm: Resistance = Field(
        "2 mohm",
        alias="contact_resistance",
        validate_default=True,
        description="Plugs, breaker and lugs together (our choice).",
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for a size and a length, or for the resistance itself."""
        yield from exactly_one(
            given, what="the cable", ways=(("gauge", "length"), ("resistance",))
        )


class Charger(ScenarioTable):
    """The charger and the night it has."""

    current_a: Current = Field(alias="current", description="Of one output; one to a block.")
    outputs: Count | None = Field(
        None, description="How many outputs there are; one to each block when left out."
    )
    efficiency: PositiveRatio = Field(
        0.85, description="Out of the charger over in from the wall (our choice)."
    )
    circuit_w: Annotated[float, Quantity("power", low="50 W", high="20 kW")] | None = Field(
        None, alias="circuit", description="The most the wall outlet may give."
    )
    start: ClockTime | None = Field(
        None, description="When it is plugged in; at the end of the day when left out."
    )
    ready_by: ClockTime | None = Field(
        None, description="When the bank has to be full; no check of it when left out."
    )
