"""
The kinds of value a scenario table may hold, each read from what the user types.

The limits here and in the tables are ours: wide enough for any boat this program is for, narrow
enough to catch a slipped decimal point or a wrong unit.

Depends on: pydantic, units, scenario.clock, errors.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import Annotated, Any
from zoneinfo import ZoneInfo, available_timezones

from pydantic import Field
from pydantic_core import core_schema

from energysim.errors import RefusedValueError
from energysim.scenario.clock import Clock, read_clock
from energysim.unit_table import dimension_named
from energysim.units import parse_quantity

_limit = cache(parse_quantity)  # the same few limits are read for every value


@dataclass(frozen=True, slots=True)
class Quantity:
    """Pydantic metadata: a quantity with its unit, as text, within limits spelt as text."""

    dimension: str
    low: str | None = None
    high: str | None = None
    more_than: str | None = None

    def read(self, value: object) -> float:
        """Return the value in house units."""
        kind = dimension_named(self.dimension)
        if not isinstance(value, str):
            if isinstance(value, int | float) and not isinstance(value, bool):
                reason = f"{value!r} has no unit"
            else:
                reason = f"{type(value).__name__} where {kind.noun} is wanted"
            raise RefusedValueError(
                reason, f'write {kind.noun} in quotes such as "{kind.example}"'
            )
        number = parse_quantity(value, self.dimension)
        for limit, wrong, words in (
            (self.low, float.__lt__, "is less than the least allowed,"),
            (self.high, float.__gt__, "is more than the most allowed,"),
            (self.more_than, float.__le__, "must be more than"),
        ):
            if limit is not None and wrong(number, _limit(limit, self.dimension)):
                raise RefusedValueError(f"{value!r} {words} {limit}")
        return number

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        """Tell pydantic to read text by `read`."""
        del source, handler
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        """Describe it as a string with an example, for editors."""
        del schema, handler
        return {"type": "string", "examples": [dimension_named(self.dimension).example]}


@dataclass(frozen=True, slots=True, eq=False)
class ReadBy:
    """
    Pydantic metadata: a value that a function reads, and what editors are told of it.

    Pydantic's own `PlainValidator` works out besides how it would read and write the type by
    itself. Nobody asks for that, and it took a third of the time the tables took to build.
    """

    read: Callable[[object], object]
    json_schema: Mapping[str, Any]

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        """Tell pydantic to read by the function alone."""
        del source, handler
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        """Describe it as told."""
        del schema, handler
        return dict(self.json_schema)


def _read_date(value: object) -> date:
    """Accept TOML's own date, or the same in quotes."""
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d{2}-\d{2}", value.strip(), re.ASCII):
        try:
            return date.fromisoformat(value.strip())
        except ValueError as error:
            raise RefusedValueError(f"{value!r} does not exist: {error}") from None
    raise RefusedValueError(f"{value!s:.40} is not a date", "write it as 2026-05-16")


def _read_zone(value: object) -> ZoneInfo:
    """Accept the name of a time zone; name the nearest when there is none such."""
    if not isinstance(value, str):
        raise RefusedValueError(f"{value!r} is not a time zone", "write 'America/New_York'")
    try:
        return ZoneInfo(value)
    except (OSError, ValueError, KeyError):  # ZoneInfoNotFoundError is a KeyError
        known = {name.casefold(): name for name in available_timezones()}
    from difflib import get_close_matches  # noqa: PLC0415 - start-up

    wanted = value.strip().casefold().replace(" ", "_")
    cities = {name.rpartition("/")[2]: name for name in known}
    nearest = (
        [wanted] if wanted in known else get_close_matches(wanted[:40], known, n=1, cutoff=0.7)
    ) or [cities[city] for city in get_close_matches(wanted[:40], cities, n=1, cutoff=0.7)]
    hint = f"did you mean {known[nearest[0]]!r}?" if nearest else "such as 'America/New_York'"
    raise RefusedValueError(f"{value[:40]!r} is not a time zone in the public zone list", hint)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A cable's size: an American gauge number (2/0 is -1) or a metal area."""

    awg: int | None = None
    area_m2: float | None = None


_AWG = r"(?:(?P<zeros>[1-4])/0|(?P<number>[0-9]{1,2}))\s*(?:AWG|awg|ga|gauge)"


def _read_gauge(value: object) -> Gauge:
    """Accept "6 AWG", "2/0 AWG" or "16 mm2"."""
    example = "write '6 AWG' or '16 mm2'"
    if not isinstance(value, str):
        raise RefusedValueError(f"{value!r} is not a cable size", example)
    match = re.fullmatch(_AWG, value.strip())
    if match is None:
        try:
            area_m2 = parse_quantity(value, "area")
        except RefusedValueError:
            raise RefusedValueError(f"{value[:40]!r} is not a cable size", example) from None
        if not 0.5e-6 <= area_m2 <= 300e-6:
            raise RefusedValueError(f"{value!r} is outside 0.5 mm2 to 300 mm2")
        return Gauge(area_m2=area_m2)
    awg = 1 - int(match["zeros"]) if match["zeros"] else int(match["number"])
    if awg > 20:
        raise RefusedValueError(f"{value!r} is thinner than 20 AWG")
    return Gauge(awg=awg)


Speed = Annotated[float, Quantity("speed", low="0 kn", high="150 kn")]
StreamSpeed = Annotated[float, Quantity("speed", low="0 kn", high="20 kn")]
SignedStreamSpeed = Annotated[float, Quantity("speed", low="-20 kn", high="20 kn")]
Bearing = Annotated[float, Quantity("angle", low="0 deg", high="360 deg")]
Phase = Annotated[float, Quantity("angle", low="-360 deg", high="720 deg")]
Temperature = Annotated[float, Quantity("temperature", low="-40 degC", high="60 degC")]
WaterTemperature = Annotated[float, Quantity("temperature", low="-2 degC", high="40 degC")]
Force = Annotated[float, Quantity("force", more_than="0 N", high="5 kN")]
Voltage = Annotated[float, Quantity("voltage", more_than="0 V", high="120 V")]
Current = Annotated[float, Quantity("current", more_than="0 A", high="500 A")]
SmallCurrent = Annotated[float, Quantity("current", low="0 A", high="20 A")]
Charge = Annotated[float, Quantity("charge", low="1 Ah", high="5000 Ah")]
Power = Annotated[float, Quantity("power", low="0 W", high="100 kW")]
Resistance = Annotated[float, Quantity("resistance", low="0 ohm", high="1 ohm")]
Mass = Annotated[float, Quantity("mass", low="0 kg", high="20 t")]
Area = Annotated[float, Quantity("area", more_than="0 m2", high="100 m2")]
Distance = Annotated[float, Quantity("length", more_than="0 m", high="200 nmi")]
Duration = Annotated[float, Quantity("time", more_than="0 s", high="24 h")]

Ratio = Annotated[float, Field(ge=0.0, le=1.0)]
PositiveRatio = Annotated[float, Field(gt=0.0, le=1.0)]
Factor = Annotated[float, Field(gt=0.0, le=10.0)]
Count = Annotated[int, Field(ge=1, le=100)]
Name = Annotated[str, Field(min_length=1)]

Day = Annotated[date, ReadBy(_read_date, {"type": "string", "format": "date"})]
Zone = Annotated[
    ZoneInfo, ReadBy(_read_zone, {"type": "string", "examples": ["America/New_York"]})
]
CableSize = Annotated[
    Gauge, ReadBy(_read_gauge, {"type": "string", "examples": ["6 AWG", "16 mm2"]})
]
ClockTime = Annotated[
    Clock, ReadBy(read_clock, {"type": "string", "examples": ["06:30", "01:30 next day"]})
]
