"""
A panel for each of several results, all on one scale: each in ink, the others behind it.

Depends on: charts.frame, charts.style.
"""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Any, Final

from energysim.charts.frame import Layout
from energysim.charts.style import MOST_OPTIONS, RULE

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from energysim.charts.frame import Frame
    from energysim.charts.style import Look

MOST_PANELS: Final = 24
HEADING_IN: Final = 0.36  # a name of two lines, and the gap below the panel above
FOOT_IN: Final = 0.36  # the numbers and the words below the last row
MARGIN_IN: Final = 0.5  # the numbers and the words at the left
LETTER_IN: Final = 0.068  # bold
BEHIND: Final = {"color": RULE, "lw": 0.7, "zorder": 1.0, "gid": "behind"}
"""How the others are drawn."""


def crowded(frame: Frame) -> bool:
    """Say whether there are more results than lines of one panel can be told apart."""
    return len(frame.tables) > MOST_OPTIONS


def columns_of(count: int, look: Look) -> int:
    """Return how many panels stand side by side."""
    return min(count, 2 if look.narrow else 4)


def panel_grid(frame: Frame, *, shape: float) -> Layout:
    """
    Return room for a panel a result.

    Parameters
    ----------
    frame : Frame
        The chart.
    shape : float
        Height of a panel over its width.

    Raises
    ------
    ValueError
        There are more results than panels on a page.
    """
    count = len(frame.tables)
    if count > MOST_PANELS:
        raise ValueError(
            f"{count} options do not fit one {frame.row.kind!r} chart; at most {MOST_PANELS} do"
        )
    columns = columns_of(count, frame.look)
    rows = -(-count // columns)
    tall = shape * (frame.look.width_in - MARGIN_IN) / columns
    return Layout(rows, columns, rows * (tall + HEADING_IN) + FOOT_IN)


def draw_each(
    frame: Frame,
    axes: Sequence[Any],
    draw: Callable[[Any, int], None],
    *,
    behind: Callable[[Any, int], None] | None = None,
    x_label: str,
    y_label: str,
) -> None:
    """
    Draw each result in a panel under its name; words and numbers stand at the edges only.

    Parameters
    ----------
    frame : Frame
        The chart.
    axes : sequence of Axes
        As `panel_grid` asked for.
    draw : callable
        Draws one result, by its number, in its own axes, on the scale of all.
    behind : callable, optional
        Draws it in the axes of another, where `BEHIND` says how.
    x_label, y_label : str
        What is drawn over what, with units.
    """
    count = len(frame.tables)
    columns = columns_of(count, frame.look)
    letters = max(10, int((frame.look.width_in - MARGIN_IN) / columns / LETTER_IN))
    for ax in axes[count:]:
        ax.set_visible(False)
    for number, ax in enumerate(axes[:count]):
        name = wrap(frame.tables[number].name, letters, max_lines=2, placeholder="...")
        ax.set_title("\n".join(name), pad=3.0)
        if behind is not None:
            for other in range(count):
                if other != number:
                    behind(ax, other)
        draw(ax, number)
        if number % columns:
            ax.tick_params(labelleft=False)
        else:
            ax.set_ylabel(y_label)
        if number + columns < count:
            ax.tick_params(labelbottom=False)
        else:
            ax.set_xlabel(x_label)
