"""
The closed table of units: for each kind of quantity, what may be written and what it is worth.

Depends on: constants.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from energysim.constants import GRAVITY_MPS2, KNOT_MPS, ZERO_CELSIUS_K

# Exact by definition: the international yard and pound (1959), the nautical mile (1929).
_FOOT_M = 0.3048
_INCH_M = 0.0254
_POUND_KG = 0.45359237
_POUND_FORCE_N = _POUND_KG * GRAVITY_MPS2
_HORSEPOWER_W = 550.0 * _FOOT_M * _POUND_FORCE_N  # 550 foot-pounds a second
_NAUTICAL_MILE_M = 1852.0
_YEAR_S = 365.25 * 86400.0  # the Julian year


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """What may be written for one kind of quantity, and the unit the program works in."""

    noun: str  # with its article, for messages
    example: str
    base: str  # the unit of the returned number
    factors: Mapping[str, float]  # spelling -> base units in one of it
    shown: tuple[str, ...]  # the spellings worth listing in a message
    compound: tuple[str, ...] = ()  # spellings that may be added up, large to small
    offsets: Mapping[str, float] = field(
        default_factory=dict
    )  # base = (number - offset)*factor


def _spellings(**groups: tuple[float, str]) -> Mapping[str, float]:
    """Spread {key: (factor, "a|b|c")} into one read-only spelling -> factor table."""
    return MappingProxyType(
        {name: factor for factor, names in groups.values() for name in names.split("|")}
    )


DIMENSIONS: Final[Mapping[str, Dimension]] = MappingProxyType(
    {
        "time": Dimension(
            noun="a length of time",
            example="1 h 30 min",
            base="s",
            factors=_spellings(
                yr=(_YEAR_S, "yr|yrs|year|years"),
                month=(_YEAR_S / 12.0, "month|months"),
                wk=(7.0 * 86400.0, "wk|week|weeks"),
                d=(86400.0, "d|day|days"),
                h=(3600.0, "h|hr|hrs|hour|hours"),
                min=(60.0, "min|mins|minute|minutes"),
                s=(1.0, "s|sec|secs|second|seconds"),
            ),
            shown=("s", "min", "h", "d", "wk", "month", "yr"),
            compound=("yr", "month", "wk", "d", "h", "min", "s"),
        ),
        "length": Dimension(
            noun="a length",
            example="17 ft 6 in",
            base="m",
            factors=_spellings(
                km=(1000.0, "km|kilometre|kilometres|kilometer|kilometers"),
                m=(1.0, "m|metre|metres|meter|meters"),
                cm=(0.01, "cm"),
                mm=(0.001, "mm"),
                # On the water "nm" is never a nanometre.
                nmi=(_NAUTICAL_MILE_M, "nmi|NM|nm|nautical mile|nautical miles"),
                mi=(5280.0 * _FOOT_M, "mi|mile|miles"),
                yd=(3.0 * _FOOT_M, "yd|yard|yards"),
                ft=(_FOOT_M, "ft|foot|feet|'"),
                inch=(_INCH_M, 'in|inch|inches|"'),
            ),
            shown=("m", "cm", "mm", "km", "ft", "in", "yd", "nmi", "mi"),
            compound=("yd", "ft", "in", "km", "m", "cm", "mm"),
        ),
        "area": Dimension(
            noun="an area",
            example="1.2 m2",
            base="m2",
            factors=_spellings(
                m2=(1.0, "m2|m^2|sq m"),
                cm2=(1e-4, "cm2|cm^2|sq cm"),
                mm2=(1e-6, "mm2|mm^2|sq mm"),
                ft2=(_FOOT_M**2, "ft2|ft^2|sq ft|sqft"),
                in2=(_INCH_M**2, "in2|in^2|sq in|sqin"),
            ),
            shown=("m2", "cm2", "mm2", "ft2", "in2"),
        ),
        "mass": Dimension(
            noun="a mass",
            example="80 kg",
            base="kg",
            factors=_spellings(
                t=(1000.0, "t|tonne|tonnes"),
                kg=(1.0, "kg|kilogram|kilograms"),
                g=(0.001, "g|gram|grams"),
                st=(14.0 * _POUND_KG, "st|stone"),
                lb=(_POUND_KG, "lb|lbs|pound|pounds"),
                oz=(_POUND_KG / 16.0, "oz|ounce|ounces"),
            ),
            shown=("kg", "g", "t", "lb", "oz", "st"),
            compound=("st", "lb", "oz", "kg", "g"),
        ),
        "force": Dimension(
            noun="a force",
            example="80 lbf",
            base="N",
            factors=_spellings(
                kN=(1000.0, "kN"),
                N=(1.0, "N|newton|newtons"),
                kgf=(GRAVITY_MPS2, "kgf"),
                lbf=(_POUND_FORCE_N, "lbf|lb|lbs|pound|pounds"),
            ),
            shown=("N", "kN", "lbf", "lb", "kgf"),
        ),
        "speed": Dimension(
            noun="a speed",
            example="15 kn",
            base="m/s",
            factors=_spellings(
                mps=(1.0, "m/s|mps"),
                cmps=(0.01, "cm/s"),
                kmh=(1.0 / 3.6, "km/h|kmh|kph"),
                kn=(KNOT_MPS, "kn|kt|kts|knot|knots"),
                mph=(5280.0 * _FOOT_M / 3600.0, "mph|mi/h"),
                fps=(_FOOT_M, "ft/s"),
            ),
            shown=("kn", "m/s", "km/h", "mph", "cm/s", "ft/s"),
        ),
        "angle": Dimension(
            noun="a direction",
            example="225 deg",
            base="deg",
            factors=_spellings(
                deg=(1.0, "deg|degree|degrees|°|deg T|°T|deg true"),
                rad=(180.0 / math.pi, "rad"),
            ),
            shown=("deg", "a compass point such as SW"),
        ),
        "voltage": Dimension(
            noun="a voltage",
            example="12 V",
            base="V",
            factors=_spellings(V=(1.0, "V|volt|volts"), mV=(0.001, "mV")),
            shown=("V", "mV"),
        ),
        "current": Dimension(
            noun="an electric current",
            example="50 A",
            base="A",
            factors=_spellings(A=(1.0, "A|amp|amps|ampere|amperes"), mA=(0.001, "mA")),
            shown=("A", "mA"),
        ),
        "charge": Dimension(
            noun="a charge",
            example="105 Ah",
            base="Ah",
            factors=_spellings(
                Ah=(1.0, "Ah|A h|A.h|amp hours|amp-hours|ampere hours|ampere-hours"),
                mAh=(0.001, "mAh"),
            ),
            shown=("Ah", "mAh"),
        ),
        "energy": Dimension(
            noun="an energy",
            example="1.2 kWh",
            base="Wh",
            factors=_spellings(
                Wh=(1.0, "Wh|W h|watt hours|watt-hours"),
                kWh=(1000.0, "kWh"),
                J=(1.0 / 3600.0, "J"),
                kJ=(1000.0 / 3600.0, "kJ"),
                MJ=(1e6 / 3600.0, "MJ"),
            ),
            shown=("Wh", "kWh", "J", "kJ", "MJ"),
        ),
        "power": Dimension(
            noun="a power",
            example="30 W",
            base="W",
            factors=_spellings(
                W=(1.0, "W|watt|watts"),
                kW=(1000.0, "kW"),
                mW=(0.001, "mW"),
                hp=(_HORSEPOWER_W, "hp"),
            ),
            shown=("W", "kW", "mW", "hp"),
        ),
        "temperature": Dimension(
            noun="a temperature",
            example="60 degF",
            base="degC",
            factors=_spellings(
                C=(1.0, "degC|°C|C|celsius|Celsius"),
                F=(5.0 / 9.0, "degF|°F|F|fahrenheit|Fahrenheit"),
                K=(1.0, "K|kelvin"),
            ),
            offsets=_spellings(
                C=(0.0, "degC|°C|C|celsius|Celsius"),
                F=(32.0, "degF|°F|F|fahrenheit|Fahrenheit"),
                K=(ZERO_CELSIUS_K, "K|kelvin"),
            ),
            shown=("degC", "degF", "K"),
        ),
        "resistance": Dimension(
            noun="an electrical resistance",
            example="5 mohm",
            base="ohm",
            factors=_spellings(
                ohm=(1.0, "ohm|ohms"), mohm=(0.001, "mohm|mohms|milliohm|milliohms")
            ),
            shown=("ohm", "mohm"),
        ),
        "rate": Dimension(
            noun="a rate",
            example="0.36 per h",
            base="1/h",
            factors=_spellings(
                h=(1.0, "per h|per hr|per hour"),
                min=(60.0, "per min|per minute"),
            ),
            shown=("per h", "per min"),
        ),
    }
)
"""Every kind of quantity a scenario or a data row may hold."""


def dimension_named(name: str) -> Dimension:
    """Return the row of a dimension; an unknown name is the programmer's slip."""
    try:
        return DIMENSIONS[name]
    except KeyError:
        raise ValueError(
            f"dimension = {name!r} is not known; choose from {', '.join(DIMENSIONS)}"
        ) from None
