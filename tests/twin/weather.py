"""Wind and stream of the twin, at one moment after another."""

import math
from bisect import bisect_right
from datetime import UTC, datetime

from .reading import tide_row


def polar(east, north):
    return math.hypot(east, north), math.degrees(math.atan2(east, north)) % 360.0


def parts(speed, toward):
    return speed * math.sin(math.radians(toward)), speed * math.cos(math.radians(toward))


def at(rows, when, column):
    """Straight line between rows whose first cell is the time."""
    index = min(max(bisect_right([row[0] for row in rows], when) - 1, 0), len(rows) - 2)
    early, late = rows[index], rows[index + 1]
    part = (when - early[0]) / (late[0] - early[0])
    return early[column] + part * (late[column] - early[column])


def turned(rows, when, column):
    """A bearing between rows, by the shorter arc; half a circle goes clockwise."""
    unrolled = [list(rows[0])]
    for row in rows[1:]:
        turn = (row[column] - unrolled[-1][column]) % 360.0
        step = list(row)
        step[column] = unrolled[-1][column] + (turn if turn <= 180.0 else turn - 360.0)
        unrolled.append(step)
    return at(unrolled, when, column) % 360.0


def _fall(ten):
    """Friction velocity over von Karman's constant, of a 10 m wind; Vera 1983, 1 to 25 m/s."""
    held = min(max(ten, 1.0), 25.0)
    return math.sqrt((2.717 / held + 0.142 + 0.0764 * held) / 1000.0) / 0.4


def lowered(wind, given_height, height):
    """The neutral log law from one height to another, its 10 m wind found by bisection."""
    if wind == 0.0:
        return 0.0
    low, high = 0.0, 10.0 * wind
    for _ in range(80):
        ten = 0.5 * (low + high)
        there = ten * (1.0 + _fall(ten) * math.log(given_height / 10.0))
        low, high = (ten, high) if there < wind else (low, ten)
    return ten * (1.0 + _fall(ten) * math.log(height / 10.0))


def from_events(rows, when):
    """Sine legs: slack to maximum, maximum to slack, or maximum to maximum."""
    index = bisect_right([row[0] for row in rows], when) - 1
    (start, v0), (end, v1) = rows[index], rows[index + 1]
    part = (when - start) / (end - start)
    if v0 == 0.0:
        return v1 * math.sin(0.5 * math.pi * part)
    if v1 == 0.0:
        return v0 * math.cos(0.5 * math.pi * part)
    return 0.5 * (v0 + v1) + 0.5 * (v0 - v1) * math.cos(math.pi * part)


def _longitudes(when):
    """Degrees of moon, sun, perigee, node, solar perigee: Meeus 1991, as open codes have it."""
    century = (when / 86400.0 + 2440587.5 - 2451545.0) / 36525.0
    return [
        a + b * century + c * century * century
        for a, b, c in (
            (218.3164591, 481267.88134236, -0.0013268),
            (280.46645, 36000.76983, 0.0003032),
            (83.353243, 4069.0137111, -0.0103238),
            (125.044555, -1934.1361849, 0.0020762),
            (282.93735, 1.71946, 0.0),
        )
    ]


def _node(rule, when):
    """
    Factor and phase by Schureman 1958 (from memory, formulas as open tide codes have them).

    Only the laws the shipped day needs: M2, O1, K1 and 1, each to a power.
    """
    node = math.radians(_longitudes(when)[3])
    i, w = math.radians(5.145), math.radians(23.439)
    tilt = math.acos(math.cos(i) * math.cos(w) - math.sin(i) * math.sin(w) * math.cos(node))
    half = math.atan2(math.sin(node), math.cos(node)) / 2.0
    a = math.atan(math.cos((w - i) / 2) / math.cos((w + i) / 2) * math.tan(half))
    b = math.atan(math.sin((w - i) / 2) / math.sin((w + i) / 2) * math.tan(half))
    nu, xi = a - b, 2.0 * half - a - b
    twice = math.sin(2.0 * tilt)
    laws = {
        "1": (1.0, 0.0),
        "M2": (math.cos(tilt / 2.0) ** 4 / 0.91544, 2.0 * xi - 2.0 * nu),
        "O1": (math.sin(tilt) * math.cos(tilt / 2.0) ** 2 / 0.37988, 2.0 * xi - nu),
        "K1": (
            math.sqrt(0.8965 * twice**2 + 0.6001 * twice * math.cos(nu) + 0.1006),
            -math.atan(twice * math.sin(nu) / (twice * math.cos(nu) + 0.3347)),
        ),
    }
    factor, phase = 1.0, 0.0
    for part in rule.split("*"):
        name, power = part.split("^")
        factor *= laws[name][0] ** abs(int(power))
        phase += laws[name][1] * int(power)
    return factor, math.degrees(phase)


def tides(constants, day_start):
    """
    A function of time that gives the east and north parts of a stream from its constants.

    The argument is worked out afresh at each moment, the node once for the middle of the year.
    """
    year = datetime.fromtimestamp(day_start, UTC).year
    ends = [datetime(y, 1, 1, tzinfo=UTC).timestamp() for y in (year, year + 1)]
    known = []
    for row in constants:
        tide = tide_row(row["name"])
        numbers = [float(tide[key]) for key in ("n15", "moon", "sun", "lunar_perigee")]
        known.append(
            (
                row,
                [*numbers, float(tide["solar_perigee"]), float(tide["phase_deg"])],
                _node(tide["node_rule"], 0.5 * sum(ends)),
            )
        )
    axis = math.radians(constants[0]["axis"])

    def stream(when):
        moon, sun, perigee, _, solar = _longitudes(when)
        hours = when % 86400.0 / 3600.0
        along, across = constants[0]["means"]
        for row, (n15, s, h, p, p1, constant), (factor, phase) in known:
            argument = (
                15.0 * n15 * hours + s * moon + h * sun + p * perigee + p1 * solar + constant
            )
            for part, (size, lag) in enumerate((row["major"], row["minor"])):
                swing = factor * size * math.cos(math.radians(argument + phase - lag))
                along, across = (
                    (along + swing, across) if part == 0 else (along, across + swing)
                )
        # The minor axis lies a quarter turn clockwise of the major one.
        return (
            along * math.sin(axis) + across * math.cos(axis),
            along * math.cos(axis) - across * math.sin(axis),
        )

    return stream
