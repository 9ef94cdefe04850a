"""
A whole day worked out a second time: plain Python, one step after another.

Written from DEVELOPERS.md and the formulas of the docstrings. Nothing of the package is
imported and nothing is vectorised; where the package has a closed form or a fit, this halves
an interval, and where it searches cleverly, this walks.
"""

from datetime import date
from itertools import pairwise
from types import SimpleNamespace

from .bank import discharge, hours_to_full, make_bank
from .boat import SALT, creep, drift, hold, make_boat, parts, polar, sea_density
from .motor import demand, make_motor
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
from .weather import at, from_events, lowered, tides, turned


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
    """The forecast as a function of time: speed and where from, at the forecast's height."""
    wind, zone = raw["wind"], zone_of(raw)
    if "file" in wind:
        rows = wind_rows(folder / wind["file"], zone)
    elif "hour" in wind:
        rows, now = [], None
        for hour in wind["hour"]:
            now = clock(hour["at"], _date(raw), zone, now)
            rows.append((now, amount(hour["speed"], "speed"), bearing(hour["from"])))
    else:
        steady = amount(wind["speed"], "speed"), bearing(wind["from"])
        return lambda when: steady  # noqa: ARG005
    return lambda when: (at(rows, when, 1), turned(rows, when, 2))


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


def asked_of(leg, boat, wind, wind_from, stream, toward, last):
    """Net thrust, the water into the propeller, and the heading, as the leg's verb has it."""
    around = boat, wind, wind_from, stream, toward
    if leg["do"] == "hold":
        return hold(*around, last)[:3]
    if leg["do"] == "creep":
        thrust, inflow = creep(
            *around,
            course=bearing(leg["course"]),
            speed=amount(leg["speed"], "speed"),
            over=leg.get("over", "ground"),
        )
        return thrust, inflow, None
    return drift(*around, last, wanted=amount(leg["drift_speed"], "speed"))


def work_out(raw, folder, step=60.0):
    """The day of a raw scenario; returns the bank's books, and what each step asked for."""
    legs = legs_of(raw)
    rho = sea_density(SALT[raw["day"]["water"]], degc(raw["day"]["water_temperature"]))
    motor = make_motor(raw, rho)
    bank = make_bank(raw, motor.volts)
    boat = make_boat(raw, bank.mass)
    wind_at, stream_at = wind_of(raw, folder), stream_of(raw, folder, legs[0][0])
    height = amount(raw["wind"].get("height", "10 m"), "length")
    thrusts, rows = [], []
    before, last = None, None  # the leg of the step before, and how the boat lay in it
    for begin, end, leg in steps_of(legs, step):
        if leg is None or leg["do"] in {"run", "rest"}:
            thrusts.append(0.0)
            rows.append((end - begin, 0.0, 0.0, 0.0, 0.0))
            continue
        middle = 0.5 * (begin + end)
        speed, wind_from = wind_at(middle)
        wind = lowered(speed * (1.0 - leg.get("wind_shelter", 0.0)), height, boat.height)
        east, north = stream_at(middle)
        scale = leg.get("stream_scale", 1.0)
        stream, toward = polar(east * scale, north * scale)
        last = last if leg is before else None
        thrust, inflow, last = asked_of(leg, boat, wind, wind_from, stream, toward, last)
        before = leg
        power, needed = demand(motor, thrust, inflow)
        thrusts.append(thrust)
        rows.append((end - begin, power, thrust, needed, inflow))
    books = discharge(bank, motor, rows)
    return SimpleNamespace(
        end_soc=books.soc,
        charge_drawn_ah=books.drawn,
        off_station_s=books.off,
        full_h=hours_to_full(bank, raw["charger"], books.drawn) if "charger" in raw else None,
        thrust_n=thrusts,
    )
