"""
The map of hours of hold over wind and stream.

Depends on: charts.curves, charts.frame, charts.labels, charts.shown, charts.style.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from energysim.charts.curves import angle_words
from energysim.charts.frame import Layout
from energysim.charts.labels import CONTOUR_GID, Wish, place
from energysim.charts.shown import shown, words
from energysim.charts.style import INK, SOFT_INK, TEXT_PT

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from energysim.charts.frame import Frame
    from energysim.results_reach import HoldMap

    Array = NDArray[np.float64]

EDGES: Final[tuple[tuple[str, Any], ...]] = (("\\\\\\\\", (0.0, (4.0, 1.5))), ("////", "solid"))
"""Hatch and edge of what gives out before the limit, and of what cannot be held at all."""

LEVELS_H: Final = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 18.0)
MOST_LEVELS: Final = 7
CLEAR_OF_THE_HATCH: Final = 0.12  # spare thrust, as a logarithm, where a label is clear of it
TOO_NEAR: Final = 10.0
NEAR_DEG: Final = 30.0  # a leg within this of the map's angle is marked on it (ours)
GUSTY: Final = 0.05  # share of the time gusts are too strong from which it is marked (ours)


def layout(frame: Frame) -> Layout:
    """Return one axes, a little wider than tall."""
    return Layout(1, 1, min(0.82 * frame.look.width_in, 4.6) + 0.45)


def draw_map(frame: Frame, axes: Sequence[Any]) -> list[Wish]:
    """Draw labelled lines of equal hours, and hatch what cannot be held."""
    if len(frame.results) > 1:
        raise ValueError("an 'endurance' map shows one bank at a time")
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415 - start-up

    (ax,), (result,) = axes, frame.results
    look = frame.look
    wind = shown(result.wind_mps, "m/s", look.system)
    stream = shown(result.stream_mps, "m/s", look.system)
    ax.set_xlim(wind[0], wind[-1])
    ax.set_ylim(stream[0], stream[-1])
    edge = _spare(result.available_n, result)
    late = _spare(result.available_at_limit_n, result)
    levels = _levels(result)
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
    # The day's own points are named first: the lines' labels have more places to choose from.
    frame.settle()
    place(ax.figure, _legs(ax, result, frame))
    taken = _name_region(ax, edge, wind, stream)
    for level, path in zip(levels, lines.get_paths(), strict=True):
        _name_level(ax, f"{level:g} h", path, late, (wind, stream), taken)
    ax.set_title("Stream, kn", pad=4.0)
    ax.set_xlabel(f"Mean wind {result.wind_height_m:g} m up, kn")
    ax.yaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))
    return []


def foot(frame: Frame) -> str:
    """Say what the map is of, and what its lines are."""
    result: HoldMap = frame.results[0]
    start, limit = (words(soc, "1", "us") for soc in (result.start_soc, result.limit_soc))
    said = f"{angle_words(result.angle_deg)} Hours from {start} down to {limit}, held steadily."
    if (_spare(result.available_at_limit_n, result) < 0.0).any():
        said += " Dashed edge: from here on the thrust gives out before the limit."
    if _is_gusty(result):
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


def _levels(result: HoldMap) -> list[float]:
    """Return the hours worth a line: round ones within what the map holds."""
    held = result.hours[result.hours > 0.0]
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


def _legs(ax: Any, result: HoldMap, frame: Frame) -> list[Wish]:
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
        wishes.append(Wish(ax, f"{said} {', '.join(numbers)}", [x], [y], ground=True))
    return wishes


def _boxed(ax: Any, x: float, y: float, said: str) -> Any:
    """Write a text on a white ground, so that the line or hatch behind it breaks off."""
    return ax.text(
        x, y, said, size=TEXT_PT, color=INK, ha="center", va="center", zorder=4.0,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
    )  # fmt: skip


def _name_region(ax: Any, edge: Array, wind: Array, stream: Array) -> list[Any]:
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


def _name_level(
    ax: Any, said: str, path: Any, edge: Array, grid: tuple[Array, Array], taken: list[Any]
) -> None:
    """Write a line's hours on it, in the open, clear of other texts; none on a short stub."""
    renderer = ax.figure.canvas.get_renderer()
    pieces = [piece for piece in path.to_polygons(closed_only=False) if len(piece) > 1]
    if not pieces:
        return
    points = np.concatenate(pieces)
    pixels = ax.transData.transform(points)
    middle = points[len(points) // 2]
    text = _boxed(ax, float(middle[0]), float(middle[1]), said)
    box = text.get_window_extent(renderer)
    inset_x, inset_y = 0.5 * box.width + 3.0, 0.5 * box.height + 3.0
    frame = ax.bbox
    best: tuple[float, int] | None = None
    for number, (px, py) in enumerate(pixels):
        inside = frame.x0 + inset_x < px < frame.x1 - inset_x
        inside &= frame.y0 + inset_y < py < frame.y1 - inset_y
        spare = _read(edge, grid, points[number])
        if not inside or spare < 0.0:
            continue
        here = box.translated(px - 0.5 * (box.x0 + box.x1), py - 0.5 * (box.y0 + box.y1))
        if any(here.overlaps(other) for other in taken):
            continue
        # Along the diagonal the labels of all lines stand in a row.
        off = abs((px - frame.x0) / frame.width - (py - frame.y0) / frame.height)
        off += TOO_NEAR * (spare < CLEAR_OF_THE_HATCH)
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
