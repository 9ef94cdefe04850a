"""The motor's curve against its label and its test; the night against its own answer."""

import numpy as np
import pytest

from energysim.errors import ScenarioError
from energysim.reach import motor_curve, night_course
from energysim.runner import run_day

NEWTONS_PER_POUND = 4.4482216152605  # exact: 0.45359237 kg x 9.80665 m/s2 (NIST SP 811)


def test_the_curve_ends_at_the_label_less_what_the_hull_takes(load_raw, plain_day):
    curve = motor_curve(load_raw(plain_day()))
    still = curve.lines[0]
    label_n = 80.0 * NEWTONS_PER_POUND
    # The scenario's thrust deduction is 0.05 where it gives none; half a per cent for the
    # current limit, which caps what the label's current and the idle current ask together.
    assert still.thrust_n[-1] == pytest.approx(0.95 * label_n, rel=5e-3)
    # At the switch the controller's one per cent comes on top of the label's 56 A.
    assert still.current_a[-1] == pytest.approx(56.0, rel=0.015)
    (point,) = curve.points
    assert not curve.from_bench
    assert (point.thrust_n, point.current_a, point.voltage_v) == pytest.approx(
        (label_n, 56.0, 24.0)
    )


def test_moving_water_and_a_sagging_voltage_cost_thrust(load_raw, plain_day):
    curve = motor_curve(load_raw(plain_day()))
    most = np.array([line.most_thrust_n for line in curve.lines])
    assert np.all(np.diff(most, axis=0) < 0.0)
    below_rated = curve.lines[0].voltage_v < curve.rated_voltage_v
    assert np.all(np.diff(most[:, below_rated], axis=1) > 0.0)
    for line in curve.lines:
        assert np.all(np.diff(line.current_a) > 0.0)
        assert np.all(line.most_current_a <= curve.current_limit_a + 1e-9)
        at_rated = np.interp(curve.rated_voltage_v, line.voltage_v, line.most_thrust_n)
        assert line.thrust_n[-1] == pytest.approx(at_rated, rel=2e-3)
    assert curve.lines[0].voltage_v[0] == pytest.approx(curve.lowest_voltage_v)


def test_the_owners_own_points_are_shown_and_the_curve_runs_through_them(load_raw, plain_day):
    raw = plain_day()
    # Invented readings, a quadratic in the thrust to within a few per cent.
    readings = [("10 lbf", "3.4 A"), ("40 lbf", "21 A"), ("75 lbf", "52 A")]
    raw["motor"] = {
        "voltage": "24 V",
        "bench": [
            {"thrust": thrust, "current": current, "voltage": "24 V"}
            for thrust, current in readings
        ],
    }
    curve = motor_curve(load_raw(raw))
    assert curve.from_bench
    assert [point.current_a for point in curve.points] == [3.4, 21.0, 52.0]
    still = curve.lines[0]
    for point in curve.points[1:]:
        there = np.interp(point.thrust_n, still.thrust_n, still.current_a)
        assert there == pytest.approx(point.current_a, rel=0.12)


@pytest.fixture(scope="module")
def night_day(load_raw, plain_day):
    raw = plain_day()
    raw["bank"]["start_soc"] = 0.7
    raw["charger"] = {"current": "10 A", "start": "17:00", "ready_by": "05:00"}
    return load_raw(raw)


def test_the_night_begins_where_the_day_ends_and_meets_its_own_marks(night_day):
    day = run_day(night_day, with_changes=False)
    night = night_course(night_day, day)
    recharge = day.recharge
    assert night.soc[0] == pytest.approx(day.end_charge)
    assert np.all(np.diff(night.soc) >= -1e-12)
    # Read along straight lines between 97 points.
    for hours, soc in ((recharge.to_80_h, 0.80), (recharge.to_95_h, 0.95)):
        assert np.interp(hours, night.hours, night.soc) == pytest.approx(soc, abs=2e-3)
    assert night.hours[-1] >= max(12.0, recharge.full_h)
    assert np.interp(12.0, night.hours, night.soc) == pytest.approx(recharge.soc_when_ready)
    assert night.soc[-1] == pytest.approx(recharge.full_soc)


def test_a_day_without_a_charger_has_no_night_to_draw(load_raw, plain_day):
    loaded = load_raw(plain_day())
    with pytest.raises(ScenarioError, match="charger: is missing: there is no night to draw"):
        night_course(loaded, run_day(loaded, with_changes=False))
