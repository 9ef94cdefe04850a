"""
The [day] table: when and in what water.

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from energysim.scenario.fields import Day as DayDate
from energysim.scenario.fields import Quantity, Temperature, WaterTemperature, Zone
from energysim.scenario.table import ScenarioTable

Step = Annotated[float, Quantity("time", low="1 s", high="600 s")]


class Day(ScenarioTable):
    """The date, the clock it is told by, and the water and air of the day."""

    also_called: ClassVar[Mapping[str, str]] = {
        "tz": "timezone", "zone": "timezone", "temperature": "air_temperature",
    }  # fmt: skip

    date: DayDate = Field(description="The day the plan begins.")
    timezone: Zone = Field(description="Whose clock the plan is written in.")
    water: Literal["salt", "brackish", "fresh"] = Field(
        "salt", description="What the boat floats in; sets the density."
    )
    air_temperature_degc: Temperature = Field(
        "15 degC",
        alias="air_temperature",
        validate_default=True,
        description="Sets the density of the air, and of the wind's push.",
    )
    water_temperature_degc: WaterTemperature = Field(
        "12 degC",
        alias="water_temperature",
        validate_default=True,
        description="Sets the density of the water, and the bank's temperature unless given.",
    )
    step_s: Step = Field(
        "60 s", alias="step", validate_default=True, description="How finely the day is cut."
    )
