"""What a picture editor would send back: looked for by the boxes of what is drawn."""

import itertools
import re

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.contour import ContourSet

from energysim.charts import Look, charts, draw
from energysim.charts.labels import RULE_GID
from energysim.charts.style import INK, MOST_OPTIONS, SOFT_INK, width_in

NAMES = ("estuary", "headland", "lake")
OF_A_DAY = ("day", "voltage", "legs", "night", "odds", "motor", "hold", "endurance")
KINDS = (*OF_A_DAY, "options", "trips", "season")
EACH_ONCE = [(name, kind) for kind in OF_A_DAY for name in NAMES] + [
    ("shop", kind) for kind in KINDS
]
WIDTHS = (pytest.param(3.5, id="single"), pytest.param(7.2, id="double"))


def texts(figure):
    """Every text that is drawn, with its box."""
    renderer = figure.canvas.get_renderer()
    figure.draw_without_rendering()
    found = [*figure.texts]
    for ax in figure.axes:
        if not ax.get_visible():
            continue
        found += [*ax.texts, ax.title, ax._left_title, ax._right_title]
        if not ax.axison:
            continue
        found += [ax.xaxis.label, ax.yaxis.label]
        for axis in (ax.xaxis, ax.yaxis):
            low, high = sorted(axis.get_view_interval())
            ticks = axis.get_major_ticks()
            found += [tick.label1 for tick in ticks if low <= tick.get_loc() <= high]
    assert found
    shown = [text for text in found if text.get_visible() and text.get_text().strip()]
    return [(text.get_text(), text.get_window_extent(renderer)) for text in shown]


def luminance(colour):
    """Relative luminance as WCAG 2.1 defines it."""
    parts = np.array(to_rgb(colour))
    linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return float(linear @ (0.2126, 0.7152, 0.0722))


def contrast(colour, ground="white"):
    """Contrast ratio of WCAG 2.1."""
    light, dark = sorted((luminance(colour), luminance(ground)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_every_kind_of_the_catalogue_is_looked_at():
    assert tuple(charts()) == KINDS


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize(("name", "kind"), EACH_ONCE)
def test_no_text_is_clipped_and_none_touches_another(shipped, name, kind, width):
    texts_stand_clear(shipped.drawn(name, kind, width))


SOME = ("24-agm", "24-lfp", "31-agm", "31-lfp, 2 strings")
MANY = (*SOME, "31-agm, 2 strings", "one 24 V lithium block", "36 V motor, one 36 V block")
SEVERAL = [
    *((kind, SOME) for kind in ("day", "night", "hold", "trips")),
    *((kind, SOME[:2]) for kind in ("legs", "motor", "endurance")),
    *((kind, MANY) for kind in ("day", "hold", "trips")),
]


@pytest.mark.slow
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize(("kind", "names"), SEVERAL)
def test_options_side_by_side_stand_clear_of_one_another(shipped, kind, names, width):
    results = shipped.of_options(kind, *names)
    assert len(results) >= 2
    texts_stand_clear(draw(kind, results, look=Look(width_in=width)))


def texts_stand_clear(figure):
    """All texts of a figure lie within it, and none on another."""
    boxes = texts(figure)
    assert len(boxes) > 5
    width_px, height_px = figure.get_size_inches() * figure.dpi
    for text, box in boxes:
        assert box.x0 >= 0.0, text
        assert box.y0 >= 0.0, text
        assert box.x1 <= width_px, text
        assert box.y1 <= height_px, text
    for (one, first), (other, second) in itertools.combinations(boxes, 2):
        across = min(first.x1, second.x1) - max(first.x0, second.x0)
        along = min(first.y1, second.y1) - max(first.y0, second.y0)
        # Boxes have room above and below their letters: half a point of overlap is none.
        assert across <= 0.0 or along <= 0.5 * figure.dpi / 72.0, (one, other)


@pytest.mark.parametrize(("name", "kind"), EACH_ONCE)
def test_no_line_runs_through_a_label_that_has_no_ground_of_its_own(shipped, name, kind):
    figure = shipped.drawn(name, kind)
    figure.draw_without_rendering()
    renderer = figure.canvas.get_renderer()
    looked_at = 0
    for ax in figure.axes:
        lines = [line for line in ax.lines if line.get_gid() != RULE_GID]
        drawn = [
            line.get_transform().transform(np.column_stack(line.get_data())) for line in lines
        ]
        for text in ax.texts:
            if text.get_bbox_patch() is not None:
                continue
            box = text.get_window_extent(renderer)
            for points in drawn:
                looked_at += 1
                assert not crosses(points, box.padded(-0.5)), (text.get_text(), ax.get_title())
    assert looked_at or kind in {"legs", "hold", "endurance", "season"}  # no such label


def crosses(points, box):
    """Say whether a line of straight pieces enters a box."""
    for begin, end in itertools.pairwise(points):
        if not (np.isfinite(begin).all() and np.isfinite(end).all()):
            continue
        steps = max(2, int(np.hypot(*(end - begin))) + 1)
        x, y = np.linspace(begin, end, steps).T
        if ((x > box.x0) & (x < box.x1) & (y > box.y0) & (y < box.y1)).any():
            return True
    return False


def test_the_look_for_crossed_labels_finds_one(shipped):
    figure = draw("hold", shipped.result("lake", "hold"))
    (ax,) = figure.axes
    line = ax.lines[0]
    middle = line.get_transform().transform(np.column_stack(line.get_data()))[10]
    text = figure.text(*figure.transFigure.inverted().transform(middle), "over a line")
    box = text.get_window_extent(figure.canvas.get_renderer())
    points = line.get_transform().transform(np.column_stack(line.get_data()))
    assert crosses(points, box)


def colours(figure):
    """Every colour an artist of the figure is drawn in."""
    found = set()
    for ax in figure.axes:
        for line in ax.lines:
            found |= {to_rgb(line.get_color()), to_rgb(line.get_markeredgecolor())}
        for patch in ax.patches:
            found |= {to_rgb(patch.get_facecolor()), to_rgb(patch.get_edgecolor())}
        for collection in ax.collections:
            for colour in (*collection.get_facecolor(), *collection.get_edgecolor()):
                found.add(to_rgb(colour))
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_a_grey_chart_has_no_colour_and_a_coloured_one_has(shipped, kind):
    grey = colours(shipped.drawn("estuary", kind, 3.5, True))
    assert all(max(colour) - min(colour) < 0.01 for colour in grey)
    coloured = colours(shipped.drawn("estuary", kind))
    assert any(max(colour) - min(colour) > 0.1 for colour in coloured)


@pytest.mark.parametrize("grey", [False, True])
@pytest.mark.parametrize("kind", ["day", "voltage", "motor"])
def test_lines_of_one_panel_differ_in_their_dash_and_not_in_colour_alone(shipped, kind, grey):
    figure = shipped.drawn("estuary", kind, 3.5, grey)
    compared = 0
    for ax in figure.axes:
        named = [line for line in ax.lines if line.get_gid() != RULE_GID]
        dashes = [
            line._unscaled_dash_pattern for line in named if line.get_linestyle() != "None"
        ]
        assert len({str(dash) for dash in dashes}) == len(dashes)
        compared += len(dashes) > 1
    assert compared


@pytest.mark.parametrize("grey", [False, True])
@pytest.mark.parametrize("kind", ["day", "hold"])
def test_options_in_one_panel_differ_in_their_dash_and_are_named(shipped, kind, grey):
    results = shipped.of_options(kind, *SOME)
    (ax,) = draw(kind, results, look=Look(grey=grey)).axes
    stem = {"day": "soc-", "hold": "hold-"}[kind]
    lines = [line for line in ax.lines if str(line.get_gid()).startswith(stem)]
    assert len({str(line._unscaled_dash_pattern) for line in lines}) == len(SOME)
    said = " ".join(" ".join(text.get_text() for text in ax.texts).split())
    assert all(name in said for name in SOME)


@pytest.mark.slow
def test_of_many_options_each_has_a_panel_under_its_name_and_the_others_behind(shipped):
    results = shipped.of_options("hold", *MANY)
    axes = [ax for ax in draw("hold", results).axes if ax.get_visible()]
    titles = [" ".join(ax.get_title(loc="left").split()) for ax in axes]
    assert titles == list(results)
    for number, ax in enumerate(axes):
        gids = [line.get_gid() for line in ax.lines]
        assert gids.count("behind") == len(MANY) - 1
        assert f"hold-{number}" in gids
        assert ax.get_xlim() == axes[0].get_xlim()
        assert ax.get_ylim() == axes[0].get_ylim()


def test_maps_of_several_options_share_their_scale_and_their_lines(shipped):
    results = shipped.of_options("endurance", *SOME[:2])
    axes = draw("endurance", results).axes
    contours = [
        next(one for one in ax.collections if one.get_gid() == "contours") for ax in axes
    ]
    assert list(contours[0].levels) == list(contours[1].levels)
    assert axes[0].get_xlim() == axes[1].get_xlim()
    assert [ax.get_title(loc="left") for ax in axes] == list(results)


@pytest.mark.parametrize("grey", [False, True])
def test_flood_is_a_tint_and_ebb_is_a_hatch(shipped, grey):
    figure = shipped.drawn("estuary", "day", 3.5, grey)
    parts = {one.get_gid(): one for ax in figure.axes for one in ax.collections}
    assert parts["stream-flood"].get_hatch() is None
    assert luminance(parts["stream-flood"].get_facecolor()[0]) < 0.9
    assert parts["stream-ebb"].get_hatch()
    assert len(parts["stream-ebb"].get_facecolor()) == 0


def test_what_cannot_be_held_is_hatched_and_named(shipped):
    (ax,) = shipped.drawn("estuary", "endurance").axes
    fills = [one for one in ax.collections if isinstance(one, ContourSet) and one.filled]
    hatches = [hatch for fill in fills for hatch in fill.hatches]
    assert len(set(hatches)) == 2
    assert "cannot be held" in [text.get_text() for text in ax.texts]


@pytest.mark.parametrize("grey", [False, True])
def test_pens_stand_out_from_paper_and_differ_without_their_colour(grey):
    pens = [Look(grey=grey).pen(number) for number in range(MOST_OPTIONS)]
    # WCAG 2.1: 3 to 1 for graphics, 4.5 to 1 for text.
    assert all(contrast(pen.colour) >= 3.0 for pen in pens)
    assert contrast(INK) >= 4.5
    assert contrast(SOFT_INK) >= 4.5
    assert contrast(INK, Look(grey=grey).tint) >= 4.5
    for part in ("dash", "marker", "hatch"):
        assert len({getattr(pen, part) for pen in pens}) == MOST_OPTIONS


def test_no_hatch_is_of_dots_or_circles():
    # They make files thirty times as large.
    hatches = [Look().pen(number).hatch for number in range(MOST_OPTIONS)]
    assert not set("".join(hatches)) & set("oO.*")


def test_one_more_option_than_can_be_told_apart_is_refused():
    with pytest.raises(ValueError, match="7 options on one chart cannot be told apart"):
        Look().pen(MOST_OPTIONS)


@pytest.mark.parametrize(
    ("text", "inches"),
    [("single", 3.5), ("double", 7.2), ("89 mm", 89.0 / 25.4), ("5 in", 5.0)],
)
def test_a_width_is_a_column_or_a_length(text, inches):
    assert width_in(text) == pytest.approx(inches)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("1 in", "cannot be drawn; from 2.5 in to 20 in"),
        ("3 m", "cannot be drawn"),
        ("3.5", "no unit"),
        ("wide", "wide"),
    ],
)
def test_a_width_that_is_none_is_refused(text, reason):
    with pytest.raises(ValueError, match=re.escape(reason)):
        width_in(text)
