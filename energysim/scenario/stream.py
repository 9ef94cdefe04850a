"""
The [stream] table: moving water, in any of the shapes people have it in.

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from energysim.errors import RefusedValueError
from energysim.scenario.fields import (
    Bearing,
    ClockTime,
    Name,
    Phase,
    Quantity,
    SignedStreamSpeed,
    StreamSpeed,
)
from energysim.scenario.table import ScenarioTable, exactly_one, needs, only_with

Shift = Annotated[float, Quantity("time", low="-12 h", high="12 h")]
LEAST_ROWS = 2  # nothing can be read between fewer


class StreamEvent(ScenarioTable):
    """One line of a printed current table: a slack or a maximum."""

    also_called: ClassVar[Mapping[str, str]] = {
        "time": "at", "type": "kind",
    }  # fmt: skip

    at: ClockTime = Field(description="When.")
    kind: Literal["slack", "flood", "ebb"] = Field(description="What the table calls it.")
    speed_mps: StreamSpeed = Field(
        "0 kn",
        alias="speed",
        validate_default=True,
        description="Of a maximum, without a sign; a slack has none.",
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for a speed at a maximum, and for none at a slack."""
        kind = given.get("kind")
        if kind in {"flood", "ebb"} and "speed" not in given:
            yield RefusedValueError(
                f"is missing: a maximum ({kind}) has a speed", where=("speed",)
            )
        if kind == "slack" and "speed" in given:
            yield RefusedValueError("has no meaning at a slack", where=("speed",))

    def unused_keys(self) -> frozenset[str]:
        """Name the speed of a slack: it is no assumption."""
        return frozenset({"speed"} if self.kind == "slack" else ())


class StreamPoint(ScenarioTable):
    """One line of a series."""

    also_called: ClassVar[Mapping[str, str]] = {
        "time": "at", "direction": "toward",
    }  # fmt: skip

    at: ClockTime = Field(description="When.")
    speed_mps: StreamSpeed = Field(alias="speed", description="How fast the water moves.")
    stream_toward_deg: Bearing = Field(alias="toward", description="Where it sets to, true.")


class Constituent(ScenarioTable):
    """One harmonic constant of a current station."""

    name: Name = Field(description="Its usual name, such as M2.")
    amplitude_mps: StreamSpeed = Field(alias="amplitude", description="Along the main axis.")
    phase_deg: Phase = Field(alias="phase", description="Phase lag, referred to Greenwich.")


class Stream(ScenarioTable):
    """The moving water of the day; without this table the water stands still."""

    also_called: ClassVar[Mapping[str, str]] = {
        "direction": "toward", "set": "toward",
    }  # fmt: skip

    speed_mps: StreamSpeed | None = Field(
        None, alias="speed", description="One speed, all day."
    )
    stream_toward_deg: Bearing | None = Field(
        None, alias="toward", description="Where it sets to, true, all day."
    )
    events: tuple[StreamEvent, ...] = Field(
        (), alias="event", strict=False, description="Slacks and maxima of a printed table."
    )
    points: tuple[StreamPoint, ...] = Field(
        (), alias="point", strict=False, description="A series, typed in."
    )
    file: Name | None = Field(None, description="Events or a series in a file.")
    constants: Name | None = Field(None, description="Harmonic constants in a file.")
    constituents: tuple[Constituent, ...] = Field(
        (), alias="constituent", strict=False, description="Harmonic constants, typed in."
    )
    mean_mps: SignedStreamSpeed = Field(
        "0 kn",
        alias="mean",
        validate_default=True,
        description="Steady part beside the harmonic constants, flood positive.",
    )
    flood_toward_deg: Bearing | None = Field(
        None, alias="flood_toward", description="Where the flood sets to, true."
    )
    ebb_toward_deg: Bearing | None = Field(
        None, alias="ebb_toward", description="Where the ebb sets to; need not be opposite."
    )
    scale: Annotated[float, Field(ge=0.0, le=5.0)] = Field(
        1.0, description="Multiplies every speed, for a spot beside the station."
    )
    shift_s: Shift = Field(
        "0 s",
        alias="shift",
        validate_default=True,
        description="Later (or, negative, earlier) than the station.",
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for one way of giving the stream, with the directions it needs."""
        yield from exactly_one(
            given,
            what="the stream",
            ways=(
                ("speed", "toward"),
                ("event",),
                ("point",),
                ("file",),
                ("constants",),
                ("constituent",),
            ),
            spelt=(
                "speed and toward",
                "[[stream.event]]",
                "[[stream.point]]",
                "file",
                "constants",
                "[[stream.constituent]]",
            ),
        )
        for key in ("event", "constituent"):
            yield from needs(
                given,
                key,
                because=f"[[stream.{key}]] does not say where the water sets to",
                keys=("flood_toward", "ebb_toward"),
            )
        tidal = ("event", "file", "constants", "constituent")
        for key in ("flood_toward", "ebb_toward"):
            yield from only_with(given, key, companions=tidal)
        yield from only_with(given, "mean", companions=("constituent",))
        for key in ("event", "point"):
            rows = given.get(key)
            if isinstance(rows, list | tuple) and len(rows) < LEAST_ROWS:
                yield RefusedValueError(
                    f"has {len(rows)} of the {LEAST_ROWS} rows it needs at least", where=(key,)
                )

    def unused_keys(self) -> frozenset[str]:
        """Only typed-in constants take a mean from here; a constant stream has no clock."""
        unused = set() if self.constituents else {"mean"}
        return frozenset(unused | ({"shift"} if self.speed_mps is not None else set()))
