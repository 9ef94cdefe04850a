"""
Plain numbers back to quantities a person reads: "17 ft 6 in", "80 lbf", "2 h 30 min".

Depends on: unit_table.
"""

import math
from typing import Final, Literal

from energysim.unit_table import DIMENSIONS, dimension_named

System = Literal["us", "metric"]

# dimension -> (unit, decimals); speed stays in knots, the charts' and the forecasts' own unit.
_METRIC: Final = {
    "area": ("m2", 2),
    "mass": ("kg", 1),
    "force": ("N", 0),
    "speed": ("kn", 1),
    "angle": ("deg", 0),
    "voltage": ("V", 2),
    "current": ("A", 1),
    "charge": ("Ah", 1),
    "energy": ("Wh", 0),
    "power": ("W", 0),
    "temperature": ("degC", 0),
    "resistance": ("mohm", 2),
    "rate": ("per h", 2),
}
_US: Final = _METRIC | {
    "area": ("ft2", 1),
    "mass": ("lb", 0),
    "force": ("lbf", 1),
    "temperature": ("degF", 0),
}
_LONG_WATER_M: Final = 463.0  # a quarter of a nautical mile: from here on boats count in miles


def format_quantity(
    value: float, dimension: str, *, system: System = "us", digits: int | None = None
) -> str:
    """
    Return a quantity as text with its unit, in the units the reader is used to.

    Parameters
    ----------
    value : float
        The number in the house unit of the dimension.
    dimension : str
        A key of `unit_table.DIMENSIONS`.
    system : {"us", "metric"}
        Whose units; speeds are in knots in both.
    digits : int, optional
        Decimals; left out, as many as the quantity is commonly given with. Times, and lengths
        in feet and inches, take it for their last part.

    Returns
    -------
    text : str
        What `units.parse_quantity` reads back to within the rounding.

    Raises
    ------
    ValueError
        When `value` is not finite, or `system` or `dimension` is unknown.

    Examples
    --------
    >>> format_quantity(5.334, "length"), format_quantity(5.334, "length", system="metric")
    ('17 ft 6 in', '5.33 m')
    >>> format_quantity(9000.0, "time")
    '2 h 30 min'
    """
    dimension_named(dimension)
    if not math.isfinite(value):
        raise ValueError(f"value = {value!r} cannot be printed; it must be a finite number")
    if system not in {"us", "metric"}:
        raise ValueError(f"system = {system!r} is not known; choose 'us' or 'metric'")
    if dimension == "time":
        return _time(value, digits)
    if dimension == "length":
        return _length(value, system, digits)
    unit, usual = (_US if system == "us" else _METRIC)[dimension]
    return _in_unit(value, dimension, unit, usual if digits is None else digits)


def _in_unit(value: float, dimension: str, unit: str, digits: int) -> str:
    """Write one number and one unit."""
    kind = DIMENSIONS[dimension]
    number = value / kind.factors[unit] + kind.offsets.get(unit, 0.0)
    return f"{_rounded(number, digits)} {unit}"


def _rounded(number: float, digits: int) -> str:
    """Round without ever printing "-0"."""
    text = f"{number:.{digits}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def _time(value: float, digits: int | None) -> str:
    """Hours and minutes from an hour up, minutes and seconds below."""
    places = digits or 0
    sign = "-" if value < 0.0 else ""
    size = abs(value)
    large, small, unit_s = (
        ("min", "s", 1.0) if round(size, places) < 3600.0 else ("h", "min", 60.0)
    )
    whole, rest = _carried(size / unit_s, 60, places)
    if whole == 0:
        shown = f"{rest:.{places}f}"
        return f"{'' if float(shown) == 0.0 else sign}{shown} {small}"
    tail = f" {rest:.{places}f} {small}" if rest else ""
    return f"{sign}{whole} {large}{tail}"


def _length(value: float, system: System, digits: int | None) -> str:
    """Nautical miles or kilometres for distances; feet and inches or metres for boats."""
    if abs(value) >= _LONG_WATER_M:
        unit = "nmi" if system == "us" else "km"
        return _in_unit(value, "length", unit, 2 if digits is None else digits)
    if system == "metric":
        return _in_unit(value, "length", "m", 2 if digits is None else digits)
    places = digits or 0
    inches = abs(value) / DIMENSIONS["length"].factors["in"]
    feet, rest = _carried(inches, 12, places)
    sign = "-" if value < 0.0 and (feet or rest) else ""
    if feet == 0:
        return f"{sign}{rest:.{places}f} in"
    return f"{sign}{feet} ft {rest:.{places}f} in" if rest else f"{sign}{feet} ft"


def _carried(size: float, base: int, places: int) -> tuple[int, float]:
    """Split into whole large units and a rounded rest, so that "5 ft 12 in" never appears."""
    whole, rest = divmod(round(size, places), base)
    return int(whole), round(rest, places)
