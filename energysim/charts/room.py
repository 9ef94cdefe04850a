"""
Where the axes of a new figure stand: as large as their numbers and headings let them.

matplotlib's own solver does this for any figure, and takes as long as drawing one; these are
plain grids, so one look at each axes is enough.

Depends on: nothing of the package.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

PAD_IN: Final = 0.04
BETWEEN_IN: Final = 0.07  # from one axes' texts to the next one's


def make_room(
    figure: Any,
    grid: Sequence[Sequence[Any]],
    *,
    heights: Sequence[float],
    head_in: float,
    foot_in: float,
) -> None:
    """
    Place a grid of axes between a figure's head and foot.

    Axes of one column share their left and right edge, those of one row their top and bottom.

    Parameters
    ----------
    figure : Figure
        With everything drawn that stands outside the axes.
    grid : sequence of sequence of Axes
        Row by row.
    heights : sequence of float
        Of the rows, relative.
    head_in, foot_in : float
        What title and foot take. [in]
    """
    renderer = figure.canvas.get_renderer()
    dots = figure.dpi
    out = np.array([[_overhang(ax, renderer) for ax in row] for row in grid]) / dots
    width_in, height_in = figure.get_size_inches()
    left, right = out[:, :, 0].max(axis=0), out[:, :, 2].max(axis=0)
    low, high = out[:, :, 1].max(axis=1), out[:, :, 3].max(axis=1)
    columns, rows = len(left), len(low)
    free = width_in - 2.0 * PAD_IN - (columns - 1) * BETWEEN_IN - left.sum() - right.sum()
    wide = np.full(columns, max(free, 0.1) / columns)
    free = height_in - head_in - foot_in - 2.0 * PAD_IN - (rows - 1) * BETWEEN_IN
    share = np.array(heights or [1.0] * rows)
    tall = max(free - low.sum() - high.sum(), 0.1) * share / share.sum()
    top = height_in - head_in - PAD_IN
    for row, axes in enumerate(grid):
        bottom = top - high[row] - tall[row]
        begin = PAD_IN
        for column, ax in enumerate(axes):
            begin += left[column]
            ax.set_position(
                (
                    begin / width_in,
                    bottom / height_in,
                    wide[column] / width_in,
                    tall[row] / height_in,
                )
            )
            begin += wide[column] + right[column] + BETWEEN_IN
        top = bottom - low[row] - BETWEEN_IN


def _overhang(ax: Any, renderer: Any) -> tuple[float, float, float, float]:
    """Return how far an axes' texts stand out at the left, foot, right and top, in dots."""
    if not ax.get_visible():
        return 0.0, 0.0, 0.0, 0.0
    around, box = ax.get_tightbbox(renderer, for_layout_only=True), ax.bbox
    sides = (box.x0 - around.x0, box.y0 - around.y0, around.x1 - box.x1, around.y1 - box.y1)
    left, low, right, high = (max(0.0, side) for side in sides)
    return left, low, right, high
