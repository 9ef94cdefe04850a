"""
How the boat is rigged: [wiring], [breaker], [plug], [cord], [vent] and [mounting].

Nothing here moves the day; `energysim rig` reads it. Every key may be left out, and what is
left out is taken on the careful side there.

Depends on: scenario.table, scenario.fields, errors.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated, Final, Literal

from pydantic import Field

from energysim.errors import RefusedValueError
from energysim.scenario.fields import CableSize, Current, Force, Quantity, ReadBy, Voltage
from energysim.scenario.table import ScenarioTable, needs

INSULATIONS_DEGC: Final = (60.0, 75.0, 80.0, 90.0, 105.0)

_TEMPERATURE: Final = Quantity("temperature", low="0 degC", high="300 degC")


def _read_insulation(value: object) -> float:
    """Accept one of the ratings printed on boat cable, in either degree."""
    rating = _TEMPERATURE.read(value)
    for listed in INSULATIONS_DEGC:
        if abs(rating - listed) < 1.0:  # a rating in degF is printed to whole degrees
            return listed
    raise RefusedValueError(
        f"{value!r} is no rating of the table",
        "write '60 degC', '75 degC', '80 degC', '90 degC' or '105 degC', as on the jacket; a "
        "higher one counts as '105 degC'",
    )


Insulation = Annotated[
    float,
    ReadBy(
        _read_insulation,
        {"type": "string", "examples": [f"{d:g} degC" for d in INSULATIONS_DEGC]},
    ),
]
DeviceDistance = Annotated[float, Quantity("length", low="0 m", high="30 m")]
FaultCurrent = Annotated[float, Quantity("current", low="100 A", high="200000 A")]
CordLength = Annotated[float, Quantity("length", more_than="0 m", high="100 m")]
MainsVoltage = Annotated[float, Quantity("voltage", low="90 V", high="260 V")]
Opening = Annotated[float, Quantity("area", low="0 m2", high="1 m2")]


class Wiring(ScenarioTable):
    """What the leads to the bow motor are, and how they lie."""

    insulation_degc: Insulation | None = Field(
        None, alias="insulation", description="Temperature rating printed on the jacket."
    )
    bundled: Annotated[int, Field(ge=1, le=100)] | None = Field(
        None,
        description="Conductors that carry current side by side in one sheath or tube, these "
        "two with them; 1 for leads apart in free air.",
    )
    in_engine_space: bool | None = Field(
        None, description="Whether any of the run lies in an engine space."
    )
    drop_class: Literal["3 %", "5 %", "10 %"] | None = Field(
        None, description="How much of the voltage the feed may lose."
    )
    stranded: bool | None = Field(None, description="Stranded, not solid.")
    tinned: bool | None = Field(None, description="Tinned strands.")


class Breaker(ScenarioTable):
    """The breaker or fuse of the bow motor's feed."""

    rating_a: Current | None = Field(None, alias="rating", description="Printed on it.")
    voltage_v: Voltage | None = Field(
        None, alias="voltage", description="The highest direct voltage it is rated for."
    )
    distance_m: DeviceDistance | None = Field(
        None, alias="distance", description="From the battery's terminal, along the wire."
    )
    sheathed: bool | None = Field(
        None, description="Whether that stretch of wire is sheathed or enclosed all the way."
    )
    interrupting_a: FaultCurrent | None = Field(
        None, alias="interrupting", description="The largest fault it may break, if printed."
    )


class Plug(ScenarioTable):
    """The plug and socket at the bow."""

    rating_a: Current | None = Field(
        None, alias="rating", description="Continuous, of the weaker of plug and socket."
    )
    voltage_v: Voltage | None = Field(None, alias="voltage", description="Rated for.")


class Cord(ScenarioTable):
    """The cord from the outlet to the charger."""

    gauge: CableSize | None = Field(None, description="Size of the conductor.")
    length_m: CordLength | None = Field(None, alias="length", description="One way.")
    voltage_v: MainsVoltage | None = Field(
        None, alias="voltage", description="Of the mains it hangs on."
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for the size of a cord whose length is told."""
        yield from needs(
            given, "length", because="a length alone tells nothing", keys=("gauge",)
        )


class Vent(ScenarioTable):
    """What lets gas out of where the batteries stand."""

    opening_m2: Opening | None = Field(
        None,
        alias="opening",
        description="Free area of the smaller of inlet and outlet, the outlet at the highest "
        "point.",
    )


class Mounting(ScenarioTable):
    """How the batteries are held."""

    pull_tested_n: Force | None = Field(
        None,
        alias="pull_tested",
        description="The pull every battery was tried with, in each direction.",
    )
