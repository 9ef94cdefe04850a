"""
From the gusty, bursting, choppy thrust of a step to the power the bank gives: held to its laws.

The mean over the gusts is held to closed forms and to convexity (textbook: Jensen's
inequality), bursts to the weighted sum of on and off (textbook) on the motor's own curve and to
momentum theory (textbook: ideal power goes with thrust to the power 1.5 at a standstill).
"""

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from energysim.build.gusts import gusty_winds
from energysim.demand import Wanted, demand_on_the_bank, mean_demand
from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.calibrate import POUND_FORCE_N, motor_from_label
from energysim.physics.drive import wet_motor
from energysim.physics.motor import (
    electrical_demand,
    full_throttle,
    idle_current_quadratic,
    thrust_at_power,
)
from energysim.physics.motor_factor import hungrier_motor

MOTOR = motor_from_label(
    80.0 * POUND_FORCE_N,
    rated_voltage_v=24.0,
    max_current_a=56.0,
    diameter_m=None,
    blades=3,
    pitch_ratio=0.6,
    idle_current_a=0.3,
    switching_loss=0.01,
    thrust_deduction=0.05,
    fouling=0.0,
    control="pwm",
    current_limit_a=None,
    water_density_kgpm3=1000.0,
    series=WAGENINGEN_B,
).motor
IDEAL = replace(
    MOTOR, winding_resistance_ohm=1e-9, no_load_current_a=0.0, idle_power_w=0.0,
    switching_loss=0.0,
)  # fmt: skip
STILL_MOST_N = float(full_throttle(24.0, inflow_mps=0.0, motor=MOTOR)[0])
N_PER_SQUARE = 0.9  # thrust over wind squared of an invented boat held at one heading


def power_w(thrust_n, *, inflow_mps=0.0, motor=MOTOR):
    return electrical_demand(thrust_n, inflow_mps=inflow_mps, motor=motor).power_w


def steps(
    wind_mps,
    *,
    intensity=0.0,
    duty=1.0,
    stream_n=0.0,
    inflow_mps=0.0,
    gust_n=None,
    ratios=(1.0, 1.0),
    in_use=True,
):
    """What an invented boat at one heading asks for: a part with the stream, one with U^2."""
    wind, intensity, duty, stream_n, inflow = (
        np.array(each, dtype=np.float64)
        for each in np.broadcast_arrays(
            np.atleast_1d(wind_mps), intensity, duty, stream_n, inflow_mps
        )
    )
    winds, share, deviation = gusty_winds(wind, intensity)
    nodes = stream_n + N_PER_SQUARE * winds**2
    mean = stream_n + N_PER_SQUARE * wind**2
    full = np.ones(wind.shape)
    return Wanted(
        step_s=60.0 * full,
        thrust_n=mean,
        inflow_mps=inflow,
        node_thrust_n=nodes,
        node_inflow_mps=inflow + 0.0 * winds,
        node_share=share,
        node_deviation=deviation,
        gust_thrust_n=mean if gust_n is None else gust_n * full,
        gust_inflow_mps=inflow,
        duty=duty,
        in_use=np.full(wind.shape, in_use),
        thrust_ratio=ratios[0] * full,
        torque_ratio=ratios[1] * full,
    )


def mean_power_w(wanted, *, motor=MOTOR, limit_a=math.inf):
    demand, _ = demand_on_the_bank(wanted, motor, current_limit_a=limit_a)
    return demand.power_w[:, 0]


# Gusts.


def test_without_gusts_the_power_is_that_of_the_thrust():
    wanted = steps([0.0, 4.0, 9.0, 14.0])
    demand, in_gust = demand_on_the_bank(wanted, MOTOR, current_limit_a=math.inf)
    expected = power_w(N_PER_SQUARE * np.array([0.0, 4.0, 9.0, 14.0]) ** 2)
    assert_allclose(demand.power_w[:, 0], expected, rtol=1e-12)
    assert_allclose(in_gust, expected, rtol=1e-12)
    assert_allclose(demand.thrust_n[:, 0], wanted.thrust_n)


def test_the_mean_power_is_the_mean_of_the_powers_not_the_power_of_the_mean():
    # By hand: five winds, each with its own thrust and its own power, weighed by their share.
    wanted = steps(10.0, intensity=0.2)
    expected = 0.0
    for thrust, share in zip(wanted.node_thrust_n[:, 0], wanted.node_share, strict=True):
        expected += share * float(power_w(thrust))
    assert mean_power_w(wanted)[0] == pytest.approx(expected, rel=1e-12)
    assert expected > 1.04 * float(power_w(wanted.thrust_n[0]))


@settings(max_examples=50, deadline=None)
@given(
    wind=st.floats(0.0, 11.0),
    intensity=st.floats(0.0, 0.35),
    stream_n=st.floats(0.0, 60.0),
    duty=st.floats(0.6, 1.0),
)
def test_gusts_never_cost_less_than_their_mean_where_the_motor_can_follow(
    wind, intensity, stream_n, duty
):
    gusty = steps(wind, intensity=intensity, stream_n=stream_n, duty=duty)
    calm = steps(wind, intensity=0.0, stream_n=stream_n, duty=duty)
    most = STILL_MOST_N * duty
    if gusty.node_thrust_n.max() < most:
        assert mean_power_w(gusty)[0] >= mean_power_w(calm)[0] * (1.0 - 1e-9)


@settings(max_examples=50, deadline=None)
@given(
    wind=st.floats(1.0, 11.0),
    less=st.floats(0.0, 0.35),
    more=st.floats(0.0, 0.35),
    inflow=st.floats(0.0, 1.2),
)
def test_at_a_fixed_heading_more_gust_never_costs_less(wind, less, more, inflow):
    less, more = sorted((less, more))
    powers = mean_power_w(steps([wind, wind], intensity=[less, more], inflow_mps=inflow))
    most = float(full_throttle(24.0, inflow_mps=inflow, motor=MOTOR)[0])
    if N_PER_SQUARE * (wind * (1.0 + 2.86 * more)) ** 2 < most:
        assert powers[1] >= powers[0] * (1.0 - 1e-9)


def test_a_gust_beyond_the_motor_costs_what_the_motor_can_take_and_no_more():
    wanted = steps(14.0, intensity=0.3)
    assert wanted.thrust_n[0] < STILL_MOST_N < wanted.node_thrust_n[-1, 0]
    expected = np.average(
        power_w(np.minimum(wanted.node_thrust_n[:, 0], STILL_MOST_N)), weights=wanted.node_share
    )
    assert mean_power_w(wanted)[0] == pytest.approx(expected, rel=1e-9)
    assert expected < float(power_w(STILL_MOST_N))


def test_a_mean_beyond_the_motor_is_asked_in_full_so_that_the_loop_sees_the_shortfall():
    wanted = steps(25.0, intensity=0.2)
    demand, _ = demand_on_the_bank(wanted, MOTOR, current_limit_a=math.inf)
    assert demand.power_w[0, 0] == pytest.approx(float(power_w(N_PER_SQUARE * 625.0)))
    assert demand.needed_voltage_v[0, 0] > 24.0


def test_a_current_limit_caps_the_gusts_at_its_own_power():
    wanted = steps(9.0, intensity=0.35)
    most = float(thrust_at_power(15.0 * 24.0, inflow_mps=0.0, motor=MOTOR))
    assert wanted.thrust_n[0] < most < wanted.node_thrust_n[-1, 0]
    limited = mean_power_w(wanted, limit_a=15.0)[0]
    expected = np.average(
        power_w(np.minimum(wanted.node_thrust_n[:, 0], most)), weights=wanted.node_share
    )
    assert limited == pytest.approx(expected, rel=1e-6)
    assert limited < mean_power_w(wanted)[0]


# Bursts.


@pytest.mark.parametrize("intensity", [0.0, 0.2], ids=["steady-wind", "gusts"])
def test_a_burst_that_never_stops_is_a_steady_hold(intensity):
    winds = np.linspace(0.0, 15.0, 7)
    steady = steps(winds, intensity=intensity)
    nearly = steps(winds, intensity=intensity, duty=1.0 - 1e-9)
    assert_allclose(mean_power_w(nearly), mean_power_w(steady), rtol=1e-7)


@pytest.mark.parametrize("duty", [0.9, 0.5, 0.3])
def test_a_burst_costs_its_share_on_and_the_rest_idling(duty):
    thrust = 0.28 * STILL_MOST_N
    wanted = steps(math.sqrt(thrust / N_PER_SQUARE), duty=duty)
    expected = duty * float(power_w(thrust / duty)) + (1.0 - duty) * float(MOTOR.idle_power_w)
    assert mean_power_w(wanted)[0] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("duty", [0.8, 0.5, 0.25])
def test_a_propeller_without_losses_pays_the_root_of_the_duty(duty):
    # Momentum theory: P goes with T^1.5, so D (1/D)^1.5 = D^-1/2, at any load the motor has.
    wanted = steps([5.0, 7.0, 9.0], duty=duty)
    steady = steps([5.0, 7.0, 9.0])
    ratio = mean_power_w(wanted, motor=IDEAL) / mean_power_w(steady, motor=IDEAL)
    assert_allclose(ratio, duty**-0.5, rtol=1e-6)


def test_bursts_cost_a_real_motor_the_more_the_heavier_the_load():
    # Its standing losses are paid only while it runs, and hide the penalty at a light load.
    winds = np.array([2.0, 4.0, 6.0, 8.0, 10.0, 13.0])
    assert N_PER_SQUARE * winds[-1] ** 2 < 0.5 * STILL_MOST_N
    ratio = mean_power_w(steps(winds, duty=0.5)) / mean_power_w(steps(winds))
    assert np.all(np.diff(ratio) > 0.0)
    assert ratio[0] < 1.05
    assert ratio[-1] == pytest.approx(math.sqrt(2.0), rel=0.1)


def test_a_burst_too_short_for_its_thrust_lasts_longer():
    # A tenth of the time cannot give it: it runs at its most for as long as it takes.
    thrust = 0.4 * STILL_MOST_N
    wanted = steps(math.sqrt(thrust / N_PER_SQUARE), duty=0.1)
    expected = 0.4 * float(power_w(STILL_MOST_N)) + 0.6 * float(MOTOR.idle_power_w)
    assert mean_power_w(wanted)[0] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("duty", [1.0, 0.5, 0.1])
def test_a_hold_is_lost_where_running_all_the_time_would_lose_it_and_not_before(duty):
    wanted = steps([6.0, 10.0, 14.0], duty=duty)
    demand, _ = demand_on_the_bank(wanted, MOTOR, current_limit_a=math.inf)
    steady = electrical_demand(wanted.thrust_n, inflow_mps=0.0, motor=MOTOR)
    assert_allclose(demand.needed_voltage_v[:, 0], steady.motor_voltage_v)


@pytest.mark.parametrize(
    ("gust_share", "duty", "on_share"),
    [(0.3, 1.0, 0.3), (0.3, 0.5, 0.6), (0.3, 0.1, 1.0), (1.4, 0.5, 1.4)],
    ids=["steady", "twice-the-thrust", "at-its-most", "beyond-it"],
)
def test_the_power_in_the_gust_is_that_of_a_running_motor(gust_share, duty, on_share):
    wanted = steps(5.0, duty=duty, gust_n=gust_share * STILL_MOST_N)
    _, in_gust = demand_on_the_bank(wanted, MOTOR, current_limit_a=math.inf)
    assert in_gust[0] == pytest.approx(float(power_w(on_share * STILL_MOST_N)), rel=1e-9)


# The propeller near the surface, and the bow motor out of the water.


def test_a_propeller_near_the_surface_takes_more_power_for_the_same_thrust():
    winds = [5.0, 8.0, 11.0]
    dry = mean_power_w(steps(winds, ratios=(0.7, 0.74)))
    # By the scaling law of propellers: speed up by 0.7^-1/2, torque by 0.74 / 0.7.
    ideal = mean_power_w(steps(winds, ratios=(0.7, 0.74)), motor=IDEAL)
    assert_allclose(
        ideal / mean_power_w(steps(winds), motor=IDEAL), 0.74 * 0.7**-1.5, rtol=1e-6
    )
    assert np.all(dry > mean_power_w(steps(winds)))


def test_a_propeller_near_the_surface_has_less_at_its_end():
    wet = wet_motor(MOTOR, thrust_ratio=np.array([0.5]), torque_ratio=np.array([0.55]))
    most = float(full_throttle(24.0, inflow_mps=np.zeros(1), motor=wet)[0][0])
    assert most < 0.8 * STILL_MOST_N
    wanted = steps(math.sqrt(0.9 * STILL_MOST_N / N_PER_SQUARE), ratios=(0.5, 0.55))
    demand, _ = demand_on_the_bank(wanted, MOTOR, current_limit_a=math.inf)
    assert demand.needed_voltage_v[0, 0] > 24.0
    full = demand.thrust_quadratic[:, 0, 0] @ [1.0, 24.0, 24.0**2]
    assert full == pytest.approx(most, rel=1e-6)


def test_a_motor_not_in_use_takes_nothing():
    demand, in_gust = demand_on_the_bank(
        steps([8.0, 8.0], in_use=False), MOTOR, current_limit_a=math.inf
    )
    assert not demand.power_w.any()
    assert not in_gust.any()


def test_a_calm_costs_a_waiting_motor_its_idling():
    assert mean_power_w(steps(0.0, intensity=0.1))[0] == pytest.approx(
        float(MOTOR.idle_power_w)
    )


def test_many_steps_are_each_step_alone():
    winds, duties = [3.0, 9.0, 14.0, 22.0], [1.0, 0.5, 0.2, 0.7]
    together = steps(winds, intensity=[0.05, 0.2, 0.35, 0.2], duty=duties, inflow_mps=0.4)
    alone = [
        mean_power_w(steps(wind, intensity=spread, duty=duty, inflow_mps=0.4))[0]
        for wind, spread, duty in zip(winds, [0.05, 0.2, 0.35, 0.2], duties, strict=True)
    ]
    assert_allclose(mean_power_w(together), alone, rtol=1e-12)


# Many members.

WINDS = np.array([0.0, 5.0, 9.0, 12.0, 16.0, 19.0])
MEMBERS = 4


def members_and_each_alone(limit_a, duty, ratios):
    """Lay four days with winds of their own side by side; return them, and each alone."""
    wind = WINDS[:, None] * np.array([0.8, 1.0, 1.1, 1.3])
    flow = np.array([0.2, 0.5, 0.0, 1.1])
    each = {"intensity": 0.2, "duty": duty, "ratios": ratios}
    alone = [
        steps(wind[:, member], inflow_mps=flow[member], **each) for member in range(MEMBERS)
    ]
    names = {"node_share", "node_deviation"}
    laid = {
        one.name: getattr(alone[0], one.name)
        if one.name in names
        else np.stack([getattr(day, one.name) for day in alone], axis=-1)
        for one in fields(Wanted)
    }
    together = mean_demand(
        Wanted(**laid), MOTOR, current_limit_a=limit_a, power_factor=POWER_FACTOR
    )
    days = [
        mean_demand(day, hungrier_motor(MOTOR, power_factor=factor), current_limit_a=limit_a)
        for day, factor in zip(alone, POWER_FACTOR, strict=True)
    ]
    return together, days


POWER_FACTOR = np.array([0.8, 1.0, 1.15, 1.4])


@pytest.mark.parametrize("limit_a", [math.inf, 40.0], ids=["free", "limited"])
@pytest.mark.parametrize("duty", [1.0, 0.5], ids=["steady", "bursts"])
@pytest.mark.parametrize("ratios", [(1.0, 1.0), (0.8, 0.85)], ids=["deep", "near-surface"])
def test_members_ask_for_what_each_asks_alone_of_its_own_motor(limit_a, duty, ratios):
    together, days = members_and_each_alone(limit_a, duty, ratios)
    for one in fields(type(together)):
        if one.name == "supply_w":
            continue
        expected = np.concatenate([getattr(day, one.name) for day in days], axis=-1)
        # Newton's method on another motor of the same power: the last digits differ.
        assert_allclose(getattr(together, one.name), expected, rtol=2e-4, atol=1e-9)


def test_the_idle_part_of_full_throttle_is_that_of_a_motor_that_draws_nothing_else():
    coefficients = idle_current_quadratic(MOTOR)
    volts = np.array([0.66, 1.0, 1.19]) * 24.0
    assert_allclose(
        coefficients @ volts ** np.arange(3)[:, None], MOTOR.idle_power_w / volts, rtol=1e-9
    )
