"""
Draw a chart of the catalogue from its results, on a figure of its own or on given axes.

Depends on: charts.drawings, charts.catalogue, charts.describe, charts.labels, charts.room,
charts.tables.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.charts.catalogue import chart_row
from energysim.charts.describe import subtitle
from energysim.charts.drawings import DRAWINGS, most_results
from energysim.charts.frame import Frame
from energysim.charts.labels import place
from energysim.charts.room import PAD_IN, make_room
from energysim.charts.shown import NO_BREAK
from energysim.charts.style import INK, SOFT_INK, TEXT_PT, TITLE_PT, Look, applied
from energysim.charts.tables import chart_tables

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from energysim.charts.drawings import Drawing


def draw(
    kind: str,
    result: Any,
    axes: Axes | Sequence[Axes] | None = None,
    *,
    look: Look | None = None,
    flood_toward_deg: float | None = None,
) -> Figure:
    """
    Draw a chart of the catalogue.

    Parameters
    ----------
    kind : str
        A row of the catalogue, such as "day".
    result : record, or mapping of str to record
        What the row is drawn from: a `DayResult`, what `energysim.reach` returns, a comparison
        or a season. A mapping
        puts several on one chart, each named by its key.
    axes : Axes or sequence of Axes, optional
        Where to draw; as many as the chart has panels. Left out, a new figure is made, with its
        title and its foot.
    look : Look, optional
        Width, colour or grey, units; the width counts for a new figure only.
    flood_toward_deg : float, optional
        Where the flood sets to, so that the stream can be called flood and ebb. [deg]

    Returns
    -------
    figure : Figure
        The new one, or the one the axes belong to.

    Raises
    ------
    ValueError
        There is no such kind, the axes are too few or too many, or the results are more than
        the chart shows at a time.
    """
    look = look or Look()
    row = chart_row(kind)
    named: Mapping[str, Any] = result if isinstance(result, dict) else {"": result}
    most = most_results(row)
    if len(named) > most:
        count = "one result" if most == 1 else f"{most} results"
        raise ValueError(
            f"a {kind!r} chart shows {count} at a time, and {len(named)} are given"
        )
    frame = Frame(
        row=row.of(len(named)),
        results=tuple(named.values()),
        tables=chart_tables(row, named, look.system),
        look=look,
        flood_toward_deg=flood_toward_deg,
    )
    drawing = DRAWINGS[row.drawing]
    figure: Any
    with applied():
        if axes is None:
            figure, own, settle = _new_figure(drawing, frame, subtitle(row, named))
        else:
            own = list(np.ravel(np.array(axes, dtype=object)))
            wanted = drawing.layout(frame)
            if len(own) != wanted.rows * wanted.columns:
                raise ValueError(
                    f"a {kind!r} chart of this result needs {wanted.rows * wanted.columns} "
                    f"axes, and {len(own)} are given"
                )
            figure = own[0].get_figure(root=True)
            settle = partial(_settled, figure)
        frame = replace(frame, settle=settle)
        wishes = drawing.draw(frame, own)
        frame.settle()
        place(figure, wishes)
    drawn: Figure = figure
    return drawn


def _settled(figure: Any) -> None:
    """Let a caller's own figure lay itself out now, where it is to do that at all."""
    engine = figure.get_layout_engine()
    if engine is not None:
        engine.execute(figure)


def _new_figure(
    drawing: Drawing, frame: Frame, under_title: str
) -> tuple[Figure, list[Axes], Callable[[], None]]:
    """Return a figure with its title and foot, its empty axes, and what makes room for them."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415 - start-up
    from matplotlib.figure import Figure as NewFigure  # noqa: PLC0415

    look, wanted = frame.look, drawing.layout(frame)
    title = _wrapped(frame.row.title, look.width_in, TITLE_PT * 1.1)
    under = _wrapped(under_title, look.width_in, TEXT_PT)
    foot = "" if drawing.foot is None else _wrapped(drawing.foot(frame), look.width_in, TEXT_PT)
    line_in = TEXT_PT * 1.2 / 72.0
    head_in = (len(title) * TITLE_PT + len(under) * TEXT_PT) * 1.25 / 72.0 + 2.0 * PAD_IN
    foot_in = len(foot) * line_in + 1.5 * PAD_IN if foot else 0.0
    height = wanted.height_in + head_in + foot_in
    figure = NewFigure(figsize=(look.width_in, height))
    FigureCanvasAgg(figure)
    left = PAD_IN / look.width_in
    top = 1.0 - PAD_IN / height
    style: dict[str, Any] = {"ha": "left", "linespacing": 1.2}
    figure.text(
        left, top, "\n".join(title), va="top", size=TITLE_PT, weight="bold", color=INK, **style
    )
    down = len(title) * TITLE_PT * 1.25 / 72.0 / height
    figure.text(
        left, top - down, "\n".join(under), va="top", size=TEXT_PT, color=SOFT_INK, **style
    )
    if foot:
        figure.text(
            left, PAD_IN / height, "\n".join(foot), va="bottom", size=TEXT_PT,
            color=SOFT_INK, **style,
        )  # fmt: skip
    grid = figure.subplots(wanted.rows, wanted.columns, squeeze=False, sharex=wanted.one_clock)
    settle = partial(
        make_room,
        figure,
        [list(row) for row in grid],
        heights=wanted.heights,
        head_in=head_in,
        foot_in=foot_in,
    )
    return figure, list(grid.ravel()), settle


def _wrapped(text: str, width_in: float, size_pt: float) -> list[str]:
    """Cut a text into lines that fit, measured in the font it is drawn in."""
    from matplotlib.font_manager import FontProperties  # noqa: PLC0415 - start-up
    from matplotlib.textpath import TextToPath  # noqa: PLC0415

    font = FontProperties(family="DejaVu Sans", size=size_pt)
    # Letters on a screen's grid may run a little wider than their outlines.
    room = 0.97 * 72.0 * (width_in - 2.0 * PAD_IN)
    ruler = TextToPath()
    space = ruler.get_text_width_height_descent("n n", font, False)[0]
    space -= ruler.get_text_width_height_descent("nn", font, False)[0]

    def wide(text: str) -> float:
        return ruler.get_text_width_height_descent(text, font, False)[0] if text else 0.0

    lines: list[str] = []
    used = 0.0
    for word in (part for whole in text.split(" ") for part in _pieces(whole, wide, room)):
        own = wide(word)
        if lines and used + space + own <= room:
            lines[-1] += " " + word
            used += space + own
        else:
            lines.append(word)
            used = own
    return lines


def _pieces(word: str, wide: Callable[[str], float], room: float) -> list[str]:
    """Cut a word that is wider than a line; what it cannot hold goes on in the next."""
    if wide(word) <= room:
        return [word]
    # Blanks that no line ends at come first: they are the least bad places to cut.
    cut = word.rfind(NO_BREAK, 1, len(word) - 1)
    if cut < 0 or wide(word[:cut]) > room:
        cut = next(end for end in range(len(word) - 1, 0, -1) if wide(word[:end]) <= room)
    return [word[:cut], *_pieces(word[cut:].lstrip(NO_BREAK), wide, room)]
