"""
The [[leg]] tables, what the boat does and when, and [home].

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated, ClassVar, Final, Literal

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
    ReadBy,
)
from energysim.scenario.table import ScenarioTable, exactly_one

CreepSpeed = Annotated[float, Quantity("speed", low="0 kn", high="10 kn")]
WatchCircle = Annotated[float, Quantity("length", low="1 m", high="200 m")]

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
    "hold": frozenset(
        {"stream_scale", "wind_shelter", "heading", "style", "duty", "watch_circle"}
    ),
    "creep": frozenset({"course", "speed", "over", "stream_scale", "wind_shelter"}),
    "drift": frozenset({"drift_speed", "stream_scale", "wind_shelter"}),
    "rest": frozenset(),
}
"""The keys that mean something to a verb, beside its name and clock."""

_SPECIAL: Final = frozenset().union(*TAKEN_BY.values())


def _read_heading(value: object) -> float | str:
    """Accept "wind", "stream" or a bearing."""
    if isinstance(value, str) and value in {"wind", "stream"}:
        return value
    try:
        return Quantity("angle", low="0 deg", high="360 deg").read(value)
    except RefusedValueError as error:
        hint = "write 'wind', 'stream' or a bearing such as '045 deg'"
        raise RefusedValueError(error.reason, hint) from None


HeldHeading = Annotated[
    float | str,
    ReadBy(_read_heading, {"type": "string", "examples": ["wind", "stream", "045 deg"]}),
]


class Leg(ScenarioTable):
    """One stretch of the day."""

    also_called: ClassVar[Mapping[str, str]] = {
        "type": "do", "action": "do", "mode": "do", "begin": "start", "end": "until",
        "duration": "for", "direction": "course",
    }  # fmt: skip

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
    heading: HeldHeading | None = Field(
        None,
        description="Of a hold: 'wind' or 'stream' to keep the bow into it, or a bearing; left "
        "out, the boat lies as it will.",
    )
    style: Literal["steady", "burst"] = Field(
        "steady",
        description="Of a hold: a little thrust all the time, or more of it in bursts.",
    )
    duty: Annotated[float, Field(ge=0.05, le=1.0)] = Field(
        0.5, description="Of a hold in bursts: share of the time the motor runs (our choice)."
    )
    watch_circle_m: WatchCircle = Field(
        "30 ft",
        alias="watch_circle",
        validate_default=True,
        description="Of a hold in bursts: radius the boat may wander (our choice).",
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
        if given.get("style", "steady") != "burst":
            for key in ("duty", "watch_circle"):
                if key in given and key in TAKEN_BY[verb]:
                    yield RefusedValueError(
                        "means nothing for a steady hold", 'add style = "burst"', where=(key,)
                    )
        for key in given:
            if key in _SPECIAL and key not in TAKEN_BY[verb]:
                yield RefusedValueError(f"has no meaning for '{verb}'", where=(key,))

    def unused_keys(self) -> frozenset[str]:
        """Name what this leg's verb has no use for."""
        bursts = frozenset() if self.style == "burst" else {"duty", "watch_circle"}
        return (_SPECIAL - TAKEN_BY[self.do]) | bursts


class Home(ScenarioTable):
    """The way home on the bow motor alone, if the main engine will not start."""

    distance_m: Distance = Field(
        alias="distance", description="One way, from the furthest mark."
    )
    speed_mps: CreepSpeed | None = Field(
        None, alias="speed", description="Wanted speed over the ground; the best when left out."
    )
