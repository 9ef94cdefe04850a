"""
Quantities in and out of text.

The general unit library `pint` (its own registry of definitions) is the outside check of every
factor. The compass is the common 16-point rose.
"""

import math

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.errors import RefusedValueError
from energysim.unit_table import DIMENSIONS
from energysim.units import (
    COMPASS_POINTS,
    format_quantity,
    known_units,
    parse_quantity,
    unit_factor,
)

REGISTRY = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)

# Where our spelling is not the library's, or means something else to it.
PINT_SPELLING = {
    "'": "foot",
    '"': "inch",
    "nm": "nautical_mile",  # a nanometre elsewhere, never on the water
    "NM": "nautical_mile",
    "nautical mile": "nautical_mile",
    "nautical miles": "nautical_mile",
    "st": "stone",
    "hp": "horsepower",
    "mps": "m/s",
    "kts": "knot",
    "kph": "km/h",
    "kmh": "km/h",
    "C": "degC",
    "F": "degF",
    "°C": "degC",
    "°F": "degF",
    "Fahrenheit": "degF",
    "Celsius": "degC",
    "hrs": "hour",
    "wk": "week",
    "yr": "year",
    "yrs": "year",
    "per h": "1/hour",
    "per hr": "1/hour",
    "per hour": "1/hour",
    "per min": "1/minute",
    "per minute": "1/minute",
    "mins": "minute",
    "secs": "second",
    "amps": "ampere",  # the library reads an atto-metre a second
    "A h": "ampere * hour",
    "A.h": "ampere * hour",
    "Ah": "ampere * hour",
    "mAh": "milliampere * hour",
    "amp hours": "ampere * hour",
    "amp-hours": "ampere * hour",
    "ampere hours": "ampere * hour",
    "ampere-hours": "ampere * hour",
    "W h": "watt * hour",
    "watt hours": "watt * hour",
    "watt-hours": "watt * hour",
    "Wh": "watt * hour",
    "kWh": "kilowatt * hour",
    "mohm": "milliohm",
    "mohms": "milliohm",
    "sqft": "foot**2",
    "sqin": "inch**2",
    "deg T": "deg",
    "°T": "deg",
    "deg true": "deg",
}
PINT_BASE = {
    "time": "s",
    "length": "m",
    "area": "m**2",
    "mass": "kg",
    "force": "N",
    "speed": "m/s",
    "angle": "deg",
    "voltage": "V",
    "current": "A",
    "charge": "ampere * hour",
    "energy": "watt * hour",
    "power": "W",
    "temperature": "degC",
    "resistance": "ohm",
    "rate": "1/hour",
}
EVERY_SPELLING = [(name, unit) for name, kind in DIMENSIONS.items() for unit in kind.factors]


def pint_unit(unit: str, dimension: str) -> str:
    """Spell a unit of ours the way the library reads it."""
    if dimension == "force" and unit in {"lb", "lbs", "pound", "pounds"}:
        return "force_pound"  # a thrust in "lb" is pounds-force: practice of the trade
    if unit.startswith("sq "):
        return f"{unit.removeprefix('sq ')}**2"
    if unit[-1] == "2":
        return f"{unit.rstrip('2').rstrip('^')}**2"
    return PINT_SPELLING.get(unit, unit)


@pytest.mark.parametrize(("dimension", "unit"), EVERY_SPELLING, ids=lambda value: value)
def test_every_spelling_is_worth_what_the_unit_library_says(dimension, unit):
    theirs = REGISTRY.Quantity(7.5, pint_unit(unit, dimension)).to(PINT_BASE[dimension])
    assert parse_quantity(f"7.5 {unit}", dimension) == pytest.approx(theirs.magnitude, rel=1e-9)


def test_every_dimension_lists_only_units_it_reads():
    for name in DIMENSIONS:
        for unit in known_units(name):
            if not unit.startswith("a compass point"):
                assert math.isfinite(parse_quantity(f"1 {unit}", name))


def test_the_examples_in_the_table_are_readable():
    for name, kind in DIMENSIONS.items():
        assert math.isfinite(parse_quantity(kind.example, name))


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        pytest.param("17 ft 6 in", "length", 17.5 * 0.3048, id="feet-and-inches"),
        pytest.param("17'6\"", "length", 17.5 * 0.3048, id="feet-and-inch-marks"),
        pytest.param("17\u20326\u2033", "length", 17.5 * 0.3048, id="primes"),
        pytest.param("17 ft. 6 in.", "length", 17.5 * 0.3048, id="abbreviation-points"),
        pytest.param("17 ft .5 in", "length", 17 * 0.3048 + 0.0127, id="leading-point"),
        pytest.param("3 lb 4 oz", "mass", 3.25 * 0.45359237, id="pounds-and-ounces"),
        pytest.param("1 h 30 min", "time", 5400.0, id="hours-and-minutes"),
        pytest.param("1h30min", "time", 5400.0, id="closed-up"),
        pytest.param("-1 h 30 min", "time", -5400.0, id="sign-takes-the-whole"),
        pytest.param("1,200 W", "power", 1200.0, id="thousands"),
        pytest.param("1,234,567 W", "power", 1234567.0, id="millions"),
        pytest.param("1.5e3 W", "power", 1500.0, id="exponent"),
        pytest.param("\u22125 degC", "temperature", -5.0, id="typographic-minus"),
        pytest.param("72 degF", "temperature", 200.0 / 9.0, id="fahrenheit"),
        pytest.param("-40 °F", "temperature", -40.0, id="where-the-scales-cross"),
        pytest.param("210°", "angle", 210.0, id="degree-sign"),
        pytest.param("12\u00a0V", "voltage", 12.0, id="no-break-space"),
        pytest.param("5 m\u03a9", "resistance", 0.005, id="omega"),
        pytest.param("  15kn ", "speed", 15 * 1852 / 3600, id="spaces-do-not-matter"),
        pytest.param("80 lb", "force", 80 * 0.45359237 * 9.80665, id="lb-as-force"),
        pytest.param("80 lb", "mass", 80 * 0.45359237, id="lb-as-mass"),
        pytest.param("1.5 nm", "length", 2778.0, id="nm-is-nautical"),
    ],
)
def test_people_may_write(text, dimension, expected):
    assert parse_quantity(text, dimension) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("position", "point"), list(enumerate(COMPASS_POINTS)))
def test_compass_points_stand_an_eighth_of_a_right_angle_times_two_apart(position, point):
    assert parse_quantity(point, "angle") == position * 22.5
    assert parse_quantity(point.lower(), "angle") == position * 22.5


@pytest.mark.parametrize(
    ("text", "expected"), [("south-west", 225.0), ("North", 0.0), ("south south west", 202.5)]
)
def test_compass_points_may_be_spelt_out(text, expected):
    assert parse_quantity(text, "angle") == expected


@pytest.mark.parametrize(
    ("text", "dimension", "message"),
    [
        pytest.param(
            "15", "speed", "'15' has no unit; write a speed such as '15 kn'", id="bare"
        ),
        pytest.param("1,200", "power", "has no unit", id="bare-thousands"),
        pytest.param("1e3", "power", "has no unit", id="bare-exponent"),
        pytest.param(
            "80 kn", "mass", "'kn' is a speed; a mass is wanted, e.g. '80 kg'", id="other"
        ),
        pytest.param("5 lb", "speed", "'lb' is a mass or a force", id="other-twice"),
        pytest.param("15 KN", "speed", "did you mean 'kn'", id="wrong-case"),
        pytest.param("15 knts", "speed", "did you mean 'knots'", id="typo"),
        pytest.param("5 furlong", "length", "'furlong' is not a unit of length", id="unknown"),
        pytest.param("1,5 m", "length", "write decimals with a point", id="decimal-comma"),
        pytest.param("0,250 m", "length", "write decimals with a point", id="comma-after-zero"),
        pytest.param("12,34 W", "power", "write decimals with a point", id="comma-two-digits"),
        pytest.param("nan kn", "speed", "not a number one can use", id="nan"),
        pytest.param("-inf kn", "speed", "not a number one can use", id="minus-infinity"),
        pytest.param("1e999 W", "power", "too large", id="overflow"),
        pytest.param("", "speed", "nothing here", id="empty"),
        pytest.param("fast", "speed", "'fast' has no number", id="word"),
        pytest.param("half", "angle", "a direction such as '225 deg'", id="word-as-angle"),
        pytest.param("210 °M", "angle", "magnetic bearing; add the variation", id="magnetic"),
        pytest.param("6 in 17 ft", "length", "large unit to the small", id="small-to-large"),
        pytest.param("1 ft 2 ft", "length", "large unit to the small", id="same-unit-twice"),
        pytest.param(
            "1.5 ft 6 in", "length", "fraction before its last part", id="two-fractions"
        ),
        pytest.param("5 ft 12 in", "length", "a whole ft or more", id="twelve-inches"),
        pytest.param("2 h -30 min", "time", "cannot be read", id="sign-inside"),
        pytest.param("12 V 3 mV", "voltage", "more than one number", id="no-sums-of-volts"),
        pytest.param("1 nmi 3 ft", "length", "cannot be part of a sum", id="no-sums-of-miles"),
        pytest.param("5 1/2 in", "length", "cannot be read as a length", id="fraction"),
        pytest.param("06:30", "time", "'1 h 30 min'", id="clock-for-a-duration"),
        pytest.param("\u0661\u0665 kn", "speed", "has no number", id="other-digits"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_reason(text, dimension, message):
    with pytest.raises(RefusedValueError, match=message.replace("(", r"\(")):
        parse_quantity(text, dimension)


def test_an_unknown_dimension_is_the_callers_slip():
    with pytest.raises(ValueError, match="dimension = 'colour' is not known; choose from time"):
        parse_quantity("5 m", "colour")


@pytest.mark.parametrize(
    ("unit", "dimension", "expected"),
    [("knots", "speed", 1852 / 3600), ("cm/s", "speed", 0.01), ("degC", "temperature", 1.0)],
)
def test_a_column_of_numbers_converts_by_one_factor(unit, dimension, expected):
    assert unit_factor(unit, dimension) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("unit", ["degF", "K"])
def test_a_scale_with_another_zero_has_no_factor(unit):
    with pytest.raises(RefusedValueError, match="another zero than degC"):
        unit_factor(unit, "temperature")


@given(st.text(max_size=30), st.sampled_from(sorted(DIMENSIONS)))
@settings(max_examples=300, deadline=None)
def test_no_text_does_anything_worse_than_being_refused(text, dimension):
    try:
        value = parse_quantity(text, dimension)
    except RefusedValueError:
        return
    assert math.isfinite(value)


@given(
    st.text(alphabet="0123456789.,-+eE'\"°/ ftinhmsNSEWkg", max_size=16),
    st.sampled_from(sorted(DIMENSIONS)),
)
@settings(max_examples=500, deadline=None)
def test_near_quantities_do_nothing_worse_than_being_refused(text, dimension):
    try:
        value = parse_quantity(text, dimension)
    except RefusedValueError:
        return
    assert math.isfinite(value)


# Half of the last printed digit, in house units.
HALF_DIGIT = {
    ("us", "area"): 0.05 * 0.3048**2,
    ("us", "mass"): 0.5 * 0.45359237,
    ("us", "force"): 0.05 * 0.45359237 * 9.80665,
    ("us", "temperature"): 0.5 * 5 / 9,
    "area": 0.005,
    "mass": 0.05,
    "force": 0.5,
    "speed": 0.05 * 1852 / 3600,
    "angle": 0.5,
    "voltage": 0.005,
    "current": 0.05,
    "charge": 0.05,
    "energy": 0.5,
    "power": 0.5,
    "temperature": 0.5,
    "resistance": 0.005e-3,
    "rate": 0.005,
}


@given(
    st.floats(-1e5, 1e5),
    st.sampled_from(sorted(set(DIMENSIONS) - {"time", "length"})),
    st.sampled_from(["us", "metric"]),
)
@settings(max_examples=200, deadline=None)
def test_what_is_printed_reads_back_within_the_last_digit(value, dimension, system):
    printed = format_quantity(value, dimension, system=system)
    half = HALF_DIGIT.get((system, dimension), HALF_DIGIT[dimension])
    assert abs(parse_quantity(printed, dimension) - value) <= half * (1 + 1e-6) + 1e-9


@given(st.floats(-3e5, 3e5))
@settings(max_examples=200, deadline=None)
def test_printed_times_read_back_to_the_second_or_the_minute(value):
    half = 30.0 if abs(value) > 3599.0 else 0.5
    assert abs(parse_quantity(format_quantity(value, "time"), "time") - value) <= half + 1e-6


@given(st.floats(-2e4, 2e4), st.sampled_from(["us", "metric"]))
@settings(max_examples=200, deadline=None)
def test_printed_lengths_read_back_within_the_last_digit(value, system):
    half = {"us": 0.0127, "metric": 0.005}[system]
    if abs(value) >= 463.0:
        half = {"us": 9.26, "metric": 5.0}[system]
    back = parse_quantity(format_quantity(value, "length", system=system), "length")
    assert abs(back - value) <= half + 1e-6


@pytest.mark.parametrize(
    ("value", "dimension", "system", "expected"),
    [
        pytest.param(1.8287, "length", "us", "6 ft", id="eleven-and-a-bit-carries"),
        pytest.param(0.0, "length", "us", "0 in", id="no-length"),
        pytest.param(3852.16, "length", "us", "2.08 nmi", id="distance-us"),
        pytest.param(3852.16, "length", "metric", "3.85 km", id="distance-metric"),
        pytest.param(45.0, "time", "us", "45 s", id="seconds"),
        pytest.param(3599.7, "time", "us", "1 h", id="carries-to-the-hour"),
        pytest.param(5400.0, "time", "metric", "1 h 30 min", id="hours"),
        pytest.param(7.716667, "speed", "metric", "15.0 kn", id="knots-in-both"),
        pytest.param(-0.001, "power", "us", "0 W", id="no-minus-zero"),
        pytest.param(0.0, "temperature", "us", "32 degF", id="freezing"),
        pytest.param(0.0052, "resistance", "us", "5.20 mohm", id="milliohms"),
    ],
)
def test_quantities_print_as_people_say_them(value, dimension, system, expected):
    assert format_quantity(value, dimension, system=system) == expected


def test_digits_may_be_asked_for():
    assert format_quantity(5.334, "length", digits=1) == "17 ft 6.0 in"
    assert format_quantity(1.0, "speed", digits=3) == "1.944 kn"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_none_is_never_printed(value):
    with pytest.raises(ValueError, match="must be a finite number"):
        format_quantity(value, "speed")


def test_an_unknown_system_is_refused():
    with pytest.raises(ValueError, match="choose 'us' or 'metric'"):
        format_quantity(1.0, "speed", system="imperial")
