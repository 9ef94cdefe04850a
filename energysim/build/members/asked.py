"""
What a block of members asks of its banks, at the instants of its plan.

Depends on: wanted, demand, simulate, physics.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from energysim.demand import full_throttle_of
from energysim.physics.drive import wet_motor
from energysim.physics.motor_factor import hungrier_motor
from energysim.simulate import Ends
from energysim.wanted import mean_power

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.physics.motor import Motor
    from energysim.wanted import Wanted

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """The demand of a block. Arrays (instants, members) unless said."""

    power_w: Array
    thrust_n: Array
    needed_voltage_v: Array
    inflow_mps: Array
    thrust_ratio: Array  # or (instants, 1)
    torque_ratio: Array
    motor: Motor  # as planned, well under
    power_factor: Array  # (members,), of each member's own

    def ends_at(self, instant: NDArray[np.intp], member: NDArray[np.intp]) -> Ends:
        """
        Return what only a motor at its ends is asked, worked out for those who come to it.

        Parameters
        ----------
        instant, member : ndarray of int
            When and who; they broadcast.
        """
        shape = self.inflow_mps.shape
        inflow, thrust_ratio, torque_ratio = (
            np.broadcast_to(each, shape)[instant, member]
            for each in (self.inflow_mps, self.thrust_ratio, self.torque_ratio)
        )
        factor = self.power_factor[member]
        wet = wet_motor(self.motor, thrust_ratio=thrust_ratio, torque_ratio=torque_ratio)
        return Ends(
            hungrier_motor(self.motor, power_factor=factor),
            inflow,
            thrust_ratio,
            torque_ratio,
            *full_throttle_of(inflow, wet, power_factor=factor),
        )


def asked_of(
    wanted: Wanted, motor: Motor, *, current_limit_a: float, power_factor: Array
) -> Asked:
    """
    Return what a block of members asks for in the mean over the gusts.

    Parameters
    ----------
    wanted : Wanted
        What the legs ask for, arrays (instants, members).
    motor : Motor
        As planned.
    current_limit_a : float
        The motor's own. [A]
    power_factor : ndarray, shape (members,)
        By what each member's motor takes more. [1]
    """
    wet = wet_motor(motor, thrust_ratio=wanted.thrust_ratio, torque_ratio=wanted.torque_ratio)
    mean = mean_power(wanted, wet, current_limit_a=current_limit_a, power_factor=power_factor)
    return Asked(
        power_w=mean.power_w,
        thrust_n=wanted.thrust_n,
        needed_voltage_v=mean.needed_voltage_v,
        inflow_mps=wanted.inflow_mps,
        thrust_ratio=wanted.thrust_ratio,
        torque_ratio=wanted.torque_ratio,
        motor=motor,
        power_factor=power_factor,
    )
