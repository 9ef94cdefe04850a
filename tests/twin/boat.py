"""The twin's boat: hull and windage from dimensions, forces, and what each verb asks for."""

import math
from types import SimpleNamespace

from .reading import GRAVITY, amount, degc, hull_row

SALT = {"fresh": 0.0, "brackish": 15.0, "salt": 35.0}  # g/kg


def sea_density(salt, t):
    """UNESCO 1983, one atmosphere."""
    pure = (999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9)
    first = (8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)
    second = (-5.72466e-3, 1.0227e-4, -1.6546e-6)
    rho, a, b = (sum(c * t**k for k, c in enumerate(row)) for row in (pure, first, second))
    return rho + a * salt + b * salt**1.5 + 4.8314e-4 * salt * salt


def sea_viscosity(salt, t):
    """Sharqawy, Lienhard and Zubair 2010, eq. 22 and 23."""
    s = salt / 1000.0
    pure = 4.2844e-5 + 1.0 / (0.157 * (t + 64.993) ** 2 - 91.296)
    a = 1.541 + 1.998e-2 * t - 9.52e-5 * t * t
    b = 7.974 - 7.561e-2 * t + 4.724e-4 * t * t
    return pure * (1.0 + a * s + b * s * s) / sea_density(salt, t)


def make_boat(raw, bank_mass):
    """Everything about the boat that stays the same all day."""
    day, given = raw["day"], raw["boat"]
    kind = hull_row(given["hull"])
    form, show = kind["hull"], kind["windage"]
    warm = degc(day["water_temperature"])
    rho, nu = (law(SALT[day["water"]], warm) for law in (sea_density, sea_viscosity))
    length, beam, freeboard = (
        amount(given[key], "length") for key in ("length", "beam", "freeboard")
    )
    people = given["people"]
    mass = (
        amount(given["mass"], "mass")
        + people * amount(given.get("person_mass", "185 lb"), "mass")
        + amount(raw["motor"].get("mass", "20 kg"), "mass")
        + bank_mass
    )
    lw, bw = form["waterline_length_ratio"] * length, form["waterline_beam_ratio"] * beam
    volume = mass / rho
    draft = volume / (form["block_coefficient"] * lw * bw)
    fineness = bw / draft
    skin = (
        volume ** (2 / 3)
        * 2.262
        * math.sqrt(lw / volume ** (1 / 3))
        * (1.0 + 0.046 * fineness + 0.00287 * fineness**2)
    )
    pieces = [
        (
            show["hull_front_factor"] * beam * freeboard,
            show["hull_side_factor"] * length * freeboard,
            show["hull_height_factor"] * freeboard,
        )
    ]
    for piece, count in (("person", people), ("motor", 1), ("console", 1), ("canopy", 1)):
        front, side, height = (
            show[f"{piece}_{what}"] for what in ("front_m2", "side_m2", "height_m")
        )
        pieces.append((count * front, count * side, freeboard + height))
    frontal, lateral = (sum(piece[k] for piece in pieces) for k in (0, 1))
    places = [
        show[f"{piece}_place"] for piece in ("hull", "person", "motor", "console", "canopy")
    ]
    slender = draft / lw
    wing = math.pi * slender**2  # Clarke, Gedling and Hine 1983
    block = form["block_coefficient"]
    return SimpleNamespace(
        rho=rho,
        nu=nu,
        air=101325.0 / (287.05 * (degc(day["air_temperature"]) + 273.15)),
        length=lw,
        draft=draft,
        overall=length,
        lift=0.5 * rho * lw**2 * wing * (1.0 + 0.4 * block * fineness),
        turn=0.5 * rho * lw**3 * wing * (0.5 + 2.4 * slender),
        centre=form["lateral_centre_place"] * length,
        bow=form["bow_motor_place"] * length,
        windage_centre=length
        * sum(piece[1] * place for piece, place in zip(pieces, places, strict=True))
        / lateral,
        weight=mass * GRAVITY,
        skin=skin,
        transom=form["transom_area_ratio"] * bw * draft,
        form=form,
        leg_area=kind["outboard_drag_area_m2"] if given.get("outboard") == "down" else 0.0,
        waves=kind["waves"],
        frontal=frontal,
        lateral=lateral,
        height=sum(piece[0] * piece[2] for piece in pieces) / frontal,
        show=show,
    )


def drag(boat, speed):
    """Water's push on the boat along its keel; `speed` ahead through the water, or astern."""
    if speed == 0.0:
        return 0.0
    fast = abs(speed)
    reynolds = max(fast * boat.length / boat.nu, 1e5)
    friction = 0.075 / (math.log10(reynolds) - 2.0) ** 2
    end = boat.form["transom_drag_coefficient" if speed > 0.0 else "astern_drag_coefficient"]
    area = boat.skin * friction * boat.form["form_factor"] + boat.transom * end + boat.leg_area
    force = 0.5 * boat.rho * fast * fast * area + boat.weight * _waves(boat, fast)
    return -math.copysign(force, speed)


def _waves(boat, speed):
    """Residuary drag over weight: R/(W Fn^2) by straight lines in Fn, from nothing at rest."""
    froude = speed / math.sqrt(GRAVITY * boat.length)
    nodes = [(0.0, 0.0)] + [(f, r / f**2) for f, r in boat.waves]
    reach = min(froude, 2.0 * nodes[-1][0])
    index = max(k for k in range(len(nodes) - 1) if k == 0 or nodes[k][0] <= reach)
    (f0, y0), (f1, y1) = nodes[index], nodes[index + 1]
    return (y0 + (y1 - y0) * (reach - f0) / (f1 - f0)) * froude**2


def side_grip(boat):
    return 0.5 * boat.rho * boat.length * boat.draft * boat.form["cross_flow_drag_coefficient"]


def wind_push(boat, wind, off_bow):
    """Ahead and to starboard, for a wind from `off_bow` degrees to starboard of the bow."""
    g = math.radians(off_bow)
    end = boat.show["bow_coefficient" if math.cos(g) >= 0.0 else "stern_coefficient"]
    side = boat.show["side_coefficient"]
    share = end * boat.frontal / (side * boat.lateral)
    swell = 1.0 - 0.5 * boat.show["cross_force_parameter"] * (1.0 - share) * (
        math.sin(2.0 * g) ** 2
    )
    q = 0.5 * boat.air * wind * wind
    return (
        -q * boat.frontal * end * math.cos(g) / swell,
        -q * boat.lateral * side * math.sin(g) / swell,
    )


def wrapped(angle):
    """Degrees in (-180, 180]."""
    return 180.0 - (180.0 - angle) % 360.0


def polar(east, north):
    return math.hypot(east, north), math.degrees(math.atan2(east, north)) % 360.0


def parts(speed, toward):
    return speed * math.sin(math.radians(toward)), speed * math.cos(math.radians(toward))


def loads(boat, heading, wind, wind_from, stream, toward):
    """Push ahead and to starboard, and the moment about the bow motor, clockwise."""
    off_bow = wrapped(wind_from - heading)
    blow_ahead, blow_aside = wind_push(boat, wind, off_bow)
    arm = boat.windage_centre - 0.18 * boat.overall * (
        abs(math.radians(off_bow)) - 0.5 * math.pi
    )
    way = math.radians(toward + 180.0 - heading)
    ahead, aside = stream * math.cos(way), stream * math.sin(way)
    grip = -(side_grip(boat) * abs(aside) + boat.lift * abs(ahead)) * aside
    moment = (
        (arm - boat.bow) * blow_aside
        + (boat.centre - boat.bow) * grip
        - boat.turn * ahead * aside
    )
    return blow_ahead + drag(boat, ahead), blow_aside + grip, moment


def steady_headings(boat, last, *around):
    """Where the moment falls through zero: by 3 deg round the compass, finely near the last."""

    def turns(heading):
        return loads(boat, heading, *around)[2]

    # Off the round bearings, where a moment may be nil.
    far, close = [0.013 + 3.0 * k for k in range(121)], [last + 0.2 * k for k in range(-40, 41)]
    found = []
    for walk in (far, close):
        signs = [turns(heading) > 0.0 for heading in walk]
        for k in range(len(walk) - 1):
            if signs[k] and not signs[k + 1]:
                low, high = walk[k], walk[k + 1]
                for _ in range(36):
                    middle = 0.5 * (low + high)
                    low, high = (middle, high) if turns(middle) > 0.0 else (low, middle)
                found.append(0.5 * (low + high) % 360.0)
    return found


def free_drift(boat, wind, wind_from, stream, toward):
    """Speed and way over the ground of a boat left alone."""
    water, air = parts(stream, toward), parts(wind, wind_from + 180.0)
    felt, downwind = polar(air[0] - water[0], air[1] - water[1])
    r = math.sqrt(
        0.5 * boat.air * boat.lateral * boat.show["side_coefficient"] / side_grip(boat)
    )
    leeway = parts(felt * r / (1.0 + r), downwind)
    return polar(water[0] + leeway[0], water[1] + leeway[1])


def hold(boat, wind, wind_from, stream, toward, last=None):
    """Thrust, water into the propeller, heading, and where the motor pulls to."""
    around = wind, wind_from, stream, toward
    if last is None:
        last = free_drift(boat, *around)[1] + 180.0
    choice = steady_headings(boat, last, *around)
    # A hair's preference for the clockwise one of two alike.
    heading = min(
        choice,
        key=lambda way: abs(wrapped(way - last)) + (6e-4 if wrapped(way - last) < 0.0 else 0.0),
        default=wind_from % 360.0,
    )
    ahead, aside, _ = loads(boat, heading, *around)
    thrust = math.hypot(ahead, aside)
    pull = heading + math.degrees(math.atan2(-aside, -ahead))
    through = stream * math.cos(math.radians(toward + 180.0 - pull))
    return thrust, max(through, 0.0) if thrust else 0.0, heading, pull


def creep(boat, wind, wind_from, stream, toward, *, course, speed, over):
    """Thrust and water into the propeller of a boat that points the way it goes."""
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
    ahead, abeam = -(surge + drag(boat, pace)), -sway
    thrust = math.hypot(ahead, abeam)
    return thrust, max(pace * ahead / thrust, 0.0) if thrust else 0.0


def drift(boat, wind, wind_from, stream, toward, last=None, *, wanted):
    """Thrust and water into the propeller that slow a drift to the speed wanted; heading."""
    water, air = parts(stream, toward), parts(wind, wind_from + 180.0)
    free, way = free_drift(boat, wind, wind_from, stream, toward)

    def going(speed, last):
        frame = parts(speed, way)
        past_wind, past_toward = polar(air[0] - frame[0], air[1] - frame[1])
        past_stream, past_set = polar(water[0] - frame[0], water[1] - frame[1])
        return hold(boat, past_wind, past_toward + 180.0, past_stream, past_set, last)

    def pushes(held):
        return held[0] * math.cos(math.radians(held[3] - way)) > 0.0

    last = way + 180.0 if last is None else last
    held = going(min(wanted, free), last)
    heading = held[2]
    if free <= wanted:
        return 0.0, 0.0, heading
    if pushes(held):  # let it go slower, until nothing pushes it along
        low, high = 0.0, wanted
        for _ in range(20):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if pushes(going(middle, heading)) else (middle, high)
        held = going(low, heading)
    return held[0], held[1], heading
