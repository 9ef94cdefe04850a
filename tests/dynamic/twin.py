"""
The held boat followed through its gusts in steps of a tenth of a second.

Shares no code with the package and no numbers but those it is given. The stream is steady and
even, so the boat's motion is worked out in the water's frame; the spot moves through that
frame. No chop, no pitch or roll, a bow motor amidships fore and aft on the centre line, a
position known without error.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .boat import Craft, body_of, water_loads, wind_loads
from .controller import Helm, MotorTable, outside_circle, turned

Array = NDArray[np.float64]

STEP_S = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """Wind and stream of each lane, and where the boat faces at first."""

    wind_mps: Array  # mean at the height of the windage
    wind_from_deg: Array
    stream_mps: Array
    stream_toward_deg: Array
    along_mps: Array  # shape (seconds, lanes): gusts, repeating
    across_mps: Array
    start_heading_deg: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """What was seen over the watch; all of shape (lanes,)."""

    thrust_n: Array  # mean of the motor's push
    power_w: Array  # mean
    rms_m: Array  # bow from the spot
    most_m: Array
    heading_deg: Array  # mean direction
    off_wind_deg: Array  # mean angle between the bow and the mean wind, whichever side
    swing_deg: Array  # spread of the heading about it
    saturated: Array  # share of the time at the motor's limit
    duty: Array  # share of the time the motor turns


def keep_watch(
    craft: Craft,
    *,
    weather: Weather,
    motor: MotorTable,
    helm: Helm,
    settle_s: int,
    watch_s: int,
    step_s: float = STEP_S,
) -> Watch:
    """Return what a watch of so many seconds, after settling, costs and how the boat lies."""
    body = body_of(craft)
    per_second = round(1.0 / step_s)
    mass = body.surge_mass_kg
    spring = mass * helm.quickness_per_s**2
    damper = 2.0 * helm.damping * mass * helm.quickness_per_s
    full = motor.most_at(np.zeros_like(mass))
    blow = np.deg2rad(weather.wind_from_deg + 180.0)
    flow = np.deg2rad(weather.stream_toward_deg)
    flow_north, flow_east = weather.stream_mps * np.cos(flow), weather.stream_mps * np.sin(flow)
    blow_north, blow_east = np.cos(blow), np.sin(blow)
    psi = np.deg2rad(weather.start_heading_deg)
    cos, sin = np.cos(psi), np.sin(psi)
    # Still over the ground, bow on the spot.
    u, v = -(flow_north * cos + flow_east * sin), flow_north * sin - flow_east * cos
    r = np.zeros_like(u)
    north, east = -craft.bow_m * cos, -craft.bow_m * sin
    thrust, aim = np.zeros_like(u), np.zeros_like(u)
    kept_north, kept_east = np.zeros_like(u), np.zeros_like(u)
    sums = np.zeros((8, u.size))
    most = np.zeros_like(u)
    gusts = weather.along_mps.shape[0]
    for step in range((settle_s + watch_s) * per_second):
        second, part = divmod(step, per_second)
        part = part / per_second
        # Settling ends as the series begins anew, so that the watch sees each gust once.
        now, then = (second - settle_s) % gusts, (second + 1 - settle_s) % gusts
        along = (
            weather.wind_mps
            + (1 - part) * weather.along_mps[now]
            + part * (weather.along_mps[then])
        )
        across = (1 - part) * weather.across_mps[now] + part * weather.across_mps[then]
        cos, sin = np.cos(psi), np.sin(psi)

        # The helm.
        bow_north = north + craft.bow_m * cos
        bow_east = east + craft.bow_m * sin
        swing = v + craft.bow_m * r
        going_north = u * cos - swing * sin + flow_north
        going_east = u * sin + swing * cos + flow_east
        out_north, out_east = outside_circle(bow_north, bow_east, helm.watch_circle_m)
        want_north = kept_north - spring * out_north - damper * going_north
        want_east = kept_east - spring * out_east - damper * going_east
        wanted = np.hypot(want_north, want_east)
        turning = wanted > helm.still_share * full
        target = np.arctan2(
            want_east * cos - want_north * sin, want_north * cos + want_east * sin
        )
        aim = np.where(turning, turned(aim, target, np.deg2rad(helm.turn_degps) * step_s), aim)
        aim_cos, aim_sin = np.cos(aim), np.sin(aim)
        inflow = np.maximum(u * aim_cos + swing * aim_sin, 0.0)
        most_now = motor.most_at(inflow)
        asked = np.where(turning, wanted * np.maximum(np.cos(target - aim), 0.0), 0.0)
        at_limit = asked >= most_now
        thrust = thrust + (np.minimum(asked, most_now) - thrust) * (step_s / helm.lag_s)
        # A lasting error is remembered, but no further than the motor can push.
        rate = spring / helm.memory_s * step_s * ~at_limit
        kept_north, kept_east = kept_north - rate * out_north, kept_east - rate * out_east

        # The forces.
        wind_north = along * blow_north - across * blow_east - (u * cos - v * sin + flow_north)
        wind_east = along * blow_east + across * blow_north - (u * sin + v * cos + flow_east)
        air = wind_loads(
            wind_north * cos + wind_east * sin, wind_east * cos - wind_north * sin, craft
        )
        water = water_loads(u, v, r, body)
        push, side = thrust * aim_cos, thrust * aim_sin
        surge = air[0] + water[0] + push + body.sway_mass_kg * v * r
        sway = air[1] + water[1] + side - body.surge_mass_kg * u * r
        yaw = air[2] + water[2] + side * craft.bow_m
        u = u + surge / body.surge_mass_kg * step_s
        v = v + sway / body.sway_mass_kg * step_s
        r = r + yaw / body.yaw_inertia_kgm2 * step_s
        psi = psi + r * step_s
        cos, sin = np.cos(psi), np.sin(psi)
        north = north + (u * cos - v * sin + flow_north) * step_s
        east = east + (u * sin + v * cos + flow_east) * step_s

        if second >= settle_s:
            away = np.hypot(bow_north, bow_east)
            most = np.maximum(most, away)
            sums += (
                thrust,
                motor.power_at(thrust, inflow),
                away * away,
                cos,
                sin,
                at_limit,
                thrust > helm.still_share * full,
                np.abs(np.mod(psi - blow, 2.0 * np.pi) - np.pi),
            )
    mean = sums / (watch_s * per_second)
    steadiness = np.hypot(mean[3], mean[4])
    if not np.isfinite(mean).all():
        raise ValueError("the boat has run away; the step is too long for these forces")
    return Watch(
        thrust_n=mean[0],
        power_w=mean[1],
        rms_m=np.sqrt(mean[2]),
        most_m=most,
        off_wind_deg=np.rad2deg(mean[7]),
        heading_deg=np.mod(np.rad2deg(np.arctan2(mean[4], mean[3])), 360.0),
        swing_deg=np.rad2deg(np.sqrt(-2.0 * np.log(np.clip(steadiness, 1e-12, 1.0)))),
        saturated=mean[5],
        duty=mean[6],
    )
