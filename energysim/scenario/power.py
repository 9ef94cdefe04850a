"""
The tables between the battery and the motor: [bank], [cable] and [charger].

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated

from pydantic import Field

from energysim.errors import RefusedValueError
from energysim.scenario.fields import (
    CableSize,
    Charge,
    ClockTime,
    Count,
    Current,
    Mass,
    Name,
    PositiveRatio,
    Power,
    Quantity,
    Ratio,
    Resistance,
    Temperature,
    Voltage,
)
from energysim.scenario.table import ScenarioTable, exactly_one

RatedTime = Annotated[float, Quantity("time", low="1 h", high="100 h")]
ReserveTime = Annotated[float, Quantity("time", low="5 min", high="48 h")]
MemoryTime = Annotated[float, Quantity("time", low="0 s", high="2 h")]
CableLength = Annotated[float, Quantity("length", low="0 m", high="30 m")]
PeukertExponent = Annotated[float, Field(ge=1.0, le=1.6)]


class Bank(ScenarioTable):
    """The bank: blocks of one kind, in series and in parallel."""

    battery: Name | None = Field(None, description="A name from the list of batteries.")
    chemistry: Name | None = Field(None, description="A name from the list of chemistries.")
    capacity_ah: Charge | None = Field(
        None, alias="capacity", description="Of one block, from its label, at the rated time."
    )
    block_voltage_v: Voltage = Field(
        "12 V",
        alias="block_voltage",
        validate_default=True,
        description="Nominal voltage of one block.",
    )
    rated_time_s: RatedTime = Field(
        "20 h",
        alias="rated_time",
        validate_default=True,
        description="The discharge the capacity was measured over (common practice).",
    )
    reserve_s: ReserveTime | None = Field(
        None, alias="reserve", description="Reserve capacity: how long the block gives 25 A."
    )
    peukert_exponent: PeukertExponent | None = Field(
        None, description="Instead of the one the label or the chemistry implies."
    )
    memory_s: MemoryTime = Field(
        "15 min",
        alias="memory",
        validate_default=True,
        description="Over how long the rate of discharge is averaged (our choice).",
    )
    series: Count | None = Field(
        None, description="Blocks in a string; as many as the motor asks for when left out."
    )
    parallel: Count = Field(1, description="Strings side by side.")
    block_mass_kg: Mass | None = Field(
        None, alias="block_mass", description="Of one block; from the list when left out."
    )
    resistance_ohm: Resistance | None = Field(
        None, alias="resistance", description="Inside one full block at 25 degC."
    )
    depth_of_discharge: PositiveRatio | None = Field(
        None,
        description="How much of the bank the plan may use; the chemistry's when left out.",
    )
    start_soc: Ratio = Field(1.0, description="State of charge in the morning.")
    capacity_fraction: PositiveRatio = Field(
        1.0, description="What age has left of the label's capacity."
    )
    temperature_degc: Temperature | None = Field(
        None, alias="temperature", description="Of the bank; the water's when left out."
    )
    cutoff_voltage_v: Voltage | None = Field(
        None, alias="cutoff_voltage", description="Per block, under load."
    )
    house_load_w: Power = Field(
        "0 W",
        alias="house_load",
        validate_default=True,
        description="Everything else that hangs on this bank, all day.",
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for a listed battery, or for a label."""
        yield from exactly_one(
            given, what="the battery", ways=(("battery",), ("chemistry", "capacity"))
        )
        if "battery" not in given:
            return
        for key in ("block_voltage", "rated_time"):
            if key in given:
                yield RefusedValueError(
                    "cannot stand beside 'battery', which brings its own",
                    "give chemistry and capacity in place of battery",
                    where=(key,),
                )

    def unused_keys(self) -> frozenset[str]:
        """Name what a listed battery brings itself."""
        return frozenset({"block_voltage", "rated_time"} if self.battery else ())


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
