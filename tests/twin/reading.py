"""
What the twin reads for itself: units, clocks, the scenario's files and the package's data rows.

Only the data *files* are shared with the package (and the propeller's printed numbers, read as
text). The little parser knows just the spellings the shipped days use and fails on any other.
"""

import ast
import csv
import json
import re
import tomllib
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

PACKAGE = Path(__file__).parents[2] / "energysim"

# International yard and pound (1959), nautical mile (1929), standard gravity (1901): exact.
FOOT, POUND, KNOT, GRAVITY = 0.3048, 0.45359237, 1852.0 / 3600.0, 9.80665
WORTH = {
    "length": {
        "m": 1.0,
        "ft": FOOT,
        "in": FOOT / 12.0,
        "nmi": 1852.0,
        "yd": 3.0 * FOOT,
        "mi": 5280.0 * FOOT,
        "km": 1000.0,
    },
    "mass": {"kg": 1.0, "lb": POUND},
    "force": {"N": 1.0, "lbf": POUND * GRAVITY},
    "speed": {"m/s": 1.0, "kn": KNOT, "knots": KNOT},
    "time": {"s": 1.0, "min": 60.0, "h": 3600.0},
    "voltage": {"V": 1.0},
    "current": {"A": 1.0},
    "charge": {"Ah": 1.0},
    "power": {"W": 1.0},
    "resistance": {"ohm": 1.0, "mohm": 1e-3},
}
POINTS = [
    "N",
    "NNE",
    "NE",
    "ENE",
    "E",
    "ESE",
    "SE",
    "SSE",
    "S",
    "SSW",
    "SW",
    "WSW",
    "W",
    "WNW",
    "NW",
    "NNW",
]


def amount(text, kind):
    """Read "18 ft 2 in" or "-15 min": every part a number and a unit, the parts added up."""
    sign = -1.0 if text.startswith("-") else 1.0
    words = text.lstrip("-").split()
    if len(words) % 2:
        raise ValueError(f"{text!r} is not pairs of number and unit")
    pairs = zip(words[::2], words[1::2], strict=True)
    return sign * sum(float(number) * WORTH[kind][unit] for number, unit in pairs)


def degc(text):
    number, unit = text.split()
    return {"degC": lambda t: t, "degF": lambda t: (t - 32.0) / 1.8}[unit](float(number))


def bearing(text):
    """A compass point, or degrees."""
    if text in POINTS:
        return 22.5 * POINTS.index(text)
    number, unit = text.split()
    if unit != "deg":
        raise ValueError(f"{text!r} is no bearing")
    return float(number)


def clock(text, day, zone, after):
    """
    Seconds since 1970 of a clock such as "01:30 next day".

    A clock belongs to the day, or to the next when it comes before the one before it.
    """
    bare = text.removesuffix(" next day")
    hour, minute = map(int, bare.split(":"))
    moment = datetime(day.year, day.month, day.day, hour, minute, tzinfo=zone)
    if bare != text or (after is not None and moment.timestamp() < after):
        moment += timedelta(days=1)
    return moment.timestamp()


def local(text, zone):
    """Seconds since 1970 of a file's "2026-05-16 03:00" on the place's own clock."""
    stamp = datetime.strptime(text, "%Y-%m-%d %H:%M").replace(tzinfo=zone)
    return stamp.astimezone(UTC).timestamp()


def rows_of(path):
    """A table's rows as lists of cells, the title row first, notes left out."""
    text = path.read_text(encoding="utf-8")
    table = csv.reader(line for line in text.splitlines() if not line.startswith("#"))
    return [[cell.strip() for cell in row] for row in table if row]


def wind_rows(path, zone):
    """(time, speed, from, gust or None) of a wind file."""
    titles, *rows = rows_of(path)
    if titles != ["time [LST_LDT]", "speed [kn]", "from [deg]", "gust [kn]"]:
        raise ValueError(f"{path} has other columns: {titles}")
    return [
        (
            local(row[0], zone),
            float(row[1]) * KNOT,
            float(row[2]),
            float(row[3]) * KNOT if row[3] else None,
        )
        for row in rows
    ]


def current_rows(path, zone):
    """(time, signed speed) of a file of slacks and maxima."""
    titles, *rows = rows_of(path)
    if titles != ["Date_Time (LST_LDT)", "Event", "Speed (knots)"]:
        raise ValueError(f"{path} has other columns: {titles}")
    return [
        (local(when, zone), 0.0 if event == "slack" else float(speed) * KNOT)
        for when, event, speed in rows
    ]


def harmonic_rows(path):
    """Name, amplitude and phase along both axes, azimuth and means, of each constant."""
    given = json.loads(path.read_text(encoding="utf-8"))
    if given["units"] != "knots":
        raise ValueError(f"{path} is in {given['units']}")
    return [
        {
            "name": row["constituentName"],
            "major": (row["majorAmplitude"] * KNOT, row["majorPhaseGMT"]),
            "minor": (row["minorAmplitude"] * KNOT, row["minorPhaseGMT"]),
            "axis": row["azi"],
            "means": (row["majorMeanSpeed"] * KNOT, row["minorMeanSpeed"] * KNOT),
        }
        for row in given["HarmonicConstituents"]
    ]


def _values(table):
    """Strip a data table of its spreads and sources."""
    return {
        key: _values(row) if isinstance(row, dict) and "value" not in row else _value(row)
        for key, row in table.items()
    }


def _value(row):
    return row["value"] if isinstance(row, dict) else row


def hull_row(kind):
    """A type of boat: the defaults, under what the type itself states."""
    with (PACKAGE / "data" / "hulls.toml").open("rb") as stream:
        tables = tomllib.load(stream)
    merged, own = _values(tables["defaults"]), _values(tables["types"][kind])
    for key, value in own.items():
        merged[key] = merged[key] | value if isinstance(value, dict) else value
    titles, *rows = rows_of(PACKAGE / "data" / "residuary.csv")
    f, r = titles.index("froude"), titles.index("residuary_per_weight")
    merged["waves"] = [
        (float(row[f]), float(row[r])) for row in rows if row[0] == merged["residuary"]
    ]
    return merged


def chemistry_row(name):
    with (PACKAGE / "data" / "chemistries.toml").open("rb") as stream:
        return _values(tomllib.load(stream)[name])


def battery_row(name):
    titles, *rows = rows_of(PACKAGE / "data" / "batteries.csv")
    return next(dict(zip(titles, row, strict=True)) for row in rows if row[0] == name)


def tide_row(name):
    titles, *rows = rows_of(PACKAGE / "data" / "constituents.csv")
    return next(dict(zip(titles, row, strict=True)) for row in rows if row[0] == name)


def propeller_terms():
    """The published polynomial's terms of KT and KQ, read as text and never imported."""
    text = (PACKAGE / "physics" / "b_series.py").read_text(encoding="utf-8")
    return tuple(
        ast.literal_eval(
            re.search(rf"^{name}\b.*?= (\(.*?^\))", text, re.MULTILINE | re.DOTALL)[1]
        )
        for name in ("_THRUST_TERMS", "_TORQUE_TERMS")
    )


def zone_of(raw):
    return ZoneInfo(raw["day"]["timezone"])
