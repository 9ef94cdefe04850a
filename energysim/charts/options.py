"""
Options side by side: a row an option, a panel a thing that decides.

Depends on: charts.frame, charts.columns, charts.several, charts.style, results.compare.
"""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np

from energysim.charts.frame import Layout
from energysim.charts.style import INK, RULE, SOFT_INK, TEXT_PT

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.charts.columns import ChartTable
    from energysim.charts.frame import Frame
    from energysim.charts.labels import Wish
    from energysim.results.compare import CompareResult

    Array = NDArray[np.float64]

MOST_ROWS: Final = 16
MOST_ROWS_NARROW: Final = 8
"""Options a chart shows; of more the best, and the baseline."""

LINE_IN: Final = 0.122  # of text
ROW_IN: Final = 0.065  # between the names of two options
PANEL_IN: Final = 0.5  # a panel's heading and foot
NAME_SHARE: Final = 0.27  # of the width, for the names
LETTER_IN: Final = 0.062
MOST_LINES: Final = 3
GAP_PT: Final = 4.0  # from what is drawn to the number beside it
NOT_KNOWN: Final = "-"


class Panel(NamedTuple):
    """One thing that decides."""

    key: str
    heading: str
    digits: int = 0  # of the number beside the mark
    spread: bool = False  # a range from `key`_low to `key`_high is drawn
    words: bool = False  # nothing to measure: a word for each option


PANELS: Final = (
    Panel("end_soc", "Left at the end"),
    Panel("hold_left", "Hold left after", 1),
    Panel("off_station", "Off station"),
    Panel("full_again", "Full again after", 1),
    Panel("mass", "Weight"),
    Panel("fit", "In the locker", words=True),
    Panel("bank_price", "The bank"),
    Panel("trip_price", "A trip", 2, spread=True),
    Panel("life", "Life", spread=True),
)


def panels_of(table: ChartTable) -> list[Panel]:
    """Return the panels that tell something: known of some option, and not nothing for all."""
    return [panel for panel in PANELS if _tells(panel, table)]


def _tells(panel: Panel, table: ChartTable) -> bool:
    values = table[panel.key].values
    if panel.words:
        return any(value != "not known" for value in values)
    return bool((np.round(np.nan_to_num(values), panel.digits) > 0.0).any())


def rows_of(frame: Frame) -> list[int]:
    """Return which options are shown: the best by the rule, and the baseline in any case."""
    result: CompareResult = frame.results[0]
    most = MOST_ROWS_NARROW if frame.look.narrow else MOST_ROWS
    places = list(range(min(most, len(result.rows))))
    base = [number for number, one in enumerate(result.rows) if one.name == result.baseline]
    if base and base[0] not in places:
        places[-1] = base[0]
    return places


def _names(frame: Frame) -> list[str]:
    letters = max(12, int(frame.look.width_in * NAME_SHARE / LETTER_IN))
    names = []
    for at in rows_of(frame):
        one = frame.results[0].rows[at]
        said = f"{one.place} {one.name}"
        lines = wrap(said, letters, max_lines=MOST_LINES, placeholder="...")
        names.append("\n".join(lines))
    return names


def layout(frame: Frame) -> Layout:
    """Return as many panels side by side as there is room for."""
    if len(frame.results) > 1:
        raise ValueError(f"a {frame.row.kind!r} chart shows one comparison at a time")
    count = len(panels_of(frame.tables[0]))
    columns = min(count, 2 if frame.look.narrow else 4)
    rows = -(-count // columns)
    return Layout(rows, columns, rows * (PANEL_IN + float(_edges_in(_names(frame))[-1])))


def _edges_in(names: Sequence[str]) -> Array:
    """Return where the rows part, from the top: a name of two lines has a taller one."""
    tall = [ROW_IN + LINE_IN * (name.count("\n") + 1) for name in names]
    return np.concatenate([[0.0], np.cumsum(tall)])


def draw_options(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw the panels, the best option on top, each number beside its mark."""
    (table,) = frame.tables
    panels, places, names = panels_of(table), rows_of(frame), _names(frame)
    columns = layout(frame).columns
    edges = _edges_in(names)
    middles = 0.5 * (edges[:-1] + edges[1:])
    for ax in axes[len(panels) :]:
        ax.set_visible(False)
    for number, (ax, panel) in enumerate(zip(axes, panels, strict=False)):
        unit = table[panel.key].unit
        ax.set_title(f"{panel.heading}, {unit}" if unit else panel.heading, pad=4.0)
        ax.set_ylim(edges[-1], 0.0)
        ax.set_yticks(middles, names if number % columns == 0 else [""] * len(places))
        ax.tick_params(axis="y", length=0.0)
        ax.spines["left"].set_visible(False)
        for edge in edges[1:-1]:
            ax.axhline(edge, color=RULE, lw=0.3, zorder=0.2)
        if panel.words:
            _write(ax, [table[panel.key].values[at] for at in places], middles)
        else:
            _mark(ax, panel, middles, frame)
    frame.settle()
    for ax, panel in zip(axes, panels, strict=False):
        if not panel.words:
            _make_way(ax)
    return []


def _write(ax: Any, said: Sequence[str], middles: Array) -> None:
    """Write a word for each option."""
    ax.set_xticks([])
    ax.spines["bottom"].set_visible(False)
    ax.set_xlim(0.0, 1.0)
    for y, word in zip(middles, said, strict=True):
        ax.text(0.05, y, word, va="center", ha="left", size=TEXT_PT, color=INK)


def _mark(ax: Any, panel: Panel, middles: Array, frame: Frame) -> None:
    """Mark each option's number, with its range, the plan's limit and the baseline's."""
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415 - start-up

    result, table, pen = frame.results[0], frame.tables[0], frame.look.pen(0)
    places = rows_of(frame)
    values = table[panel.key].values[places]
    high = table[f"{panel.key}_high"].values[places] if panel.spread else values
    ax.set_xlim(0.0, float(np.nanmax(high)) if np.isfinite(high).any() else 1.0)
    ax.xaxis.set_major_locator(MaxNLocator(3, steps=[1, 2, 2.5, 5, 10]))
    names = [result.rows[at].name for at in places]
    if result.baseline in names:
        base = values[names.index(result.baseline)]
        if np.isfinite(base):
            ax.axvline(
                base, color=SOFT_INK, ls=(0.0, (1.0, 1.6)), lw=0.8, zorder=0.6, gid="base"
            )
    if panel.spread:
        low = table[f"{panel.key}_low"].values[places]
        ax.hlines(middles, low, high, color=pen.colour, lw=pen.width, gid="range")
    if panel.key == "end_soc":
        limit = table["limit_soc"].values[places]
        ax.plot(limit, middles, "|", ms=6.0, mew=1.0, color=INK, gid="limit")
    holds = np.array([result.rows[at].day.outcome == "holds" for at in places])
    for which, face, said in ((holds, pen.colour, "holds"), (~holds, "white", "not")):
        rows = np.flatnonzero(which & np.isfinite(values))
        if not rows.size:
            continue
        ax.plot(
            values[rows], middles[rows], pen.marker, ms=4.0, color=pen.colour, mfc=face,
            clip_on=False, ls="none", gid=f"{panel.key}-{said}",
        )  # fmt: skip
    across = ax.get_yaxis_transform()
    for row, at in enumerate(places):
        said = _said(values[row], panel, result.rows[at].day)
        ax.text(
            1.0, middles[row], said, transform=across, va="center",
            ha="right", size=TEXT_PT, color=INK,
        )  # fmt: skip


def _numbers(frame: Frame) -> list[list[str]]:
    """Return the numbers beside the marks, panel by panel."""
    (table,), places = frame.tables, rows_of(frame)
    return [
        [
            _said(float(table[panel.key].values[at]), panel, frame.results[0].rows[at].day)
            for at in places
        ]
        for panel in panels_of(table)
        if not panel.words
    ]


def _said(value: float, panel: Panel, day: Any) -> str:
    """Return the number beside a mark."""
    if not np.isfinite(value):
        never = panel.key == "full_again" and day.night is not None
        return "never" if never else NOT_KNOWN
    more = panel.key == "hold_left" and day.hold_left.more
    late = panel.key == "full_again" and not day.night.enough
    return f"{'> ' if more else ''}{value:,.{panel.digits}f}{' late' if late else ''}"


def _make_way(ax: Any) -> None:
    """Keep the marks, and the ticks, clear of the numbers at the right."""
    renderer = ax.figure.canvas.get_renderer()
    widest = max(text.get_window_extent(renderer).width for text in ax.texts)
    clear = widest + (GAP_PT + 3.0) * ax.figure.dpi / 72.0
    most = ax.get_xlim()[1]
    ax.set_xticks([tick for tick in ax.get_xticks() if 0.0 <= tick <= most])
    ax.set_xlim(0.0, most / max(1.0 - clear / ax.bbox.width, 0.3))


def foot(frame: Frame) -> str:
    """Say the order, what the marks are, and what is not shown."""
    result: CompareResult = frame.results[0]
    table, shown = frame.tables[0], rows_of(frame)
    days = [result.rows[at].day for at in shown]
    said = [f"In order: {result.rule}."]
    if len(shown) < len(result.rows):
        apart = shown[-1] >= len(shown)
        base = " and the baseline" if apart else ""
        said.append(
            f"The best {len(shown) - apart} of {len(result.rows)}{base}; the CSV has them all."
        )
    if result.impossible:
        names = ", ".join(one.name for one in result.impossible[:3])
        more = f" and {len(result.impossible) - 3} more" if len(result.impossible) > 3 else ""
        said.append(f"Could not be run: {names}{more}.")
    said.append(f"Dotted: {result.baseline}, which the others are held against.")
    said.append("Upright mark: the plan's limit.")
    if any(day.outcome != "holds" for day in days):
        said.append("Open: the day goes wrong (too deep, empty, or short of thrust).")
    if any(panel.spread for panel in panels_of(table)):
        said.append("Lines: the range thought possible.")
    if any(NOT_KNOWN in numbers for numbers in _numbers(frame)):
        said.append(f"{NOT_KNOWN}: not known.")
    return " ".join(said)
