"""
The [motor] table: a label, or the owner's own test.

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from energysim.errors import RefusedValueError
from energysim.scenario.fields import Current, Force, Mass, Quantity, SmallCurrent, Voltage
from energysim.scenario.table import ScenarioTable

Diameter = Annotated[float, Quantity("length", low="5 cm", high="60 cm")]
ShaftLength = Annotated[float, Quantity("length", low="40 cm", high="3 m")]
LEAST_BENCH_POINTS = 3


class BenchPoint(ScenarioTable):
    """One reading of the owner's test: the boat tied up, a scale in the line."""

    thrust_n: Force = Field(alias="thrust", description="What the scale showed.")
    current_a: Current = Field(alias="current", description="What the ammeter showed.")
    voltage_v: Voltage = Field(alias="voltage", description="At the motor's own terminals.")


class Motor(ScenarioTable):
    """The bow motor."""

    also_called: ClassVar[Mapping[str, str]] = {
        "volts": "voltage", "amps": "max_current", "current": "max_current",
        "shaft": "shaft_length", "diameter": "propeller_diameter", "weight": "mass",
    }  # fmt: skip

    voltage_v: Voltage | None = Field(None, alias="voltage", description="Rated voltage.")
    thrust_n: Force | None = Field(
        None, alias="thrust", description="Rated thrust at rest, from the label."
    )
    max_current_a: Current | None = Field(
        None, alias="max_current", description="Current at full thrust, from the label."
    )
    propeller_diameter_m: Diameter | None = Field(
        None, alias="propeller_diameter", description="Tip to tip; estimated when left out."
    )
    shaft_length_m: ShaftLength | None = Field(
        None,
        alias="shaft_length",
        description="As sold, from the head to the propeller; long enough when left out.",
    )
    blades: Literal[2, 3] = Field(3, description="Blades of the propeller.")
    pitch_ratio: Annotated[float, Field(ge=0.45, le=0.85)] = Field(
        0.6, description="Pitch over diameter."
    )
    control: Literal["pwm", "stepped"] = Field(
        "pwm", description="Electronic control, or the older steps with resistors or coils."
    )
    idle_current_a: SmallCurrent = Field(
        "0.3 A",
        alias="idle_current",
        validate_default=True,
        description="What the electronics draw while the motor waits (our choice).",
    )
    current_limit_a: Current | None = Field(
        None, alias="current_limit", description="Where a breaker or the controller caps it."
    )
    lowest_voltage_v: Voltage | None = Field(
        None, alias="lowest_voltage", description="Below this the controller drops out."
    )
    fouling: Annotated[float, Field(ge=0.0, le=1.0)] = Field(
        0.0, description="0 clean; 0.05 to 0.1 light slime or nicks; 0.3 and more weed."
    )
    thrust_deduction: Annotated[float, Field(ge=0.0, le=0.7)] = Field(
        0.05, description="Share of the thrust lost where the jet washes the hull (our choice)."
    )
    mass_kg: Mass = Field(
        "20 kg",
        alias="mass",
        validate_default=True,
        description="Motor, shaft and mount (our choice).",
    )
    bench: tuple[BenchPoint, ...] = Field(
        (), strict=False, description="The owner's test; replaces the label."
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for the label, or for enough points of a test."""
        if "bench" not in given:
            for key in ("voltage", "thrust", "max_current"):
                if key not in given:
                    yield RefusedValueError(
                        "is missing",
                        "give all three of the label, or [[motor.bench]]",
                        where=(key,),
                    )
            return
        points = given["bench"]
        if isinstance(points, list | tuple) and len(points) < LEAST_BENCH_POINTS:
            yield RefusedValueError(
                f"has {len(points)} of the {LEAST_BENCH_POINTS} points a curve needs",
                "add one at little thrust, one in the middle and one at full thrust",
                where=("bench",),
            )
