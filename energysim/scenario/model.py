"""
The whole scenario: what one file says, checked as far as a file alone can be.

Names of hulls, batteries and chemistries are looked up beside it (`scenario.listed_names`).

Depends on: pydantic, every table of the scenario, scenario.timeline.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Self

from pydantic import Field, ModelWrapValidatorHandler, ValidationError, model_validator

from energysim.errors import RefusedValueError
from energysim.scenario.bank import Bank, HouseBank
from energysim.scenario.boat import Boat
from energysim.scenario.cable import Cable
from energysim.scenario.charger import Charger, EngineCharging, Solar, Trip
from energysim.scenario.chop import Chop
from energysim.scenario.clock import Clock, resolve_in_order
from energysim.scenario.day import Day
from energysim.scenario.fields import Name
from energysim.scenario.leg import Home, Leg
from energysim.scenario.locker import Locker
from energysim.scenario.motor import Motor
from energysim.scenario.option import Option, Options
from energysim.scenario.paths import Path
from energysim.scenario.plate import Plate
from energysim.scenario.prices import Prices
from energysim.scenario.rigging import Breaker, Cord, Mounting, Plug, Vent, Wiring
from energysim.scenario.stream import Stream
from energysim.scenario.table import ScenarioTable, fields_by_key, merged, table_of
from energysim.scenario.timeline import leg_times
from energysim.scenario.uncertainty import Uncertainty
from energysim.scenario.wind import Wind


class Scenario(ScenarioTable):
    """One day on the water."""

    title: Name = Field("A day on the water", description="Heads every answer.")
    day: Day = Field(description="The date, and the clock it is told by.")
    boat: Boat = Field(description="The boat that is held.")
    motor: Motor = Field(description="The bow motor.")
    bank: Bank = Field(description="The battery bank.")
    house_bank: HouseBank | None = Field(
        None, description="A second battery, for everything but the bow motor."
    )
    cable: Cable | None = Field(None, description="The leads from bank to motor.")
    charger: Charger | None = Field(None, description="The charger, and the night it has.")
    solar: Solar | None = Field(None, description="A panel that feeds the bank by day.")
    engine_charging: EngineCharging | None = Field(
        None, description="A converter from the main engine's alternator to the bank."
    )
    trip: Trip | None = Field(None, description="The same plan on several days.")
    prices: Prices | None = Field(None, description="What the bank and its energy cost.")
    wiring: Wiring | None = Field(None, description="What the leads are, and how they lie.")
    breaker: Breaker | None = Field(None, description="The breaker or fuse of the feed.")
    plug: Plug | None = Field(None, description="The plug and socket at the bow.")
    cord: Cord | None = Field(None, description="The cord from outlet to charger.")
    vent: Vent | None = Field(None, description="What lets gas out of the batteries' place.")
    mounting: Mounting | None = Field(None, description="How the batteries are held.")
    wind: Wind = Field(description="The wind of the day.")
    stream: Stream | None = Field(None, description="The moving water of the day.")
    chop: Chop | None = Field(None, description="The room the wind has to raise waves.")
    home: Home | None = Field(None, description="The way home without the main engine.")
    uncertainty: Uncertainty | None = Field(
        None, description="How far forecast, boat and bank may be out, for the odds."
    )
    plate: Plate | None = Field(None, description="The boat's capacity plate.")
    options: Options | None = Field(
        None, description="How options are expanded and held against each other."
    )
    option: tuple[Option, ...] = Field(
        (), strict=False, description="Other banks, chargers, motors to compare."
    )
    lockers: tuple[Locker, ...] = Field(
        (), alias="locker", strict=False, description="Where batteries may stand."
    )
    legs: tuple[Leg, ...] = Field(
        alias="leg", strict=False, min_length=1, description="What the boat does, in order."
    )

    @model_validator(mode="wrap")
    @classmethod
    def _read_times(cls, data: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        """Check the clocks as well, in every table that is whole."""
        try:
            scenario = handler(data)
        except ValidationError as error:
            raise merged(cls.__name__, error, list(_faults_beside(error, data))) from None
        faults = [
            *_time_faults(scenario.day, scenario.legs, scenario.wind, scenario.stream),
            *_heading_faults(scenario.legs, scenario.stream),
            *_house_faults(scenario.bank, scenario.house_bank),
        ]
        if faults:
            raise merged(cls.__name__, None, faults)
        return scenario


def table_at(path: Path) -> type[ScenarioTable] | None:
    """Return the kind of table a path leads to; None when no key of that name is known."""
    table: type[ScenarioTable] | None = Scenario
    for key in path:
        if isinstance(key, str) and table is not None:
            fields = fields_by_key(table)
            table = table_of(fields[key][1]) if key in fields else None
    return table


def is_known_key(path: Path) -> bool:
    """Say whether a path ends in a key (or a place in a list) a scenario may have."""
    table = table_at(path[:-1])
    return isinstance(path[-1], int) or (table is not None and path[-1] in fields_by_key(table))


def _faults_beside(error: ValidationError, data: Any) -> Iterator[RefusedValueError]:
    """Yield the faults of the clocks in a file that has other faults as well."""
    broken = {line["loc"][0] for line in error.errors() if line["loc"]}
    if not isinstance(data, Mapping) or "day" in broken:
        return

    def whole(key: str) -> bool:
        return key in data and key not in broken

    yield from _time_faults(
        Day.model_validate(data["day"]),
        [Leg.model_validate(leg) for leg in data["leg"]] if whole("leg") else [],
        Wind.model_validate(data["wind"]) if whole("wind") else None,
        Stream.model_validate(data["stream"]) if whole("stream") else None,
    )


def _time_faults(
    day: Day, legs: Sequence[Leg], wind: Wind | None, stream: Stream | None
) -> Iterator[RefusedValueError]:
    """Place every clock; yield the first of each table that cannot be placed."""
    rows: list[tuple[tuple[str, ...], list[Clock]]] = []
    if wind is not None:
        rows.append((("wind", "hour"), [row.at for row in wind.hours]))
    if stream is not None:
        rows.append((("stream", "event"), [row.at for row in stream.events]))
        rows.append((("stream", "point"), [row.at for row in stream.points]))
    for place, clocks in rows:
        try:
            resolve_in_order(clocks, day.date, day.timezone)
        except RefusedValueError as error:
            yield RefusedValueError(error.reason, error.hint, where=(*place, *error.where))
    try:
        leg_times(day, legs)
    except RefusedValueError as error:
        yield RefusedValueError(error.reason, error.hint, where=("leg", *error.where))


def _heading_faults(legs: Sequence[Leg], stream: Stream | None) -> Iterator[RefusedValueError]:
    """Yield the legs that would keep the bow to a stream the scenario does not have."""
    if stream is not None:
        return
    for number, leg in enumerate(legs):
        if leg.heading == "stream":
            yield RefusedValueError(
                "there is no [stream] to keep the bow to",
                "write 'wind' or a bearing, or add the stream",
                where=("leg", number, "heading"),
            )


def _house_faults(bank: Bank, house_bank: HouseBank | None) -> Iterator[RefusedValueError]:
    """Refuse a house load on the bow motor's bank where the house has a bank of its own."""
    if house_bank is not None and bank.house_load_w > 0.0:
        yield RefusedValueError(
            "cannot stand beside [house_bank], which carries the house",
            "write it as the load of [house_bank], or take that table away",
            where=("bank", "house_load"),
        )
