"""
A bar a leg: what each takes out of the bank.

Depends on: charts.frame, charts.style.
"""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.frame import Layout
from energysim.charts.style import INK, TEXT_PT

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.charts.frame import Frame
    from energysim.charts.labels import Wish

BAR_IN: Final = 0.15
BETWEEN_IN: Final = 0.16
NAME_SHARE: Final = 0.33  # of the width, for the legs' names
LETTER_IN: Final = 0.062


def layout(frame: Frame) -> Layout:
    """Return one axes, as tall as its bars."""
    legs = len(frame.results[0].legs)
    return Layout(1, 1, 0.75 + legs * (BETWEEN_IN + BAR_IN * len(frame.tables)))


def draw_bars(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw the bars, the first leg on top, the numbers at their ends."""
    (ax,) = axes
    legs = frame.tables[0]["leg"].values
    if any(table["leg"].values != legs for table in frame.tables):
        raise ValueError("days with other legs cannot stand side by side in one chart")
    rows = np.arange(len(legs), dtype=float)
    options = len(frame.tables)
    tall = BAR_IN * options / (BETWEEN_IN + BAR_IN * options)
    texts = []
    for number, table in enumerate(frame.tables):
        pen = frame.look.pen(number)
        charge, energy = table["charge"].values, table["energy"].values
        at = rows + tall * ((number + 0.5) / options - 0.5)
        bare = pen.hatch == ""
        ax.barh(
            at, charge, tall / options, facecolor=pen.colour if bare else "white",
            edgecolor=pen.colour, hatch=pen.hatch, lw=0.6, gid=f"bars-{number}",
        )  # fmt: skip
        for y, amperes, watts in zip(at, charge, energy, strict=True):
            named = f", {table.name}" if options > 1 else ""
            said = (
                f"{amperes:.1f} Ah, {watts:.0f} Wh{named}" if amperes >= 0.05 else f"0{named}"
            )
            texts.append(
                ax.annotate(
                    said, (amperes, y), xytext=(3.0, 0.0), textcoords="offset points",
                    va="center", ha="left", size=TEXT_PT, color=INK,
                )
            )  # fmt: skip
            texts[-1].set_in_layout(False)
    letters = max(12, int(frame.look.width_in * NAME_SHARE / LETTER_IN))
    ax.set_yticks(rows, ["\n".join(wrap(name, letters)) for name in legs])
    ax.set_ylim(len(legs) - 0.5, -0.5)
    ax.tick_params(axis="y", length=0.0)
    ax.set_xlabel("Charge out of the bank, Ah")
    most = max(1e-6, *(float(table["charge"].values.max()) for table in frame.tables))
    ax.set_xlim(0.0, most)
    frame.settle()
    renderer = ax.figure.canvas.get_renderer()
    wide = ax.bbox.width
    # As far as the longest bar and its own text need.
    need = [
        text.xy[0] / max(1.0 - (text.get_window_extent(renderer).width + 8.0) / wide, 0.15)
        for text in texts
    ]
    ax.set_xlim(0.0, max(most, *need))
    return []
