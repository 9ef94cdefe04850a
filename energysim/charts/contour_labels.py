"""
Hours written on the lines of a map, and a name in its hatch: in the open, clear of one another.

Depends on: charts.style.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.style import INK, TEXT_PT

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]

CLEAR_OF_THE_HATCH: Final = 0.12  # spare thrust, as a logarithm, where a label is clear of it
TOO_NEAR: Final = 10.0
ON_ANOTHER: Final = 1.0  # for a text that would break another line
MANY: Final = 40.0  # points of other lines under a text that count as much as the diagonal
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


def name_levels(
    ax: Any,
    names: Sequence[str],
    paths: Sequence[Any],
    spare: Array,
    grid: tuple[Array, Array],
    taken: list[Any],
) -> None:
    """
    Write its hours on each piece of each line, in the open, clear of texts and other lines.

    Parameters
    ----------
    ax : Axes
        In its place.
    names : sequence of str
        Of the lines.
    paths : sequence of Path
        The lines.
    spare : ndarray, shape (streams, winds)
        Logarithm of thrust there is over thrust wanted; no name stands where it is below 0.
    grid : tuple of ndarray
        Winds and streams, as drawn.
    taken : list of Bbox
        What other texts take; added to.
    """
    pieces = [
        (name, piece)
        for name, path in zip(names, paths, strict=True)
        for piece in path.to_polygons(closed_only=False)
        if len(piece) > 1
    ]
    pixels = [ax.transData.transform(piece) for _, piece in pieces]
    for at, (name, piece) in enumerate(pieces):
        others = [pixel for number, pixel in enumerate(pixels) if number != at]
        beside = np.concatenate(others) if others else np.zeros((0, 2))
        _name_piece(ax, name, (piece, pixels[at], beside), spare, grid, taken)


def _name_piece(
    ax: Any,
    said: str,
    drawn: tuple[Array, Array, Array],
    spare: Array,
    grid: tuple[Array, Array],
    taken: list[Any],
) -> None:
    """Name one piece: its points in data, in pixels, and the pixels of all other pieces."""
    points, pixels, beside = drawn
    renderer = ax.figure.canvas.get_renderer()
    middle = points[len(points) // 2]
    text = _boxed(ax, float(middle[0]), float(middle[1]), said)
    box, frame = text.get_window_extent(renderer), ax.bbox
    half = np.array([0.5 * box.width + 3.0, 0.5 * box.height + 3.0])
    low, high = np.array([frame.x0, frame.y0]), np.array([frame.x1, frame.y1])
    inside = ((pixels > low + half) & (pixels < high - half)).all(axis=1)
    under = (np.abs(pixels[:, None, :] - beside[None, :, :]) < half).all(axis=2).sum(axis=1)
    # Along the diagonal the labels of all lines stand in a row.
    across, along = ((pixels - low) / (high - low)).T
    off = np.abs(across - along) + ON_ANOTHER * np.minimum(under, 1) + under / MANY
    best: tuple[float, int] | None = None
    long_enough = float(np.hypot(*np.diff(pixels, axis=0).T).sum()) >= STUB * box.width
    for number in np.flatnonzero(inside & long_enough).tolist():
        room = _read(spare, grid, points[number])
        cost = float(off[number]) + TOO_NEAR * (room < CLEAR_OF_THE_HATCH)
        if room < 0.0 or (best is not None and cost >= best[0]):
            continue
        px, py = pixels[number]
        here = box.translated(px - 0.5 * (box.x0 + box.x1), py - 0.5 * (box.y0 + box.y1))
        if not any(here.overlaps(other) for other in taken):
            best = (cost, number)
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
