"""
The tables of what stores the day's charge: [bank] and [house_bank].

A battery is one of the list or a label of its own; both banks say it by the same keys.

Depends on: pydantic, errors, scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from energysim.errors import RefusedValueError
from energysim.scenario.fields import (
    Charge,
    Count,
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
from energysim.scenario.table import ScenarioTable, exactly_one, only_with, refused

RatedTime = Annotated[float, Quantity("time", low="1 h", high="100 h")]
RatingTime = Annotated[float, Quantity("time", low="10 min", high="100 h")]
ReserveTime = Annotated[float, Quantity("time", low="5 min", high="48 h")]
MemoryTime = Annotated[float, Quantity("time", low="0 s", high="2 h")]
WellRate = Annotated[float, Quantity("rate", low="0.05 per h", high="20 per h")]
Age = Annotated[float, Quantity("time", low="0 s", high="25 yr")]
StorageTime = Annotated[float, Quantity("time", low="0 s", high="2 yr")]
TappedPower = Annotated[float, Quantity("power", more_than="0 W", high="2 kW")]
PeukertExponent = Annotated[float, Field(ge=1.0, le=1.6)]
TripsAYear = Annotated[float, Field(ge=0.0, le=366.0)]

_OF_USE = ("trips_a_year", "usual_depth")

OF_THE_BLOCK = frozenset(
    {
        "battery", "chemistry", "capacity", "block_voltage", "rated_time", "reserve", "rating",
        "peukert_exponent", "law", "well_rate", "block_mass", "resistance", "block",
        "depth_of_discharge", "cutoff_voltage", "capacity_fraction", "age", "trips_a_year",
        "usual_depth", "insist", "series", "parallel",
    }
)  # fmt: skip
"""The keys of [bank] that are about its blocks: another battery takes none of them over."""


class Rating(ScenarioTable):
    """One more line of the label: what the block gives over another time."""

    time_s: RatingTime = Field(alias="time", description="The discharge it was measured over.")
    capacity_ah: Charge = Field(alias="capacity", description="Of one block, over that time.")


class BlockRow(ScenarioTable):
    """One block of the bank that is not like the others."""

    string: Count = Field(1, description="Which string it stands in, counted from 1.")
    number: Count = Field(description="Which block of the string, counted from 1.")
    capacity_fraction: PositiveRatio | None = Field(
        None, description="What age has left of this block's label, instead of the bank's."
    )
    temperature_degc: Temperature | None = Field(
        None, alias="temperature", description="Of this block, instead of the bank's."
    )
    resistance_ohm: Resistance | None = Field(
        None,
        alias="resistance",
        description="Inside this block, full, at 25 degC, instead of the others'.",
    )
    start_soc: Ratio | None = Field(
        None, description="State of charge of this block in the morning, instead of the bank's."
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask in what way the block differs."""
        if not set(given) - {"string", "number"}:
            ways = "capacity_fraction, temperature, resistance, start_soc"
            yield RefusedValueError("does not say how this block differs", f"give {ways}")


class Tapped(ScenarioTable):
    """A load that hangs on one block of the bank alone."""

    name: Name = Field(
        "a tapped load", description="What it is: sounder, lights, heading sensor."
    )
    load_w: TappedPower = Field(alias="load", description="What it takes, all day.")
    string: Count = Field(1, description="The string of the block it hangs on, from 1.")
    number: Count = Field(1, description="The block of the string, from 1.")


class Label(ScenarioTable):
    """What both banks say of their battery, its age and its morning."""

    also_called: ClassVar[Mapping[str, str]] = {
        "name": "battery", "model": "battery", "type": "chemistry", "ah": "capacity",
        "voltage": "block_voltage", "volts": "block_voltage",
        "dod": "depth_of_discharge", "soc": "start_soc", "health": "capacity_fraction",
        "strings": "parallel", "weight": "block_mass",
    }  # fmt: skip

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
    ratings: tuple[Rating, ...] = Field(
        (),
        alias="rating",
        strict=False,
        description="Further ampere-hours of the label, each with its time.",
    )
    peukert_exponent: PeukertExponent | None = Field(
        None, description="Instead of the one the label or the chemistry implies."
    )
    law: Literal["kinetic", "peukert"] | None = Field(
        None, description="Of discharge; the chemistry's usual one when left out."
    )
    well_rate_per_h: WellRate | None = Field(
        None,
        alias="well_rate",
        description="How fast the two wells level out; solved from three ratings or assumed.",
    )
    memory_s: MemoryTime = Field(
        "15 min",
        alias="memory",
        validate_default=True,
        description="Over how long Peukert's law averages the rate of discharge (our choice).",
    )
    series: Count | None = Field(
        None, description="Blocks in a string; as many as the motor asks for when left out."
    )
    parallel: Count = Field(1, description="Strings side by side.")
    block_mass_kg: Mass | None = Field(
        None, alias="block_mass", description="Of one block; from the list when left out."
    )
    resistance_ohm: Resistance | None = Field(
        None, alias="resistance", description="Inside one full block at 25 degC, as it is now."
    )
    depth_of_discharge: PositiveRatio | None = Field(
        None,
        description="How much of the bank the plan may use; the chemistry's when left out.",
    )
    start_soc: Ratio = Field(1.0, description="State of charge in the morning.")
    stored_s: StorageTime = Field(
        "0 s",
        alias="stored",
        validate_default=True,
        description="How long it has stood since then, running down by itself.",
    )
    capacity_fraction: PositiveRatio = Field(
        1.0, description="What is left of the label's capacity, as measured."
    )
    age_s: Age | None = Field(
        None,
        alias="age",
        description="Years in use, to guess what is left where it was not measured.",
    )
    trips_a_year: TripsAYear | None = Field(
        None, description="Trips in each of those years; none are counted when left out."
    )
    usual_depth: PositiveRatio | None = Field(
        None, description="How deep a usual trip went; as deep as the plan may when left out."
    )
    temperature_degc: Temperature | None = Field(
        None, alias="temperature", description="Of the bank; the water's when left out."
    )
    cutoff_voltage_v: Voltage | None = Field(
        None, alias="cutoff_voltage", description="Per block, under load."
    )
    insist: bool | None = Field(
        None, description="true takes a battery that is not made for this work all the same."
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for a listed battery, or for a label; and for an age where its use is told."""
        yield from exactly_one(
            given, what="the battery", ways=(("battery",), ("chemistry", "capacity"))
        )
        for key in _OF_USE:
            yield from only_with(given, key, companions=("age",))
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
        """Name what a listed battery brings itself, and what an age stands for."""
        brought = {"block_voltage", "rated_time"} if self.battery else set()
        guessed = {"capacity_fraction"} if self.age_s is not None else set()
        return frozenset(brought | guessed)

    @property
    def capacity_is_measured(self) -> bool:
        """Whether the user wrote what is left of the capacity."""
        return "capacity_fraction" in self.model_fields_set


class Bank(Label):
    """The bank of the bow motor: blocks of one kind, in series and in parallel."""

    blocks: tuple[BlockRow, ...] = Field(
        (),
        alias="block",
        strict=False,
        description="Blocks that differ from the others: a weak one, a cold one.",
    )
    tapped: tuple[Tapped, ...] = Field(
        (), strict=False, description="Loads that hang on one block alone."
    )
    house_load_w: Power = Field(
        "0 W",
        alias="house_load",
        validate_default=True,
        description="Everything else that hangs on this bank, all day.",
    )

    @model_validator(mode="after")
    def _check_blocks(self) -> Self:
        """Refuse two rows for one block."""
        return refused(self, *_twice(self.blocks))


class HouseBank(Label):
    """A battery of its own for sounder, lights and pump."""

    load_w: Annotated[float, Quantity("power", more_than="0 W", high="5 kW")] = Field(
        alias="load", description="What hangs on it, all day."
    )


def _twice(rows: Sequence[BlockRow]) -> Iterator[RefusedValueError]:
    """Yield each row about a block that an earlier row is about."""
    seen: set[tuple[int, int]] = set()
    for place, row in enumerate(rows):
        if (row.string, row.number) in seen:
            yield RefusedValueError(
                f"block {row.number} of string {row.string} stands in an earlier row",
                "keep one [[bank.block]] for it",
                where=("block", place),
            )
        seen.add((row.string, row.number))
