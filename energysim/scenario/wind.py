"""
The [wind] table: one forecast for the day, an hourly one, or a file.

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from energysim.errors import RefusedValueError
from energysim.scenario.fields import Bearing, ClockTime, Name, Quantity, Speed
from energysim.scenario.table import ScenarioTable, exactly_one, only_with, refused

Height = Annotated[float, Quantity("length", low="0.5 m", high="100 m")]


def _gust_fault(speed_mps: float | None, gust_mps: float | None) -> RefusedValueError | None:
    """Refuse a gust weaker than its wind: a slip."""
    if speed_mps is None or gust_mps is None or gust_mps >= speed_mps:
        return None
    return RefusedValueError("is less than the wind itself", where=("gust",))


class WindHour(ScenarioTable):
    """One line of an hourly forecast."""

    also_called: ClassVar[Mapping[str, str]] = {
        "time": "at", "direction": "from",
    }  # fmt: skip

    at: ClockTime = Field(description="When.")
    speed_mps: Speed = Field(alias="speed", description="Mean wind.")
    wind_from_deg: Bearing = Field(alias="from", description="Where it blows from, true.")
    gust_mps: Speed | None = Field(None, alias="gust", description="Forecast gust.")

    @model_validator(mode="after")
    def _check(self) -> Self:
        return refused(self, _gust_fault(self.speed_mps, self.gust_mps))


class Wind(ScenarioTable):
    """The wind of the day."""

    also_called: ClassVar[Mapping[str, str]] = {
        "direction": "from", "hours": "hour",
    }  # fmt: skip

    speed_mps: Speed | None = Field(None, alias="speed", description="Mean wind, all day.")
    wind_from_deg: Bearing | None = Field(
        None, alias="from", description="Where it blows from, true."
    )
    gust_mps: Speed | None = Field(None, alias="gust", description="Forecast gust, all day.")
    hours: tuple[WindHour, ...] = Field(
        (), alias="hour", strict=False, description="An hourly forecast, typed in."
    )
    file: Name | None = Field(None, description="A forecast in a file beside the scenario.")
    height_m: Height = Field(
        "10 m",
        alias="height",
        validate_default=True,
        description="The height the wind is given for (forecasts: 10 m, by convention).",
    )

    exposure: Literal["at-sea", "off-sea", "off-land", "in-land"] = Field(
        "off-sea",
        description="How gusty the place is (WMO classes): far out, at the coast in a wind off "
        "the water, there in a wind off the land, inland.",
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for one way of giving the wind."""
        yield from exactly_one(
            given,
            what="the wind",
            ways=(("speed", "from"), ("hour",), ("file",)),
            spelt=("speed and from", "[[wind.hour]]", "file"),
        )
        yield from only_with(given, "gust", companions=("speed",))
        if given.get("hour") in ([], ()):
            yield RefusedValueError("holds no hours", where=("hour",))

    @model_validator(mode="after")
    def _check(self) -> Self:
        return refused(self, _gust_fault(self.speed_mps, self.gust_mps))
