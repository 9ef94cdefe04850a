"""
How a hull bites the water sideways when it moves ahead at a small angle.

Depends on: `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded


def drift_derivatives(
    length_m: ArrayLike, *, beam_m: ArrayLike, draft_m: ArrayLike, block_coefficient: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""
    Return the side force and the turning moment of a hull per unit of drift, as ratios.

    Parameters
    ----------
    length_m, beam_m, draft_m : array_like, broadcastable together
        Of the hull at the waterline. [m]
    block_coefficient : array_like, broadcastable with `length_m`
        Displaced volume over the box around it, 0 to 1. [1]

    Returns
    -------
    sway_derivative : ndarray, shape (...)
        Side force over velocity pressure, squared length and the drift angle; negative. [1]
    yaw_derivative : ndarray, shape (...)
        Moment about midships over velocity pressure, cubed length and the drift angle;
        negative: left to itself the hull turns across its path. [1]

    Raises
    ------
    ValueError
        If a dimension is not above zero or the block coefficient outside 0 to 1.

    Notes
    -----
    .. math::

        Y_v' = -\pi \left(\frac{T}{L}\right)^2 \left(1 + 0.4\, C_b \frac{B}{T}\right), \qquad
        N_v' = -\pi \left(\frac{T}{L}\right)^2 \left(0.5 + 2.4\, \frac{T}{L}\right)

    Fitted to tests of ships. What an ideal fluid alone would do to turn the hull is in it and
    must not be added again. Ships have a beam of 2 to 4 drafts; these boats have 7 to 11, so
    this is far outside the tests, and the share of the beam in the side force with it.

    References
    ----------
    .. [1] Clarke, Gedling and Hine 1983, as given in a public marine-systems code library;
       read there, not in the paper.

    Examples
    --------
    >>> sway, yaw = drift_derivatives(4.85, beam_m=1.85, draft_m=0.192, block_coefficient=0.52)
    >>> round(float(yaw / sway), 3)
    0.198
    """
    length = bounded(length_m, name="length_m", low=0.0, above=True)
    beam = bounded(beam_m, name="beam_m", low=0.0, above=True)
    draft = bounded(draft_m, name="draft_m", low=0.0, above=True)
    block = bounded(block_coefficient, name="block_coefficient", low=0.0, high=1.0, above=True)
    slender = draft / length
    wing = -np.pi * slender * slender
    return (
        np.asarray(wing * (1.0 + 0.4 * block * beam / draft)),
        np.asarray(wing * (0.5 + 2.4 * slender)),
    )
