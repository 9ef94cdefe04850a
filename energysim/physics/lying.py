"""
Which way a boat faces when its bow is held on a spot.

Depends on: `physics.boat`, `physics.bounds`, `physics.hull`, `physics.wind`,
`physics.windage`.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.boat import Boat
from energysim.physics.bounds import bounded
from energysim.physics.hull import cross_flow_n_per_mps2
from energysim.physics.wind import velocity_pressure_pa
from energysim.physics.windage import lateral_coefficient

Array = NDArray[np.float64]

_STEPS = 13
"""Enough for 0.01 deg from any start; a test holds it to that."""

_ANGLE = 1e-4
_REST = 1e-4
_HALVINGS = 40
"""A bracket wider than this, in rad, with more than this share of force left, is halved."""

_HUMP_ARC = 2.4
_HUMP_BETWEEN = (1.3, 2.2)
_HUMP_REACHES = (0.2, 0.1, 0.05)
"""Where wind and stream can have more than one answer, where to look, how finely. [rad]"""


def lying_heading_deg(
    wind_mps: ArrayLike,
    *,
    wind_from_deg: ArrayLike,
    stream_mps: ArrayLike,
    stream_toward_deg: ArrayLike,
    boat: Boat,
) -> Array:
    r"""
    Return the heading at which a boat held by its bow is not pushed sideways.

    Parameters
    ----------
    wind_mps : array_like, shape (...)
        Wind at the height of the windage. [m/s]
    wind_from_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it blows from. [deg]
    stream_mps : array_like, broadcastable with `wind_mps`
        Speed of the stream. [m/s]
    stream_toward_deg : array_like, broadcastable with `wind_mps`
        Compass bearing it runs toward. [deg]
    boat : Boat
        The boat.

    Returns
    -------
    heading_deg : ndarray, shape (...)
        Between the bearing the wind comes from and the one the stream comes from, the short
        way round; 0 up to but not including 360. [deg]

    Raises
    ------
    ValueError
        If a speed is negative or a number is not finite.

    Notes
    -----
    With :math:`\delta` from where the stream comes to where the wind comes, the boat turns an
    angle :math:`\alpha` off the stream so that

    .. math:: q A_L C_Y(\delta - \alpha) = \tfrac12\rho L_w T C_D S^2 \sin^2\alpha

    The left side rules at one end of the arc and the right side at the other, so there is
    always an answer. Up to about :math:`\delta` = 160 deg there is only one. Nearer to
    exact opposition there can be three, of which the outer two are steady: nearly bow to the
    wind, and nearly bow to the stream. The one nearer the stream is taken (ours): with the
    stream strong enough for it to exist, the other would leave the stream on the transom.
    As the wind grows it runs to about 90 deg off the stream and vanishes; the boat then
    swings round to the wind at once. Real boats swing too; just where is not to be trusted.
    Exactly opposed, left and right are alike; the boat turns clockwise off the bearing the
    stream comes from.

    Assumptions: steady wind and stream, no turning moment, no lift of the hull. A balance of
    moments can replace this rule; it needs the place of each force along the boat.

    Ours. Set beside a balance of moments of ours, wind and stream opposed, the heading is
    within 10 deg wherever the stream is 2 kn or more (skiff and centre console, 5 to 25 kn
    of wind); near balance it can be 45 deg off (15 kn against 1 kn).
    """
    wind = bounded(wind_mps, name="wind_mps", low=0.0)
    stream = bounded(stream_mps, name="stream_mps", low=0.0)
    wind_from = bounded(wind_from_deg, name="wind_from_deg")
    stream_from = bounded(stream_toward_deg, name="stream_toward_deg") + 180.0
    arc_deg = 180.0 - np.mod(180.0 - (wind_from - stream_from), 360.0)  # in (-180, 180]
    side = np.where(arc_deg < 0.0, -1.0, 1.0)
    off_stream = np.rad2deg(_off_stream(wind, stream, np.deg2rad(np.abs(arc_deg)), boat))
    heading = np.mod(stream_from + side * off_stream, 360.0)
    heading = np.where(wind + stream > 0.0, heading, np.mod(wind_from, 360.0))
    return np.asarray(np.mod(heading, 360.0))  # again: a hair below zero wraps to 360 itself


def _off_stream(wind: Array, stream: Array, arc: Array, boat: Boat) -> Array:
    """Return the angle off the stream, in radians, by the Illinois false position."""
    grip = cross_flow_n_per_mps2(boat.hull, water_density_kgpm3=boat.water_density_kgpm3)
    grip = grip * stream * stream
    wind, grip, arc = np.broadcast_arrays(wind, grip, arc)
    cos_arc, sin_arc = np.cos(arc), np.sin(arc)

    sail = velocity_pressure_pa(wind, air_density_kgpm3=boat.air_density_kgpm3)
    sail = sail * boat.windage.lateral_area_m2 * boat.windage.wind_factor

    def wind_at(cos: Array, sin: Array) -> tuple[Array, Array]:
        """Return the wind's side coefficient and the sine of its angle off the bow."""
        sin_off_bow = sin_arc * cos - cos_arc * sin
        cos_off_bow = cos_arc * cos + sin_arc * sin
        coefficient = lateral_coefficient(cos_off_bow, sine=sin_off_bow, windage=boat.windage)
        return coefficient, sin_off_bow

    def push(angle: Array) -> Array:
        """Return what is left across the boat, scaled so that only steady answers are zeros."""
        sin = np.sin(angle)
        coefficient, sin_off_bow = wind_at(np.cos(angle), sin)
        # Exactly opposed, facing the stream is an answer too, but no steady one: the
        # division takes it out and leaves the others.
        both = sin + np.abs(sin_off_bow)
        net = sail * coefficient - grip * sin * sin
        quotient: Array = np.divide(net, both, out=np.zeros_like(net), where=both > 0.0)
        return quotient

    def ease(angle: Array) -> Array:
        """Return how hard a wind of any strength pushes for what the stream holds off."""
        sin = np.sin(angle)
        return np.asarray(wind_at(np.cos(angle), sin)[0] / (sin * sin))

    # Near opposition a hump parts the roots: the angle at which the stream holds off the most
    # wind. Its place depends on the arc and the boat alone. Elsewhere the whole arc will do.
    hump = np.full_like(arc, 0.5 * np.pi)
    if np.any(arc > _HUMP_ARC):
        for reach in _HUMP_REACHES:
            left, here, right = ease(hump - reach), ease(hump), ease(hump + reach)
            slope, bend = right - left, right - 2.0 * here + left
            move = np.divide(
                -0.5 * slope, bend, out=np.asarray(np.sign(-slope)), where=bend > 0.0
            )
            hump = np.clip(hump + reach * np.clip(move, -2.0, 2.0), *_HUMP_BETWEEN)
    hump = np.where(arc > _HUMP_ARC, hump, arc)
    at_hump = push(hump)
    before = at_hump <= 0.0
    low = np.where(before, 0.0, hump)
    high = np.where(before, hump, arc)
    at_low = np.where(before, push(np.zeros_like(arc)), at_hump)
    at_high = np.where(before, at_hump, push(arc))
    angle = high
    last_ahead = np.zeros(angle.shape, dtype=bool)
    last_behind = last_ahead
    for _ in range(_STEPS):
        width = at_low - at_high
        share = np.divide(at_low, width, out=np.ones_like(width), where=width > 0.0)
        angle = low + np.clip(share, 0.0, 1.0) * (high - low)
        value = push(angle)
        ahead = value > 0.0
        # An end that stays put twice running has its value halved, or it would never move.
        at_high = np.where(ahead, np.where(last_ahead, 0.5 * at_high, at_high), value)
        at_low = np.where(ahead, value, np.where(last_behind, 0.5 * at_low, at_low))
        low, high = np.where(ahead, angle, low), np.where(ahead, high, angle)
        last_ahead, last_behind = ahead, ~ahead
    # Where a root is nearly double, as just before the boat swings, false position creeps.
    if np.any((high - low > _ANGLE) & (np.abs(value) > _REST * (sail + grip))):
        return _halved(push, low, high)
    return angle


def _halved(push: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Return the root of a falling push, by halving its bracket until nothing is left."""
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        ahead = push(middle) > 0.0
        low, high = np.where(ahead, middle, low), np.where(ahead, high, middle)
    return 0.5 * (low + high)
