"""
Hours written on the lines of a map, and a name in its hatch: in the open, clear of one another.

Depends on: charts.style.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.style import INK, TEXT_PT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

CLEAR_OF_THE_HATCH: Final = 0.12  # spare thrust, as a logarithm, where a label is clear of it
TOO_NEAR: Final = 10.0
STUB: Final = 2.5  # texts long: a shorter piece of a line is not named


def _boxed(ax: Any, x: float, y: float, said: str) -> Any:
    """Write a text on a white ground, so that the line or hatch behind it breaks off."""
    return ax.text(
        x, y, said, size=TEXT_PT, color=INK, ha="center", va="center", zorder=4.0,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
    )  # fmt: skip


def name_region(ax: Any, edge: Array, wind: Array, stream: Array) -> list[Any]:
    """Say in the widest part of the hatch what it is; return the boxes that are taken."""
    renderer = ax.figure.canvas.get_renderer()
    shown_already = [*ax.lines, *ax.texts]
    taken = [one.get_window_extent(renderer).padded(3.0) for one in shown_already]
    if not (edge < 0.0).any():
        return taken
    text = _boxed(ax, float(wind[0]), float(stream[0]), "cannot be held")
    box = text.get_window_extent(renderer)
    fits = []
    for i, y in enumerate(stream):
        for j, x in enumerate(wind):
            if edge[i, j] >= 0.0:
                continue
            px, py = ax.transData.transform((x, y))
            room = min(
                px - ax.bbox.x0 - 0.55 * box.width,
                ax.bbox.x1 - px - 0.55 * box.width,
                py - ax.bbox.y0 - 0.8 * box.height,
                ax.bbox.y1 - py - 0.8 * box.height,
            )
            if room > 0.0:
                fits.append((-edge[i, j], x, y))
    if not fits:
        text.remove()
        return taken
    _, x, y = max(fits)
    text.set_position((x, y))
    taken.append(text.get_window_extent(renderer))
    return taken


def name_level(
    ax: Any, said: str, path: Any, spare: Array, grid: tuple[Array, Array], taken: list[Any]
) -> None:
    """Write a line's hours on each of its pieces, in the open, clear of other texts."""
    for piece in path.to_polygons(closed_only=False):
        if len(piece) > 1:
            _name_piece(ax, said, piece, spare, grid, taken)


def _name_piece(
    ax: Any, said: str, points: Array, spare: Array, grid: tuple[Array, Array], taken: list[Any]
) -> None:
    renderer = ax.figure.canvas.get_renderer()
    pixels = ax.transData.transform(points)
    middle = points[len(points) // 2]
    text = _boxed(ax, float(middle[0]), float(middle[1]), said)
    box = text.get_window_extent(renderer)
    inset_x, inset_y = 0.5 * box.width + 3.0, 0.5 * box.height + 3.0
    frame = ax.bbox
    best: tuple[float, int] | None = None
    if float(np.hypot(*np.diff(pixels, axis=0).T).sum()) < STUB * box.width:
        text.remove()
        return
    for number, (px, py) in enumerate(pixels):
        inside = frame.x0 + inset_x < px < frame.x1 - inset_x
        inside &= frame.y0 + inset_y < py < frame.y1 - inset_y
        room = _read(spare, grid, points[number])
        if not inside or room < 0.0:
            continue
        here = box.translated(px - 0.5 * (box.x0 + box.x1), py - 0.5 * (box.y0 + box.y1))
        if any(here.overlaps(other) for other in taken):
            continue
        # Along the diagonal the labels of all lines stand in a row.
        off = abs((px - frame.x0) / frame.width - (py - frame.y0) / frame.height)
        off += TOO_NEAR * (room < CLEAR_OF_THE_HATCH)
        if best is None or off < best[0]:
            best = (off, number)
    if best is None:
        text.remove()
        return
    text.set_position(points[best[1]])
    text.set_in_layout(False)
    taken.append(text.get_window_extent(renderer).padded(2.0))


def _read(values: Array, grid: tuple[Array, Array], point: Any) -> float:
    """Read a map between its points."""
    wind, stream = grid
    rows = [np.interp(point[0], wind, row) for row in values]
    return float(np.interp(point[1], stream, rows))
