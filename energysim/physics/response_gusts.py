"""
What the gusts of a wind ask of a boat held on a spot, read from its table all together.

One point's winds blow from one side over one stream: but for their strength, where they lie
in the table is worked out once.

Depends on: `physics.bounds`, `physics.response`, `physics.response_close`,
`physics.response_forks`, `physics.response_read`, `physics.response_table`,
`physics.response_weather`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded
from energysim.physics.response import HeldLoad, load_from_table
from energysim.physics.response_close import nearest
from energysim.physics.response_forks import Reading, blank, read_block, settle
from energysim.physics.response_read import approach
from energysim.physics.response_table import HoldTable
from energysim.physics.response_weather import Points, Where, at_points, plane, weather

Array = NDArray[np.float64]
Single = NDArray[np.float32]
Turned = NDArray[np.complex64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GustyLoad:
    """What holding a spot asks of the bow motor in a gusty wind, in single precision."""

    mean: HeldLoad  # at the mean wind, arrays (...); swings are not looked for
    thrust_n: Single  # in each wind, (winds, ...)
    inflow_mps: Single  # (winds, ...)
    bow: Turned  # (winds, ...), as of `HeldLoad`
    exact: NDArray[np.bool_]  # (winds, ...), as of `HeldLoad`


def gusty_load_from_table(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    wind_ratio: ArrayLike,
    drag_ratio: ArrayLike,
    factor: ArrayLike,
    table: HoldTable,
    near_deg: ArrayLike | None = None,
    fresh: ArrayLike | None = None,
) -> GustyLoad:
    """
    Return the thrust that holds a boat in each wind of a gusty series, and in their mean.

    Parameters
    ----------
    wind_mps, wind_from_deg, stream_mps, stream_toward_deg : array_like, broadcastable
        As in `physics.response.load_from_table`, the wind being the mean. [m/s, deg, m/s, deg]
    wind_ratio, drag_ratio : array_like, broadcastable with `wind_mps`
        As there. [1]
    factor : array_like, shape (winds, ...)
        By what each wind is stronger than the mean (`physics.unsteady.gust_nodes`); behind
        the first axis broadcastable with `wind_mps`. [1]
    table : HoldTable
        From `physics.response_table.hold_table`.
    near_deg : array_like or None
        Heading the boat comes from in the mean wind, as there. [deg]
    fresh : array_like or None, shape (steps,)
        For a series, as there. [flag]

    Returns
    -------
    load : GustyLoad
        A wind that is everywhere the mean has the mean's own loads.

    Raises
    ------
    ValueError
        As there, or if a factor is negative or there is none.

    Notes
    -----
    In each wind the boat turns to the heading of that wind nearest to the one it lies on in the
    mean, as the laws have it if each is asked with the mean's heading for `near_deg`.
    """
    factors = bounded(factor, name="factor", low=0.0)
    if not factors.ndim or not len(factors):
        raise ValueError(f"factor has shape {factors.shape}; it must have an axis of winds")
    given = {
        "wind_from_deg": wind_from_deg,
        "stream_mps": stream_mps,
        "stream_toward_deg": stream_toward_deg,
        "wind_ratio": wind_ratio,
        "drag_ratio": drag_ratio,
    }
    mean = load_from_table(
        wind_mps, **given, table=table, near_deg=near_deg, fresh=fresh, with_swings=False
    )
    around = weather(
        np.broadcast_to(wind_mps, np.broadcast_shapes(np.shape(wind_mps), factors.shape[1:])),
        **given,
        most_stream_mps=table.held.most_stream_mps,
        near_deg=near_deg,
    )
    if around.shape != mean.thrust_n.shape:
        raise ValueError(
            f"factor has shape {factors.shape}; behind its first axis it must not have more "
            f"than the loads, of shape {mean.thrust_n.shape}"
        )
    size = (around.steps, around.members)
    thrust = np.empty((len(factors), *size), dtype=np.float32)
    inflow = np.empty_like(thrust)
    bow = np.empty(thrust.shape, dtype=np.complex64)
    exact = np.empty(thrust.shape, dtype=bool)
    lies = mean.bow.reshape(size)
    planes = [plane(each, around.shape) for each in factors]
    readings: dict[int, Reading] = {}
    for wind, ratio in enumerate(planes):
        if (ratio == 1.0).all():
            thrust[wind] = mean.thrust_n.reshape(size)
            inflow[wind] = mean.inflow_mps.reshape(size)
            bow[wind] = lies
            exact[wind] = mean.exact.reshape(size)
        else:
            readings[wind] = blank(
                size, thrust_n=thrust[wind], inflow_mps=inflow[wind], bow=bow[wind]
            )
    for rows in around.blocks():
        shape = (rows.stop - rows.start, around.members)
        block = approach(around.of_rows(rows), shape)
        blows = block.blows.reshape(shape)
        for wind, reading in readings.items():
            ratio = planes[wind] if len(planes[wind]) == 1 else planes[wind][rows]
            stronger = blows * ratio.astype(np.float32)
            read_block(block, stronger.reshape(-1), table, rows, reading)
    for wind, reading in readings.items():

        def there(where: Where, ratio: Array = planes[wind]) -> Points:
            """Return the weather of some points in this wind."""
            points = around.at(where)
            return points._replace(wind_mps=points.wind_mps * at_points(ratio, where))

        def choose(places: NDArray[np.intp], several: Turned) -> NDArray[np.intp]:
            """Choose the heading nearest to that in the mean wind."""
            return nearest(several, lies.reshape(-1)[places])

        exact[wind] = settle(reading, table, around=there, choose=choose)
    whole = (len(factors), *around.shape)
    return GustyLoad(
        mean=mean,
        thrust_n=thrust.reshape(whole),
        inflow_mps=inflow.reshape(whole),
        bow=bow.reshape(whole),
        exact=exact.reshape(whole),
    )
