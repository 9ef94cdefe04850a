"""Motors from labels and from pull tests: what is met, what is judged, what is said."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from energysim.constants import KNOT_MPS
from energysim.physics.anchor import anchored_motor, ideal_share, likely_efficiency
from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.calibrate import (
    INCH_M,
    POUND_FORCE_N,
    _anchor,
    motor_from_bench,
    motor_from_label,
)
from energysim.physics.motor import electrical_demand, full_throttle
from energysim.physics.propeller import figure_of_merit

GIVEN = {
    "diameter_m": None,
    "blades": 3,
    "pitch_ratio": 0.6,
    "idle_current_a": 0.3,
    "switching_loss": 0.01,
    "thrust_deduction": 0.0,
    "fouling": 0.0,
    "control": "pwm",
    "current_limit_a": None,
    "water_density_kgpm3": 998.0,
    "series": WAGENINGEN_B,
}


def label(thrust_lbf, voltage_v, current_a, **changes):
    return motor_from_label(
        thrust_lbf * POUND_FORCE_N,
        rated_voltage_v=voltage_v,
        max_current_a=current_a,
        **(GIVEN | changes),
    )


def bench(points, **changes):
    """Points are (thrust_n, current_a, voltage_v)."""
    thrust, current, voltage = np.transpose(points)
    return motor_from_bench(thrust, current_a=current, voltage_v=voltage, **(GIVEN | changes))


def anchor(thrust_n=356.0, voltage_v=24.0, current_a=56.0, **changes):
    given = {key: value for key, value in (GIVEN | changes).items() if key != "fouling"}
    return _anchor(thrust_n, voltage_v=voltage_v, current_a=current_a, **given)[0]


def bus_current(motor, thrust_n, voltage_v):
    return electrical_demand(thrust_n, inflow_mps=0.0, motor=motor).power_w / voltage_v


@pytest.mark.parametrize(
    ("thrust_lbf", "voltage_v", "current_a"),
    [(55, 12, 50), (80, 24, 56), (110, 36, 50), (110, 36, 52), (110, 36, 55)],
    ids=["12-volt", "24-volt", "36-volt-low", "36-volt", "36-volt-high"],
)
def test_usual_labels_are_believed(thrust_lbf, voltage_v, current_a):
    # common practice, no source: such motors draw this much; a 36 V one of 110 lbf 50 to 55 A
    made = label(thrust_lbf, voltage_v, current_a)
    assert made.credible
    assert made.warnings == ()
    assert any("diameter was not given" in note for note in made.notes)


@pytest.mark.parametrize(
    ("thrust_lbf", "voltage_v", "current_a", "inches"),
    [(55, 12, 50, 12.5), (80, 24, 56, 9.9), (110, 36, 52, 11.5)],
    ids=["12-volt", "24-volt", "36-volt"],
)
def test_an_unknown_diameter_is_the_usual_one(thrust_lbf, voltage_v, current_a, inches):
    # worked by hand: T^1.5 / (0.5 V I sqrt(pi rho / 2)), kept within 9 to 12.5 in
    made = label(thrust_lbf, voltage_v, current_a)
    assert made.motor.diameter_m / INCH_M == pytest.approx(inches, abs=0.1)


def test_a_label_too_good_to_be_true_is_met_and_doubted_in_plain_words():
    made = label(55, 12, 50, diameter_m=10.5 * INCH_M)
    thrust, _ = full_throttle(12.0, inflow_mps=0.0, motor=made.motor)
    assert thrust == pytest.approx(55 * POUND_FORCE_N)
    assert not made.credible
    (warning,) = made.warnings
    assert "245 N (55 lbf) from 50 A at 12 V" in warning
    assert "61 % of the electrical power" in warning
    assert "38 to 56 %" in warning
    assert "careful thrust of about 230 N (52 lbf)" in warning
    # (0.55 x 600 W)^(2/3) (2 rho A)^(1/3) by hand, 10.5 in: 47.76 x 4.813 = 229.9 N
    assert made.careful_thrust_n == pytest.approx(229.9, abs=0.1)


def test_the_careful_thrust_is_itself_believed():
    doubtful = label(55, 12, 50, diameter_m=10.5 * INCH_M)
    careful_lbf = doubtful.careful_thrust_n / POUND_FORCE_N
    assert label(careful_lbf, 12, 50, diameter_m=10.5 * INCH_M).credible


def test_a_label_that_wastes_is_doubted_too():
    made = label(40, 24, 56, diameter_m=11 * INCH_M)
    assert not made.credible
    assert "unusually little" in made.warnings[0]


def test_the_share_is_ideal_over_electrical_power_by_hand():
    # 356 N, 11 in, fresh water: sqrt(356^3 / (2 x 998 x 0.061311)) = 607.2 W of 24 x 55.7 W
    assert ideal_share(anchor(diameter_m=0.2794)) == pytest.approx(607.2 / 1336.8, abs=1e-4)


@pytest.mark.parametrize("thrust_n", [270.0, 330.0, 370.0])
def test_the_split_of_losses_is_the_likeliest_one(thrust_n):
    made = anchor(thrust_n, diameter_m=0.2794)
    ratio = float(figure_of_merit(made.propeller)) / ideal_share(made)

    def unlikeliness(efficiency):  # both priors, written out again
        return ((efficiency - 0.80) / 0.05) ** 2 + ((efficiency * ratio - 1.08) / 0.06) ** 2

    found = minimize_scalar(unlikeliness, bounds=(0.5, 0.88), method="bounded")
    assert likely_efficiency(made) == pytest.approx(found.x, abs=1e-4)


def test_an_impossible_product_stops_at_the_cap():
    assert likely_efficiency(anchor(480.0, diameter_m=0.2794)) == 0.88


def test_the_hull_s_share_comes_off_a_label_but_not_off_a_pull():
    washed = label(80, 24, 56, thrust_deduction=0.05).motor
    thrust, current = full_throttle(24.0, inflow_mps=0.0, motor=washed)
    assert thrust == pytest.approx(0.95 * 80 * POUND_FORCE_N)
    assert current == pytest.approx(56.0)
    pulled = bench([(356.0, 56.0, 24.0)], thrust_deduction=0.05).motor
    thrust, current = full_throttle(24.0, inflow_mps=0.0, motor=pulled)
    assert thrust == pytest.approx(356.0)
    assert current == pytest.approx(56.0)


def test_weed_takes_thrust_and_adds_current():
    clean = full_throttle(24.0, inflow_mps=0.0, motor=label(80, 24, 56).motor)
    weedy = full_throttle(24.0, inflow_mps=0.0, motor=label(80, 24, 56, fouling=0.3).motor)
    assert weedy[0] < 0.85 * clean[0]
    assert weedy[1] > clean[1]


def test_a_current_limit_is_carried_and_none_is_endless():
    assert label(80, 24, 56, current_limit_a=40.0).motor.current_limit_a == 40.0
    assert label(80, 24, 56).motor.current_limit_a == math.inf


@pytest.mark.parametrize("control", ["pwm", "stepped"])
def test_one_pull_says_what_a_label_says(control):
    one = bench([(356.0, 56.0, 24.0)], control=control, diameter_m=0.28).motor
    same = label(356.0 / POUND_FORCE_N, 24.0, 56.0, control=control, diameter_m=0.28).motor
    share = np.array([0.1, 0.3, 0.6, 0.9]) * 356.0
    ours = electrical_demand(share, inflow_mps=0.5, motor=one).power_w
    theirs = electrical_demand(share, inflow_mps=0.5, motor=same).power_w
    assert ours == pytest.approx(theirs, rel=2e-3)  # the fit's grid


@pytest.mark.parametrize("control", ["pwm", "stepped"])
@pytest.mark.parametrize(("efficiency", "no_load"), [(0.72, 0.09), (0.86, 0.03)])
def test_pulls_bring_back_the_motor_they_came_from(control, efficiency, no_load):
    made = anchor(control=control, diameter_m=0.28)
    truth = anchored_motor(made, motor_efficiency=efficiency, no_load_share=no_load)
    thrust = np.array([25.0, 50.0, 110.0, 200.0, 356.0])
    voltage = np.array([25.2, 25.1, 24.9, 24.6, 24.0])
    if control == "stepped":
        current = electrical_demand(thrust, inflow_mps=0.0, motor=truth).current_a
    else:
        current = bus_current(truth, thrust, voltage)
    current[-1] = 56.0  # full throttle: no switching loss
    fitted = bench(
        np.column_stack([thrust, current, voltage]), control=control, diameter_m=0.28
    )
    guess = label(356.0 / POUND_FORCE_N, 24.0, 56.0, control=control, diameter_m=0.28)
    asked = np.array([35.0, 80.0, 150.0, 280.0])
    real, ours, blind = (
        electrical_demand(asked, inflow_mps=[[0.0], [1.0]], motor=drive).power_w
        for drive in (truth, fitted.motor, guess.motor)
    )
    assert ours[0] == pytest.approx(real[0], rel=0.03)
    assert np.abs(np.log(ours / real)[0]).max() < 0.7 * np.abs(np.log(blind / real)[0]).max()
    # pulls without inflow cannot tell blade drag from motor loss, so 2 kn comes less close
    assert ours[1] == pytest.approx(real[1], rel=0.09)
    assert fitted.warnings == ()


def test_a_curve_of_another_make_is_followed():
    # power 9 + 0.13 T^1.5 + 0.0012 T^2, an invented sum of idle, propeller and copper shares
    thrust = np.array([30.0, 70.0, 140.0, 230.0, 340.0])
    power = 9.0 + 0.13 * thrust**1.5 + 0.0012 * thrust**2
    made = bench(np.column_stack([thrust, power / 25.0, np.full(5, 25.0)]))
    asked = np.array([50.0, 100.0, 180.0, 280.0])
    wanted = 9.0 + 0.13 * asked**1.5 + 0.0012 * asked**2
    ours = electrical_demand(asked, inflow_mps=0.0, motor=made.motor).power_w
    assert ours == pytest.approx(wanted, rel=0.05)


def test_the_order_of_the_pulls_does_not_matter():
    points = [(356.0, 56.0, 24.0), (40.0, 2.6, 25.0), (180.0, 20.5, 24.7)]
    assert bench(points).motor.winding_resistance_ohm == pytest.approx(
        float(bench(points[::-1]).motor.winding_resistance_ohm)
    )


def test_a_pull_off_every_curve_is_named_with_both_currents():
    made = bench([(356.0, 56.0, 24.0), (40.0, 2.6, 25.0), (178.0, 34.0, 24.5)])
    assert any("178 N (40 lbf) the test has 34.0 A" in warning for warning in made.warnings)


def test_a_test_without_a_weak_pull_says_so():
    strong = bench([(356.0, 56.0, 24.0), (180.0, 20.5, 24.7)])
    assert any("51 % of the strongest" in note for note in strong.notes)
    weak = bench([(356.0, 56.0, 24.0), (40.0, 2.6, 25.0)])
    assert not any("of the strongest" in note for note in weak.notes)


def test_more_thrust_costs_more_after_any_fit():
    odd = bench([(356.0, 56.0, 24.0), (30.0, 6.0, 25.0), (90.0, 11.0, 25.0)]).motor
    thrust = np.linspace(1.0, 356.0, 300)
    power = electrical_demand(thrust, inflow_mps=2.0 * KNOT_MPS, motor=odd).power_w
    assert np.all(np.diff(power) > 0.0)


def test_a_motor_without_copper_loss_is_refused():
    with pytest.raises(ValueError, match=r"motor_efficiency = 0\.95; it must be below"):
        anchored_motor(anchor(), motor_efficiency=0.95, no_load_share=0.05)


def test_costly_weak_pulls_become_no_load_current_not_negative_resistance():
    # far more current at low pull than any copper share explains
    made = bench([(356.0, 56.0, 24.0), (20.0, 5.0, 25.0), (60.0, 9.0, 25.0)], diameter_m=0.25)
    assert made.motor.winding_resistance_ohm > 0.0
    assert made.motor.no_load_current_a > 0.05 * 56.0


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"blades": 4}, "blades = 4; it must be 2 or 3"),
        ({"pitch_ratio": 0.9}, r"pitch_ratio = 0\.9; .* at most 0\.8"),
        ({"control": "knob"}, 'control = \'knob\'; it must be "pwm" or "stepped"'),
        ({"idle_current_a": 20.0}, "idle_current_a = 20"),
        ({"switching_loss": -0.1}, r"switching_loss = -0\.1"),
        ({"thrust_deduction": 0.95}, r"thrust_deduction = 0\.95"),
        ({"fouling": 1.5}, r"fouling = 1\.5"),
        ({"diameter_m": 11.0}, "diameter_m = 11"),
        ({"water_density_kgpm3": 1.0}, "water_density_kgpm3 = 1;"),
        ({"current_limit_a": 0.0}, "current_limit_a = 0; .* above 0"),
    ],
    ids=lambda value: next(iter(value)) if isinstance(value, dict) else "",
)
def test_what_no_motor_can_be_is_refused(change, message):
    with pytest.raises(ValueError, match=message):
        label(80, 24, 56, **change)


@pytest.mark.parametrize(
    ("thrust_n", "current_a", "voltage_v", "message"),
    [
        ([100.0, 200.0], [10.0], 24.0, r"thrust_n has shape \(2,\) and current_a \(1,\)"),
        ([], [], 24.0, "at least one point"),
        ([100.0, 200.0], [10.0, 30.0], [24.0, 24.0, 24.0], r"voltage_v has shape \(3,\)"),
        ([100.0, 0.0], [10.0, 1.0], 24.0, "thrust_n = 0; .* above 0"),
    ],
    ids=["lengths", "empty", "voltages", "zero-pull"],
)
def test_a_test_sheet_that_does_not_add_up_is_refused(thrust_n, current_a, voltage_v, message):
    with pytest.raises(ValueError, match=message):
        motor_from_bench(thrust_n, current_a=current_a, voltage_v=voltage_v, **GIVEN)
