"""
The table between bank and motor: [cable].

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated, ClassVar

from pydantic import Field

from energysim.errors import RefusedValueError
from energysim.scenario.fields import (
    CableSize,
    Quantity,
    Resistance,
)
from energysim.scenario.table import ScenarioTable, exactly_one

CableLength = Annotated[float, Quantity("length", low="0 m", high="30 m")]


class Cable(ScenarioTable):
    """The leads between bank and motor."""

    also_called: ClassVar[Mapping[str, str]] = {
        "size": "gauge", "awg": "gauge", "section": "gauge", "run": "length",
    }  # fmt: skip

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
