"""
Make a motor from its label, or from the owner's own pull test, and say what to doubt.

The top point (label, or strongest pull) is met exactly; how the losses share out below it
comes from priors, and from the owner's other points where there are any.

Depends on: anchor (the sums), bench (the fit), drive (the motor), momentum (the careful
thrust), propeller (the series' type), bounds.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from energysim.physics.anchor import (
    NO_LOAD,
    Anchor,
    anchored_motor,
    bow_propeller,
    fouled,
    ideal_share,
    likely_efficiency,
    usual_diameter_m,
)
from energysim.physics.bench import bench_points, doubtful_points, fitted_motor
from energysim.physics.bounds import bounded
from energysim.physics.drive import Control, Motor
from energysim.physics.momentum import ideal_static_thrust_n
from energysim.physics.propeller import SeriesCoefficients

POUND_FORCE_N: Final = 4.4482216152605
"""One pound-force, 0.45359237 kg times standard gravity (the international pound). [N]"""

INCH_M: Final = 0.0254
"""One international inch. [m]"""

CREDIBLE_SHARE: Final = (0.38, 0.56)
"""Ideal over electrical power at the bollard that such motors reach (our estimate)."""

CAREFUL_SHARE: Final = 0.55
"""The share behind the careful thrust (our estimate)."""

LOW_PULL: Final = 0.15
"""A bench test should reach down to this share of its strongest pull (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Calibration:
    """A motor made from a label or a bench test, with what was assumed and what is doubtful."""

    motor: Motor
    notes: tuple[str, ...]  # assumptions made, a sentence each
    warnings: tuple[str, ...]  # what to check, with both numbers compared and what to do
    electrical_to_ideal: float  # ideal jet power over electrical power at the top point
    credible: bool  # whether that share is one such motors reach
    careful_thrust_n: float  # the thrust to plan with if the top point is too good to be true


def motor_from_label(
    rated_thrust_n: float,
    *,
    rated_voltage_v: float,
    max_current_a: float,
    diameter_m: float | None,
    blades: int,
    pitch_ratio: float,
    idle_current_a: float,
    switching_loss: float,
    thrust_deduction: float,
    fouling: float,
    control: Control,
    current_limit_a: float | None,
    water_density_kgpm3: float,
    series: SeriesCoefficients,
) -> Calibration:
    r"""
    Return the motor whose full-throttle bollard point is the one printed on its label.

    Parameters
    ----------
    rated_thrust_n : float
        Thrust on the label: the propeller's own, clean and clear of any hull. [N]
    rated_voltage_v : float
        Nominal voltage the thrust is rated at. [V]
    max_current_a : float
        Bus current at that thrust. [A]
    diameter_m : float or None
        Propeller diameter; None takes the one usual for such a label. [m]
    blades : int
        2 or 3. [count]
    pitch_ratio : float
        Pitch over diameter, 0.5 to 0.8; 0.6 is usual. [1]
    idle_current_a : float
        Current of the electronics alone, usually 0.1 to 0.5. [A]
    switching_loss : float
        Share lost in the chopper below full duty, usually 0.01 to 0.02. [1]
    thrust_deduction : float
        Share of thrust lost on the hull: 0 with the jet clear, 0.05 under the hull. [1]
    fouling : float
        0 clean, 0.05 to 0.10 slime and nicks, 0.3 and more weed. [1]
    control : str
        "pwm" for a chopper, "stepped" for coils or resistors. [text]
    current_limit_a : float or None
        Limit the controller keeps on the bus current; carried for the caller. [A]
    water_density_kgpm3 : float
        Of the water the label is taken to hold in. [kg/m^3]
    series : SeriesCoefficients
        Propeller series whose shape is used. [1]

    Returns
    -------
    calibration : Calibration
        The motor with its assumptions and doubts. [mixed]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Notes
    -----
    .. math:: \eta_o = \frac{P_{id}(T, 0)}{V (I - I_\mathrm{idle})}
              = FM_\mathrm{series} \frac{\eta_m}{1 + k}

    is split between motor efficiency and blade drag k by the likeliest pair under
    independent normal priors, 0.80 +- 0.05 (at most 0.88) and 0.08 +- 0.06; no-load current
    is 5 % of full current. Priors are ours: no open measurement of thrust against current
    of such motors was found, so the curve below the label rests on theory.

    Expect at the bollard, for a label taken at its word, a spread of 6 % of power at a fifth
    of the thrust and 2 % at half of it, and about 15 % if the label itself is loose. These
    were computed with motors drawn from this same family and are lower bounds.
    """
    anchor, notes = _anchor(
        _positive(rated_thrust_n, "rated_thrust_n"),
        voltage_v=_positive(rated_voltage_v, "rated_voltage_v"),
        current_a=_positive(max_current_a, "max_current_a"),
        diameter_m=diameter_m,
        blades=blades,
        pitch_ratio=pitch_ratio,
        idle_current_a=idle_current_a,
        switching_loss=switching_loss,
        thrust_deduction=thrust_deduction,
        control=control,
        current_limit_a=current_limit_a,
        water_density_kgpm3=water_density_kgpm3,
        series=series,
    )
    clean = anchored_motor(
        anchor, motor_efficiency=likely_efficiency(anchor), no_load_share=NO_LOAD[0]
    )
    notes += ("The current below full throttle is worked out from the label alone.",)
    return _judged(anchor, fouled(clean, fouling=fouling), notes=notes, warnings=())


def motor_from_bench(
    thrust_n: ArrayLike,
    *,
    current_a: ArrayLike,
    voltage_v: ArrayLike,
    diameter_m: float | None,
    blades: int,
    pitch_ratio: float,
    idle_current_a: float,
    switching_loss: float,
    thrust_deduction: float,
    fouling: float,
    control: Control,
    current_limit_a: float | None,
    water_density_kgpm3: float,
    series: SeriesCoefficients,
) -> Calibration:
    r"""
    Return the motor that fits the owner's pulls against a scale, the strongest one exactly.

    Parameters
    ----------
    thrust_n : array_like, shape (points,)
        Steady pulls of the boat on a line, at least one. The strongest is taken at full
        throttle; one at 15 % of it or less helps most. [N]
    current_a : array_like, shape (points,)
        Bus current at each pull. [A]
    voltage_v : array_like, shape (points,) or ()
        Bus voltage at each pull. [V]
    diameter_m : float or None
        Propeller diameter; None takes the one usual for such a pull and power. [m]
    blades : int
        2 or 3. [count]
    pitch_ratio : float
        Pitch over diameter, 0.5 to 0.8. [1]
    idle_current_a : float
        Current of the electronics alone. [A]
    switching_loss : float
        Share lost in the chopper below full duty. [1]
    thrust_deduction : float
        Share of thrust lost on the hull, then and now: the pulls are net of it. [1]
    fouling : float
        What has come since the test, 0 for nothing. [1]
    control : str
        "pwm" for a chopper, "stepped" for coils or resistors. [text]
    current_limit_a : float or None
        Limit the controller keeps on the bus current; carried for the caller. [A]
    water_density_kgpm3 : float
        Of the water the test was made in. [kg/m^3]
    series : SeriesCoefficients
        Propeller series whose shape is used. [1]

    Returns
    -------
    calibration : Calibration
        The motor; its rated voltage is that of the strongest pull. [mixed]

    Raises
    ------
    ValueError
        If an argument lies outside its range or the points are not of one length.

    Notes
    -----
    Power at the bollard is a sum of parts that grow as 1 (idle), :math:`T^{1/2}` to
    :math:`T` (no-load), :math:`T^{3/2}` (propeller) and :math:`T^2` (copper), none of them
    negative. So the points settle two numbers of the model, motor efficiency and no-load
    current, by least squares on the logarithm of current (5 % a point) together with the
    priors that a label alone would use. Current then rises with thrust at any inflow, and
    full throttle agrees with it; a curve drawn through the points would promise neither.
    """
    pulls, currents, voltages = bench_points(thrust_n, current_a, voltage_v)
    top = int(np.argmax(pulls))
    deduction = bounded(thrust_deduction, name="thrust_deduction", low=0.0, high=0.9)
    anchor, notes = _anchor(
        float(pulls[top]) / (1.0 - float(deduction)),
        voltage_v=float(voltages[top]),
        current_a=float(currents[top]),
        diameter_m=diameter_m,
        blades=blades,
        pitch_ratio=pitch_ratio,
        idle_current_a=idle_current_a,
        switching_loss=switching_loss,
        thrust_deduction=thrust_deduction,
        control=control,
        current_limit_a=current_limit_a,
        water_density_kgpm3=water_density_kgpm3,
        series=series,
    )
    others = np.arange(len(pulls)) != top
    rest = (pulls[others], currents[others], voltages[others])
    clean = fitted_motor(anchor, *rest)
    if pulls.min() > LOW_PULL * pulls[top]:
        least = f"{100.0 * pulls.min() / pulls[top]:.0f} % of the strongest"
        notes += (f"The weakest pull is {least}; below it the current rests on assumptions.",)
    warnings = tuple(
        f"At a pull of {_force(pull)} the test has {measured:.1f} A, the curve fitted through"
        f" the strongest pull {modelled:.1f} A; measure that pull and the strongest one again."
        for pull, measured, modelled in doubtful_points(clean, *rest)
    )
    return _judged(anchor, fouled(clean, fouling=fouling), notes=notes, warnings=warnings)


def _anchor(
    thrust_n: float,
    *,
    voltage_v: float,
    current_a: float,
    diameter_m: float | None,
    blades: int,
    pitch_ratio: float,
    idle_current_a: float,
    switching_loss: float,
    thrust_deduction: float,
    control: Control,
    current_limit_a: float | None,
    water_density_kgpm3: float,
    series: SeriesCoefficients,
) -> tuple[Anchor, tuple[str, ...]]:
    """Check what label and bench share, fill in the diameter, and note the assumptions."""
    bounded(idle_current_a, name="idle_current_a", low=0.0, high=0.2 * current_a)
    bounded(switching_loss, name="switching_loss", low=0.0, high=0.2)
    bounded(thrust_deduction, name="thrust_deduction", low=0.0, high=0.9)
    bounded(water_density_kgpm3, name="water_density_kgpm3", low=900.0, high=1100.0)
    if control not in ("pwm", "stepped"):
        msg = f'control = {control!r}; it must be "pwm" or "stepped"'
        raise ValueError(msg)
    notes: tuple[str, ...] = ()
    if diameter_m is None:
        diameter_m = usual_diameter_m(
            thrust_n, power_w=voltage_v * current_a, water_density_kgpm3=water_density_kgpm3
        )
        notes = (
            f"The propeller's diameter was not given; {diameter_m:.3f} m"
            f" ({diameter_m / INCH_M:.1f} in) is usual for such a motor.",
        )
    bounded(diameter_m, name="diameter_m", low=0.1, high=0.6)
    limit = math.inf
    if current_limit_a is not None:
        limit = _positive(current_limit_a, "current_limit_a")
    anchor = Anchor(
        thrust_n=thrust_n,
        voltage_v=voltage_v,
        current_a=current_a,
        idle_current_a=idle_current_a,
        diameter_m=diameter_m,
        propeller=bow_propeller(blades=blades, pitch_ratio=pitch_ratio, series=series),
        water_density_kgpm3=water_density_kgpm3,
        switching_loss=switching_loss,
        thrust_deduction=thrust_deduction,
        control=control,
        current_limit_a=limit,
    )
    return anchor, notes


def _judged(
    anchor: Anchor, motor: Motor, *, notes: tuple[str, ...], warnings: tuple[str, ...]
) -> Calibration:
    """Hold the top point against the ideal disc and put the outcome into words."""
    share = ideal_share(anchor)
    power = anchor.voltage_v * anchor.current_a
    careful = float(
        ideal_static_thrust_n(
            CAREFUL_SHARE * power,
            diameter_m=anchor.diameter_m,
            water_density_kgpm3=anchor.water_density_kgpm3,
        )
    )
    low, high = CREDIBLE_SHARE
    claim = (
        f"{_force(anchor.thrust_n)} from {anchor.current_a:g} A at {anchor.voltage_v:g} V"
        f" with a {anchor.diameter_m:.3f} m ({anchor.diameter_m / INCH_M:.1f} in) propeller"
        f" means that {100.0 * share:.0f} % of the electrical power becomes ideal jet power;"
        f" motors of this kind reach {100.0 * low:.0f} to {100.0 * high:.0f} %."
    )
    if share > high:
        warnings = (
            f"{claim} That is more than can be believed: plan with the careful thrust of about"
            f" {_force(careful)}, or check the diameter and the voltage the thrust holds at.",
            *warnings,
        )
    elif share < low:
        warnings = (
            f"{claim} That is unusually little: check thrust, current and diameter, or the"
            " current for a given thrust will come out too high.",
            *warnings,
        )
    return Calibration(
        motor=motor,
        notes=notes,
        warnings=warnings,
        electrical_to_ideal=share,
        credible=low <= share <= high,
        careful_thrust_n=min(careful, anchor.thrust_n),
    )


def _force(force_n: float) -> str:
    """Write a force in both units people use."""
    return f"{force_n:.0f} N ({force_n / POUND_FORCE_N:.0f} lbf)"


def _positive(value: float, name: str) -> float:
    """Return a number above zero, or say which was not."""
    return float(bounded(value, name=name, low=0.0, above=True))
