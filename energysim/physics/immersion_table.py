"""
The means of `physics.immersion` for one motor, worked out once and read many times.

Depends on: `physics.bounds`, `physics.immersion`.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.immersion import mean_thrust_ratio, mean_torque_ratio

Array = NDArray[np.float64]

_MOST_RADII: Final = 4.0  # of motion; rougher water counts as this rough
_NODES: Final = 161


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ImmersionTable:
    """What is left of one motor's thrust and torque, by how much its depth swings."""

    step_m: float  # of motion between nodes
    thrust_ratio: Array  # shape (nodes,), at 0, 1, 2 ... steps of motion [1]
    torque_ratio: Array  # shape (nodes,), alike [1]


def immersion_table(
    shaft_depth_m: float, *, propeller_radius_m: float, exponent: float
) -> ImmersionTable:
    """
    Return the table of one motor for `immersion_ratios`.

    Parameters
    ----------
    shaft_depth_m : float
        Depth of the shaft in flat water. [m]
    propeller_radius_m : float
        Propeller radius. [m]
    exponent : float
        As in `physics.ventilation.ventilation_torque_ratio`. [1]

    Returns
    -------
    table : ImmersionTable
        Up to a motion of four propeller radii.

    Raises
    ------
    ValueError
        If the radius is not above zero, the depth not finite or the exponent not above 0 and
        at most 1.
    """
    radius = float(bounded(propeller_radius_m, name="propeller_radius_m", low=0.0, above=True))
    step = _MOST_RADII * radius / (_NODES - 1)
    motion = step * np.arange(_NODES)
    return ImmersionTable(
        step_m=step,
        thrust_ratio=mean_thrust_ratio(
            shaft_depth_m, motion_sd_m=motion, propeller_radius_m=radius
        ),
        torque_ratio=mean_torque_ratio(
            shaft_depth_m, motion_sd_m=motion, propeller_radius_m=radius, exponent=exponent
        ),
    )


def immersion_ratios(motion_sd_m: ArrayLike, *, table: ImmersionTable) -> tuple[Array, Array]:
    """
    Return the share of thrust and of torque left, on average, in so much chop.

    Parameters
    ----------
    motion_sd_m : array_like, shape (...)
        As from `physics.bow_motion.relative_bow_motion_m`. [m]
    table : ImmersionTable
        The motor's.

    Returns
    -------
    thrust_ratio : ndarray, shape (...)
        A motor takes it into its `thrust_factor`. [1]
    torque_ratio : ndarray, shape (...)
        And this into its `torque_factor`. [1]

    Raises
    ------
    ValueError
        If a motion is negative.

    Notes
    -----
    Straight lines between the nodes, within 0.001 of `mean_thrust_ratio` and
    `mean_torque_ratio`. Motion beyond four radii counts as four.
    """
    motion = bounded(motion_sd_m, name="motion_sd_m", low=0.0)
    where = np.minimum(motion / table.step_m, _NODES - 1.0)
    left = np.minimum(where.astype(np.intp), _NODES - 2)
    share = where - left
    thrust, torque = table.thrust_ratio, table.torque_ratio
    return (
        np.asarray(thrust[left] + share * np.diff(thrust)[left]),
        np.asarray(torque[left] + share * np.diff(torque)[left]),
    )
