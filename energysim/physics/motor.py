"""
From the thrust the boat needs to the power the battery must give, and back.

Every thrust here is net: what the boat feels, after thrust deduction and fouling. The
propeller sees the undisturbed water, as a bow motor does (no wake); water coming from
behind (negative inflow) is taken as still water, which is careful, since no series covers it.

Depends on: drive (the motor, its shaft), throttle (offered from here too), bounds.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.drive import (
    JET,
    Control,
    Motor,
    Shaft,
    back_emf_vs,
    net_thrust_n,
    polynomial,
    shaft_load,
    shaft_state,
    thrust_scale,
)
from energysim.physics.throttle import (
    full_throttle,
    full_throttle_quadratics,
    idle_current_quadratic,
)

__all__ = [
    "Control",
    "Demand",
    "Motor",
    "electrical_demand",
    "full_throttle",
    "full_throttle_quadratics",
    "idle_current_quadratic",
    "thrust_at_power",
]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Demand:
    """What a thrust asks for, arrays of the broadcast shape of thrust and inflow."""

    power_w: NDArray[np.float64]  # electrical, at the bus; a constant-power load under pwm
    motor_voltage_v: NDArray[np.float64]  # a bus below this cannot give the thrust
    current_a: NDArray[np.float64]  # bus: at any voltage if stepped, at rated voltage if pwm
    shaft_speed_rps: NDArray[np.float64]  # 0 where no thrust is asked


def electrical_demand(thrust_n: ArrayLike, *, inflow_mps: ArrayLike, motor: Motor) -> Demand:
    r"""
    Return the electrical power and voltage a thrust needs, the core of every day's energy.

    Parameters
    ----------
    thrust_n : array_like, shape (...)
        Net thrust the boat needs, zero or more. [N]
    inflow_mps : array_like, broadcastable
        Water speed into the propeller along the thrust; negative counts as zero. [m/s]
    motor : Motor
        The calibrated motor. [mixed]

    Returns
    -------
    demand : Demand
        Power, motor voltage, current and shaft speed. No limit of voltage or current is
        applied: compare `motor_voltage_v` with the bus, and see `full_throttle`. [W, V, A]

    Raises
    ------
    ValueError
        If a thrust is negative or a number is not finite.

    Notes
    -----
    With shaft speed and torque from the propeller,

    .. math:: P = V_m I_m (1 + k_{sw}) + P_\mathrm{idle}

    under a chopper, :math:`P = V_r I_m + P_\mathrm{idle}` at rated voltage under stepped
    control, where the bus carries the motor's current. Without thrust the motor stands and
    only the electronics draw. A vanishing thrust in a strong stream still costs the power
    to spin the propeller along with the water.
    """
    thrust = bounded(thrust_n, name="thrust_n", low=0.0)
    inflow = np.maximum(bounded(inflow_mps, name="inflow_mps"), 0.0)
    clean = thrust / thrust_scale(motor)
    jet = np.sqrt(
        inflow**2
        + clean * (JET / (motor.water_density_kgpm3 * np.asarray(motor.diameter_m) ** 2))
    )
    still = jet == 0.0
    jet_ratio = inflow / np.where(still, 1.0, jet)
    g = polynomial(jet_ratio, motor.advance_polynomial)
    speed = jet / (motor.diameter_m * g)
    current, voltage = shaft_load(speed, jet_ratio * g, motor=motor)
    power = _motor_power_w(current, voltage, motor)
    running = thrust > 0.0
    if not running.all():
        power = np.where(running, power, 0.0)
        voltage, speed = (np.where(running, each, 0.0) for each in (voltage, speed))
    power = power + motor.idle_power_w
    return Demand(
        power_w=power,
        motor_voltage_v=voltage,
        current_a=power / motor.rated_voltage_v,
        shaft_speed_rps=speed,
    )


def thrust_at_power(
    power_w: ArrayLike, *, inflow_mps: ArrayLike, motor: Motor
) -> NDArray[np.float64]:
    r"""
    Return the thrust a limited power can make, the way back from `electrical_demand`.

    Parameters
    ----------
    power_w : array_like, shape (...)
        Electrical power at the bus, zero or more; under stepped control bus current times
        rated voltage. [W]
    inflow_mps : array_like, broadcastable
        Water speed into the propeller along the thrust; negative counts as zero. [m/s]
    motor : Motor
        The calibrated motor. [mixed]

    Returns
    -------
    thrust_n : ndarray, shape (...)
        Net thrust; zero where the power does not even spin the propeller along. [N]

    Raises
    ------
    ValueError
        If a power is negative or a number is not finite.

    Notes
    -----
    Newton's method on the shaft speed, a fixed number of steps: power rises and is convex
    in it, so that after the first step the speed comes down on the root from above.
    """
    power = bounded(power_w, name="power_w", low=0.0)
    inflow = np.maximum(bounded(inflow_mps, name="inflow_mps"), 0.0)
    flow = inflow / motor.diameter_m
    lowest = np.maximum(flow / motor.zero_thrust_advance, 1e-9)  # freewheel, never quite zero
    target = np.maximum(power - motor.idle_power_w, 0.0)
    rated = shaft_state(np.asarray(motor.rated_speed_rps), np.zeros(()), motor=motor)
    share = target / _motor_power_w(rated.current_a, rated.voltage_v, motor)
    exponent = 1.0 / 3.0 if motor.control == "pwm" else 0.5
    speed = np.maximum(motor.rated_speed_rps * share**exponent, lowest)
    for _ in range(8):
        shaft = shaft_state(speed, flow / speed, motor=motor)
        excess = _motor_power_w(shaft.current_a, shaft.voltage_v, motor) - target
        speed = np.maximum(speed - excess / _motor_power_slope_ws(shaft, motor), lowest)
    thrust = np.maximum(net_thrust_n(speed, flow / speed, motor=motor), 0.0)
    return np.where(speed > lowest, thrust, 0.0)


def _motor_power_w(
    current_a: NDArray[np.float64], voltage_v: NDArray[np.float64], motor: Motor
) -> NDArray[np.float64]:
    """Return the bus power of a running motor without the idle power."""
    if motor.control == "stepped":
        return current_a * motor.rated_voltage_v
    return current_a * voltage_v * (1.0 + np.asarray(motor.switching_loss))


def _motor_power_slope_ws(shaft: Shaft, motor: Motor) -> NDArray[np.float64]:
    """Return the change of `_motor_power_w` with shaft speed."""
    if motor.control == "stepped":
        return shaft.current_slope_as * motor.rated_voltage_v
    voltage_slope = back_emf_vs(motor) + motor.winding_resistance_ohm * shaft.current_slope_as
    return (1.0 + np.asarray(motor.switching_loss)) * (
        shaft.voltage_v * shaft.current_slope_as + shaft.current_a * voltage_slope
    )
