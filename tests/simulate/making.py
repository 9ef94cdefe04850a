"""A motor, demands and banks to run the loop with, made by hand."""

from dataclasses import fields, replace

import numpy as np
from numpy.testing import assert_allclose

from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.calibrate import POUND_FORCE_N, motor_from_label
from energysim.physics.motor import electrical_demand, full_throttle_quadratics
from energysim.simulate import BY_BLOCK, BY_STRING, Bank, Demand, Flows

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

# A block of 100 Ah over 20 h; wells as the table of two-well fits has them for 1.2.
BLOCK = {
    "capacity_ah": 100.0,
    "charge_ah": 100.0,
    "wells_total_ah": 114.89,
    "wells_share": 0.4851,
    "wells_rate_per_h": 0.3560,
    "exponent": 1.2,
    "start_soc": 1.0,
    "resistance_full_ohm": 0.006,
    "resistance_rise": 2.0,
    "resistance_fall_per_k": 0.0,
    "heat_capacity_j_per_k": np.inf,
    "heat_loss_w_per_k": 0.0,
    "start_degc": 20.0,
    "block_cutoff_v": -np.inf,
    "tapped_w": 0.0,
    "acceptance_of_empty_a": 0.0,
    "charge_efficiency": 1.0,
}
REST = {
    "kinetic": False,
    "rated_time_h": 20.0,
    "memory_s": 900.0,
    "surrounds_degc": 20.0,
    "cable_ohm": 0.01,
    "cutoff_voltage_v": 21.0,
    "house_load_w": 0.0,
    "current_limit_a": 56.0,
    "lowest_voltage_v": 19.2,
}
EMF = np.array([[10.5, 11.6, 12.0, 12.3, 12.7]])
FLAT = np.array([[12.0, 12.0]])


def demand(thrust_n, *, inflow_mps=0.0, step_s=60.0, **changes):
    """What a motor asked for these thrusts, (steps, members), would want of the bank."""
    thrust, inflow, step = (
        np.array(part)
        for part in np.broadcast_arrays(np.asarray(thrust_n, float), inflow_mps, step_s)
    )
    need = electrical_demand(thrust, inflow_mps=inflow, motor=MOTOR)
    thrust_quadratic, current_quadratic = full_throttle_quadratics(inflow, motor=MOTOR)
    made = Demand(
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
    return replace(made, **changes)


def power_demand(power_w, *, steps=None, step_s=60.0, members=1):
    """A constant power, or one power a step, whatever thrust it makes."""
    power = np.broadcast_to(np.asarray(power_w, float), steps) if steps else np.asarray(power_w)
    asked = demand(np.full((len(power), members), 10.0), step_s=step_s)
    return replace(asked, power_w=np.repeat(power[:, None].astype(float), members, axis=1))


def bank(members=1, *, rows=None, strings=(1.0,), series=2.0, **changes):
    """
    A 24 V bank of alike blocks, strong enough for anything unless told otherwise.

    With rows, a list of strings of dicts of what each block has otherwise, one block each.
    """
    unknown = set(changes) - {f.name for f in fields(Bank)}
    if unknown:
        raise TypeError(f"a bank has no {unknown}")
    table = changes.pop("emf_tables_v", EMF)
    kind = changes.pop("emf_kind", 0)
    given = BLOCK | REST | changes
    grid = rows if rows is not None else [[{"block_count": series}] for _ in strings]
    count = strings if rows is None or len(strings) == len(rows) else [1.0] * len(rows)
    shape = (len(grid), len(grid[0]), members)
    arrays = {}
    for name in BLOCK:
        arrays[name] = np.empty(shape)
        for s, string in enumerate(grid):
            for b, block in enumerate(string):
                arrays[name][s, b] = block.get(name, given[name])
    arrays["block_count"] = np.array(
        [[np.full(members, block.get("block_count", 1.0)) for block in row] for row in grid]
    )
    arrays["string_count"] = np.array([np.broadcast_to(float_(n), members) for n in count])
    for name in REST:
        arrays[name] = np.broadcast_to(np.asarray(given[name]), members).copy()
    kinds = np.broadcast_to(np.asarray(kind, dtype=np.intp), shape).copy()
    assert set(arrays) | {"emf_kind"} >= BY_BLOCK | BY_STRING
    return Bank(**arrays, emf_tables_v=table, emf_kind=kinds)


def float_(value):
    return np.asarray(value, dtype=np.float64)


def flat(**changes):
    """A bank whose voltage never changes: constant power is then constant current."""
    return bank(emf_tables_v=FLAT, resistance_full_ohm=0.0, cable_ohm=0.0, **changes)


def runtime_h(flows, step_s, member=0):
    """When the bank ran empty, by the part of the step it still carried."""
    step = int(np.argmax(flows.carried_share[:, member] < 1.0))
    return (step + float(flows.carried_share[step, member])) * step_s / 3600.0


def assert_same_flows(one, other, *, rtol=1e-12, atol=1e-13):
    """Every array of two runs alike, but for what each block did."""
    for field in fields(Flows):
        if field.name == "blocks":
            continue
        left, right = getattr(one, field.name), getattr(other, field.name)
        shape = np.broadcast_shapes(left.shape, right.shape)
        assert_allclose(
            np.broadcast_to(left, shape),
            np.broadcast_to(right, shape),
            rtol=rtol,
            atol=atol,
            err_msg=field.name,
        )
