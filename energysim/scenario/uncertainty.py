"""
The [uncertainty] table: how far forecast, boat and bank may be out, for the odds of a day.

Every spread left out is the one of the list (`energysim list uncertainty`); 0 takes a source
away.

Depends on: pydantic, scenario.table, scenario.fields.
"""

from typing import Annotated

from pydantic import Field

from energysim.scenario.fields import Quantity
from energysim.scenario.table import ScenarioTable

Members = Annotated[int, Field(ge=1, le=1_000_000)]
Seed = Annotated[int, Field(ge=0, lt=2**63)]
Spread = Annotated[float, Field(ge=0.0, le=1.0)]
StartSpread = Annotated[float, Field(ge=0.0, le=0.3)]
WellSpread = Annotated[float, Field(ge=0.0, le=0.5)]
WindSpread = Annotated[float, Quantity("speed", low="0 kn", high="20 kn")]
StreamSpread = Annotated[float, Quantity("speed", low="0 kn", high="2 kn")]
TimeSpread = Annotated[float, Quantity("time", low="0 s", high="2 h")]
Lead = Annotated[float, Quantity("time", low="0 s", high="240 h")]


class Uncertainty(ScenarioTable):
    """How far things may be out, one standard deviation each, and how many days are drawn."""

    members: Members = Field(1000, description="Days that are drawn.")
    seed: Seed = Field(1, description="The same seed draws the same days.")
    lead_s: Lead = Field(
        "12 h",
        alias="lead",
        validate_default=True,
        description="From the forecast to the start of the first leg (our choice).",
    )
    wind_error_mps: WindSpread | None = Field(
        None,
        alias="wind_error",
        description="Of the forecast wind, east and north, that comes and goes through the "
        "day; 2 % more for each hour since the forecast.",
    )
    wind_bias_mps: WindSpread | None = Field(
        None, alias="wind_bias", description="Of the forecast wind, east and north, all day."
    )
    gust_factor: Spread | None = Field(None, description="Of the gust over the mean wind.")
    stream_strength: Spread | None = Field(None, description="Of the stream's speed.")
    stream_timing_s: TimeSpread | None = Field(
        None, alias="stream_timing", description="Of the times of slack and maximum."
    )
    stream_residual_mps: StreamSpread | None = Field(
        None, alias="stream_residual", description="Of water that moves without the tide."
    )
    wind_load: Spread | None = Field(None, description="Of the force of a wind on the boat.")
    hull_drag: Spread | None = Field(None, description="Of the force of the water on it.")
    thrust_form: Spread | None = Field(
        None, description="Of the thrust that given forces take: the form of the model."
    )
    chop_height: Spread | None = Field(None, description="Of the height of the chop.")
    chop_push: Spread | None = Field(None, description="Of the push of a given chop.")
    motor: Spread | None = Field(None, description="Of the current for a given thrust.")
    capacity: Spread | None = Field(None, description="Of today's capacity of the bank.")
    age: Spread | None = Field(
        None, description="Of the capacity lost by age, where that is a guess."
    )
    resistance: Spread | None = Field(
        None, description="Of the resistance inside the bank; 0 unless set where it is given."
    )
    house_load: Spread | None = Field(
        None, description="Of what everything but the motor draws."
    )
    supply: Spread | None = Field(None, description="Of what panel and engine give.")
    start_charge: StartSpread | None = Field(
        None,
        description="Of the state of charge at the start; 0 unless set where the bank starts "
        "full.",
    )
    well_rate: WellSpread | None = Field(
        None,
        description="Of the rate of the wells, where the label leaves it open, as a share of "
        "the way to an end of its range.",
    )
