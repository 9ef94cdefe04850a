"""What the twin's boat asks of its bow motor: held, creeping, drifting."""

import math
from types import SimpleNamespace

from .boat import drag, loads, sideways, wind_push, wrapped
from .chop import shoved
from .weather import parts, polar


def steady_headings(boat, last, *around):
    """Where the moment falls through zero: by 3 deg round the compass, finely near the last."""

    def found_on(walk):
        signs = [sideways(boat, heading, *around)[2] > 0.0 for heading in walk]
        for k in range(len(walk) - 1):
            if signs[k] and not signs[k + 1]:
                low, high = walk[k], walk[k + 1]
                for _ in range(24):
                    middle = 0.5 * (low + high)
                    turns = sideways(boat, middle, *around)[2] > 0.0
                    low, high = (middle, high) if turns else (low, middle)
                yield 0.5 * (low + high) % 360.0

    # Off the round bearings, where a moment may be nil.
    found = list(found_on([0.013 + 3.0 * k for k in range(121)]))
    if all(abs(wrapped(way - last)) > 3.0 for way in found):
        found += found_on([last + 0.2 * k for k in range(-50, 51)])
    return found


def free_drift(boat, wind, wind_from, stream, toward):
    """Speed and way over the ground of a boat left alone."""
    water, air = parts(stream, toward), parts(wind, wind_from + 180.0)
    felt, downwind = polar(air[0] - water[0], air[1] - water[1])
    r = math.sqrt(0.5 * boat.air * boat.sails[2] / boat.grip)
    leeway = parts(felt * r / (1.0 + r), downwind)
    return polar(water[0] + leeway[0], water[1] + leeway[1])


def hold(boat, wind, wind_from, stream, toward, sea, last=None, fixed=None):
    """What keeps the boat on the spot, and which way the motor pulls."""
    around = wind, wind_from, stream, toward, sea
    if fixed is not None:
        heading = {"wind": wind_from, "stream": toward + 180.0}.get(fixed, fixed)
    else:
        if last is None:
            last = free_drift(boat, *around[:4])[1] + 180.0
        # A hair's preference for the clockwise one of two alike.
        heading = min(
            steady_headings(boat, last, *around),
            key=lambda way: (
                abs(wrapped(way - last)) + (6e-4 if wrapped(way - last) < 0.0 else 0.0)
            ),
            default=wind_from % 360.0,
        )
    ahead, aside = loads(boat, heading, *around)
    thrust = math.hypot(ahead, aside)
    pull = heading + math.degrees(math.atan2(-aside, -ahead))
    through = stream * math.cos(math.radians(toward + 180.0 - pull))
    return SimpleNamespace(
        thrust=thrust,
        inflow=max(through, 0.0) if thrust else 0.0,
        heading=heading,
        follow=heading,
        pull=pull,
    )


def creep(boat, wind, wind_from, stream, toward, sea, *, course, speed, over):
    """What moves a boat that points the way it goes."""
    own, water = parts(speed, course), parts(stream, toward)
    if over == "ground":
        ground, through = own, (own[0] - water[0], own[1] - water[1])
    else:
        ground, through = (own[0] + water[0], own[1] + water[1]), own
    pace, heading = polar(*through)
    air = parts(wind, wind_from + 180.0)
    felt, felt_toward = polar(air[0] - ground[0], air[1] - ground[1])
    if pace < 1e-6:  # no water passes: into the wind, as when held
        heading = course if over == "water" and speed > 0.0 else felt_toward + 180.0
    surge, sway = wind_push(boat, felt, felt_toward + 180.0 - heading)
    shove = shoved(sea, heading) if sea is not None else (0.0, 0.0)
    ahead, abeam = -(surge + drag(boat, pace) + shove[0]), -(sway + shove[1])
    thrust = math.hypot(ahead, abeam)
    inflow = max(pace * ahead / thrust, 0.0) if thrust else 0.0
    return SimpleNamespace(thrust=thrust, inflow=inflow, heading=heading, follow=None)


def moving(speed, way, wind, wind_from, stream, toward):
    """Wind and water past a boat that goes at a speed."""
    own, water, air = parts(speed, way), parts(stream, toward), parts(wind, wind_from + 180.0)
    past_wind, past_toward = polar(air[0] - own[0], air[1] - own[1])
    return past_wind, past_toward + 180.0, *polar(water[0] - own[0], water[1] - own[1])


def along(held, way):
    """The part of a thrust that pushes a drift along."""
    return held.thrust * math.cos(math.radians(held.pull - way))


def drift(boat, wind, wind_from, stream, toward, sea, last=None, *, wanted):
    """
    What slows a drift to the speed wanted, and the speed and way it then has.

    The next step goes on from the heading of a boat held at the speed it has, whether it is
    held or not.
    """
    around = wind, wind_from, stream, toward
    free, way = free_drift(boat, *around)

    def going(speed, last):
        held = hold(boat, *moving(speed, way, *around), sea, last)
        held.speed, held.way = speed, way
        return held

    held = going(min(wanted, free), way + 180.0 if last is None else last)
    follow = held.follow
    if free <= wanted:  # port side to the wind over the water
        downwind = moving(stream, toward, *around)[1] + 180.0
        held.thrust, held.inflow, held.heading = 0.0, 0.0, downwind + 90.0
    elif along(held, way) > 0.0:  # let it go slower, until nothing pushes it along

        def pushed(speed):
            return along(going(speed, follow), way) > 0.0

        tried = [wanted * (1.0 - k / 20.0) for k in range(21)]
        index = next((k for k in range(1, 21) if not pushed(tried[k])), None)
        low, high = (0.0, 0.0) if index is None else (tried[index], tried[index - 1])
        for _ in range(12 if index is not None else 0):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if pushed(middle) else (middle, high)
        held = going(low, follow)
    held.follow = follow
    return held


def drift_in_gust(boat, wind, wind_from, stream, toward, sea, *, settled):
    """What keeps a drift as it was in the mean wind, but for what would push it along."""
    past = moving(settled.speed, settled.way, wind, wind_from, stream, toward)
    held = hold(boat, *past, sea, settled.heading)
    if settled.thrust <= 0.0:
        held.thrust = held.inflow = 0.0
    elif along(held, settled.way) > 0.0:
        held.thrust *= abs(math.sin(math.radians(held.pull - settled.way)))
    return held
