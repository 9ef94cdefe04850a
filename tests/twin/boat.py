"""The twin's boat: hull and windage from dimensions, and the forces on it at a heading."""

import math
from types import SimpleNamespace

from .chop import shoved
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
    sideways = form["cross_flow_drag_coefficient"]
    if "depth" in raw.get("chop", {}):  # the bottom is near: UFC 4-159-03, eq. 11
        bottom = amount(raw["chop"]["depth"], "length")
        sideways += (3.2 - sideways) * (draft / bottom) ** 2
    return SimpleNamespace(
        kind=given["hull"],
        rho=rho,
        nu=nu,
        air=101325.0 / (287.05 * (degc(day["air_temperature"]) + 273.15)),
        length=lw,
        beam=bw,
        draft=draft,
        grip=0.5 * rho * lw * draft * sideways,
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
        sails=(
            show["bow_coefficient"] * frontal,
            show["stern_coefficient"] * frontal,
            show["side_coefficient"] * lateral,
        ),
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


def wind_push(boat, wind, off_bow):
    """Ahead and to starboard, for a wind from `off_bow` degrees to starboard of the bow."""
    g = math.radians(off_bow)
    c, s = math.cos(g), math.sin(g)
    end, side = boat.sails[0 if c >= 0.0 else 1], boat.sails[2]
    swell = 1.0 - 2.0 * boat.show["cross_force_parameter"] * (1.0 - end / side) * (c * s) ** 2
    q = 0.5 * boat.air * wind * wind / swell
    return -q * end * c, -q * side * s


def wrapped(angle):
    """Degrees in (-180, 180]."""
    return 180.0 - (180.0 - angle) % 360.0


def sideways(boat, heading, wind, wind_from, stream, toward, sea):
    """Push ahead by the wind, to starboard by all, moment about the bow motor, way ahead."""
    off_bow = wrapped(wind_from - heading)
    blow_ahead, blow_aside = wind_push(boat, wind, off_bow)
    arm = boat.windage_centre - 0.18 * boat.overall * (
        abs(math.radians(off_bow)) - 0.5 * math.pi
    )
    way = math.radians(toward + 180.0 - heading)
    ahead, aside = stream * math.cos(way), stream * math.sin(way)
    held = -(boat.grip * abs(aside) + boat.lift * abs(ahead)) * aside
    moment = (
        (arm - boat.bow) * blow_aside
        + (boat.centre - boat.bow) * held
        - boat.turn * ahead * aside
    )
    if sea is None:
        return blow_ahead, blow_aside + held, moment, ahead
    chop_ahead, chop_aside = shoved(sea, heading)
    moment += (boat.centre - boat.bow) * chop_aside
    return blow_ahead + chop_ahead, blow_aside + held + chop_aside, moment, ahead


def loads(boat, heading, *around):
    """Push ahead and to starboard."""
    blow_ahead, aside, _, ahead = sideways(boat, heading, *around)
    return blow_ahead + drag(boat, ahead), aside
