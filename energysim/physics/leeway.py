"""
How a boat left alone slides downwind.

Depends on: `physics.boat`, `physics.bounds`, `physics.hull`, `physics.windage`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.boat import Boat
from energysim.physics.bounds import bounded
from energysim.physics.hull import cross_flow_n_per_mps2
from energysim.physics.windage import wind_forces_n

Array = NDArray[np.float64]


def leeway_mps(wind_mps: ArrayLike, *, boat: Boat) -> Array:
    r"""
    Return how fast a boat left alone slides downwind through the water, beam to the wind.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind over the water at the height of the windage. [m/s]
    boat : Boat
        The boat.

    Returns
    -------
    leeway_mps : ndarray, shape (...)
        Speed through the water, downwind. [m/s]

    Raises
    ------
    ValueError
        If a wind is negative.

    Notes
    -----
    Wind force equals cross-flow drag:

    .. math:: v = W\,\frac{r}{1 + r}, \qquad
              r = \sqrt{\frac{\rho_a A_L C_t}{\rho_w L_w T C_D}}

    Too fast for skiffs, and known to be. In 10 to 20 kn of wind the published drift of skiffs
    is 3.2 to 5.1 % of the 10 m wind and of an open boat with a centre console 5.6 %; without
    waves this law gives our skiff 5.0 to 5.1 % and our centre console 5.5 to 5.6 %. Chop
    would add to that. The size and load of the boats tried are not known, nor whether they
    lay beam to the wind, and the sideways coefficient was chosen after a look at these very
    figures: agreement proves nothing. The owner's drag factor is there to mend it.

    References
    ----------
    .. [1] US Coast Guard leeway classes (Allen and others), read in the data file of a public
       drift model.
    """
    wind = bounded(wind_mps, name="wind_mps", low=0.0)
    _, force = wind_forces_n(
        1.0,
        angle_off_bow_deg=-90.0,
        windage=boat.windage,
        air_density_kgpm3=boat.air_density_kgpm3,
    )
    grip = cross_flow_n_per_mps2(boat.hull, water_density_kgpm3=boat.water_density_kgpm3)
    root = np.sqrt(force / grip)
    return np.asarray(wind * (root / (1.0 + root)))
