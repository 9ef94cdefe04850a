"""
The loop held to its laws: books that balance, limits, closed forms, one member like many.

What the loop must come to is worked out apart from it: Peukert's law in closed form (the law as
batteries are rated by it: W. Peukert, Elektrotechnische Zeitschrift, 1897, from memory), Ohm's
law and the sum of powers (textbook), and the same day cut finer.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from energysim.assess import read_flows
from energysim.build import build_day
from energysim.physics.motor import electrical_demand
from energysim.plan import stack
from energysim.scenario.load import load_scenario
from energysim.scenario.overlay import overlay
from energysim.simulate import (
    CARRIED,
    CURRENT_LIMIT,
    CUT_OFF,
    DROP_OUT,
    EMPTY,
    FULL_THROTTLE,
    one_member,
    read_books,
    simulate,
)

from .making import MOTOR, assert_same_flows, bank, demand, flat, power_demand, runtime_h

SHIPPED = sorted((Path(__file__).parents[2] / "scenarios").glob("*/*.toml"))
shipped = pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)


def run_alone(path, **changes):
    loaded = load_scenario(path)
    if changes:
        from energysim.scenario.whatif import changed  # noqa: PLC0415

        loaded = changed(loaded, changes)
    plan = build_day(loaded)
    return plan, simulate(plan.demand, plan.bank, plan.motor)


# The books.


@shipped
def test_the_ledger_is_the_sum_of_current_times_time_on_every_shipped_day(path):
    plan, flows = run_alone(path)
    hours = plan.demand.step_s * flows.carried_share / 3600.0
    drawn = np.cumsum(flows.current_a * hours, axis=0)
    energy = np.cumsum(flows.current_a * flows.bank_voltage_v * hours, axis=0)
    assert_allclose(flows.drawn_ah[1:], drawn, rtol=1e-9, atol=1e-12)
    assert_allclose(flows.drawn_wh[1:], energy, rtol=1e-9, atol=1e-12)
    assert flows.drawn_ah[-1, 0] > 1.0


@shipped
def test_what_leaves_the_rest_voltage_is_heat_motor_or_house_on_every_shipped_day(path):
    plan, flows = run_alone(path)
    current = flows.current_a
    source = flows.emf_v * current
    heat = current**2 * flows.resistance_ohm
    motor = np.divide(
        flows.motor_power_w,
        flows.carried_share,
        out=np.zeros_like(current),
        where=flows.carried_share > 0.0,
    )
    house = np.where(flows.level[:-1] > 0.0, plan.bank.house_load_w, 0.0)
    carried = flows.limit == CARRIED
    assert carried.any()
    assert_allclose((heat + motor + house)[carried], source[carried], rtol=1e-9, atol=1e-9)


def test_without_peukert_the_availability_is_the_ledger():
    thrust = np.linspace(20.0, 250.0, 200)[:, None]
    flows = simulate(demand(thrust), bank(exponent=1.0), MOTOR)
    assert_allclose(1.0 - flows.level, flows.drawn_ah / 100.0, rtol=0.0, atol=1e-12)


@shipped
def test_halving_the_step_moves_the_end_of_every_shipped_day_by_less_than_a_tenth_of_a_point(
    path,
):
    for law in ("kinetic", "peukert"):
        ends = {}
        for step in (60, 30):
            plan, flows = run_alone(path, **{"day.step": f"{step} s", "bank.law": law})
            ends[step] = read_books(flows, plan.bank, plan.demand.step_s).soc[-1, 0]
        assert 0.05 < ends[60] < 0.95
        assert abs(ends[60] - ends[30]) < 1e-3


# Closed forms.


@pytest.mark.parametrize("memory_s", [0.0, 900.0], ids=["bare-law", "remembered"])
@pytest.mark.parametrize("exponent", [1.0, 1.15, 1.35])
@pytest.mark.parametrize("current_a", [5.0, 11.0, 48.0])
def test_a_constant_load_lasts_as_long_as_peukert_says(current_a, exponent, memory_s):
    # T = H (C / (I H))^k: here the answer falls inside a step, at no step's edge.
    expected = 20.0 * (100.0 / (current_a * 20.0)) ** exponent
    step_s = 420.0
    asked = power_demand(24.0 * current_a, steps=300, step_s=step_s)
    flows = simulate(asked, flat(exponent=exponent, memory_s=memory_s), MOTOR)
    assert runtime_h(flows, step_s) == pytest.approx(expected, rel=1e-9)
    assert flows.drawn_ah[-1, 0] == pytest.approx(current_a * expected, rel=1e-9)


def test_the_hand_worked_case_of_a_quarter_of_an_hour():
    # 480 W from 24 V is 20 A; 15 min of it is 5 Ah and 120 Wh. Rated 100 Ah at 5 A, k = 1.2:
    # the bank loses 5 Ah x 4^0.2 = 6.598 Ah of its 100.
    flows = simulate(power_demand(480.0, steps=15), flat(), MOTOR)
    assert flows.drawn_ah[-1, 0] == pytest.approx(5.0, rel=1e-12)
    assert flows.drawn_wh[-1, 0] == pytest.approx(120.0, rel=1e-12)
    assert flows.level[-1, 0] == pytest.approx(1.0 - 0.05 * 4.0**0.2, rel=1e-12)


def test_a_load_below_the_rated_current_gives_no_more_than_the_label():
    asked = power_demand(24.0 * 2.0, steps=600, step_s=600.0)
    flows = simulate(asked, flat(exponent=1.3), MOTOR)
    assert flows.drawn_ah[-1, 0] == pytest.approx(100.0, rel=1e-9)


def test_the_voltage_under_load_is_ohms_law():
    # 500 W through 22 mohm from 25.4 V: I = (25.4 - sqrt(25.4^2 - 4 x 0.022 x 500)) / 0.044.
    expected = (25.4 - (25.4**2 - 4.0 * 0.022 * 500.0) ** 0.5) / 0.044
    flows = simulate(power_demand(500.0, steps=1), bank(), MOTOR)
    assert flows.current_a[0, 0] == pytest.approx(expected, rel=1e-12)
    assert flows.bank_voltage_v[0, 0] == pytest.approx(25.4 - 0.012 * expected, rel=1e-12)
    assert flows.bus_voltage_v[0, 0] == pytest.approx(25.4 - 0.022 * expected, rel=1e-12)


def test_a_rest_gives_back_nothing_and_costs_nothing():
    thrust = np.array([[200.0]] * 30 + [[0.0]] * 60)
    flows = simulate(demand(thrust), bank(), MOTOR)
    assert (flows.level[31:] == flows.level[30]).all()
    assert (flows.drawn_ah[31:] == flows.drawn_ah[30]).all()


# One like many.


def test_a_day_among_other_days_is_the_same_day(plain_day, load_raw):
    changes = (
        {},
        {"bank.battery": "27-lfp", "wind.speed": "25 kn", "wind.gust": "30 kn"},
        {"leg[1].for": "11 h", "bank.start_soc": 0.4, "bank.house_load": "40 W"},
        {"leg[1].for": "40 min", "bank.parallel": 2, "day.step": "20 s"},
    )
    plans = [build_day(load_raw(overlay(plain_day(), change))) for change in changes]
    together = simulate(*stack(plans), plans[0].motor)
    assert len({len(plan.demand.step_s) for plan in plans}) > 2
    for number, plan in enumerate(plans):
        alone = simulate(plan.demand, plan.bank, plan.motor)
        member = one_member(together, number, steps=len(plan.demand.step_s), bank=plan.bank)
        assert_same_flows(member, alone)


def test_steps_of_no_length_change_nothing():
    thrust = np.full((40, 1), 150.0)
    plain = simulate(demand(thrust), bank(), MOTOR)
    padded = demand(np.repeat(thrust, 2, axis=0), step_s=np.array([[60.0], [0.0]] * 40))
    flows = simulate(padded, bank(), MOTOR)
    assert_allclose(flows.level[::2], plain.level, rtol=1e-14)
    assert_allclose(flows.drawn_wh[::2], plain.drawn_wh, rtol=1e-14)


# Limits.

WEAK = {"resistance_full_ohm": 0.175, "cable_ohm": 0.0}
LIMITS = [
    pytest.param({"thrust": 900.0}, {"current_limit_a": 500.0}, FULL_THROTTLE, id="full"),
    pytest.param({"thrust": 300.0}, {"current_limit_a": 20.0}, CURRENT_LIMIT, id="current"),
    pytest.param(
        {"thrust": 250.0},
        {"cable_ohm": 0.35, "cutoff_voltage_v": 12.0, "lowest_voltage_v": 22.0},
        DROP_OUT,
        id="drop-out",
    ),
    pytest.param({"thrust": 250.0}, WEAK | {"lowest_voltage_v": 10.0}, CUT_OFF, id="cut-off"),
    pytest.param({"thrust": 250.0}, {"start_soc": 0.0}, EMPTY, id="empty"),
    pytest.param({"thrust": 50.0}, {}, CARRIED, id="carried"),
]


@pytest.mark.parametrize(("asked", "changes", "code"), LIMITS)
def test_each_limit_is_named_and_holds_what_it_limits(asked, changes, code):
    wanted = asked["thrust"]
    held = bank(**changes)
    flows = simulate(demand(np.full((5, 1), wanted)), held, MOTOR)
    assert (flows.limit == code).all()
    delivered = flows.thrust_n[:, 0]
    if code == CARRIED:
        assert (delivered == wanted).all()
        return
    assert (delivered < wanted).all()
    if code == CURRENT_LIMIT:
        assert_allclose(flows.motor_current_a, 20.0, rtol=1e-12)
    if code == DROP_OUT:
        assert_allclose(flows.bus_voltage_v, 22.0, rtol=1e-12)
    if code == CUT_OFF:
        assert_allclose(flows.bank_voltage_v, 21.0, rtol=1e-12)
    if code == EMPTY:
        assert (delivered == 0.0).all()
        assert (flows.current_a == 0.0).all()
        assert (flows.bus_voltage_v == flows.emf_v).all()
    else:
        # What is left still pushes: the thrust its own power makes (and no more of it).
        assert (delivered > 0.0).all()
        need = electrical_demand(delivered, inflow_mps=0.0, motor=MOTOR).power_w
        assert (need <= flows.motor_power_w[:, 0] * 1.02).all()


def test_the_moment_the_bank_runs_empty_does_not_depend_on_the_step():
    moments = []
    for step_s, steps in ((60.0, 400), (1.0, 24000)):
        held = flat(exponent=1.25)
        flows = simulate(power_demand(900.0, steps=steps, step_s=step_s), held, MOTOR)
        moments.append(runtime_h(flows, step_s) * 3600.0)
    assert moments[0] == pytest.approx(moments[1], abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("changes", "reading"),
    [
        pytest.param({"wind.speed": "35 kn"}, "limit_reached_s", id="limit"),
        pytest.param({"wind.speed": "40 kn"}, "cutoff_reached_s", id="cut-off"),
        pytest.param({"wind.speed": "60 kn"}, "cutoff_reached_s", id="cut-off-at-full"),
        pytest.param(
            {
                "wind.speed": "40 kn",
                "bank.cutoff_voltage": "5 V",
                "motor.lowest_voltage": "5 V",
            },
            "cutoff_reached_s",
            id="empty",
        ),
    ],
)
def test_the_moments_a_day_reaches_its_ends_lie_inside_the_step(
    plain_day, load_raw, changes, reading
):
    moments = []
    for step in ("60 s", "1 s"):
        raw = overlay(plain_day(), changes | {"wind.gust": "90 kn", "day.step": step})
        plan = build_day(load_raw(raw))
        flows = simulate(plan.demand, plan.bank, plan.motor)
        moments.append(getattr(read_flows(plan, flows), reading))
    assert moments[1] > 1800.0
    assert moments[0] % 60.0 != 0.0
    # The rest table bends near empty, and the line through a step does not: half a step.
    assert moments[0] == pytest.approx(moments[1], abs=30.0)


# Near the surface.


def test_a_limited_motor_near_the_surface_gives_what_its_own_propeller_can():
    asked = demand(np.full((3, 1), 250.0))
    ratios = {"thrust_ratio": np.full((3, 1), 0.6), "torque_ratio": np.full((3, 1), 0.65)}
    held = bank(current_limit_a=20.0, start_soc=0.9)
    flows = simulate(replace(asked, **ratios), held, MOTOR)
    wet = replace(MOTOR, thrust_factor=0.6, torque_factor=0.65)
    assert (flows.limit == CURRENT_LIMIT).all()
    assert_allclose(flows.motor_current_a, 20.0)
    # What it gives takes, with that propeller, just the power that flows.
    power = electrical_demand(flows.thrust_n, inflow_mps=0.0, motor=wet).power_w
    assert_allclose(power, flows.bus_voltage_v * 20.0, rtol=1e-6)
    # An ideal one would keep 0.6 / 0.65^(2/3) of its thrust at one power (momentum theory).
    left = flows.thrust_n / simulate(asked, held, MOTOR).thrust_n
    assert_allclose(left, 0.6 * 0.65 ** (-2.0 / 3.0), rtol=0.02)
