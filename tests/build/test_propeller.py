"""
The shaft against the chop: what is left of the propeller, and the shaft that would do.

What a propeller near the surface keeps is held to its law in tests/physics; here, that a day
asks it for the right depth and motion. How much of a shaft stays above the mount is common
practice, no source.
"""

import math
import re

import numpy as np
import pytest
from numpy.testing import assert_allclose

from energysim.build import build_day
from energysim.build.propeller import (
    HEAD_ABOVE_MOUNT_M,
    LARGEST_LOSS,
    TIPS_OUT,
    TORQUE_EXPONENT,
)
from energysim.physics.bow_motion import bow_response, relative_bow_motion_m
from energysim.physics.immersion import mean_thrust_ratio, mean_torque_ratio
from energysim.physics.motor import electrical_demand
from energysim.runner import run_day
from energysim.scenario.overlay import overlay

ROUGH = {"wind.speed": "20 kn", "wind.gust": "27 kn", "chop.fetch": "5 km"}


@pytest.fixture(scope="module")
def built(plain_day, load_raw):
    return lambda *changes: build_day(load_raw(overlay(plain_day(), merge(changes))))


def merge(changes):
    return {key: value for change in changes for key, value in change.items()}


def warned(plan):
    """The warning about a short shaft, if there is one."""
    found = [warning for warning in plan.warnings if "near the surface" in warning]
    return found[0] if found else None


def bow_motion_m(plan):
    """Of the bow against the water: the wind raises the chop, and the boat lies to it."""
    around, hull = plan.surroundings, plan.boat.hull
    response = bow_response(
        float(hull.length_wl_m), beam_wl_m=float(hull.beam_wl_m),
        motor_ahead_m=float(hull.bow_motor_m),
    )  # fmt: skip
    return relative_bow_motion_m(
        around.wave_height_m, wavelength_m=around.wave_length_m, cosine=1.0, response=response
    )


def test_a_shaft_nobody_states_is_long_enough_and_the_day_says_so(built):
    plan = built(ROUGH)
    assert_allclose(plan.wanted.thrust_ratio, 1.0, rtol=0.0)
    assert_allclose(plan.wanted.torque_ratio, 1.0, rtol=0.0)
    assert any("shaft long enough" in note for note in plan.assumptions)
    assert warned(plan) is None


def test_a_long_shaft_leaves_everything(built):
    plan = built(ROUGH, {"motor.shaft_length": "72 in"})
    assert_allclose(plan.wanted.thrust_ratio, 1.0, atol=1e-12)
    assert_allclose(plan.wanted.torque_ratio, 1.0, atol=1e-12)
    assert warned(plan) is None
    assert_allclose(plan.demand.power_w, built(ROUGH).demand.power_w, rtol=1e-12)


def test_a_short_shaft_leaves_what_the_law_says_at_this_depth_and_motion(built):
    plan = built(ROUGH, {"motor.shaft_length": "36 in", "boat.bow_height": "50 cm"})
    motion = bow_motion_m(plan)
    depth = 36 * 0.0254 - 0.5 - HEAD_ABOVE_MOUNT_M
    radius = 0.5 * float(plan.motor.diameter_m)
    thrust = mean_thrust_ratio(depth, motion_sd_m=motion, propeller_radius_m=radius)
    torque = mean_torque_ratio(
        depth, motion_sd_m=motion, propeller_radius_m=radius, exponent=TORQUE_EXPONENT
    )
    assert_allclose(plan.wanted.thrust_ratio, thrust, atol=0.002)
    assert_allclose(plan.wanted.torque_ratio, torque, atol=0.002)
    assert 0.1 < thrust[0] < torque[0] < 0.95


def test_a_short_shaft_costs_power_and_thrust(built, plain_day, load_raw):
    short = built(ROUGH, {"motor.shaft_length": "36 in"})
    long = built(ROUGH)
    assert (short.demand.power_w > long.demand.power_w).all()
    assert_allclose(short.demand.thrust_n, long.demand.thrust_n)
    at_rated = [1.0, 24.0, 24.0**2]
    assert (
        np.tensordot(at_rated, short.demand.thrust_quadratic, axes=1)
        < 0.9 * np.tensordot(at_rated, long.demand.thrust_quadratic, axes=1)
    ).all()
    calm_power = electrical_demand(
        short.wanted.thrust_n, inflow_mps=short.wanted.inflow_mps, motor=short.motor
    )
    assert (calm_power.power_w < short.demand.power_w[:, 0]).all()
    # To its end: what the motor still has falls short of what it would have in flat water.
    strong = ROUGH | {"wind.speed": "38 kn", "wind.gust": "46 kn", "leg[1].for": "1 h"}
    held, lost = (
        run_day(load_raw(overlay(plain_day(), strong | shaft)), with_changes=False)
        for shaft in ({}, {"motor.shaft_length": "36 in"})
    )
    assert held.series["thrust_available"].min() > lost.series["thrust_available"].max()
    assert lost.off_station_s > held.off_station_s


def test_every_longer_shaft_leaves_at_least_as_much(built):
    least = [
        built(ROUGH, {"motor.shaft_length": f"{inches} in"}).wanted.thrust_ratio.min()
        for inches in (24, 30, 36, 42, 48, 54, 60)
    ]
    assert least == sorted(least)
    assert least[0] < 0.1
    assert least[-1] > 0.99


@pytest.mark.parametrize("shaft", ["40 cm", "30 in", "36 in"])
def test_the_warning_names_the_shaft_that_would_do(built, shaft):
    said = warned(built(ROUGH, {"motor.shaft_length": shaft}))
    inches = int(re.search(r"a shaft of (\d+) in", said)[1])
    enough = built(ROUGH, {"motor.shaft_length": f"{inches} in"})
    assert warned(enough) is None
    assert enough.wanted.thrust_ratio.min() >= 1.0 - LARGEST_LOSS
    # And none much shorter would have done: lengths are sold by the even inch or more.
    assert warned(built(ROUGH, {"motor.shaft_length": f"{inches - 3} in"})) is not None


def test_the_warning_says_what_is_left_at_the_worst(built):
    plan = built(ROUGH, {"motor.shaft_length": "36 in"})
    assert f"at worst {plan.wanted.thrust_ratio.min():.0%}" in warned(plan)


def test_the_bow_is_a_quarter_above_the_freeboard_unless_it_is_said(built):
    taken = built(ROUGH, {"motor.shaft_length": "36 in"})
    given = built(ROUGH, {"motor.shaft_length": "36 in", "boat.bow_height": "22.5 in"})
    assert_allclose(taken.wanted.thrust_ratio, given.wanted.thrust_ratio, atol=1e-9)
    assert any("bow mount is 0.57 m (1 ft 10 in)" in note for note in taken.assumptions)
    assert not any("bow mount" in note for note in given.assumptions)
    higher = built(ROUGH, {"motor.shaft_length": "36 in", "boat.bow_height": "30 in"})
    assert (higher.wanted.thrust_ratio < taken.wanted.thrust_ratio).all()


def test_in_flat_water_only_a_shaft_that_ends_in_the_air_is_short(built):
    deep = built({"motor.shaft_length": "48 in"})
    assert_allclose(deep.wanted.thrust_ratio, 1.0, atol=1e-12)
    dry = built({"motor.shaft_length": "30 in", "boat.bow_height": "30 in"})
    assert (dry.wanted.thrust_ratio < 0.1).all()
    assert warned(dry) is not None


def test_where_the_bow_motor_is_up_the_chop_takes_nothing(built):
    legs = {
        "leg": [
            {"do": "run", "start": "06:00", "for": "30 min"},
            {"do": "hold", "for": "1 h"},
            {"do": "rest", "for": "30 min"},
        ]
    }
    plan = built(ROUGH, legs, {"motor.shaft_length": "36 in"})
    up = plan.leg_of_step != 1
    assert_allclose(plan.wanted.thrust_ratio[up], 1.0, rtol=0.0)
    assert (plan.wanted.thrust_ratio[~up] < 0.95).all()


def test_head_on_to_the_chop_the_bow_moves_more_than_beam_on(built):
    short = {"motor.shaft_length": "40 in"}
    head = built(ROUGH, short, {"leg[1].heading": "wind"}).wanted.thrust_ratio
    beam = built(ROUGH, short, {"leg[1].heading": "315 deg"}).wanted.thrust_ratio
    assert (head < beam).all()


def test_tips_out_of_the_water_point_at_the_look_at_the_shaft_before_thrust_is_lost(built):
    """Where the mean loss is small the rule of the trade may still want a longer shaft."""
    pointed = {}
    for inches in range(36, 76, 2):
        plan = built(ROUGH, {"motor.shaft_length": f"{inches} in", "boat.bow_height": "50 cm"})
        found = [one for one in plan.warnings if "energysim rig looks at the shaft" in one]
        assert not (found and warned(plan))
        pointed[inches] = bool(warned(plan)), bool(found)
        if found:
            radius = 0.5 * float(plan.motor.diameter_m)
            under = inches * 0.0254 - 0.5 - HEAD_ABOVE_MOUNT_M - radius
            tails = [math.erfc(under / sd / math.sqrt(2.0)) for sd in bow_motion_m(plan)]
            share = 0.5 * float(np.mean(tails))
            assert f"{share:.0%} of the time it runs" in found[0]
            assert share >= TIPS_OUT
    # From short to long: warned of, then pointed at, then nothing to say.
    said = [pointed[inches] for inches in sorted(pointed)]
    assert said == sorted(said, key=[(True, False), (False, True), (False, False)].index)
    assert set(said) == {(True, False), (False, True), (False, False)}
