"""
What people who sell, rig and fish from these boats take as known, met by the shipped numbers.

Every fact here is common practice, no source: rules of thumb repeated across the trade, none of
them measured by us. They check that the model lands where experience does; the laws themselves
are held to published values elsewhere.
"""

import pytest

from energysim.build import build_day
from energysim.catalogue import chemistry
from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.calibrate import POUND_FORCE_N, motor_from_label
from energysim.physics.motor import electrical_demand, full_throttle, thrust_at_power
from energysim.runner import run_day
from energysim.scenario.overlay import overlay

LARGE_LBF = (108.0, 110.0, 112.0)
"""Rated thrust of the 36 V class."""


def motor(thrust_lbf, *, voltage_v, current_a, control="pwm"):
    return motor_from_label(
        thrust_lbf * POUND_FORCE_N,
        rated_voltage_v=voltage_v,
        max_current_a=current_a,
        diameter_m=None,
        blades=3,
        pitch_ratio=0.6,
        idle_current_a=0.3,
        switching_loss=0.01,
        thrust_deduction=0.05,
        fouling=0.0,
        control=control,
        current_limit_a=None,
        water_density_kgpm3=1000.0,
        series=WAGENINGEN_B,
    )


# Common practice, no source: plan on half of a lead-acid bank.


@pytest.mark.parametrize("kind", ["flooded", "agm", "gel"])
def test_half_of_a_lead_acid_bank_is_the_floor_of_the_plan(plain_day, load_raw, kind):
    assert chemistry(kind).depth_of_discharge == 0.5
    plan = build_day(load_raw(overlay(plain_day(), {"bank.battery": f"31-{kind}"})))
    assert plan.limit_soc == 0.5


def test_a_day_that_takes_more_than_half_of_a_lead_acid_bank_is_too_deep(plain_day, load_raw):
    day = {"wind.speed": "33 kn", "wind.gust": "40 kn"}
    result = run_day(load_raw(overlay(plain_day(), day)), with_changes=False)
    assert result.end_soc < 0.5
    assert result.outcome == "deep"


# Common practice, no source: a 36 V motor of about 110 lbf draws 50 to 55 A and takes a 60 A
# breaker.


@pytest.mark.parametrize("thrust_lbf", LARGE_LBF)
def test_a_36_v_motor_of_110_lbf_is_believable_at_50_to_55_a_and_not_at_30(thrust_lbf):
    # The label is taken as given; the ideal disc says which labels can be believed.
    for current_a in (50.0, 52.0, 55.0):
        told = motor(thrust_lbf, voltage_v=36.0, current_a=current_a)
        assert not any("believed" in warning for warning in told.warnings)
    doubtful = motor(thrust_lbf, voltage_v=36.0, current_a=26.0)
    assert any("believed" in warning for warning in doubtful.warnings)


@pytest.mark.parametrize("current_a", [50.0, 52.0, 55.0])
def test_a_60_a_breaker_carries_a_36_v_motor_at_full_throttle(current_a):
    drive = motor(110.0, voltage_v=36.0, current_a=current_a).motor
    # Three lead-acid blocks under load. A fresh lithium bank near 39 V would push the motor
    # past 60 A, were it not for the controller: a plan caps it at its label's current.
    _, drawn_a = full_throttle([33.0, 36.0, 36.9], inflow_mps=0.0, motor=drive)
    assert drawn_a[1] == pytest.approx(current_a, rel=0.01)
    assert (drawn_a < 60.0).all()


def test_the_plan_never_asks_more_of_the_breaker_than_the_label(plain_day, load_raw):
    day = {
        "motor": {"voltage": "36 V", "thrust": "110 lbf", "max_current": "52 A"},
        "bank.battery": "31-lfp",
        "wind.speed": "60 kn",
        "wind.gust": "90 kn",
        "leg[1].for": "1 h",
    }
    result = run_day(load_raw(overlay(plain_day(), day)), with_changes=False)
    assert result.peak_current_a == pytest.approx(52.0)


# Common practice, no source: half the thrust takes about a third of the current.


@pytest.mark.parametrize(
    ("thrust_lbf", "voltage_v", "current_a"),
    [(55.0, 12.0, 50.0), (80.0, 24.0, 56.0), (110.0, 36.0, 52.0)],
    ids=["12-V", "24-V", "36-V"],
)
def test_half_the_thrust_takes_about_a_third_of_the_current(thrust_lbf, voltage_v, current_a):
    drive = motor(thrust_lbf, voltage_v=voltage_v, current_a=current_a).motor
    full = 0.95 * thrust_lbf * POUND_FORCE_N  # what the jet on the hull leaves of it
    share = electrical_demand([0.5 * full, full], inflow_mps=0.0, motor=drive).current_a
    assert 0.28 < share[0] / share[1] < 0.40
    third = thrust_at_power(voltage_v * current_a / 3.0, inflow_mps=0.0, motor=drive)
    assert 0.42 < third / full < 0.56


def test_the_older_stepped_control_takes_about_half_for_half():
    drive = motor(55.0, voltage_v=12.0, current_a=50.0, control="stepped").motor
    full = 0.95 * 55.0 * POUND_FORCE_N
    share = electrical_demand([0.5 * full, full], inflow_mps=0.0, motor=drive).current_a
    assert 0.45 < share[0] / share[1] < 0.60


# Common practice, no source: 50 to 80 lbf serve a 16 to 18 ft boat well; a 20 to 24 ft boat
# wants 100 lbf or more in wind and stream. Well served (ours): bow-on, wind and stream together
# from ahead, the motor has at least the thrust it takes in the gusts.

HULLS = {
    "16 ft skiff": ("skiff", "16 ft", "6 ft 6 in", "18 in", "1100 lb", 2),
    "17 ft skiff": ("skiff", "17 ft 6 in", "7 ft", "20 in", "1500 lb", 2),
    "18 ft bay boat": ("bay-boat", "18 ft", "7 ft 6 in", "22 in", "2000 lb", 2),
    "20 ft console": ("centre-console", "20 ft", "8 ft", "28 in", "2900 lb", 3),
    "22 ft console": ("centre-console", "22 ft", "8 ft 4 in", "30 in", "3600 lb", 3),
    "24 ft console": ("centre-console-canopy", "24 ft", "8 ft 6 in", "32 in", "4600 lb", 3),
}


def need(plain_day, load_raw, boat, wind_kn, stream_kn):
    """Thrust in the gust and water speed into the propeller: bow-on, both from ahead."""
    hull, length, beam, freeboard, mass, people = HULLS[boat]
    raw = overlay(
        {**plain_day(), "wind": {"speed": f"{wind_kn} kn", "from": "N"}},
        {
            "boat": {"hull": hull, "length": length, "beam": beam, "freeboard": freeboard,
                     "mass": mass, "people": people},
            "stream": {"speed": f"{stream_kn} kn", "toward": "180 deg"},
        },
    )  # fmt: skip
    plan = build_day(load_raw(raw))
    return float(plan.wanted.gust_thrust_n.max()), float(plan.demand.inflow_mps.max())


def available_n(thrust_lbf, inflow_mps):
    """Full throttle at rated voltage, with the water running in."""
    voltage = 12.0 if thrust_lbf < 60.0 else 24.0 if thrust_lbf < 100.0 else 36.0
    current = {12.0: 50.0, 24.0: 56.0, 36.0: 52.0}[voltage] * thrust_lbf
    current /= {12.0: 55.0, 24.0: 80.0, 36.0: 110.0}[voltage]
    drive = motor(thrust_lbf, voltage_v=voltage, current_a=current).motor
    return float(full_throttle(voltage, inflow_mps=inflow_mps, motor=drive)[0])


SMALL = ("16 ft skiff", "17 ft skiff", "18 ft bay boat")
LARGE = ("20 ft console", "22 ft console", "24 ft console")


@pytest.mark.parametrize(
    ("thrust_lbf", "wind_kn", "stream_kn"),
    [pytest.param(50.0, 15, 1.5, id="50-lbf"), pytest.param(80.0, 20, 2.0, id="80-lbf")],
)
@pytest.mark.parametrize("boat", SMALL)
def test_a_16_to_18_ft_boat_is_well_served_by_50_to_80_lbf(
    plain_day, load_raw, boat, thrust_lbf, wind_kn, stream_kn
):
    needed, inflow = need(plain_day, load_raw, boat, wind_kn, stream_kn)
    assert needed <= available_n(thrust_lbf, inflow)


@pytest.mark.parametrize("boat", SMALL)
def test_30_lbf_does_not_serve_it(plain_day, load_raw, boat):
    needed, inflow = need(plain_day, load_raw, boat, 20, 2.0)
    assert needed > available_n(30.0, inflow)


@pytest.mark.parametrize("boat", LARGE)
def test_a_20_to_24_ft_boat_wants_100_lbf_or_more_in_wind_and_stream(plain_day, load_raw, boat):
    needed, inflow = need(plain_day, load_raw, boat, 20, 2.0)
    assert available_n(80.0, inflow) < needed <= available_n(112.0, inflow)
    easier, inflow = need(plain_day, load_raw, boat, 15, 1.5)
    assert easier <= available_n(100.0, inflow)
