"""The twin's chop: how high and long, how it pushes the boat, and what it does to the bow."""

import math
from functools import cache
from types import SimpleNamespace

from .reading import GRAVITY, PACKAGE, amount, bearing, rows_of
from .weather import lowered, parts, polar

CALM = 0.5  # m/s; less wind raises nothing


def raised(given, boat, wind, wind_from, stream, toward):
    """The chop a wind at the boat raises where it blows over moving water; None in a calm."""
    air = parts(lowered(wind, boat.height, 10.0), wind_from + 180.0)
    water = parts(stream, toward)
    over, downwind = polar(air[0] - water[0], air[1] - water[1])
    if over <= CALM:
        return None
    where_from = (downwind + 180.0) % 360.0
    fetch = open_water(given, where_from)
    height, period = grown(over, fetch, given.get("depth"))
    depth = amount(given["depth"], "length") if "depth" in given else math.inf
    length = wave_length(period, depth)
    return SimpleNamespace(
        comes_from=where_from, height=height, length=length, **push(boat, height, length)
    )


def open_water(given, where_from):
    """Upwind to the shore; between the bearings given, by straight lines across north."""
    if "fetch" in given:
        return amount(given["fetch"], "length")
    known = sorted(
        (bearing(row["from"]) % 360.0, amount(row["length"], "length"))
        for row in given["reach"]
    )
    if len(known) == 1:
        return known[0][1]
    for k, (way, length) in enumerate(known):
        after, long = known[(k + 1) % len(known)]
        gap = (after - way) % 360.0
        past = (where_from - way) % 360.0
        if past <= gap:
            return length + (long - length) * past / gap
    raise ValueError(f"no reach lies either side of {where_from}")


def grown(wind, fetch, depth_text):
    """Height and period: open-water growth of Leenknecht and others 1992, and its ends."""
    u = wind * math.sqrt(0.75 + 0.067 * wind)
    x = GRAVITY * fetch / u**2
    height, period = 0.0016 * math.sqrt(x), 0.2857 * x ** (1.0 / 3.0)
    if depth_text is not None:
        d = GRAVITY * amount(depth_text, "length") / u**2
        top = 0.283 * math.tanh(0.530 * d**0.75)
        height = top * math.tanh(height / top)
        top = 7.54 * math.tanh(0.833 * d**0.375)
        period = top * math.tanh(period / top)
    height, period = height * u**2 / GRAVITY, period * u / GRAVITY
    # However far it blows: fully grown, by the wind as it is and not as adjusted.
    return min(height, 0.2433 * wind**2 / GRAVITY), min(period, 8.134 * wind / GRAVITY)


def wave_length(period, depth):
    """Linear waves: by halving the wave number."""
    squared = (2.0 * math.pi / period) ** 2
    low, high = squared / GRAVITY, 1e4
    if depth == math.inf:
        return 2.0 * math.pi / low
    for _ in range(60):
        middle = math.sqrt(low * high)
        short = GRAVITY * middle * math.tanh(middle * depth) < squared
        low, high = (middle, high) if short else (low, middle)
    return 2.0 * math.pi / low


@cache
def push_rows(kind):
    """Columns of the push of chop; of an unlisted hull, the mean of those listed."""
    _, *rows = rows_of(PACKAGE / "data" / "wave_drift.csv")
    listed = sorted({row[0] for row in rows})
    tables = [
        [[float(cell) for cell in row[1:6]] for row in rows if row[0] == name]
        for name in ([kind] if kind in listed else listed)
    ]
    return [
        [sum(cells) / len(tables) for cells in zip(*same, strict=True)]
        for same in zip(*tables, strict=True)
    ]


def push(boat, height, length):
    """Push by waves from ahead, quartering (ahead, aside) and abeam."""
    table = push_rows(boat.kind)
    ratio = length / boat.length
    reach = min(max(ratio, table[0][0]), table[-1][0])
    index = max(k for k in range(len(table) - 1) if table[k][0] <= reach)
    early, late = table[index], table[index + 1]
    part = (reach - early[0]) / (late[0] - early[0])
    head, ahead, aside, abeam = (
        a + part * (b - a) for a, b in zip(early[1:], late[1:], strict=True)
    )
    unit = boat.rho * GRAVITY * height**2 / 16.0 * min(1.0, table[-1][0] / ratio) ** 2
    return {
        "head": unit * boat.beam * head,
        "ahead": unit * boat.beam * ahead,
        "aside": unit * boat.length * aside,
        "abeam": unit * boat.length * abeam,
    }


def shoved(sea, heading):
    """Ahead and to starboard, at a heading."""
    meets = math.radians(sea.comes_from - heading)
    c, s = math.cos(meets), math.sin(meets)
    along = sea.head + 2.0 * s * s * (math.sqrt(2.0) * sea.ahead - sea.head)
    across = sea.abeam + 2.0 * c * c * (math.sqrt(2.0) * sea.aside - sea.abeam)
    return -c * along, -s * across


def bow_swing(boat, sea, heading):
    """Standard deviation of the water's height at the bow motor, seen from the boat."""
    meets = math.radians(sea.comes_from - heading)
    squares = weights = 0.0
    for frequency, energy in wind_sea():
        waves = min(max(sea.length / boat.length, 0.2), 40.0) / frequency**2
        for turn, part in spread():
            squares += energy * part * regular(boat, waves, meets + turn) ** 2
            weights += energy * part
    return 0.25 * sea.height * math.sqrt(squares / weights)


@cache
def wind_sea():
    """(frequency over the peak's, energy) of a sea of peakedness 3.3: JONSWAP 1973."""
    rows = []
    for k in range(25):
        f = 0.6 * (7.0 / 0.6) ** (k / 24.0)
        width = 0.07 if f <= 1.0 else 0.09
        peak = 3.3 ** math.exp(-0.5 * ((f - 1.0) / width) ** 2)
        rows.append((f, f**-4 * math.exp(-1.25 * f**-4) * peak))  # f^-5, in even steps of log f
    return rows


@cache
def spread():
    """(turn from the wind in radians, share) of waves spread by the cosine squared."""
    turns = [math.radians(-80.0 + 20.0 * k) for k in range(9)]
    return [(turn, math.cos(turn) ** 2) for turn in turns]


def regular(boat, waves, meets):
    """Swing over amplitude in one train of waves, so many waterlines long."""
    box, aft = 0.94, 0.04
    sigma = max(math.pi * box * abs(math.cos(meets)) / waves, 1e-3)
    tau = max(math.pi * boat.beam / boat.length * abs(math.sin(meets)) / waves, 1e-9)
    xi = (boat.bow / boat.length + aft) / (0.5 * box)
    lift, up = math.sin(tau) / tau, math.sin(sigma) / sigma
    heave, pitch = lift * up, lift * 3.0 * xi * (up - math.cos(sigma)) / sigma
    return math.hypot(heave - math.cos(xi * sigma), pitch - math.sin(xi * sigma))


def left_by_the_surface(depth, swing, radius):
    """Shares of thrust and torque left of a propeller whose depth swings: the bell, summed."""
    swing = min(swing, 4.0 * radius)
    thrust = torque = weights = 0.0
    for k in range(-60, 61):
        z = 0.08 * k
        weight = math.exp(-0.5 * z * z)
        under = (depth + swing * z) / radius
        beta = 1.0 - 0.675 * max(1.0 - 0.769 * under, 0.0) ** 1.258
        beta = 0.0 if under <= -0.48 else min(max(beta, 0.0), 1.0)
        thrust += weight * beta
        torque += weight * beta**0.85
        weights += weight
    return thrust / weights, torque / weights
