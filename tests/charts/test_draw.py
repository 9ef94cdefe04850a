"""Charts from Python: on axes of one's own, over a clock change, of days that are odd."""

import subprocess
import sys
from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from energysim.charts import chart_row, charts, draw, numbers_csv
from energysim.charts.clock_axis import clock_axis, whole_hours
from energysim.charts.describe import description
from energysim.charts.end_labels import name_ends
from energysim.reach import hold_hours, hold_map, motor_curve
from energysim.runner import run_day

ROOT = Path(__file__).parents[2]


def blank(rows=1):
    figure = Figure(figsize=(6.0, 6.0))
    FigureCanvasAgg(figure)
    return figure, figure.subplots(rows, 1)


def test_a_chart_is_drawn_on_given_axes_and_leaves_the_figure_alone(shipped):
    figure, ax = blank()
    size = tuple(figure.get_size_inches())
    assert draw("legs", shipped.result("estuary", "legs"), ax) is figure
    assert len(ax.patches) == 7
    assert figure.texts == []
    assert tuple(figure.get_size_inches()) == size


def test_a_day_takes_an_axes_a_panel(shipped):
    figure, axes = blank(4)
    draw("day", shipped.result("estuary", "day"), axes)
    assert [ax.get_title(loc="left").split(",")[0] for ax in axes] == [
        "State of charge", "Thrust", "Wind at the boat", "Stream",
    ]  # fmt: skip
    # Axes that do not share a clock get one each.
    assert all(ax.get_xticklabels()[0].get_text() for ax in axes)
    assert figure.texts == []


def test_the_wrong_number_of_axes_is_refused(shipped):
    _, axes = blank(3)
    with pytest.raises(ValueError, match="of this result needs 4 axes, and 3 are given"):
        draw("day", shipped.result("estuary", "day"), axes)


def test_still_water_takes_no_panel(shipped):
    titles = [ax.get_title(loc="left") for ax in shipped.drawn("lake", "day").axes]
    assert len(titles) == 3
    assert not any("Stream" in title for title in titles)


def test_a_stream_has_its_names_only_where_somebody_named_them(shipped):
    result = shipped.result("estuary", "day")
    said = [text.get_text() for text in draw("day", result).axes[-1].texts]
    # The ebb of this tide is the stronger one and runs to 148 deg; the flood to 320 deg.
    assert said == ["toward SE", "toward NW"]
    said = [text.get_text() for text in shipped.drawn("estuary", "day").axes[-1].texts]
    assert said == ["flood, toward NW", "ebb, toward SE"]


@pytest.mark.parametrize("kind", ["voltage", "odds", "options", "season"])
def test_what_shows_one_result_at_a_time_refuses_two(shipped, kind):
    result = shipped.result("estuary", kind)
    with pytest.raises(ValueError, match="shows one result at a time, and 2 are given"):
        draw(kind, {"one": result, "other": result})


@pytest.mark.parametrize(("kind", "most"), [("legs", 6), ("motor", 6), ("hold", 24)])
def test_more_results_than_a_chart_can_show_are_refused(shipped, kind, most):
    result = shipped.result("estuary", kind)
    with pytest.raises(ValueError, match=f"shows {most} results at a time"):
        draw(kind, {str(number): result for number in range(most + 1)})


def test_hours_over_thrust_and_over_wind_share_no_axis(shipped):
    loaded = shipped.loaded("lake")
    two = {"thrust": hold_hours(loaded), "wind": hold_hours(loaded, over="wind")}
    with pytest.raises(ValueError, match="cannot share one axis"):
        draw("hold", two)


def test_bars_of_two_days_stand_in_pairs_and_differ_by_their_hatch(shipped):
    result = shipped.result("lake", "legs")
    (ax,) = draw("legs", {"as planned": result, "other bank": result}).axes
    assert len(ax.patches) == 12
    assert {bar.get_hatch() or "" for bar in ax.patches[:6]} == {""}
    assert {bar.get_hatch() for bar in ax.patches[6:]} == {"////"}
    said = [text.get_text() for text in ax.texts]
    assert sum("other bank" in text for text in said) == 6
    other = shipped.result("estuary", "legs")
    with pytest.raises(ValueError, match="other legs"):
        draw("legs", {"one": result, "other": other})


def test_a_kind_that_is_misspelt_is_named_with_the_nearest():
    with pytest.raises(ValueError, match="'dya' is no kind of chart; did you mean 'day'"):
        chart_row("dya")


def test_drawing_leaves_the_settings_of_matplotlib_as_they_were(shipped):
    before = dict(mpl.rcParams)
    draw("hold", shipped.result("lake", "hold"))
    assert dict(mpl.rcParams) == before


def test_a_chart_needs_neither_pyplot_nor_tables():
    scenario = ROOT / "scenarios" / "lake" / "lake.toml"
    statement = (
        "import sys\n"
        "from energysim.charts import chart_bytes, draw\n"
        "from energysim.runner import run_day\n"
        "from energysim.scenario.load import load_scenario\n"
        f"day = run_day(load_scenario({str(scenario)!r}), with_changes=False)\n"
        "assert 'matplotlib' not in sys.modules\n"
        "chart_bytes(draw('day', day), 'day', day)\n"
        "print(*sorted({'matplotlib.pyplot', 'pandas', 'scipy'} & set(sys.modules)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", statement], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert done.stdout.split() == []


@pytest.mark.parametrize("name", ["estuary", "headland", "lake"])
@pytest.mark.parametrize("kind", tuple(charts()))
def test_every_description_is_filled_in(shipped, kind, name):
    told = description(chart_row(kind), {"": shipped.result(name, kind)}, "us")
    assert "{" not in told
    assert told.endswith(".")
    assert any(letter.isdigit() for letter in told)


def test_the_description_of_a_day_gives_its_figures(shipped):
    result = shipped.result("estuary", "day")
    told = description(chart_row("day"), {"": result}, "us").replace("\u00a0", " ")
    assert f"The bank ends at {100 * result.end_soc:.0f} %" in told
    assert f"the plan's limit of {100 * result.limit_soc:.0f} %" in told


NEW_YORK = ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    ("start", "clocks"),
    [
        # The clocks of New York go from 02:00 to 03:00 and, in autumn, from 02:00 to 01:00
        # (IANA time zone database).
        pytest.param(datetime(2026, 3, 8, 0, 30, tzinfo=NEW_YORK), "01 03 04 05", id="spring"),
        pytest.param(datetime(2026, 11, 1, 0, 30, tzinfo=NEW_YORK), "01 01 02 03", id="autumn"),
        pytest.param(datetime(2026, 5, 16, 0, 30, tzinfo=NEW_YORK), "01 02 03 04", id="plain"),
    ],
)
def test_the_marks_of_the_clock_follow_the_clock_on_the_wall(start, clocks):
    hours = whole_hours(start, 0.0, 3.6)
    assert " ".join(f"{clock:%H}" for _, clock in hours) == clocks
    assert [at for at, _ in hours] == pytest.approx([0.5, 1.5, 2.5, 3.5])


@pytest.mark.parametrize("last_h", [0.4, 1.5, 6.0, 14.0, 30.0, 70.0])
def test_the_marks_of_the_clock_stand_clear_of_one_another(last_h):
    figure, ax = blank()
    figure.set_size_inches(3.5, 2.0)
    clock_axis(ax, datetime(2026, 5, 16, 5, 45, tzinfo=NEW_YORK), 0.0, last_h)
    figure.draw_without_rendering()
    renderer = figure.canvas.get_renderer()
    boxes = [label.get_window_extent(renderer) for label in ax.get_xticklabels()]
    assert all(one.x1 + 2.0 < other.x0 for one, other in pairwise(boxes))


def test_a_day_of_many_short_legs_with_long_names_is_still_readable(load_raw, plain_day):
    raw = plain_day()
    verbs = ["hold", "rest"] * 7
    raw["leg"] = [
        {"name": f"The far end of the long sandbar, part {n}", "do": verb, "for": "12 min"}
        for n, verb in enumerate(verbs, 1)
    ]
    raw["leg"][0]["start"] = "06:00"
    result = run_day(load_raw(raw), with_changes=False)
    for kind in ("day", "voltage"):
        figure = draw(kind, result)
        renderer = figure.canvas.get_renderer()
        numbers = [
            text.get_window_extent(renderer)
            for text in figure.axes[0].texts
            if text.get_text().isdigit()
        ]
        numbers.sort(key=lambda box: box.x0)
        clear = [one.x1 < other.x0 for one, other in pairwise(numbers)]
        assert len(numbers) > 7
        assert all(clear)
        width = figure.get_size_inches()[0] * figure.dpi
        assert all(text.get_window_extent(renderer).x1 <= width for text in figure.texts)


def test_a_legs_name_without_a_blank_does_not_run_off_the_foot(load_raw, plain_day):
    raw = plain_day()
    raw["leg"][0]["name"] = "Northwesternmostbankbeyondthefourthredbuoyandthewreck" * 3
    result = run_day(load_raw(raw), with_changes=False)
    for kind in ("day", "voltage", "legs"):
        figure = draw(kind, result)
        renderer = figure.canvas.get_renderer()
        width = figure.get_size_inches()[0] * figure.dpi
        assert all(text.get_window_extent(renderer).x1 <= width for text in figure.texts)
        letters = "".join(text.get_text() for text in figure.texts).replace("\n", "")
        assert kind == "legs" or raw["leg"][0]["name"] in letters


def test_a_row_of_leg_numbers_is_broken_before_it_covers_the_lines(load_raw, plain_day):
    raw = plain_day()
    raw["leg"] = [
        {"name": f"mark {number}", "do": "hold", "for": "20 min"} for number in range(1, 10)
    ]
    raw["leg"][0]["start"] = "06:00"
    (ax,) = draw("endurance", hold_map(load_raw(raw))).axes
    (label,) = [text.get_text() for text in ax.texts if text.get_text().startswith("legs")]
    assert " ".join(label.split()) == "legs 1, 2, 3, 4, 5, 6, 7, 8, 9"
    assert max(len(line) for line in label.splitlines()) <= 12


@pytest.mark.parametrize("control", ["pwm", "stepped"])
def test_each_water_speed_is_named_nearest_to_its_own_line(load_raw, plain_day, control):
    raw = plain_day()
    raw["motor"]["control"] = control
    _, ax = draw("motor", motor_curve(load_raw(raw))).axes
    renderer = ax.figure.canvas.get_renderer()
    lines = {
        line.get_gid(): line.get_transform().transform(np.column_stack(line.get_data()))
        for line in ax.lines
        if str(line.get_gid()).startswith("most-")
    }
    for number, said in enumerate(["still water", "1 kn", "2 kn", "3 kn"]):
        (text,) = [
            text for text in ax.texts if text.get_text().replace("\u00a0", " ").startswith(said)
        ]
        box = text.get_window_extent(renderer)
        gaps = {}
        for gid, points in lines.items():
            x, y = (np.interp(np.arange(0, len(points) - 1, 0.05), np.arange(len(points)), row)
                    for row in points.T)  # fmt: skip
            dx = np.maximum(np.maximum(box.x0 - x, x - box.x1), 0.0)
            dy = np.maximum(np.maximum(box.y0 - y, y - box.y1), 0.0)
            gaps[gid] = float(np.hypot(dx, dy).min())
        assert gaps[f"most-{number}"] == min(gaps.values())


def test_a_map_without_a_line_says_why(shipped):
    whole = shipped.result("lake", "endurance")
    short = replace(whole, hours=0.1 + 0.0 * whole.hours, lasting_h=0.1 + 0.0 * whole.hours)
    figure = draw("endurance", short)
    foot = " ".join(" ".join(text.get_text() for text in figure.texts).split())
    assert "From 0.1 to 0.1 h everywhere: no line to draw." in foot


def test_of_very_many_options_the_best_are_shown_with_the_baseline_and_that_is_said(shipped):
    result = shipped.result("shop", "options")
    copies = [(copy, one) for copy in range(4) for one in result.rows]
    rows = tuple(
        replace(one, name=f"{one.name}, {copy}", place=place)
        for place, (copy, one) in enumerate(copies, start=1)
    )
    many = replace(result, rows=rows, baseline=rows[40].name)
    figure = draw("options", many)
    names = [label.get_text() for label in figure.axes[0].get_yticklabels()]
    shown = [int(name.split()[0]) for name in names]
    assert shown == [1, 2, 3, 4, 5, 6, 7, 41]
    foot = " ".join(" ".join(text.get_text() for text in figure.texts).split())
    assert "The best 7 of 48 and the baseline; the CSV has them all." in foot
    assert len(numbers_csv("options", many).splitlines()) == 49


def test_names_at_the_ends_of_lines_keep_their_order_and_stand_clear():
    figure, ax = blank()
    ax.set_ylim(0.0, 100.0)
    ends = [50.0, 51.0, 50.5, 99.0, 98.5]
    name_ends(ax, [f"option number {number} of five" for number in range(5)], ends)
    figure.draw_without_rendering()
    renderer = figure.canvas.get_renderer()
    # Of the letters alone, without the stroke that leads to them.
    boxes = {
        int(text.get_text().split()[2]): Text.get_window_extent(text, renderer)
        for text in ax.texts
    }
    rising = [boxes[number] for number in np.argsort(ends)]
    assert all(one.y1 <= other.y0 for one, other in pairwise(rising))
    assert rising[-1].y1 <= ax.bbox.y1 + 1.0


def test_a_day_on_which_the_bow_motor_never_runs_can_be_drawn(load_raw, plain_day):
    raw = plain_day()
    raw["leg"] = [{"name": "out", "do": "run", "start": "06:00", "for": "1 h"}]
    result = run_day(load_raw(raw), with_changes=False)
    for kind in ("day", "voltage", "legs"):
        assert np.prod(draw(kind, result).get_size_inches()) > 0.0
