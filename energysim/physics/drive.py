"""
The bow motor as one set of numbers, and what its shaft asks of the motor.

Propeller, motor and controller are carried as a frozen `Motor`; `motor` turns it into
demand and full throttle, `calibrate` makes it from a label or a bench test.

Depends on: propeller (cubics, zero-thrust advance), bounds.
"""

import math
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from energysim.physics.propeller import Propeller, cubic_slope, zero_thrust_advance

JET: Final = 8.0 / math.pi
"""Slipstream speed squared is inflow squared plus this times T / (rho D^2) (momentum)."""

LAST_ADVANCE: Final = 1.9
"""Both cubics of a bow propeller fall up to here, some way past zero thrust; J stops here."""

_ADVANCE_DEGREE: Final = 10  # leaves the shaft speed within 2e-5 for P/D 0.5 to 0.8; tested

Control = Literal["pwm", "stepped"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Motor:
    """
    A calibrated electric bow motor with its propeller and controller.

    Every float may be an array over members, to be broadcast against a trailing member
    axis, and so may `thrust_factor` and `torque_factor` over steps and members. The three
    coefficient arrays may have a trailing member axis too. Make changes with
    `dataclasses.replace`.
    """

    diameter_m: float | NDArray[np.float64]
    water_density_kgpm3: float | NDArray[np.float64]
    thrust_cubic: NDArray[np.float64]  # KT in J, shape (4, ...)
    torque_cubic: NDArray[np.float64]  # KQ in J, calibrated, shape (4, ...)
    advance_polynomial: NDArray[np.float64]  # see advance_polynomial(), shape (11, ...)
    zero_thrust_advance: float | NDArray[np.float64]  # J where KT is zero
    torque_constant_nmpa: float | NDArray[np.float64]  # N m per ampere = V s per radian
    winding_resistance_ohm: float | NDArray[np.float64]  # with brushes, switches and leads
    no_load_current_a: float | NDArray[np.float64]  # at rated speed; half of it at rest
    rated_speed_rps: float | NDArray[np.float64]  # shaft at the bollard, full throttle, clean
    rated_voltage_v: float  # bus voltage the label or the bench test was taken at
    idle_power_w: float | NDArray[np.float64]  # electronics, drawn whenever the motor is on
    switching_loss: float | NDArray[np.float64]  # of motor power, below full duty
    thrust_deduction: float | NDArray[np.float64]  # share of thrust lost on the hull
    thrust_factor: float | NDArray[np.float64]  # on KT: 1 clean, less fouled or ventilated
    torque_factor: float | NDArray[np.float64]  # on KQ: 1 clean, more fouled, less ventilated
    control: Control
    current_limit_a: float  # of the bus, math.inf for none; the caller applies it


def wet_motor(
    motor: Motor,
    *,
    thrust_ratio: NDArray[np.float64],
    torque_ratio: NDArray[np.float64],
) -> Motor:
    r"""
    Return a motor whose propeller comes near the surface in chop.

    Parameters
    ----------
    motor : Motor
        With its propeller well under.
    thrust_ratio : ndarray, shape (...)
        Mean share of thrust that is left (`physics.immersion_table`). [1]
    torque_ratio : ndarray, shape (...)
        And of torque. [1]

    Returns
    -------
    motor : Motor
        The same, its propeller's coefficients times the shares.

    Notes
    -----
    .. math:: K_T' = r_T K_T, \quad K_Q' = r_Q K_Q
    """
    return replace(
        motor,
        thrust_factor=motor.thrust_factor * thrust_ratio,
        torque_factor=motor.torque_factor * torque_ratio,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shaft:
    """Current, voltage and torque-side numbers of the motor at one shaft speed."""

    current_a: NDArray[np.float64]  # in the motor
    voltage_v: NDArray[np.float64]  # at the motor
    current_slope_as: NDArray[np.float64]  # current per shaft speed, [A s/rev]


def advance_polynomial(propeller: Propeller) -> NDArray[np.float64]:
    r"""
    Return the polynomial that gives the shaft speed for a thrust without any search.

    Parameters
    ----------
    propeller : Propeller
        The geometry, cubics of shape (4, ...). [1]

    Returns
    -------
    coefficients : ndarray, shape (11, ...)
        Of g(u), constant term first. [1]

    Notes
    -----
    The speed the slipstream reaches, :math:`V_j = \sqrt{V^2 + (8/\pi) T / (\rho D^2)}`, is
    known from thrust and inflow alone. Two ratios of it are functions of one another for a
    given geometry and stay finite from the bollard to zero thrust:

    .. math:: u = V / V_j \in [0, 1], \qquad
              g(u) = V_j / (n D) = \sqrt{(8/\pi) K_T(J) + J^2}, \qquad J = u\, g(u)

    g is smooth and nearly flat, so a short polynomial through Chebyshev points carries it,
    exact at both ends. The form is ours; it replaces a table of J against :math:`T / V^2`.
    """
    nodes = 0.5 - 0.5 * np.cos(math.pi * np.arange(_ADVANCE_DEGREE + 1) / _ADVANCE_DEGREE)
    cubic = propeller.thrust_cubic
    u = nodes.reshape(-1, *([1] * (cubic.ndim - 1)))
    low = np.zeros(np.broadcast_shapes(u.shape, cubic.shape[1:]))
    high = low + zero_thrust_advance(propeller)
    for _ in range(60):  # bisection: J^2 (1 - u^2) grows with J, KT falls
        middle = 0.5 * (low + high)
        short = middle**2 * (1.0 - u**2) < u**2 * JET * polynomial(middle, cubic)
        low = np.where(short, middle, low)
        high = np.where(short, high, middle)
    advance = np.where(u == 0.0, 0.0, 0.5 * (low + high))
    values = np.sqrt(JET * np.maximum(polynomial(advance, cubic), 0.0) + advance**2)
    values[-1] = zero_thrust_advance(propeller)
    flat = np.linalg.solve(np.vander(nodes, increasing=True), values.reshape(len(nodes), -1))
    coefficients: NDArray[np.float64] = flat.reshape(values.shape)
    coefficients[0] = values[0]
    return coefficients


def shaft_state(
    shaft_speed_rps: NDArray[np.float64],
    advance_ratio: NDArray[np.float64],
    *,
    motor: Motor,
) -> Shaft:
    r"""
    Return what the motor must carry to turn the propeller at a speed and advance ratio.

    Parameters
    ----------
    shaft_speed_rps : ndarray, shape (...)
        Shaft speed, above zero. [rev/s]
    advance_ratio : ndarray, shape (...)
        Inflow over shaft speed times diameter, at most `LAST_ADVANCE`. [1]
    motor : Motor
        The motor. [mixed]

    Returns
    -------
    shaft : Shaft
        Motor current, motor voltage, and the slope of the current at fixed inflow. [A, V]

    Notes
    -----
    .. math:: I_m = Q / K_t + I_0 (1 + n/n_r) / 2, \quad V_m = 2 \pi K_t n + R I_m,
              \quad Q = \rho n^2 D^5 K_Q(J)

    Half of the no-load current is taken as friction that does not depend on speed, half as
    iron loss that grows with it (our estimate).
    """
    current, voltage, driven, torque_coefficient, iron = _carried(
        shaft_speed_rps, advance_ratio, motor
    )
    slope = cubic_slope(advance_ratio, motor.torque_cubic)
    return Shaft(
        current_a=current,
        voltage_v=voltage,
        current_slope_as=driven * (2.0 * torque_coefficient - advance_ratio * slope) + iron,
    )


def shaft_load(
    shaft_speed_rps: NDArray[np.float64],
    advance_ratio: NDArray[np.float64],
    *,
    motor: Motor,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """
    Return the current and voltage of `shaft_state`, for callers who ask for no slope.

    Parameters
    ----------
    shaft_speed_rps : ndarray, shape (...)
        Shaft speed, above zero. [rev/s]
    advance_ratio : ndarray, shape (...)
        Inflow over shaft speed times diameter, at most `LAST_ADVANCE`. [1]
    motor : Motor
        The motor. [mixed]

    Returns
    -------
    current_a, voltage_v : ndarray, shape (...)
        In and at the motor. [A, V]
    """
    current, voltage, *_ = _carried(shaft_speed_rps, advance_ratio, motor)
    return current, voltage


def _carried(
    speed: NDArray[np.float64], advance_ratio: NDArray[np.float64], motor: Motor
) -> tuple[NDArray[np.float64], ...]:
    """Return current, voltage, and what the slope of the current is made of."""
    torque_coefficient = polynomial(advance_ratio, motor.torque_cubic)
    # torque over the torque constant, per shaft speed squared
    scale = (
        motor.torque_factor
        * motor.water_density_kgpm3
        * np.asarray(motor.diameter_m) ** 5
        / motor.torque_constant_nmpa
    )
    half_no_load = 0.5 * np.asarray(motor.no_load_current_a)
    iron = half_no_load / motor.rated_speed_rps
    driven = np.asarray(scale * speed)
    current = np.asarray(driven * speed * torque_coefficient + (half_no_load + iron * speed))
    voltage = np.asarray(back_emf_vs(motor) * speed + motor.winding_resistance_ohm * current)
    return current, voltage, driven, torque_coefficient, iron


def back_emf_vs(motor: Motor) -> NDArray[np.float64]:
    """
    Return the voltage the turning motor raises against its supply, per revolution a second.

    Parameters
    ----------
    motor : Motor
        The motor. [mixed]

    Returns
    -------
    back_emf_vs : ndarray, shape (...)
        Two pi times the torque constant. [V s]
    """
    return 2.0 * math.pi * np.asarray(motor.torque_constant_nmpa, dtype=np.float64)


def net_thrust_n(
    shaft_speed_rps: NDArray[np.float64],
    advance_ratio: NDArray[np.float64],
    *,
    motor: Motor,
) -> NDArray[np.float64]:
    r"""
    Return the thrust the boat feels at a shaft speed and advance ratio.

    Parameters
    ----------
    shaft_speed_rps : ndarray, shape (...)
        Shaft speed. [rev/s]
    advance_ratio : ndarray, shape (...)
        Inflow over shaft speed times diameter, at most `LAST_ADVANCE`. [1]
    motor : Motor
        The motor. [mixed]

    Returns
    -------
    thrust_n : ndarray, shape (...)
        Negative beyond the zero-thrust advance ratio. [N]

    Notes
    -----
    .. math:: T = (1 - t)\, f_T\, \rho n^2 D^4 K_T(J)
    """
    return np.asarray(
        thrust_scale(motor)
        * motor.water_density_kgpm3
        * np.asarray(motor.diameter_m) ** 4
        * shaft_speed_rps**2
        * polynomial(advance_ratio, motor.thrust_cubic)
    )


def thrust_scale(motor: Motor) -> NDArray[np.float64]:
    """
    Return what the boat feels of each newton the clean propeller would make.

    Parameters
    ----------
    motor : Motor
        The motor. [mixed]

    Returns
    -------
    scale : ndarray, shape (...)
        Fouling or ventilation, and the hull's share. [1]
    """
    return np.asarray((1.0 - np.asarray(motor.thrust_deduction)) * motor.thrust_factor)


def polynomial(
    argument: NDArray[np.float64], coefficients: NDArray[np.float64]
) -> NDArray[np.float64]:
    """
    Return a polynomial's value; its coefficients may be arrays over members.

    Parameters
    ----------
    argument : ndarray, shape (...)
        Where to evaluate. [1]
    coefficients : ndarray, shape (order, ...)
        Constant term first. [1]

    Returns
    -------
    value : ndarray, shape (...)
        By Horner's rule. [1]
    """
    value = np.multiply(argument, coefficients[-1])
    # In place: a sweep's arrays are large, and all coefficients are of one shape.
    for coefficient in coefficients[-2:0:-1]:
        value += coefficient
        value *= argument
    value += coefficients[0]
    return np.asarray(value)
