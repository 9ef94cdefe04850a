"""
The loop held to its laws: books that balance, limits, closed forms, one member like many.

What the loop must come to is worked out apart from it: Peukert's law in closed form (the law as
batteries are rated by it: W. Peukert, Elektrotechnische Zeitschrift, 1897, from memory), Ohm's
law and the sum of powers (textbook), and the same day cut finer.
"""

from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from energysim.assess import read_flows
from energysim.build import build_day
from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.calibrate import POUND_FORCE_N, motor_from_label
from energysim.physics.motor import electrical_demand, full_throttle_quadratics
from energysim.plan import stack
from energysim.runner import one_member
from energysim.scenario.load import load_scenario
from energysim.scenario.overlay import overlay
from energysim.simulate import (
    CARRIED,
    CURRENT_LIMIT,
    CUT_OFF,
    DROP_OUT,
    EMPTY,
    FULL_THROTTLE,
    Bank,
    Demand,
    Flows,
    simulate,
)

SHIPPED = sorted((Path(__file__).parents[1] / "scenarios").glob("*/*.toml"))
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

shipped = pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)


def demand(thrust_n, *, inflow_mps=0.0, step_s=60.0):
    """What a motor asked for these thrusts, (steps, members), would want of the bank."""
    thrust, inflow, step = (
        np.array(part)
        for part in np.broadcast_arrays(np.asarray(thrust_n, float), inflow_mps, step_s)
    )
    need = electrical_demand(thrust, inflow_mps=inflow, motor=MOTOR)
    thrust_quadratic, current_quadratic = full_throttle_quadratics(inflow, motor=MOTOR)
    return Demand(
        step_s=step,
        power_w=np.where(thrust > 0.0, need.power_w, 0.0),
        thrust_n=thrust,
        needed_voltage_v=need.motor_voltage_v,
        inflow_mps=inflow,
        thrust_ratio=np.ones_like(thrust),
        torque_ratio=np.ones_like(thrust),
        thrust_quadratic=thrust_quadratic,
        current_quadratic=current_quadratic,
    )


def bank(members=1, **changes):
    """A 24 V bank of members, strong enough for anything unless told otherwise."""
    plain = {
        "capacity_ah": 100.0,
        "rated_time_h": 20.0,
        "exponent": 1.2,
        "memory_s": 900.0,
        "start_soc": 1.0,
        "series": 2.0,
        "resistance_full_ohm": 0.012,
        "resistance_rise": 2.0,
        "cable_ohm": 0.01,
        "cutoff_voltage_v": 21.0,
        "house_load_w": 0.0,
        "current_limit_a": 56.0,
        "lowest_voltage_v": 19.2,
    } | changes
    tables = plain.pop("emf_tables_v", np.array([[10.5, 11.6, 12.0, 12.3, 12.7]]))
    kinds = np.broadcast_to(plain.pop("emf_kind", 0), members).astype(np.intp)
    arrays = {key: np.broadcast_to(float_(v), members).copy() for key, v in plain.items()}
    return Bank(**arrays, emf_tables_v=tables, emf_kind=kinds)


def float_(value):
    return np.asarray(value, dtype=np.float64)


def flat(**changes):
    """A bank whose voltage never changes: constant power is then constant current."""
    return bank(
        emf_tables_v=np.array([[12.0, 12.0]]), resistance_full_ohm=0.0, cable_ohm=0.0, **changes
    )


def power_demand(power_w, *, steps, step_s=60.0):
    """A constant power, whatever thrust it makes."""
    asked = demand(np.full((steps, 1), 10.0), step_s=step_s)
    return replace(asked, power_w=np.full((steps, 1), float(power_w)))


def runtime_h(flows, step_s):
    """When the bank ran empty, by the part of the step it still carried."""
    step = int(np.argmax(flows.carried_share[:, 0] < 1.0))
    return (step + float(flows.carried_share[step, 0])) * step_s / 3600.0


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
    house = np.where(flows.availability[:-1] > 0.0, plan.bank.house_load_w, 0.0)
    carried = flows.limit == CARRIED
    assert carried.any()
    assert_allclose((heat + motor + house)[carried], source[carried], rtol=1e-9, atol=1e-9)


def test_without_peukert_the_availability_is_the_ledger():
    thrust = np.linspace(20.0, 250.0, 200)[:, None]
    flows = simulate(demand(thrust), bank(exponent=1.0), MOTOR)
    assert_allclose(1.0 - flows.availability, flows.drawn_ah / 100.0, rtol=0.0, atol=1e-12)


@shipped
def test_halving_the_step_moves_the_end_of_every_shipped_day_by_less_than_a_tenth_of_a_point(
    path,
):
    ends = {
        step: run_alone(path, **{"day.step": f"{step} s"})[1].availability[-1, 0]
        for step in (60, 30)
    }
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
    assert flows.availability[-1, 0] == pytest.approx(1.0 - 0.05 * 4.0**0.2, rel=1e-12)


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
    assert (flows.availability[31:] == flows.availability[30]).all()
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
        member = one_member(together, number, len(plan.demand.step_s))
        for field in fields(Flows):
            assert_allclose(
                getattr(member, field.name), getattr(alone, field.name), rtol=1e-12, atol=1e-15
            )


def test_steps_of_no_length_change_nothing():
    thrust = np.full((40, 1), 150.0)
    plain = simulate(demand(thrust), bank(), MOTOR)
    padded = demand(np.repeat(thrust, 2, axis=0), step_s=np.array([[60.0], [0.0]] * 40))
    flows = simulate(padded, bank(), MOTOR)
    assert_allclose(flows.availability[::2], plain.availability, rtol=1e-14)
    assert_allclose(flows.drawn_wh[::2], plain.drawn_wh, rtol=1e-14)


# Limits.

WEAK = {"resistance_full_ohm": 0.35, "cable_ohm": 0.0}
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
    assert moments[0] == pytest.approx(moments[1], abs=15.0)


# Properties.


def spread(shares, low, high):
    return low * (high / low) ** shares


@settings(max_examples=150, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_whatever_is_asked_the_answer_is_a_number_and_gives_nothing_away(seed):
    # A generator seeded by hypothesis: hundreds of numbers a case, drawn one by one, are slow.
    rng = np.random.default_rng(seed)
    steps, members = 12, 40
    asked = demand(
        spread(rng.random((steps, members)), 1.0, 2e4) * (rng.random((steps, 1)) > 0.2),
        inflow_mps=4.0 * rng.random(members),
        step_s=600.0 * rng.random((steps, 1)),
    )
    held = bank(
        members,
        capacity_ah=spread(rng.random(members), 1.0, 1e3),
        exponent=1.0 + 0.6 * rng.random(members),
        memory_s=7200.0 * rng.random(members) * (rng.random(members) > 0.2),
        start_soc=rng.random(members) * (rng.random(members) > 0.1),
        series=rng.integers(1, 4, members),
        resistance_full_ohm=rng.random(members) ** 4 * (rng.random(members) > 0.2),
        cable_ohm=rng.random(members) ** 4 * (rng.random(members) > 0.2),
        cutoff_voltage_v=30.0 * rng.random(members),
        house_load_w=2e4 * rng.random(members) ** 6 * (rng.random(members) > 0.5),
        current_limit_a=spread(rng.random(members), 1.0, 500.0),
        lowest_voltage_v=30.0 * rng.random(members),
    )
    flows = simulate(asked, held, MOTOR)
    for field in fields(Flows):
        values = getattr(flows, field.name)
        assert np.isfinite(values).all(), field.name
        assert (values >= 0.0).all(), field.name
    assert (flows.availability <= held.start_soc).all()
    assert (np.diff(flows.availability, axis=0) <= 0.0).all()
    assert (np.diff(flows.drawn_ah, axis=0) >= 0.0).all()
    assert (flows.drawn_ah <= held.capacity_ah * held.start_soc * (1.0 + 1e-9)).all()
    assert (flows.thrust_n <= asked.thrust_n).all()
    assert (flows.carried_share <= 1.0).all()
    assert (flows.motor_current_a <= held.current_limit_a * (1.0 + 1e-9)).all()
    deepest = np.minimum(held.cutoff_voltage_v, flows.emf_v)
    assert (flows.bank_voltage_v >= deepest * (1.0 - 1e-9)).all()
    emptied = (flows.availability[:-1] == 0.0) & (asked.power_w > 0.0)
    assert (flows.limit[emptied] == EMPTY).all()
    assert (flows.limit[asked.power_w == 0.0] == CARRIED).all()


@settings(max_examples=40, deadline=None)
@given(
    thrusts=st.lists(st.floats(1.0, 340.0), min_size=12, max_size=12),
    capacity_ah=st.floats(10.0, 200.0),
    more=st.floats(1.001, 3.0),
    start_soc=st.floats(0.2, 1.0),
    exponent=st.floats(1.0, 1.4),
)
def test_more_capacity_never_ends_the_day_sooner_or_lower(
    thrusts, capacity_ah, more, start_soc, exponent
):
    # Same mass, same resistance, and a bus stiff enough that the thrust is the same.
    asked = demand(np.repeat(thrusts, 30)[:, None] * np.ones(2), step_s=120.0)
    held = bank(
        2,
        capacity_ah=[capacity_ah, capacity_ah * more],
        start_soc=start_soc,
        exponent=exponent,
        resistance_full_ohm=0.001,
        resistance_rise=1.0,
        cutoff_voltage_v=5.0,
        lowest_voltage_v=5.0,
        emf_tables_v=np.array([[13.5, 13.6, 13.8]]),
        current_limit_a=500.0,
    )
    flows = simulate(asked, held, MOTOR)
    less_a, more_a = flows.availability.T
    assert (more_a >= less_a).all()
    assert (flows.thrust_n[:, 1] >= flows.thrust_n[:, 0]).all()
    less_s, more_s = (flows.carried_share * asked.step_s).sum(axis=0)
    assert more_s >= less_s


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
