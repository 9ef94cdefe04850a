"""Published and hand-worked values of propeller, motor and ventilation, row by row."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from energysim.constants import KNOT_MPS
from energysim.physics import machine, momentum
from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.calibrate import POUND_FORCE_N, motor_from_label
from energysim.physics.motor import electrical_demand, full_throttle
from energysim.physics.propeller import (
    figure_of_merit,
    open_water_efficiency,
    propeller_thrust_n,
    series_propeller,
    thrust_coefficient,
    torque_coefficient,
)
from energysim.physics.ventilation import ventilation_thrust_ratio

pytestmark = pytest.mark.reference

TABLE = Path(__file__).with_name("published_propulsion.csv")


def read_rows():
    with TABLE.open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


ROWS = read_rows()


def numbers(text):
    values = [float(part) for part in text.split("|")]
    return values[0] if len(values) == 1 else np.array(values)


def inputs_of(row):
    pairs = (part.split("=") for part in row["inputs"].split(";"))
    return {key.strip(): numbers(value) for key, value in pairs}


def geometry(*, blades, area_ratio, pitch_ratio):
    return series_propeller(
        pitch_ratio, area_ratio=area_ratio, blades=int(blades), series=WAGENINGEN_B
    )


def motor(*, voltage_v, thrust_lbf, label_a, diameter_m):
    """The class of motor the row names, two blades, P/D 0.6, fresh water, clean."""
    return motor_from_label(
        thrust_lbf * POUND_FORCE_N,
        rated_voltage_v=voltage_v,
        max_current_a=label_a,
        diameter_m=diameter_m,
        blades=2,
        pitch_ratio=0.6,
        idle_current_a=0.3,
        switching_loss=0.01,
        thrust_deduction=0.0,
        fouling=0.0,
        control="pwm",
        current_limit_a=None,
        water_density_kgpm3=998.0,
        series=WAGENINGEN_B,
    ).motor


def kt(*, advance_ratio, **shape):
    return thrust_coefficient(advance_ratio, propeller=geometry(**shape))


def ten_kq(*, advance_ratio, **shape):
    return 10.0 * torque_coefficient(advance_ratio, propeller=geometry(**shape))


def efficiency(*, advance_ratio, **shape):
    return open_water_efficiency(advance_ratio, propeller=geometry(**shape))


def square_law(*, square_law_ns2, shaft_speed_radps):
    # A one-metre propeller in water of unit density has KT = k (2 pi)^2.
    return propeller_thrust_n(
        shaft_speed_radps / (2.0 * math.pi),
        thrust_coefficient=square_law_ns2 * (2.0 * math.pi) ** 2,
        diameter_m=1.0,
        water_density_kgpm3=1.0,
    )


def full_current(**label):
    return full_throttle(label["voltage_v"], inflow_mps=0.0, motor=motor(**label))[1]


def current_at(share, **label):
    thrust = np.asarray(share) * label["thrust_lbf"] * POUND_FORCE_N
    return electrical_demand(thrust, inflow_mps=0.0, motor=motor(**label)).current_a


def half_thrust_ratio(**label):
    return current_at(0.5, **label) / full_current(**label)


def current_exponent(**label):
    share = np.linspace(0.3, 1.0, 15)
    return np.polyfit(np.log(share), np.log(current_at(share, **label)), 1)[0]


def bus_current(*, asked_lbf, inflow_kn, **label):
    thrust = asked_lbf * POUND_FORCE_N
    demand = electrical_demand(thrust, inflow_mps=inflow_kn * KNOT_MPS, motor=motor(**label))
    return demand.power_w / label["voltage_v"]


def thrust_voltage_exponent(**label):
    voltage = label["voltage_v"] * np.array([0.99, 1.01])
    thrust, _ = full_throttle(voltage, inflow_mps=0.0, motor=motor(**label))
    return np.diff(np.log(thrust))[0] / np.diff(np.log(voltage))[0]


COMPUTED = {
    "KT": kt,
    "10KQ": ten_kq,
    "open_water_efficiency": efficiency,
    "figure_of_merit": lambda **shape: figure_of_merit(geometry(**shape)),
    "ideal_power_w": lambda *, thrust_n, **disc: momentum.ideal_power_w(thrust_n, **disc),
    "ideal_static_thrust_n": lambda *, power_w, **disc: momentum.ideal_static_thrust_n(
        power_w, **disc
    ),
    "ideal_efficiency": lambda *, thrust_n, **disc: momentum.ideal_efficiency(thrust_n, **disc),
    "motor_torque_nm": lambda *, current_a, **law: machine.motor_torque_nm(current_a, **law),
    "motor_efficiency": lambda *, current_a, **law: machine.motor_efficiency(current_a, **law),
    "best_efficiency_current_a": lambda *, motor_voltage_v, **law: (
        machine.best_efficiency_current_a(motor_voltage_v, **law)
    ),
    "warm_resistance_ohm": lambda *, resistance_ohm, **law: machine.warm_resistance_ohm(
        resistance_ohm, **law
    ),
    "chopper_bus_current_a": lambda *, motor_current_a, duty: machine.chopper_bus_current_a(
        motor_current_a, duty=duty
    ),
    "thrust_from_square_law_n": square_law,
    "ventilation_thrust_ratio": lambda *, submergence_ratio: ventilation_thrust_ratio(
        submergence_ratio, propeller_radius_m=1.0
    ),
    "full_throttle_current_a": full_current,
    "half_thrust_current_ratio": half_thrust_ratio,
    "current_exponent": current_exponent,
    "bus_current_a": bus_current,
    "thrust_voltage_exponent": thrust_voltage_exponent,
}


def test_every_row_has_a_way_to_compute_it_and_every_way_a_row():
    assert {row["quantity"] for row in ROWS} == set(COMPUTED)


def test_every_row_names_its_source_and_its_flag():
    assert all(row["source"] for row in ROWS)
    assert {row["flag"] for row in ROWS} <= {"SEEN", "MEMORY", "COMPUTED", "PRACTICE"}
    assert len({row["id"] for row in ROWS}) == len(ROWS)


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_the_published_value_comes_out(row):
    computed = COMPUTED[row["quantity"]](**inputs_of(row))
    np.testing.assert_allclose(
        computed, numbers(row["expected"]), rtol=0.0, atol=float(row["tolerance"])
    )
