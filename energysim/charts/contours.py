"""
The map of hours of hold over wind and stream.

Depends on: charts.contour_labels, charts.curves, charts.frame, charts.labels, charts.several,
charts.shown, charts.style.
"""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.contour_labels import name_levels, name_region
from energysim.charts.curves import angle_words
from energysim.charts.frame import Layout
from energysim.charts.labels import CONTOUR_GID, Wish, place
from energysim.charts.several import draw_each, panel_grid
from energysim.charts.shown import shown, words
from energysim.charts.style import SOFT_INK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.charts.frame import Frame
    from energysim.results.reach import HoldMap

    Array = NDArray[np.float64]

EDGES: Final[tuple[tuple[str, Any], ...]] = (("\\\\\\\\", (0.0, (4.0, 1.5))), ("////", "solid"))
"""Hatch and edge of what gives out before the limit, and of what cannot be held at all."""

PANEL_SHAPE: Final = 0.9
LEG_LETTERS: Final = 12
LEVELS_H: Final = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 18.0)
MOST_LEVELS: Final = 7
NEAR_DEG: Final = 30.0  # a leg within this of the map's angle is marked on it (ours)
GUSTY: Final = 0.05  # share of the time gusts are too strong from which it is marked (ours)


def layout(frame: Frame) -> Layout:
    """Return one axes a little wider than tall, or one for each of several banks."""
    if len(frame.results) > 1:
        return panel_grid(frame, shape=PANEL_SHAPE)
    return Layout(1, 1, min(0.82 * frame.look.width_in, 4.6) + 0.45)


def draw_map(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw labelled lines of equal hours, and hatch what cannot be held."""
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415 - start-up

    results: Sequence[HoldMap] = frame.results
    first, several = results[0], len(results) > 1
    if any(one.angle_deg != first.angle_deg for one in results):
        raise ValueError("maps of different angles between wind and stream share no scale")
    levels = _levels(np.concatenate([one.hours.ravel() for one in results]))
    limits = [
        max(float(shown(getattr(one, key)[-1], "m/s", frame.look.system)) for one in results)
        for key in ("wind_mps", "stream_mps")
    ]
    drawn: dict[int, Any] = {}

    def one_map(ax: Any, number: int) -> None:
        ax.set_xlim(0.0, limits[0])
        ax.set_ylim(0.0, limits[1])
        ax.xaxis.set_major_locator(MaxNLocator(3 if several else 6, steps=[1, 2, 5, 10]))
        ax.yaxis.set_major_locator(MaxNLocator(4 if several else 8, steps=[1, 2, 5, 10]))
        drawn[number] = _lines(ax, results[number], levels, frame)

    wind = f"Mean wind {first.wind_height_m:g} m up, kn"
    if several:
        draw_each(frame, axes, one_map, x_label=wind, y_label="Stream, kn")
    else:
        one_map(axes[0], 0)
        axes[0].set_title("Stream, kn", pad=4.0)
        axes[0].set_xlabel(wind)
    # The day's own points are named first: the lines' labels have more places to choose from.
    frame.settle()
    for number, (ax, result) in enumerate(zip(axes, results, strict=False)):
        place(ax.figure, _legs(ax, result, frame, named=not several))
        grid = _grid(result, frame)
        taken = name_region(ax, _spare(result.available_n, result), *grid)
        late = _spare(result.available_at_limit_n, result)
        names = [f"{level:g} h" for level in levels]
        name_levels(ax, names, drawn[number].get_paths(), late, grid, taken)
    return []


def _grid(result: HoldMap, frame: Frame) -> tuple[Array, Array]:
    """Return winds and streams as they are drawn."""
    system = frame.look.system
    return shown(result.wind_mps, "m/s", system), shown(result.stream_mps, "m/s", system)


def _lines(ax: Any, result: HoldMap, levels: Sequence[float], frame: Frame) -> Any:
    """Draw the lines, the hatches and their edges; return the lines."""
    look = frame.look
    wind, stream = _grid(result, frame)
    edge = _spare(result.available_n, result)
    late = _spare(result.available_at_limit_n, result)
    # Lines run on behind the hatch, so that they end at its edge and not a point before.
    lines = ax.contour(
        wind, stream, np.log(np.maximum(result.lasting_h, 1e-2)), levels=np.log(levels),
        linewidths=1.1, colors=[look.pen(0).colour], zorder=1.5,
    )  # fmt: skip
    lines.set_gid(CONTOUR_GID)
    for order, spare, (hatch, dash) in zip((2.0, 2.4), (late, edge), EDGES, strict=True):
        ax.contourf(
            wind, stream, spare, levels=[-20.0, 0.0], colors=["white"], hatches=[hatch],
            zorder=order,
        )  # fmt: skip
        if (spare < 0.0).any():
            ax.contour(
                wind, stream, spare, levels=[0.0], colors=[look.edge], linewidths=1.3,
                linestyles=[dash], zorder=order + 0.1,
            )  # fmt: skip
    _gusts(ax, result, edge, wind, stream)
    return lines


def foot(frame: Frame) -> str:
    """Say what the map is of, and what its lines are."""
    results: Sequence[HoldMap] = frame.results
    result = results[0]
    start, limit = (words(soc, "1", "us") for soc in (result.start_soc, result.limit_soc))
    if any(one.limit_soc != result.limit_soc for one in results):
        limit = "the limit of each"
    said = f"{angle_words(result.angle_deg)} Hours from {start} down to {limit}, held steadily."
    hours = np.concatenate([one.hours.ravel() for one in results])
    levels = _levels(hours)
    if not levels:
        said += f" From {hours.min():.1f} to {hours.max():.1f} h everywhere: no line to draw."
    elif len(results) > 1:
        said += f" Where there is no line: longer than {levels[-1]:g} h."
    if any((_spare(one.available_at_limit_n, one) < 0.0).any() for one in results):
        said += " Dashed edge: from here on the thrust gives out before the limit."
    if any(_is_gusty(one) for one in results):
        share = words(GUSTY, "1", "us")
        said += f" Dotted: from here on gusts ask for too much more than {share} of the time."
    if _near(result):
        said += " Dots: the day's own holds, their means."
    return said


def _spare(available_n: Array, result: HoldMap) -> Array:
    """
    Return the logarithm of thrust there is over thrust wanted: below zero there is too little.

    The ratio runs over decades; its logarithm bends gently enough to be read between points.
    """
    ratio = available_n / np.maximum(result.thrust_n, 1e-6)
    return np.asarray(np.log(np.maximum(ratio, 1e-6)))


def _levels(hours: Array) -> list[float]:
    """Return the hours worth a line: round ones within what is held."""
    held = hours[hours > 0.0]
    if not held.size:
        return []
    least, most = float(held.min()), float(held.max())
    within = [level for level in LEVELS_H if 1.05 * least < level < 0.97 * most]
    while len(within) > MOST_LEVELS:
        within = within[1:] if len(within) % 2 else within[:-1]
    return within


def _is_gusty(result: HoldMap) -> bool:
    held = result.available_n > result.thrust_n
    return bool((held & (result.gust_short_share > GUSTY)).any())


def _gusts(ax: Any, result: HoldMap, edge: Array, wind: Array, stream: Array) -> None:
    """Dot the line beyond which gusts are too strong for a part of the time."""
    if not _is_gusty(result):
        return
    # Where the mean cannot be held, neither can its gusts.
    share = np.where(edge < 0.0, 0.5, result.gust_short_share)
    ax.contour(
        wind, stream, share, levels=[GUSTY], colors=[SOFT_INK], linewidths=0.9,
        linestyles=[(0.0, (1.0, 1.6))], zorder=1.8,
    )  # fmt: skip


def _near(result: HoldMap) -> list[Any]:
    """Return the day's holds whose wind and stream stand to each other as on the map."""
    return [leg for leg in result.legs if abs(leg.angle_deg - result.angle_deg) <= NEAR_DEG]


def _legs(ax: Any, result: HoldMap, frame: Frame, *, named: bool) -> list[Wish]:
    """Mark the day's holds by their numbers; those at one point share a mark."""
    points: dict[tuple[float, float], list[str]] = {}
    for leg in _near(result):
        wind, stream = shown([leg.wind_mps, leg.stream_mps], "m/s", frame.look.system)
        points.setdefault((round(float(wind), 2), round(float(stream), 2)), []).append(
            str(leg.number)
        )
    wishes = []
    for (x, y), numbers in points.items():
        ax.plot(
            [x], [y], "o", ms=4.5, color="black", mec="white", mew=0.6, zorder=5.0,
            clip_on=False, gid=f"leg-{numbers[0]}",
        )  # fmt: skip
        said = "leg" if len(numbers) == 1 else "legs"
        if named:
            # On a ground of its own a long row of numbers would break too much of the lines.
            label = "\n".join(wrap(f"{said} {', '.join(numbers)}", LEG_LETTERS))
            wishes.append(Wish(ax, label, [x], [y], ground=True))
    return wishes
