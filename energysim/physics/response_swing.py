"""
Every steady heading of a boat held by its bow, quickly, for many weathers at once.

Wind and stream each turn the boat by a fixed curve of the angle to its bow, so both curves are
worked out once, and their sum at any heading is two readings.

Depends on: `physics.boat`, `physics.yaw`.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.boat import Boat
from energysim.physics.yaw import moment_at, turning

Array = NDArray[np.float64]

ROW: Final = 1440
"""Readings round the circle: every quarter degree, the ends and the beam among them."""

STRIDE: Final = 20
"""Readings between the headings looked at first: 5 deg, as in `physics.lying`."""

_CLOSER: Final = 5  # readings between them within 10 deg of the stream, up it and down it
_NARROW: Final = 40
_BLOCK: Final = 2048  # weathers at once, so that their readings stay near the processor
_STEP: Final = 2.0 * np.pi / ROW


def _looked_at() -> NDArray[np.intp]:
    """Return the readings looked at first, none of them astride the ends or the beam evenly."""
    beside = np.arange(-_NARROW + 2, _NARROW, _CLOSER)
    wide = np.arange(_NARROW + 2, ROW // 2 - _NARROW, STRIDE)
    half = np.concatenate([beside, wide])
    return np.sort(np.mod(np.concatenate([half, half + ROW // 2]), ROW))


_COARSE: Final = _looked_at()
_WIDTH: Final = np.diff(_COARSE, append=_COARSE[0] + ROW)
_LAPPED: Final = np.concatenate([_COARSE[-1:], _COARSE, _COARSE[:2]])
"""The same with one more before and two behind, to see every reading's neighbours."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TurningRows:
    """What turns one boat about its bow motor, clockwise, by the angle off its bow."""

    stream_nm: Array  # shape (ROW,), stream of 1 m/s, by the heading off where it comes from
    wind_nm: Array  # shape (3 ROW,), wind of 1 m/s, by where it comes from off the bow, thrice


def turning_rows(boat: Boat, *, depth_m: float | None = None) -> TurningRows:
    """
    Return the two curves that decide how a boat lies in smooth water.

    Parameters
    ----------
    boat : Boat
        One boat, every field a single number.
    depth_m : float or None
        Depth of the water, no less than the draft; None for deep water. [m]

    Returns
    -------
    rows : TurningRows
        For `steady_angles`.

    Raises
    ------
    ValueError
        If the water is shallower than the draft.
    """
    angle = np.asarray(_STEP * np.arange(ROW), dtype=np.float64)
    stream, wind = (
        turning(
            blows,
            wind_from_deg=0.0,
            stream_mps=runs,
            stream_toward_deg=180.0,
            boat=boat,
            depth_m=depth_m,
        )
        for blows, runs in ((0.0, 1.0), (1.0, 0.0))
    )
    return TurningRows(
        stream_nm=moment_at(angle, stream), wind_nm=np.tile(moment_at(-angle, wind), 3)
    )


def steady_angles(
    wind_angle: ArrayLike,
    *,
    wind_square: ArrayLike,
    stream_square: ArrayLike,
    rows: TurningRows,
) -> tuple[Array, NDArray[np.int64]]:
    r"""
    Return every heading at which the boat comes to rest, in each of many weathers.

    Parameters
    ----------
    wind_angle : array_like, shape (points,)
        Where the wind comes from off where the stream comes from, in radians. [1]
    wind_square, stream_square : array_like, shape (points,)
        Squares of the speeds, on any scale common to both. [any]
    rows : TurningRows
        The boat.

    Returns
    -------
    angle : ndarray, shape (most there are, points)
        Radians clockwise from where the stream comes from, 0 to 2 pi, rising; NaN where a
        weather has fewer. [1]
    count : ndarray, shape (points,)
        How many each has; none where nothing turns the boat. [count]

    Notes
    -----
    .. math:: M(\psi) = S^2\,m_s(\psi) + U^2\,m_w(\beta - \psi)

    Read every 5 deg, oftener close to the stream; where it falls through zero, or may do so
    between two readings, every 0.25 deg, and there along a straight line: within 0.002 deg of
    the balance but beside a heading about to vanish, where the curve is flat. One that a nudge
    of 0.25 deg would end may not be seen.
    """
    beta = np.asarray(wind_angle, dtype=np.float64)
    wind, stream = (np.asarray(each, dtype=np.float64) for each in (wind_square, stream_square))
    parts = [
        _block(beta[here], wind[here], stream[here], rows)
        for here in (slice(k, k + _BLOCK) for k in range(0, beta.size, _BLOCK))
    ]
    most = max((len(part) for part, _ in parts), default=0)
    angle = np.full((max(most, 1), beta.size), np.nan)
    first = 0
    for part, _ in parts:
        angle[: len(part), first : first + part.shape[1]] = part
        first += part.shape[1]
    count = np.concatenate([np.zeros(0, dtype=np.int64), *(each for _, each in parts)])
    return angle, count


def _block(
    beta: Array, wind: Array, stream: Array, rows: TurningRows
) -> tuple[Array, NDArray[np.int64]]:
    """Return the steady angles of a few weathers and how many each has."""
    place = np.mod(beta / _STEP, ROW)
    base = place.astype(np.intp)
    share = place - base
    # wind_nm is laid out thrice: `base - heading` then stays inside from any heading.
    low, high = wind * (1.0 - share), wind * share

    def moment(heading: NDArray[np.intp], who: NDArray[np.intp] | slice) -> Array:
        """Return the moment at headings counted in readings, (headings, points)."""
        off_bow = base[who] + ROW - heading
        blows = low[who] * rows.wind_nm.take(off_bow)
        blows += high[who] * rows.wind_nm.take(off_bow + 1)
        return np.asarray(stream[who] * rows.stream_nm[heading % ROW] + blows)

    bracket, who = _may_fall(moment(_LAPPED[:, None], slice(None)))
    inside = np.minimum(np.arange(STRIDE + 1)[:, None], _WIDTH[bracket])
    reading = _COARSE[bracket] + inside
    ahead = moment(reading, who) > 0.0
    each, last = np.nonzero((ahead[:-1] & ~ahead[1:]).T)
    who = who[each]
    at = reading[last, each]
    before, after = moment(np.stack([at, at + 1]), who)
    root = _STEP * (at + before / (before - after))
    count = np.bincount(who, minlength=beta.size)
    angle = np.full((max(1, int(count.max(initial=0))), beta.size), np.nan)
    root = np.mod(root, 2.0 * np.pi)
    order = np.lexsort((root, who))
    where = who[order]
    rank = np.arange(where.size) - np.concatenate(([0], np.cumsum(count)[:-1]))[where]
    angle[rank, where] = root[order]
    return angle, count


def _may_fall(value: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """
    Return where a moment falls through zero or may do so unseen: bracket, and whose.

    A pair of balances inside one bracket leaves both its ends on one side of zero. A curve that
    bends back between them lies beyond neither of the lines through the readings next to it,
    so where those meet short of zero there is no pair.
    """
    ahead = value > 0.0
    left, right = ahead[1:-2], ahead[2:-1]
    size = np.abs(value)
    dips = (size[:-3] > size[1:-2]) & (size[3:] > size[2:-1]) & (left == right)
    bracket, who = np.nonzero(dips)
    first, low, high, last = (value[bracket + k, who] for k in range(4))
    width = _WIDTH[bracket]
    before = (low - first) / _WIDTH[bracket - 1]
    after = (last - high) / _WIDTH[(bracket + 1) % _WIDTH.size]
    # Next to a change of sign a reading is not part of a dip, and has no line to lend.
    one_side = (first > 0.0) == (last > 0.0)
    bend = np.where(after == before, 1.0, after - before)
    reach = low + before * (low - high + after * width) / bend
    unseen = one_side & ((first > 0.0) == (low > 0.0)) & (reach * low < 0.0)
    falls = np.nonzero(left & ~right)
    return (
        np.concatenate([falls[0], bracket[unseen]]),
        np.concatenate([falls[1], who[unseen]]),
    )
