"""
Where charge comes from and how often it is needed: [charger], [solar] and their kin.

Depends on: pydantic, errors, units, scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, ClassVar, Final, Literal, Self

from pydantic import Field, model_validator

from energysim.errors import RefusedValueError
from energysim.scenario.fields import (
    ClockTime,
    Current,
    Name,
    PositiveRatio,
    Quantity,
    ReadBy,
    Voltage,
)
from energysim.scenario.table import ScenarioTable, only_with, refused

MOST_OUTPUTS: Final = 100
_CURRENT: Final = Quantity("current", more_than="0 A", high="500 A")
_CIRCUIT: Final = Quantity("power", low="50 W", high="20 kW")

BreakerCurrent = Annotated[float, Quantity("current", low="1 A", high="200 A")]
MainsVoltage = Annotated[float, Quantity("voltage", low="90 V", high="260 V")]
PeakPower = Annotated[float, Quantity("power", more_than="0 W", high="2 kW")]
SunHours = Annotated[float, Quantity("time", low="10 min", high="12 h")]
IdleTime = Annotated[float, Quantity("time", low="0 s", high="60 d")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """What a circuit may give: watts, or the volt-amperes of a generator's plate."""

    power_w: float | None = None
    apparent_va: float | None = None


def _read_circuit(value: object) -> Circuit:
    """Accept "1440 W", or "900 VA" as a generator's plate has it."""
    text = value.strip() if isinstance(value, str) else ""
    if not text.endswith("VA"):
        return Circuit(power_w=_CIRCUIT.read(value))
    try:
        # "0.9 kVA" is read as "0.9 kW": the number and its prefix are told alike.
        return Circuit(apparent_va=_CIRCUIT.read(text[:-2] + "W"))
    except RefusedValueError as error:
        raise RefusedValueError(
            f"{value!r} is not a circuit's volt-amperes", "write '900 VA', from 50 VA to 20 kVA"
        ) from error


def _read_outputs(value: object) -> int | tuple[float, ...]:
    """Accept how many outputs there are, or the current of each."""
    hint = 'write a count such as 3, or the current of each: ["10 A", "10 A", "5 A"]'
    if isinstance(value, int) and not isinstance(value, bool):
        if not 1 <= value <= MOST_OUTPUTS:
            raise RefusedValueError(f"{value} outputs", f"from 1 to {MOST_OUTPUTS}")
        return value
    if not isinstance(value, Sequence) or isinstance(value, str) or not value:
        raise RefusedValueError(f"{value!r} does not tell the outputs", hint)
    if len(value) > MOST_OUTPUTS:
        raise RefusedValueError(f"{len(value)} outputs", f"at most {MOST_OUTPUTS}")
    currents = []
    for place, item in enumerate(value):
        try:
            currents.append(_CURRENT.read(item))
        except RefusedValueError as error:
            raise RefusedValueError(f"output {place + 1}: {error.reason}", hint) from None
    return tuple(currents)


CircuitPower = Annotated[
    Circuit, ReadBy(_read_circuit, {"type": "string", "examples": ["1440 W", "900 VA"]})
]
Outputs = Annotated[
    int | tuple[float, ...],
    ReadBy(
        _read_outputs,
        {
            "anyOf": [
                {"type": "integer", "minimum": 1},
                {"type": "array", "items": {"type": "string"}, "minItems": 1},
            ]
        },
    ),
]


class Charger(ScenarioTable):
    """The charger, the circuit it hangs on, and the night it has."""

    also_called: ClassVar[Mapping[str, str]] = {
        "amps": "current", "amperage": "current", "output": "outputs",
        "plugged_in": "start", "full_by": "ready_by",
    }  # fmt: skip

    current_a: Current | None = Field(
        None, alias="current", description="Of each output, where all are alike."
    )
    outputs: Outputs | None = Field(
        None,
        description="How many outputs there are, or the current of each; one to each block "
        "when left out.",
    )
    feeds: tuple[Name, ...] = Field(
        (),
        strict=False,
        description="What each output is wired to, as string.block; '1.1 + 2.1' shares it.",
    )
    efficiency: PositiveRatio = Field(
        0.85, description="Out of the charger over in from the wall (common practice)."
    )
    power_factor: PositiveRatio = Field(
        0.65,
        description="Watts over volt-amperes at the wall; 0.55 to 0.7 without correction, "
        "above 0.95 with (from memory).",
    )
    circuit: CircuitPower | None = Field(
        None, description="The most the circuit leaves the charger, in W or VA."
    )
    breaker_a: BreakerCurrent | None = Field(
        None, alias="breaker", description="The circuit's breaker; four fifths of it all night."
    )
    mains_voltage_v: MainsVoltage = Field(
        "120 V",
        alias="mains_voltage",
        validate_default=True,
        description="Of the breaker's circuit (common practice).",
    )
    source: Literal["outlet", "pedestal", "generator"] = Field(
        "outlet", description="What the cord is plugged into."
    )
    start: ClockTime | None = Field(
        None, description="When it is plugged in; an hour after the day's end when left out."
    )
    ready_by: ClockTime | None = Field(
        None, description="When the bank has to be full; the next morning when left out."
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for the currents once, for one circuit, and for a breaker beside its voltage."""
        listed = isinstance(given.get("outputs"), list | tuple)
        if "current" not in given and not listed:
            yield RefusedValueError(
                "does not say how much it gives",
                'give current = "10 A", or outputs = ["10 A", "5 A"]',
            )
        elif "current" in given and listed:
            yield RefusedValueError(
                "cannot stand beside a list of 'outputs': each gives the currents",
                "keep one of the two",
                where=("current",),
            )
        if "circuit" in given and "breaker" in given:
            yield RefusedValueError(
                "cannot stand beside 'circuit': each gives what the circuit leaves",
                "keep one of the two",
                where=("breaker",),
            )
        yield from only_with(given, "mains_voltage", companions=("breaker",))

    @model_validator(mode="after")
    def _check(self) -> Self:
        """Refuse more wiring than outputs."""
        count = len(self.outputs) if isinstance(self.outputs, tuple) else self.outputs
        if count is None or len(self.feeds) <= count:
            return self
        fault = RefusedValueError(
            f"names {len(self.feeds)} outputs, and the charger has {count}",
            "an entry for each output, in their order",
            where=("feeds",),
        )
        return refused(self, fault)

    def unused_keys(self) -> frozenset[str]:
        """Name what means nothing without a breaker."""
        return frozenset(() if self.breaker_a is not None else {"mains_voltage"})


class Solar(ScenarioTable):
    """A panel that feeds the bank through the day."""

    peak_w: PeakPower = Field(alias="peak", description="Of the panel's label.")
    sun_hours_s: SunHours = Field(
        alias="sun_hours",
        description="Hours of full sun the day's light comes to, for the place and season: "
        "3 to 6 (common practice).",
    )
    sunrise: ClockTime = Field(
        "06:00", validate_default=True, description="When it begins to give."
    )
    sunset: ClockTime = Field(
        "18:00", validate_default=True, description="When it has ceased to give."
    )
    derating: PositiveRatio = Field(
        0.75,
        description="What heat, angle, dirt and controller leave; 0.65 to 0.8 lying flat on a "
        "boat (common practice).",
    )


class EngineCharging(ScenarioTable):
    """A converter from the main engine's alternator, at work on the legs run on that engine."""

    alternator_a: Current = Field(
        alias="alternator", description="What the engine's alternator is labelled."
    )
    spare_share: PositiveRatio = Field(
        0.34,
        description="What of it is left for the bank: a 35 A one gave 12 A at idle (as read); "
        "more at cruise.",
    )
    alternator_voltage_v: Voltage = Field(
        "13.8 V",
        alias="alternator_voltage",
        validate_default=True,
        description="At the starting battery (common practice).",
    )
    converter_a: Current | None = Field(
        None, alias="converter", description="The most the converter gives the bank."
    )
    efficiency: PositiveRatio = Field(
        0.9, description="Of the converter: 0.85 to 0.95 (common practice)."
    )


class Trip(ScenarioTable):
    """The same plan on several days, each from where the night before ended."""

    days: Annotated[int, Field(ge=2, le=30)] = Field(description="How many days of the plan.")
    idle_s: IdleTime = Field(
        "0 s",
        alias="idle",
        validate_default=True,
        description="Time ashore between a night and the next day of the plan.",
    )
    idle_charger: bool = Field(
        False, description="Whether the charger stays plugged in through that time."
    )

    def unused_keys(self) -> frozenset[str]:
        """Name what means nothing without time ashore."""
        return frozenset(() if self.idle_s > 0.0 else {"idle_charger"})
