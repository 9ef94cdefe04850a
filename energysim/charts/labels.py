"""
Direct labels: where a name can stand beside its line and on nothing else.

Depends on: charts.style.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np

from energysim.charts.style import INK, TEXT_PT

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[np.float64]
    Box = tuple[float, float, float, float]

PLACES: Final = 25  # tried along a line
GAPS_PT: Final = (1.5, 4.0, 8.0, 13.0)
ON_ANOTHER_LINE: Final = 40.0  # for each point of it under the text; the gap costs 1 a point
ON_ITS_OWN: Final = 30.0  # written into the line, which breaks off for it
OFF_CENTRE: Final = 8.0  # at either end of the line
ON_A_RULE: Final = 12.0
ON_A_TEXT: Final = 1e5
OUTSIDE: Final = 1e4
NEARER_TO_ANOTHER: Final = 5e3  # to avoid that, a text would stand on anything but a text
BESIDE_ANOTHER: Final = 200.0  # for each point it is nearer to another line than to its own
RANKED_AT_ONCE: Final = 24
LINE_SPACING: Final = 1.15
RULE_GID: Final = "leg-rule"
"""What fine rules that a text may cover are called."""

CONTOUR_GID: Final = "contours"
"""What lines that are drawn as a collection are called."""


class Wish(NamedTuple):
    """A text that wants to stand beside a line, or beside one point."""

    axes: Any
    text: str
    x: ArrayLike  # in data
    y: ArrayLike
    ground: bool = False  # white, so that whatever it has to cover breaks off for it


def place(figure: Any, wishes: Sequence[Wish]) -> list[Any]:
    """
    Put each text beside its line, clear of all lines and all other texts.

    The axes must have their places. Each text is tried above and below its line, at many
    places, or all round a single point; the place with least in its way is taken. Where there
    is none that is nearer to its own line than to another, it is written into its line.

    Parameters
    ----------
    figure : Figure
        With everything but these texts drawn.
    wishes : sequence of Wish
        In the order of their importance.

    Returns
    -------
    list of Text
        The texts; None for a line that is not within its axes.
    """
    renderer = figure.canvas.get_renderer()
    grounds: dict[int, _Ground] = {}
    for wish in wishes:
        if id(wish.axes) not in grounds:
            grounds[id(wish.axes)] = _ground(wish.axes, renderer)
    return [_put(figure, wish, grounds[id(wish.axes)], renderer) for wish in wishes]


class _Ground(NamedTuple):
    """What is in the way in some axes, in pixels."""

    lines: list[Array]
    rules: Array
    taken: list[Box]


class _Places(NamedTuple):
    """Where a text could stand: lower left corners, and what each costs to begin with."""

    x: Array
    y: Array
    cost: Array
    on_its_own: NDArray[np.bool_]


def _put(figure: Any, wish: Wish, ground: _Ground, renderer: Any) -> Any:
    """Put one text, and note the place it takes."""
    scale = figure.dpi / 72.0
    probe = figure.text(0.0, 0.0, wish.text, size=TEXT_PT, linespacing=LINE_SPACING)
    extent = probe.get_window_extent(renderer)
    probe.remove()
    width, height = extent.width, extent.height
    own = _dense(wish.axes, wish.x, wish.y)
    if not len(own):  # all of it outside what is shown
        return None
    others = _joined([line for line in ground.lines if not _same(line, own)])
    places = _places(own, width, height, scale)
    frame = wish.axes.bbox
    x = np.clip(
        places.x, frame.x0 + 3.0 * scale, max(frame.x1 - width - scale, frame.x0 + scale)
    )
    y, cost = places.y, places.cost
    cost = cost + OUTSIDE * ((y < frame.y0 + scale) | (y + height > frame.y1 - 0.5 * scale))
    cost = cost + ON_ANOTHER_LINE * _inside(others, x, y, width, height, scale)
    cost = cost + ON_A_RULE * (_inside(ground.rules, x, y, width, height, scale) > 0)
    under = _inside(own, x, y, width, height, 0.6 * scale) * (len(own) > 1)
    cost = cost + ON_ANOTHER_LINE * np.where(places.on_its_own, 0, under)
    for box in ground.taken:
        over = (
            (x < box[2] + 5 * scale)
            & (x + width > box[0] - 5 * scale)
            & (y < box[3] + scale)
            & (y + height > box[1] - scale)
        )
        cost = cost + ON_A_TEXT * over
    # A point's own mark says whose the text is; a line's text has to be nearest to it.
    best = (
        int(np.argmin(cost))
        if len(own) == 1
        else _nearest_to_its_own(own, others, x, y, cost, (width, height, scale))
    )
    left, low = float(x[best]), float(y[best])
    ground.taken.append((left, low, left + width, low + height))
    text = wish.axes.text(
        0.5,
        0.5,
        wish.text,
        transform=wish.axes.transAxes,
        ha="center",
        va="bottom",
        size=TEXT_PT,
        color=INK,
        linespacing=LINE_SPACING,
        zorder=6.0,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6, "alpha": 0.85}
        if under[best] or wish.ground
        else None,
    )
    text.set_in_layout(False)
    # What was measured is the box of the whole text, whose foot is not that of the letters.
    at = wish.axes.transAxes.inverted()
    text.set_position(at.transform((left + 0.5 * width, low)))
    shift = low - float(text.get_window_extent(renderer).y0)
    text.set_position(at.transform((left + 0.5 * width, low + shift)))
    return text


def _places(own: Array, width: float, height: float, scale: float) -> _Places:
    """Return the places to try: beside a point, or above, below and on a line."""
    rows = (
        _about_a_point(own[0], width, height, scale)
        if len(own) == 1
        else _along_a_line(own, width, height, scale)
    )
    x, y, cost, on = np.array(rows).T
    return _Places(x, y, cost, on > 0.0)


def _about_a_point(
    point: Array, width: float, height: float, scale: float
) -> list[tuple[float, ...]]:
    px, py = point
    rows: list[tuple[float, ...]] = []
    for gap_pt in GAPS_PT:
        gap = (gap_pt + 3.0) * scale  # clear of a marker's half width
        right, left = px + gap, px - gap - width
        up, down = py + 0.5 * gap, py - 0.5 * gap - height
        rows += [
            (px - 0.5 * width, py + gap, gap_pt, 0.0),
            (px - 0.5 * width, py - gap - height, gap_pt, 0.0),
            (right, py - 0.5 * height, gap_pt, 0.0),
            (left, py - 0.5 * height, gap_pt, 0.0),
            (right, up, gap_pt, 0.0),
            (left, up, gap_pt, 0.0),
            (right, down, gap_pt, 0.0),
            (left, down, gap_pt, 0.0),
        ]
    return rows


def _along_a_line(
    own: Array, width: float, height: float, scale: float
) -> list[tuple[float, ...]]:
    rows: list[tuple[float, ...]] = []
    for at in np.linspace(0, len(own) - 1, PLACES).astype(int):
        px, py = own[at]
        off = OFF_CENTRE * abs(2.0 * at / (len(own) - 1) - 1.0) ** 2
        # The line's highest and lowest point under the text, so that a slope is cleared.
        under = own[np.abs(own[:, 0] - px) <= 0.5 * width, 1]
        for gap_pt in GAPS_PT:
            gap, cost = gap_pt * scale, gap_pt + off
            rows += [
                (px - 0.5 * width, max(under.max(), py) + gap, cost, 0.0),
                (px - 0.5 * width, min(under.min(), py) - gap - height, cost, 0.0),
                (px + gap + 1.5 * scale, py + 0.3 * height, cost + 2.0, 0.0),
                (px + gap + 1.5 * scale, py - 1.3 * height, cost + 2.0, 0.0),
                (px - gap - width - 1.5 * scale, py + 0.3 * height, cost + 2.0, 0.0),
                (px - gap - width - 1.5 * scale, py - 1.3 * height, cost + 2.0, 0.0),
            ]
        rows.append((px - 0.5 * width, py - 0.5 * height, ON_ITS_OWN + off, 1.0))
    return rows


def _inside(
    lines: Array, x: Array, y: Array, width: float, height: float, scale: float
) -> NDArray[np.intp]:
    """Count the points of all lines under each place."""
    if not len(lines):
        return np.zeros(x.shape, dtype=np.intp)
    pad = 0.8 * scale
    # Many places share their left edge, and many their foot.
    left, at_x = np.unique(x, return_inverse=True)
    low, at_y = np.unique(y, return_inverse=True)
    across = (lines[:, 0] > left[:, None] - pad) & (lines[:, 0] < left[:, None] + width + pad)
    along = (lines[:, 1] > low[:, None] - pad) & (lines[:, 1] < low[:, None] + height + pad)
    return np.asarray(np.count_nonzero(across[at_x] & along[at_y], axis=1))


def _nearest_to_its_own(
    own: Array, others: Array, x: Array, y: Array, cost: Array, size: tuple[float, float, float]
) -> int:
    """Return the cheapest place that is nearer to its own line than to another."""
    width, height, scale = size
    ranked = np.argsort(cost, kind="stable")
    for few in np.array_split(ranked, max(1, len(ranked) // RANKED_AT_ONCE)):
        if cost[few[0]] > NEARER_TO_ANOTHER:
            break
        at_x, at_y = x[few], y[few]
        from_own = _distance(own, at_x, at_y, width, height) + 1.5 * scale
        clear = _distance(others, at_x, at_y, width, height) >= from_own
        if clear.any():
            return int(few[np.argmax(clear)])
    # Among lines too close for that, on its own line: beside another it would name that one.
    away = _distance(own, x, y, width, height) - _distance(others, x, y, width, height)
    return int(np.argmin(cost + BESIDE_ANOTHER * np.maximum(away, 0.0) / scale))


def _distance(points: Array, x: Array, y: Array, width: float, height: float) -> Array:
    """Return how far the nearest of some points is from each place; infinite without any."""
    if not len(points):
        return np.full(x.shape, np.inf)
    few = points[:: max(1, len(points) // 300)]
    left, low = x[:, None] - few[:, 0], y[:, None] - few[:, 1]
    dx = np.maximum(np.maximum(left, -left - width), 0.0)
    dy = np.maximum(np.maximum(low, -low - height), 0.0)
    return np.asarray(np.sqrt((dx * dx + dy * dy).min(axis=1)))


def _ground(axes: Any, renderer: Any) -> _Ground:
    """Look at what some axes hold already."""
    lines = [line for line in axes.lines if line.get_visible()]
    rules = [line for line in lines if line.get_gid() == RULE_GID]

    def points(line: Any) -> Array:
        return _dense(axes, line.get_xdata(), line.get_ydata(), line.get_transform())

    found = [points(line) for line in lines if line not in rules]
    for collection in axes.collections:
        if collection.get_gid() != CONTOUR_GID:
            continue
        found += [
            _dense(axes, *piece.T)
            for path in collection.get_paths()
            for piece in path.to_polygons(closed_only=False)
            if len(piece) > 1
        ]
    taken = [
        tuple(text.get_window_extent(renderer).extents)
        for text in axes.texts
        if text.get_visible() and text.get_text()
    ]
    return _Ground(found, _joined([points(line) for line in rules]), taken)


def _joined(parts: list[Array]) -> Array:
    kept = [part for part in parts if part.size]
    return np.concatenate(kept) if kept else np.zeros((0, 2))


def _same(one: Array, other: Array) -> bool:
    return one.shape == other.shape and bool(np.allclose(one, other, atol=0.01))


def _dense(axes: Any, x: ArrayLike, y: ArrayLike, transform: Any = None) -> Array:
    """Return points not more than three pixels apart along a line, its gaps left out."""
    xs = np.ravel(np.asarray(x, dtype=np.float64))
    ys = np.ravel(np.asarray(y, dtype=np.float64))
    points = (transform or axes.transData).transform(np.column_stack([xs, ys]))
    if len(points) == 1:
        return np.asarray(points)
    begin, end = points[:-1], points[1:]
    whole = np.isfinite(begin).all(axis=1) & np.isfinite(end).all(axis=1)
    begin, end = begin[whole], end[whole]
    if not len(begin):
        return np.zeros((0, 2))
    count = np.clip(np.hypot(*(end - begin).T) / 3.0, 1, 2000).astype(int)
    piece = np.repeat(np.arange(len(begin)), count)
    within = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    share = (within / count[piece])[:, None]
    dense = begin[piece] + share * (end - begin)[piece]
    dense = np.vstack([dense, end[-1:]])
    frame = axes.bbox
    kept = (dense[:, 0] >= frame.x0 - 1) & (dense[:, 0] <= frame.x1 + 1)
    kept &= (dense[:, 1] >= frame.y0 - 1) & (dense[:, 1] <= frame.y1 + 1)
    return np.asarray(dense[kept])
