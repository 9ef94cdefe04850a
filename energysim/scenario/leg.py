"""
The [[leg]] tables, what the boat does and when, and [home].

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated, Final, Literal

from pydantic import Field

from energysim.errors import RefusedValueError
from energysim.scenario.fields import (
    Bearing,
    ClockTime,
    Distance,
    Duration,
    Name,
    Quantity,
    Ratio,
)
from energysim.scenario.table import ScenarioTable, exactly_one

CreepSpeed = Annotated[float, Quantity("speed", low="0 kn", high="10 kn")]

NEEDED_BY: Final[Mapping[str, tuple[str, ...]]] = {
    "run": (),
    "hold": (),
    "creep": ("course", "speed"),
    "drift": ("drift_speed",),
    "rest": (),
}
"""The keys a verb cannot do without."""

TAKEN_BY: Final[Mapping[str, frozenset[str]]] = {
    "run": frozenset(),
    "hold": frozenset({"stream_scale", "wind_shelter"}),
    "creep": frozenset({"course", "speed", "over", "stream_scale", "wind_shelter"}),
    "drift": frozenset({"drift_speed", "stream_scale", "wind_shelter"}),
    "rest": frozenset(),
}
"""The keys that mean something to a verb, beside its name and clock."""

_SPECIAL: Final = frozenset().union(*TAKEN_BY.values())


class Leg(ScenarioTable):
    """One stretch of the day."""

    name: Name | None = Field(None, description="What the user calls it.")
    do: Literal["run", "hold", "creep", "drift", "rest"] = Field(
        description="run on the main engine, hold a spot, creep on a course, drift, or rest."
    )
    start: ClockTime | None = Field(
        None, description="When it begins; when the leg before it ends, if left out."
    )
    duration_s: Duration | None = Field(None, alias="for", description="How long it takes.")
    until: ClockTime | None = Field(None, description="When it ends.")
    course_deg: Bearing | None = Field(None, alias="course", description="Of a creep, true.")
    speed_mps: CreepSpeed | None = Field(None, alias="speed", description="Of a creep.")
    over: Literal["ground", "water"] = Field(
        "ground", description="What the creep's course and speed are over."
    )
    drift_speed_mps: CreepSpeed | None = Field(
        None, alias="drift_speed", description="Wanted speed over the ground in a drift."
    )
    stream_scale: Annotated[float, Field(ge=0.0, le=5.0)] = Field(
        1.0, description="Multiplies the stream at this spot."
    )
    wind_shelter: Ratio = Field(
        0.0, description="Share of the wind speed that land keeps off this spot."
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for one length, and for the keys of the verb."""
        yield from exactly_one(given, what="how long it lasts", ways=(("for",), ("until",)))
        verb = given.get("do")
        if not isinstance(verb, str) or verb not in TAKEN_BY:
            return
        for key in NEEDED_BY[verb]:
            if key not in given:
                yield RefusedValueError(f"is missing: a {verb} needs it", where=(key,))
        for key in given:
            if key in _SPECIAL and key not in TAKEN_BY[verb]:
                yield RefusedValueError(f"has no meaning for '{verb}'", where=(key,))

    def unused_keys(self) -> frozenset[str]:
        """Name what this leg's verb has no use for."""
        return _SPECIAL - TAKEN_BY[self.do]


class Home(ScenarioTable):
    """The way home on the bow motor alone, if the main engine will not start."""

    distance_m: Distance = Field(
        alias="distance", description="One way, from the furthest mark."
    )
    speed_mps: CreepSpeed | None = Field(
        None, alias="speed", description="Wanted speed over the ground; the best when left out."
    )
