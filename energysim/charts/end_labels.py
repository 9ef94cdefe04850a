"""
Names of lines beside their ends, outside the axes, none on another.

Depends on: charts.style.
"""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.style import INK, SOFT_INK, TEXT_PT

if TYPE_CHECKING:
    from collections.abc import Sequence

LETTERS: Final = 16  # of a line of a name
LINE_PT: Final = 8.6
BETWEEN_PT: Final = 2.5
LEAD_PT: Final = 11.0  # from the axes to the names, for the strokes that lead there


def name_ends(ax: Any, names: Sequence[str], ends: Sequence[float]) -> None:
    """
    Write each name to the right of where its line ends, moved up or down where it must be.

    Parameters
    ----------
    ax : Axes
        In its place, its scale set.
    names : sequence of str
        Of the lines.
    ends : sequence of float
        The y they end at.
    """
    point = ax.figure.dpi / 72.0
    texts = ["\n".join(wrap(name, LETTERS)) for name in names]
    tall = np.array([LINE_PT * (text.count("\n") + 1) + BETWEEN_PT for text in texts])
    own = np.array([ax.transData.transform((0.0, end))[1] for end in ends]) / point
    foot, top = ax.bbox.y0 / point, ax.bbox.y1 / point
    order = np.argsort(own)
    place = _apart(own[order], tall[order], foot, top)
    for number, y in zip(order, place, strict=True):
        ax.annotate(
            texts[number], (1.0, ends[number]), xycoords=ax.get_yaxis_transform(),
            xytext=(LEAD_PT, y - own[number]), textcoords="offset points", va="center",
            ha="left", size=TEXT_PT, color=INK, linespacing=1.1, annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": SOFT_INK, "lw": 0.4, "shrinkA": 0.5,
                        "shrinkB": 3.0, "relpos": (0.0, 0.5)},
        )  # fmt: skip


def _apart(own: Any, tall: Any, foot: float, top: float) -> Any:
    """Return places in rising order, each its height from the next, near where they want."""
    place = own.astype(float)
    for at in range(1, len(place)):
        place[at] = max(place[at], place[at - 1] + 0.5 * (tall[at] + tall[at - 1]))
    # What stands out at the top pushes the others down again.
    place[-1] = min(place[-1], max(top - 0.5 * tall[-1], foot))
    for at in range(len(place) - 2, -1, -1):
        place[at] = min(place[at], place[at + 1] - 0.5 * (tall[at] + tall[at + 1]))
    return place
