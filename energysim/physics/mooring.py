"""
What ground tackle is designed for: an upper bound to set a steady load against.

Depends on: constants, `physics.bounds`.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.constants import KNOT_MPS
from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

TABLE_WIND_MPS: Final = 15.0 * KNOT_MPS
"""Wind the loads of a `MooringTable` are stated for. [m/s]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MooringTable:
    """Design loads by size of boat; arrays (nodes,), rising."""

    length_m: Array  # overall
    beam_m: Array  # at which the same row is due
    load_n: Array  # horizontal, at `TABLE_WIND_MPS`

    def __post_init__(self) -> None:
        for name in ("length_m", "beam_m", "load_n"):
            column = bounded(getattr(self, name), name=name, low=0.0, above=True)
            if column.shape != np.shape(self.length_m) or np.any(np.diff(column) <= 0.0):
                msg = f"{name} must rise from row to row, as many as there are lengths"
                raise ValueError(msg)


def mooring_design_load_n(
    length_m: ArrayLike, *, beam_m: ArrayLike, wind_mps: ArrayLike, table: MooringTable
) -> Array:
    r"""
    Return the load an anchor is designed for, several times the mean it has to bear.

    Parameters
    ----------
    length_m, beam_m : array_like, broadcastable together
        Overall, within the table; the one that asks for more counts. [m]
    wind_mps : array_like, broadcastable with `length_m`
        Wind at 10 m. [m/s]
    table : MooringTable
        Loads.

    Returns
    -------
    load_n : ndarray, shape (...)
        Horizontal, with yawing, surge and snatch in it: five to seven times the steady push
        bow to the wind by `physics.station`. [N]

    Raises
    ------
    ValueError
        If a length or beam lies outside the table or a wind is negative.

    Notes
    -----
    .. math:: F = F_{15}\,(U / 15\,\mathrm{kn})^2

    between rows along straight lines (ours). Compare, do not add: an upper bound, and no
    advice on an anchor.

    References
    ----------
    .. [1] ABYC H-40, table 1, partly as transcribed by a third party and partly from memory;
       see data/mooring_loads.csv.
    """
    lengths, beams = np.asarray(table.length_m), np.asarray(table.beam_m)
    length = bounded(length_m, name="length_m", low=lengths[0], high=lengths[-1])
    beam = bounded(beam_m, name="beam_m", low=0.0, above=True, high=beams[-1])
    wind = bounded(wind_mps, name="wind_mps", low=0.0) / TABLE_WIND_MPS
    load = np.maximum(
        np.interp(length, lengths, table.load_n), np.interp(beam, beams, table.load_n)
    )
    return np.asarray(load * wind * wind)
