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
    frontal = sum(piece[0] for piece in pieces)
    return SimpleNamespace(
        rho=rho,
        nu=nu,
        air=101325.0 / (287.05 * (degc(day["air_temperature"]) + 273.15)),
        length=lw,
        draft=draft,
        weight=mass * GRAVITY,
        skin=skin,
        transom=form["transom_area_ratio"] * bw * draft,
        form=form,
        leg_area=kind["outboard_drag_area_m2"] if given.get("outboard") == "down" else 0.0,
        waves=kind["waves"],
        frontal=frontal,
        lateral=sum(piece[1] for piece in pieces),
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


def lying(boat, wind, wind_from, stream, toward):
    """
    Heading at which nothing pushes a held boat sideways: walk from the stream to the wind.

    The first angle off the stream at which the stream outweighs the wind is the one taken.
    """
    away = toward + 180.0
    delta = wrapped(wind_from - away)

    def sideways(alpha):
        blow = -wind_push(boat, wind, abs(delta) - alpha)[1]
        return blow - side_grip(boat) * (stream * math.sin(math.radians(alpha))) ** 2

    count = 1 + int(abs(delta) / 0.5)
    low, high = 0.0, abs(delta)
    for k in range(1, count + 1):
        alpha = abs(delta) * k / count
        if sideways(alpha) <= 0.0:
            low, high = abs(delta) * (k - 1) / count, alpha
            break
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if sideways(middle) <= 0.0 else (middle, high)
    # A calm leaves nothing to walk for: the bow stays to the stream.
    alpha = 0.0 if wind == 0.0 else 0.5 * (low + high)
    return (away + math.copysign(alpha, delta)) % 360.0


def hold(boat, wind, wind_from, stream, toward):
    """Thrust ahead (negative: astern), water into the propeller, heading."""
    heading = lying(boat, wind, wind_from, stream, toward)
    ahead = -stream * math.cos(math.radians(toward - heading))
    thrust = -(wind_push(boat, wind, wind_from - heading)[0] + drag(boat, ahead))
    return thrust, max(math.copysign(1.0, thrust) * ahead, 0.0), heading


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


def drift(boat, wind, wind_from, stream, toward, *, wanted):
    """Thrust and water into the propeller that slow a drift to the speed wanted."""
    water, air = parts(stream, toward), parts(wind, wind_from + 180.0)
    felt, downwind = polar(air[0] - water[0], air[1] - water[1])
    r = math.sqrt(
        0.5 * boat.air * boat.lateral * boat.show["side_coefficient"] / side_grip(boat)
    )
    leeway = parts(felt * r / (1.0 + r), downwind)
    free, way = polar(water[0] + leeway[0], water[1] + leeway[1])
    if free <= wanted:
        return 0.0, 0.0
    frame = parts(wanted, way)
    past_wind, past_toward = polar(air[0] - frame[0], air[1] - frame[1])
    past_stream, past_set = polar(water[0] - frame[0], water[1] - frame[1])
    thrust, inflow, heading = hold(boat, past_wind, past_toward + 180.0, past_stream, past_set)
    if thrust * math.cos(math.radians(heading - way)) > 0.0:  # it would push the drift along
        return 0.0, 0.0
    return abs(thrust), inflow
