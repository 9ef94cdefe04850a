"""
How far chop lifts and drops the water at a motor hung on the bow.

The boat is laid along the water: what is left between it and the surface at the bow is what
the shaft's depth swings by. `physics.immersion` turns that into lost thrust.

Depends on: `physics.bounds`.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

Array = NDArray[np.float64]

TAPERED_BOW: Final = (0.94, 0.04)
"""
A waterline plan that tapers over its forward two fifths: a box as long as the first over the
waterline has its spread, and the second is how far aft of midship it centres, over the same
(ours: the moments of a plan rounded off by a quarter of an ellipse).
"""

# A wind sea, its frequencies over the peak's: the JONSWAP shape of peakedness 3.3 (Hasselmann
# and others 1973, from memory), each wave spread by the square of the cosine (common practice).
_PEAKEDNESS: Final = 3.3
_FREQUENCIES: Final = np.geomspace(0.6, 6.0, 44)
_SPREAD: Final = np.deg2rad(np.linspace(-80.0, 80.0, 9))

_WAVES: Final = np.geomspace(0.2, 40.0, 36)  # of the peak over the waterline length
_HEADINGS: Final = np.linspace(0.0, 1.0, 7)  # cosines of the angle off the keel


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BowResponse:
    """One boat's relative motion at the motor over the surface's own, in chop of all kinds."""

    length_wl_m: float
    ratio: Array  # shape (wavelengths, headings), on the nodes of this module [1]


def regular_motion_ratio(
    wavelength_ratio: ArrayLike,
    *,
    motor_ahead_ratio: ArrayLike,
    beam_ratio: ArrayLike,
    cosine: ArrayLike,
) -> Array:
    r"""
    Return how far the water at the motor swings against the boat, over a wave's amplitude.

    Parameters
    ----------
    wavelength_ratio : array_like, shape (...)
        Length of one regular train of waves over the waterline length. [1]
    motor_ahead_ratio : array_like, broadcastable with `wavelength_ratio`
        Motor ahead of midship over the waterline length, 0.5 at its forward end. [1]
    beam_ratio : array_like, broadcastable with `wavelength_ratio`
        Waterline beam over the waterline length. [1]
    cosine : array_like, broadcastable with `wavelength_ratio`
        Of the angle between waves and keel. [1]

    Returns
    -------
    ratio : ndarray, shape (...)
        Nil in long waves, up to 1.9 where they are as long as the boat, 1 and some in short
        ones. [1]

    Raises
    ------
    ValueError
        If a wavelength or beam is not above zero, a motor aft of midship, or a cosine beyond 1.

    Notes
    -----
    The boat takes the straight surface that fits the water under it best (ours): with
    :math:`\sigma = \pi l \cos\beta / \lambda` along a box of length :math:`l`,
    :math:`\tau = \pi b \sin\beta / \lambda` across it, and the motor :math:`\xi` half-lengths
    ahead of its middle,

    .. math::

        \left| \frac{\sin\tau}{\tau} \left[ \frac{\sin\sigma}{\sigma} + 3 i\,\xi\,
        \frac{\sin\sigma - \sigma\cos\sigma}{\sigma^2} \right] - e^{i\xi\sigma} \right|

    The box is that of `TAPERED_BOW`. No inertia, no damping, no wave thrown back from the bow.
    Against our panel-method runs of two free V-bottom hulls (tests/reference) it is within 15 %
    for head and quartering waves of 0.75 lengths and more, and 31 % low to 17 % high in shorter
    ones. Waves abeam it overrates, by up to a third of their amplitude where they are as short
    as the beam. Way on the boat and breaking chop are outside of it.

    References
    ----------
    .. [1] Ours: a straight line of least squares, Froude-Krylov excitation without inertia.

    Examples
    --------
    >>> regular_motion_ratio(
    ...     [1.0, 4.0], motor_ahead_ratio=0.5, beam_ratio=0.38, cosine=1.0
    ... ).round(2)
    array([1.8 , 0.26])
    """
    waves = bounded(wavelength_ratio, name="wavelength_ratio", low=0.0, above=True)
    ahead = bounded(motor_ahead_ratio, name="motor_ahead_ratio", low=0.0)
    beam = bounded(beam_ratio, name="beam_ratio", low=0.0, above=True)
    along = bounded(cosine, name="cosine", low=-1.0, high=1.0)
    box, aft = TAPERED_BOW
    sigma = np.maximum(np.pi * box * np.abs(along) / waves, 1.0e-3)  # below, a millionth off
    xi = (ahead + aft) / (0.5 * box)
    lift = np.sinc(beam * np.sqrt(1.0 - along * along) / waves)
    sin, cos = np.sin(sigma), np.cos(sigma)
    heave = lift * sin / sigma
    pitch = lift * 3.0 * xi * (sin - sigma * cos) / (sigma * sigma)
    return np.asarray(np.hypot(heave - np.cos(xi * sigma), pitch - np.sin(xi * sigma)))


def bow_response(length_wl_m: float, *, beam_wl_m: float, motor_ahead_m: float) -> BowResponse:
    r"""
    Return a boat's relative motion at the bow in all chop, worked out once for many steps.

    Parameters
    ----------
    length_wl_m : float
        Waterline length. [m]
    beam_wl_m : float
        Waterline beam. [m]
    motor_ahead_m : float
        Motor ahead of midship. [m]

    Returns
    -------
    response : BowResponse
        For `relative_bow_motion_m`.

    Raises
    ------
    ValueError
        If the length or beam is not above zero or the motor is aft of midship.

    Notes
    -----
    The root of the mean square of `regular_motion_ratio` over a wind sea: the JONSWAP shape of
    peakedness 3.3 in deep water, spread by the cosine squared to either side of the wind. The
    spread is why chop abeam still moves the bow.

    References
    ----------
    .. [1] Hasselmann and others 1973, JONSWAP (from memory); spread: common practice.
    """
    length = float(bounded(length_wl_m, name="length_wl_m", low=0.0, above=True))
    beam = float(bounded(beam_wl_m, name="beam_wl_m", low=0.0, above=True))
    ahead = float(bounded(motor_ahead_m, name="motor_ahead_m", low=0.0))
    weight = _spectrum(_FREQUENCIES)
    spread = np.cos(_SPREAD) ** 2
    square = np.zeros((_WAVES.size, _HEADINGS.size))
    angle = np.arccos(_HEADINGS)
    for turn, part in zip(_SPREAD, spread / spread.sum(), strict=True):
        motion = regular_motion_ratio(
            _WAVES[:, None, None] / _FREQUENCIES**2,
            motor_ahead_ratio=ahead / length,
            beam_ratio=beam / length,
            cosine=np.cos(angle + turn)[:, None],
        )
        square += part * (motion * motion) @ weight
    return BowResponse(length_wl_m=length, ratio=np.sqrt(square))


def relative_bow_motion_m(
    significant_height_m: ArrayLike,
    *,
    wavelength_m: ArrayLike,
    cosine: ArrayLike,
    response: BowResponse,
) -> Array:
    r"""
    Return the standard deviation of the water's height at the motor, seen from the boat.

    Parameters
    ----------
    significant_height_m : array_like, shape (...)
        Of the chop. [m]
    wavelength_m : array_like, broadcastable with `significant_height_m`
        Of its strongest waves. [m]
    cosine : array_like, broadcastable with `significant_height_m`
        Of the angle off the bow the waves come from; waves from astern count alike. [1]
    response : BowResponse
        The boat's.

    Returns
    -------
    motion_sd_m : ndarray, shape (...)
        The surface itself has a quarter of its significant height; 30 % either way on top of
        the height's own 25 %. [m]

    Raises
    ------
    ValueError
        If a height or wavelength is negative or a cosine beyond 1.

    Notes
    -----
    .. math:: s = r(\lambda / L, \cos\beta)\, H / 4

    with :math:`r` read from the response along straight lines in the cosine and the logarithm
    of the wavelength, within 2 % of its own law. Beyond 0.2 to 40 lengths its ends hold.
    """
    height = bounded(significant_height_m, name="significant_height_m", low=0.0)
    waves = bounded(wavelength_m, name="wavelength_m", low=0.0)
    along = np.abs(bounded(cosine, name="cosine", low=-1.0, high=1.0))
    low, high = np.log(_WAVES[0]), np.log(_WAVES[-1])
    ratio = np.clip(waves / response.length_wl_m, _WAVES[0], _WAVES[-1])
    i, u = _place((np.log(ratio) - low) * ((_WAVES.size - 1) / (high - low)), _WAVES.size)
    j, v = _place(along * (_HEADINGS.size - 1), _HEADINGS.size)
    table = response.ratio
    before = table[i, j] + v * (table[i, j + 1] - table[i, j])
    after = table[i + 1, j] + v * (table[i + 1, j + 1] - table[i + 1, j])
    return np.asarray(0.25 * height * (before + u * (after - before)))


def _place(where: Array, count: int) -> tuple[NDArray[np.intp], Array]:
    """Return the node to the left and the share of the way to the next."""
    left = np.clip(where.astype(np.intp), 0, count - 2)
    return left, where - left


def _spectrum(frequency: Array) -> Array:
    """Return the share of a wind sea's variance at frequencies evenly spaced in logarithm."""
    width = np.where(frequency <= 1.0, 0.07, 0.09)
    peak = _PEAKEDNESS ** np.exp(-0.5 * ((frequency - 1.0) / width) ** 2)
    shape = frequency**-4.0 * np.exp(-1.25 * frequency**-4.0) * peak
    return np.asarray(shape / shape.sum())
