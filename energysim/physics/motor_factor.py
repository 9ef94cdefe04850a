r"""
A motor that takes more, or less, than reckoned for the same thrust.

Depends on: `physics.bounds`, `physics.drive`.
"""

from dataclasses import fields, replace
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.drive import Motor

_COEFFICIENTS: Final = frozenset({"thrust_cubic", "torque_cubic", "advance_polynomial"})


def hungrier_motor(motor: Motor, *, power_factor: ArrayLike) -> Motor:
    r"""
    Return a motor that draws a multiple of the power for every thrust, at the same voltage.

    Parameters
    ----------
    motor : Motor
        As it was calibrated.
    power_factor : array_like, shape (...)
        By what to multiply its current at every thrust, above zero; a number, or one for each
        member. [1]

    Returns
    -------
    motor : Motor
        What the electronics draw while it idles stays.

    Raises
    ------
    ValueError
        If a factor is not finite and above zero.

    Notes
    -----
    Torque and no-load current are multiplied by the factor and the winding's resistance is
    divided by it. Current at a shaft speed is then :math:`f I_m`, and the voltage

    .. math:: V_m = 2 \pi K_t n + \frac{R}{f}\, f I_m

    is what it was: the same thrust needs the same voltage, full throttle gives the same thrust,
    and every current is :math:`f` times as large. Ours: it stands for how far the curve of a
    real motor may lie from the calibrated one, whatever the reason.
    """
    factor = bounded(power_factor, name="power_factor", low=0.0, above=True)
    return replace(
        motor,
        torque_factor=np.asarray(motor.torque_factor * factor),
        no_load_current_a=np.asarray(motor.no_load_current_a * factor),
        winding_resistance_ohm=np.asarray(motor.winding_resistance_ohm / factor),
    )


def motor_of(motor: Motor, some: NDArray[np.intp]) -> Motor:
    """
    Return the motors of some members.

    Parameters
    ----------
    motor : Motor
        Of all; what is a number is alike for all of them.
    some : ndarray of int, shape (some,)
        Which members. [count]

    Returns
    -------
    motor : Motor
        Its arrays over members cut to those.
    """
    own: dict[str, Any] = {}
    for one in fields(motor):
        values = getattr(motor, one.name)
        # Coefficients have an axis of their own before the members'.
        least = 2 if one.name in _COEFFICIENTS else 1
        if np.ndim(values) >= least and values.shape[-1] > 1:
            own[one.name] = values[..., some]
    return replace(motor, **own) if own else motor
