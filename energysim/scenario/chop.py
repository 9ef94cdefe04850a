"""
The [chop] table: the room the wind has to raise waves.

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated

from pydantic import Field

from energysim.errors import RefusedValueError
from energysim.scenario.fields import Bearing, Quantity
from energysim.scenario.table import ScenarioTable, exactly_one

FetchLength = Annotated[float, Quantity("length", more_than="0 m", high="500 km")]
WaterDepth = Annotated[float, Quantity("length", low="0.3 m", high="5 km")]


class Reach(ScenarioTable):
    """How far the open water goes one way."""

    from_deg: Bearing = Field(alias="from", description="The way the open water lies, true.")
    length_m: FetchLength = Field(alias="length", description="How far to the shore there.")


class Chop(ScenarioTable):
    """The room the wind has to raise waves; without this table the water is flat."""

    fetch_m: FetchLength | None = Field(
        None, alias="fetch", description="Open water upwind, whatever the wind's direction."
    )
    reaches: tuple[Reach, ...] = Field(
        (), alias="reach", strict=False, description="Open water by direction."
    )
    depth_m: WaterDepth | None = Field(
        None, alias="depth", description="Of the water; taken as deep when left out."
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for one fetch, or for reaches by direction."""
        yield from exactly_one(
            given,
            what="the open water",
            ways=(("fetch",), ("reach",)),
            spelt=("fetch", "[[chop.reach]]"),
        )
        if given.get("reach") in ([], ()):
            yield RefusedValueError("holds no reaches", where=("reach",))
