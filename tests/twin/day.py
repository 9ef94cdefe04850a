"""
A whole day worked out a second time: plain Python, one step after another.

Written from DEVELOPERS.md and the formulas of the docstrings. Nothing of the package is
imported and nothing is vectorised; where the package has a closed form or a fit, this halves
an interval, and where it searches cleverly, this walks.
"""

import math
from datetime import date
from itertools import groupby, pairwise
from types import SimpleNamespace

from .bank import discharge, make_bank
from .boat import SALT, make_boat, sea_density
from .chop import bow_swing, left_by_the_surface, raised
from .gusts import intensity_of, mean_of, usual_gust, winds_of
from .motor import demand, make_motor, mean_power, near_the_surface, reaches
from .night import hours_to_full
from .reading import (
    amount,
    bearing,
    clock,
    current_rows,
    degc,
    harmonic_rows,
    wind_rows,
    zone_of,
)
from .verbs import creep, drift, drift_in_gust, hold
from .weather import at, from_events, lowered, parts, polar, tides, turned

LOADS_EVERY = 300.0  # seconds between the steps whose loads are worked out
HEAD = 0.254  # of a shaft, what stays above the mount: 10 in


def legs_of(raw):
    """(start, end, leg) of each leg, in seconds since 1970."""
    day, zone, now, legs = _date(raw), zone_of(raw), None, []
    for leg in raw["leg"]:
        start = clock(leg["start"], day, zone, now) if "start" in leg else now
        if "for" in leg:
            now = start + amount(leg["for"], "time")
        else:
            now = clock(leg["until"], day, zone, start)
        legs.append((start, now, leg))
    return legs


def _date(raw):
    given = raw["day"]["date"]
    return given if isinstance(given, date) else date.fromisoformat(given)


def wind_of(raw, folder):
    """The forecast as a function of time: mean, where from and gust, at its own height."""
    wind, zone = raw["wind"], zone_of(raw)
    if "file" in wind:
        rows = wind_rows(folder / wind["file"], zone)
    else:
        rows, now = [], None
        for hour in wind.get("hour", [wind]):
            now = clock(hour["at"], _date(raw), zone, now) if "at" in hour else None
            gust = amount(hour["gust"], "speed") if "gust" in hour else None
            rows.append((now, amount(hour["speed"], "speed"), bearing(hour["from"]), gust))
    usual = usual_gust(raw)
    rows = [(*row[:3], usual * row[1] if row[3] is None else row[3]) for row in rows]
    if rows[0][0] is None:
        return lambda when: rows[0][1:]  # noqa: ARG005
    return lambda when: (at(rows, when, 1), turned(rows, when, 2), at(rows, when, 3))


def stream_of(raw, folder, start):
    """The water as a function of time: east and north parts, before the leg's own scale."""
    if "stream" not in raw:
        return lambda when: (0.0, 0.0)  # noqa: ARG005
    given = raw["stream"]
    late, scale = amount(given.get("shift", "0 s"), "time"), given.get("scale", 1.0)
    if "constants" in given:
        predicted = tides(harmonic_rows(folder / given["constants"]), start)
    else:
        rows = current_rows(folder / given["file"], zone_of(raw))
        flood, ebb = bearing(given["flood_toward"]), bearing(given["ebb_toward"])

        def predicted(when):
            speed = from_events(rows, when)
            return parts(abs(speed), flood if speed >= 0.0 else ebb)

    def at_the_spot(when):
        east, north = predicted(when - late)
        return east * scale, north * scale

    return at_the_spot


def steps_of(legs, step):
    """(start, end, leg or None) of each step: even from the day's start, cut at every leg."""
    first, last = legs[0][0], legs[-1][1]
    marks = {round(first + k * step, 6) for k in range(int((last - first) / step) + 1)}
    marks |= {round(mark, 6) for start, end, _ in legs for mark in (start, end)}
    edges = sorted(mark for mark in marks if mark <= last)
    for begin, end in pairwise(edges):
        middle = 0.5 * (begin + end)
        leg = next((leg for start, stop, leg in legs if start < middle < stop), None)
        yield begin, end, leg


def asked_of(leg, boat, around, last):
    """What the leg's verb asks of the motor in the mean wind."""
    if leg["do"] == "hold":
        given = leg.get("heading")
        fixed = given if given in {None, "wind", "stream"} else bearing(given)
        return hold(boat, *around, last, fixed)
    if leg["do"] == "creep":
        return creep(
            boat,
            *around,
            course=bearing(leg["course"]),
            speed=amount(leg["speed"], "speed"),
            over=leg.get("over", "ground"),
        )
    return drift(boat, *around, last, wanted=amount(leg["drift_speed"], "speed"))


def asked_in_gusts(now, boat, mean):
    """What five winds about the mean ask of the motor, the boat turned from how it lay."""
    rest = now.around[1:]
    for wind in winds_of(now.around[0], now.intensity):
        if now.leg["do"] == "drift":
            yield drift_in_gust(boat, wind, *rest, settled=mean)
        else:
            yield asked_of(now.leg, boat, (wind, *rest), mean.heading)


def weather_of(raw, folder, start, boat):
    """Wind, where from, stream, toward and chop at the boat, and how gusty it is."""
    wind_at, stream_at = wind_of(raw, folder), stream_of(raw, folder, start)
    height = amount(raw["wind"].get("height", "10 m"), "length")

    def around(when, leg):
        speed, wind_from, gust = wind_at(when)
        wind = lowered(speed * (1.0 - leg.get("wind_shelter", 0.0)), height, boat.height)
        scale = leg.get("stream_scale", 1.0)
        stream, toward = polar(*(scale * part for part in stream_at(when)))
        sea = None
        if "chop" in raw:
            sea = raised(raw["chop"], boat, wind, wind_from, stream, toward)
        intensity = intensity_of(raw, max(gust / speed, 1.0) if speed else 1.0)
        return (wind, wind_from, stream, toward, sea), intensity

    return around


def propeller_at(raw, boat, motor, sea, heading):
    """The motor as its propeller fares in the chop."""
    given = raw["motor"]
    if sea is None or "shaft_length" not in given:
        return motor
    mount = amount(raw["boat"].get("bow_height", "0 m"), "length")
    if mount == 0.0:
        mount = 1.25 * amount(raw["boat"]["freeboard"], "length")
    depth = amount(given["shaft_length"], "length") - mount - HEAD
    thrust, torque = left_by_the_surface(depth, bow_swing(boat, sea, heading), 0.5 * motor.size)
    return near_the_surface(motor, max(thrust, 0.05), max(torque, 0.05))


def steps_with_loads(legs, boat, motor, around_at, step, every):
    """
    Each step with what its winds ask of the motor.

    Worked out where a step begins a new stretch of so many seconds, and for the first and last
    of a leg; straight lines in time between, but for the heading, which stays as it was. The
    bow goes on from how it last lay in the leg.
    """
    start = legs[0][0]
    bare = steps_of(legs, step)
    for _, run in groupby(bare, key=lambda piece: id(piece[2])):
        row = [
            SimpleNamespace(
                seconds=end - begin, middle=0.5 * (begin + end), leg=leg, motor=motor,
                stretch=math.floor((begin - start) / every),
                thrust=0.0, inflow=0.0, watts=0.0, volts=0.0, gusty_n=[0.0] * 5,
            )
            for begin, end, leg in run
        ]  # fmt: skip
        if row[0].leg is None or row[0].leg["do"] in {"run", "rest"}:
            for now in row:
                now.leg = None
        else:
            with_loads(row, boat, around_at)
        yield from row


def with_loads(row, boat, around_at):
    """Fill in the steps of one leg."""
    known, last = [], None
    for k, now in enumerate(row):
        now.around, now.intensity = around_at(now.middle, now.leg)
        if k in {0, len(row) - 1} or now.stretch != row[k - 1].stretch:
            mean = asked_of(now.leg, boat, now.around, last)
            last, heading = mean.follow, mean.heading
            all_six = [mean, *asked_in_gusts(now, boat, mean)]
            pairs = [number for asked in all_six for number in (asked.thrust, asked.inflow)]
            known.append((now.middle, *pairs))
        now.heading = heading
    for now in row:
        read = list(known[0][1:])
        if len(known) > 1:
            read = [at(known, now.middle, column) for column in range(1, 13)]
        now.thrust, now.inflow = read[:2]
        now.gusty_n, now.gusty_inflow = read[2::2], read[3::2]


def work_out(raw, folder, step=60.0, every=LOADS_EVERY):
    """The day of a raw scenario; returns the bank's books, and what each step asked for."""
    legs = legs_of(raw)
    rho = sea_density(SALT[raw["day"]["water"]], degc(raw["day"]["water_temperature"]))
    dry = make_motor(raw, rho)
    bank = make_bank(raw, dry.volts)
    boat = make_boat(raw, bank.mass)
    around_at = weather_of(raw, folder, legs[0][0], boat)
    steps = list(steps_with_loads(legs, boat, dry, around_at, step, every))
    for now in steps:
        if now.leg is None:
            continue
        now.motor = propeller_at(raw, boat, dry, now.around[4], now.heading)
        duty = now.leg.get("duty", 0.5) if now.leg.get("style") == "burst" else 1.0
        # The mean is not cut to what there is, nor are there bursts where it does not reach:
        # the bank's loop must see what is missing.
        now.watts, now.volts = demand(now.motor, now.thrust, now.inflow)
        if reaches(now.motor, now.thrust, now.inflow):
            now.watts = mean_of(
                mean_power(now.motor, thrust, inflow, duty)
                for thrust, inflow in zip(now.gusty_n, now.gusty_inflow, strict=True)
            )
    books = discharge(bank, steps)
    return SimpleNamespace(
        end_soc=books.soc,
        charge_drawn_ah=books.drawn,
        off_station_s=books.off,
        full_h=hours_to_full(bank, raw["charger"]) if "charger" in raw else None,
        thrust_n=[now.thrust for now in steps],
        watts=[now.watts for now in steps],
    )
