"""
One known point at the bollard, and the motor that passes through it.

`calibrate` decides which point and how the losses are shared; this module does the sums.

Depends on: drive (the motor), propeller (the series), momentum (the ideal disc), bounds.
"""

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.drive import Control, Motor, advance_polynomial
from energysim.physics.momentum import ideal_power_w
from energysim.physics.propeller import (
    Propeller,
    SeriesCoefficients,
    figure_of_merit,
    series_propeller,
    zero_thrust_advance,
)

AREA_RATIO: Final = {2: 0.38, 3: 0.45}
"""Expanded area ratio taken for two and three blades (our estimate)."""

USUAL_DIAMETER_M: Final = (9.0 * 0.0254, 12.5 * 0.0254)
"""Range an unknown propeller diameter is kept in, 9 to 12.5 in (our estimate)."""

USUAL_SHARE: Final = 0.50
"""Ideal over electrical power behind the rule for an unknown diameter (our estimate)."""

# Normal priors at full load, mean and spread, ours: what the motor makes of its electrical
# power, the torque beyond the series' (blade drag, weedless edges, pod), no-load current.
MOTOR_EFFICIENCY: Final = (0.80, 0.05)
BLADE_DRAG: Final = (0.08, 0.06)
MOTOR_EFFICIENCY_CAP: Final = 0.88
NO_LOAD: Final = (0.05, 0.02)  # no-load over full current; 3 to 8 % is usual


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Anchor:
    """A full-throttle point at the bollard and everything about the motor that is given."""

    thrust_n: float  # of the propeller itself, before the hull takes its share
    voltage_v: float  # at the bus
    current_a: float  # from the bus
    idle_current_a: float
    diameter_m: float
    propeller: Propeller
    water_density_kgpm3: float
    switching_loss: float
    thrust_deduction: float
    control: Control
    current_limit_a: float  # math.inf for none

    @property
    def motor_current_a(self) -> float:
        """Current through the motor itself."""
        return self.current_a - self.idle_current_a


def usual_diameter_m(thrust_n: float, *, power_w: float, water_density_kgpm3: float) -> float:
    r"""
    Return the propeller diameter usual for a thrust and power, when nobody has measured it.

    Parameters
    ----------
    thrust_n : float
        Thrust at the bollard. [N]
    power_w : float
        Electrical power for it. [W]
    water_density_kgpm3 : float
        Density of the water. [kg/m^3]

    Returns
    -------
    diameter_m : float
        Between 0.229 and 0.318. [m]

    Notes
    -----
    .. math:: D = \frac{T^{3/2}}{0.50\, P \sqrt{\pi \rho / 2}}

    The diameter at which half of the electrical power ends up as ideal jet power; rule,
    share and range are ours.
    """
    diameter = thrust_n**1.5 / (
        USUAL_SHARE * power_w * math.sqrt(math.pi * water_density_kgpm3 / 2.0)
    )
    return float(min(max(diameter, USUAL_DIAMETER_M[0]), USUAL_DIAMETER_M[1]))


def bow_propeller(*, blades: int, pitch_ratio: float, series: SeriesCoefficients) -> Propeller:
    """
    Return the propeller of a bow motor, with the area ratio usual for its blades.

    Parameters
    ----------
    blades : int
        2 or 3. [count]
    pitch_ratio : float
        Pitch over diameter, 0.5 to 0.8: beyond, the series' two-bladed curves drift off. [1]
    series : SeriesCoefficients
        Propeller series whose shape is used. [1]

    Returns
    -------
    propeller : Propeller
        Its cubics. [1]

    Raises
    ------
    ValueError
        If the number of blades or the pitch ratio lies outside its range.
    """
    if blades not in AREA_RATIO:
        msg = f"blades = {blades!r}; it must be 2 or 3"
        raise ValueError(msg)
    bounded(pitch_ratio, name="pitch_ratio", low=0.5, high=0.8)
    return series_propeller(
        pitch_ratio, area_ratio=AREA_RATIO[blades], blades=blades, series=series
    )


def ideal_share(anchor: Anchor) -> float:
    r"""
    Return the share of electrical power that ends up as ideal jet power at the anchor.

    Parameters
    ----------
    anchor : Anchor
        The known point. [mixed]

    Returns
    -------
    share : float
        The figure a label is judged by. [1]

    Notes
    -----
    .. math:: \eta_o = \frac{\sqrt{T^3 / (2 \rho A)}}{V (I - I_\mathrm{idle})}
    """
    ideal = ideal_power_w(
        anchor.thrust_n,
        inflow_mps=0.0,
        diameter_m=anchor.diameter_m,
        water_density_kgpm3=anchor.water_density_kgpm3,
    )
    return float(ideal) / (anchor.voltage_v * anchor.motor_current_a)


def blade_drag(anchor: Anchor, *, motor_efficiency: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the torque beyond the series' that closes the sum at the anchor.

    Parameters
    ----------
    anchor : Anchor
        The known point. [mixed]
    motor_efficiency : array_like, shape (...)
        Shaft over electrical power there. [1]

    Returns
    -------
    blade_drag : ndarray, shape (...)
        Added share of the bollard torque; negative if the series needs too much. [1]

    Notes
    -----
    .. math:: 1 + k = FM_\mathrm{series}\, \eta_m / \eta_o
    """
    merit = float(figure_of_merit(anchor.propeller))
    return np.asarray(motor_efficiency) * (merit / ideal_share(anchor)) - 1.0


def likely_efficiency(anchor: Anchor) -> float:
    """
    Return the likeliest motor efficiency when only the product with the propeller is known.

    Parameters
    ----------
    anchor : Anchor
        The known point. [mixed]

    Returns
    -------
    motor_efficiency : float
        The peak of the two normal priors along the line they must lie on, at most 0.88. [1]
    """
    ratio = float(figure_of_merit(anchor.propeller)) / ideal_share(anchor)
    mean, spread = MOTOR_EFFICIENCY
    drag_mean, drag_spread = BLADE_DRAG
    weight, drag_weight = spread**-2, (ratio / drag_spread) ** 2
    likeliest = (weight * mean + drag_weight * (1.0 + drag_mean) / ratio) / (
        weight + drag_weight
    )
    return min(likeliest, MOTOR_EFFICIENCY_CAP)


def anchored_motor(
    anchor: Anchor, *, motor_efficiency: ArrayLike, no_load_share: ArrayLike
) -> Motor:
    r"""
    Return the clean motor that passes through the anchor exactly.

    Parameters
    ----------
    anchor : Anchor
        The known point. [mixed]
    motor_efficiency : array_like, shape (...)
        Shaft over electrical power at the anchor; an array makes a motor with members. [1]
    no_load_share : array_like, broadcastable
        No-load current over motor current at the anchor. [1]

    Returns
    -------
    motor : Motor
        Its floats have the arguments' shape where they depend on them. [mixed]

    Raises
    ------
    ValueError
        If the two leave nothing for the winding's resistance.

    Notes
    -----
    .. math:: n_r = \sqrt{T / (\rho D^4 K_T(0))}, \quad
              r = 1 - \frac{\eta_m}{1 - I_0/I_m}, \quad
              R = r V / I_m, \quad K_t = \frac{V (1 - r)}{2 \pi n_r}

    Torque beyond the series is the same at every advance ratio; torque short of it scales
    the whole curve.
    """
    efficiency, share = np.broadcast_arrays(
        np.asarray(motor_efficiency, dtype=np.float64),
        np.asarray(no_load_share, dtype=np.float64),
    )
    thrust_cubic, torque_cubic = anchor.propeller.thrust_cubic, anchor.propeller.torque_cubic
    drag = blade_drag(anchor, motor_efficiency=efficiency)
    series_torque = torque_cubic.reshape(4, *([1] * drag.ndim))
    torque = series_torque * (1.0 + np.minimum(drag, 0.0))
    torque[0] += np.maximum(drag, 0.0) * torque_cubic[0]
    speed_rps = math.sqrt(
        anchor.thrust_n
        / (anchor.water_density_kgpm3 * anchor.diameter_m**4 * float(thrust_cubic[0]))
    )
    copper = 1.0 - efficiency / (1.0 - share)
    if np.any(copper <= 0.0):
        msg = (
            f"motor_efficiency = {efficiency.max():g}; it must be below one less"
            f" no_load_share, here {1.0 - share.max():g}, or nothing is left for the winding"
        )
        raise ValueError(msg)
    return Motor(
        diameter_m=anchor.diameter_m,
        water_density_kgpm3=anchor.water_density_kgpm3,
        thrust_cubic=thrust_cubic,
        torque_cubic=torque,
        advance_polynomial=advance_polynomial(anchor.propeller),
        zero_thrust_advance=float(zero_thrust_advance(anchor.propeller)),
        torque_constant_nmpa=anchor.voltage_v * (1.0 - copper) / (2.0 * math.pi * speed_rps),
        winding_resistance_ohm=copper * anchor.voltage_v / anchor.motor_current_a,
        no_load_current_a=share * anchor.motor_current_a,
        rated_speed_rps=speed_rps,
        rated_voltage_v=anchor.voltage_v,
        idle_power_w=anchor.idle_current_a * anchor.voltage_v,
        switching_loss=anchor.switching_loss,
        thrust_deduction=anchor.thrust_deduction,
        thrust_factor=1.0,
        torque_factor=1.0,
        control=anchor.control,
        current_limit_a=anchor.current_limit_a,
    )


def fouled(motor: Motor, *, fouling: float) -> Motor:
    r"""
    Return the motor with slime, nicks or weed on its propeller.

    Parameters
    ----------
    motor : Motor
        The clean motor. [mixed]
    fouling : float
        0 clean, 0.05 to 0.10 slime and nicks, 0.3 and more weed; at most 1. [1]

    Returns
    -------
    motor : Motor
        With KQ scaled by 1 + f and KT by 1 - f/2. [mixed]

    Raises
    ------
    ValueError
        If fouling lies outside 0 to 1.

    Notes
    -----
    The form is ours. Tests at ship scale found efficiency losses of 6 % for a rough
    propeller to 30 % for a badly fouled one; weed around the hub can double the current
    (from memory).
    """
    bounded(fouling, name="fouling", low=0.0, high=1.0)
    return replace(
        motor,
        torque_factor=motor.torque_factor * (1.0 + fouling),
        thrust_factor=motor.thrust_factor * (1.0 - fouling / 2.0),
    )
