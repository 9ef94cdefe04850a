"""What is plotted is what the result holds, and the CSV says it with its units."""

import csv
import io
from datetime import datetime

import numpy as np
import pytest

from energysim.charts import Look, draw, numbers_csv

NEWTONS_PER_POUND = 4.4482216152605  # exact: 0.45359237 kg x 9.80665 m/s2 (NIST SP 811)
MPS_PER_KNOT = 1852.0 / 3600.0  # exact: the international nautical mile (NIST SP 811)
DIGITS = 1e-6  # eight digits are written
NAMES = ("estuary", "headland", "lake")


def read(text):
    """Read a CSV into its rows by header."""
    return list(csv.DictReader(io.StringIO(text)))


def column(rows, header):
    return np.array([float(row[header]) for row in rows])


@pytest.mark.parametrize("name", NAMES)
def test_the_numbers_of_the_day_are_those_of_the_step_table(shipped, name):
    result = shipped.result(name, "day")
    rows = read(numbers_csv("day", result))
    assert len(rows) == len(result.series["soc"])
    for header, key, factor in (
        ("soc [%]", "soc", 100.0),
        ("thrust_wanted [lbf]", "thrust_wanted", 1.0 / NEWTONS_PER_POUND),
        ("thrust_available [lbf]", "thrust_available", 1.0 / NEWTONS_PER_POUND),
        ("wind [kn]", "wind", 1.0 / MPS_PER_KNOT),
        ("gust [kn]", "gust", 1.0 / MPS_PER_KNOT),
        ("stream [kn]", "stream", 1.0 / MPS_PER_KNOT),
        ("elapsed [s]", "elapsed", 1.0),
    ):
        expected = result.series[key] * factor
        assert column(rows, header) == pytest.approx(expected, rel=DIGITS, abs=1e-9)
    assert datetime.fromisoformat(rows[0]["clock"]) == result.start
    assert column(rows, "limit_soc [%]") == pytest.approx(100.0 * result.limit_soc)
    assert [row["leg"] for row in rows] == list(result.leg_of_step)


def test_metric_units_leave_newtons_alone(shipped):
    result = shipped.result("estuary", "day")
    rows = read(numbers_csv("day", result, look=Look(system="metric")))
    wanted = column(rows, "thrust_wanted [N]")
    assert wanted == pytest.approx(result.series["thrust_wanted"], rel=DIGITS, abs=1e-9)


def test_the_numbers_of_the_legs_add_up_to_the_day(shipped):
    result = shipped.result("headland", "legs")
    rows = read(numbers_csv("legs", result))
    assert [row["leg"] for row in rows] == [leg.name for leg in result.legs]
    assert column(rows, "charge [Ah]").sum() == pytest.approx(result.charge_drawn_ah, rel=1e-6)
    assert column(rows, "energy [Wh]").sum() == pytest.approx(result.energy_drawn_wh, rel=1e-6)


def test_the_bars_are_as_long_as_the_numbers(shipped):
    result = shipped.result("headland", "legs")
    (ax,) = shipped.drawn("headland", "legs").axes
    lengths = [bar.get_width() for bar in ax.patches]
    assert lengths == pytest.approx([leg.charge_ah for leg in result.legs])
    assert ax.get_xlim()[0] == 0.0


def lines(figure):
    """The lines of a figure by what they are."""
    return {line.get_gid(): line for ax in figure.axes for line in ax.lines}


def finite(values):
    values = np.asarray(values, dtype=float)
    return values[np.isfinite(values)]


@pytest.mark.parametrize("name", NAMES)
def test_the_lines_of_the_day_are_its_numbers(shipped, name):
    result = shipped.result(name, "day")
    rows = read(numbers_csv("day", result))
    found = lines(shipped.drawn(name, "day"))
    on = result.series["thrust_wanted"] > 0.0
    for gid, header, shown in (
        ("soc", "soc [%]", np.ones_like(on)),
        ("wind", "wind [kn]", np.ones_like(on)),
        ("gust", "gust [kn]", np.ones_like(on)),
        ("thrust_wanted", "thrust_wanted [lbf]", on),
        ("thrust_available", "thrust_available [lbf]", on),
    ):
        drawn = finite(found[gid].get_ydata())
        assert drawn == pytest.approx(column(rows, header)[shown], rel=DIGITS, abs=1e-9)
    # State of charge stands at a step's end, what pushes the boat at its middle.
    hours = np.asarray(found["soc"].get_xdata())
    ends = result.series["elapsed"] + result.series["step"]
    assert hours == pytest.approx(ends / 3600.0)
    middles = result.series["elapsed"] + 0.5 * result.series["step"]
    assert np.asarray(found["wind"].get_xdata()) == pytest.approx(middles / 3600.0)
    end = found["end"]
    assert end.get_ydata()[0] == pytest.approx(100.0 * result.end_soc)


def test_voltage_and_current_are_drawn_as_they_are(shipped):
    result = shipped.result("lake", "voltage")
    found = lines(shipped.drawn("lake", "voltage"))
    for key in ("bank_voltage", "motor_voltage", "current", "peak_current"):
        assert np.asarray(found[key].get_ydata()) == pytest.approx(result.series[key])


def test_a_thrust_that_falls_short_is_hatched(load_raw, plain_day):
    from energysim.runner import run_day  # noqa: PLC0415

    raw = plain_day()
    raw["wind"] = {"speed": "60 kn", "from": "SW"}
    raw["leg"] = [{"name": "too much", "do": "hold", "start": "06:00", "for": "40 min"}]
    short = run_day(load_raw(raw), with_changes=False)
    assert short.off_station_s > 0.0
    figure = draw("day", short)
    gids = {one.get_gid() for ax in figure.axes for one in ax.collections}
    assert "shortfall" in gids


def test_nothing_is_hatched_where_the_thrust_is_enough(shipped):
    figure = shipped.drawn("estuary", "day")
    assert "shortfall" not in {one.get_gid() for ax in figure.axes for one in ax.collections}


def test_the_night_is_drawn_as_reckoned_and_marked_at_its_own_hours(shipped):
    night = shipped.result("headland", "night")
    rows = read(numbers_csv("night", night))
    assert column(rows, "soc [%]") == pytest.approx(100.0 * night.soc, rel=DIGITS)
    figure = shipped.drawn("headland", "night")
    (ax,) = figure.axes
    marks = [line for line in ax.lines if line.get_gid() == "mark"]
    at = sorted(float(line.get_xdata()[0]) for line in marks)
    recharge = night.recharge
    assert at == pytest.approx([0.0, recharge.to_80_h, recharge.to_95_h, recharge.full_h])
    said = " ".join(text.get_text() for text in ax.texts)
    assert f"full at {recharge.full_at:%H:%M}" in said
    assert f"wanted by {recharge.ready_by:%H:%M}" in said


def test_the_odds_are_drawn_at_their_marks_between_one_day_in_ten_and_nine(shipped):
    odds = shipped.result("estuary", "odds")
    rows = read(numbers_csv("odds", odds))
    assert [datetime.fromisoformat(row["clock"]) for row in rows] == [m.at for m in odds.marks]
    found = lines(shipped.drawn("estuary", "odds"))
    hours = [(mark.at - odds.start).total_seconds() / 3600.0 for mark in odds.marks]
    for key in ("p10", "p50", "p90"):
        expected = [100.0 * getattr(mark.soc, key) for mark in odds.marks]
        assert column(rows, f"soc_{key} [%]") == pytest.approx(expected, rel=DIGITS)
        assert np.asarray(found[f"soc_{key}"].get_ydata()) == pytest.approx(expected)
        assert np.asarray(found[f"soc_{key}"].get_xdata()) == pytest.approx(hours)
    assert found["limit"].get_ydata()[0] == pytest.approx(100.0 * odds.limit_soc)
    (ax,) = shipped.drawn("estuary", "odds").axes
    (band,) = (one for one in ax.collections if one.get_gid() == "band")
    box = band.get_paths()[0].get_extents()
    assert box.y1 == pytest.approx(max(100.0 * mark.soc.p90 for mark in odds.marks))
    assert box.y0 == pytest.approx(min(100.0 * mark.soc.p10 for mark in odds.marks))


def test_the_motor_is_drawn_through_its_numbers_with_its_point(shipped):
    curve = shipped.result("estuary", "motor")
    rows = read(numbers_csv("motor", curve))
    found = lines(shipped.drawn("estuary", "motor"))
    for number, line in enumerate(curve.lines):
        speed = line.water_speed_mps / MPS_PER_KNOT
        own = [
            row
            for row in rows
            if row["part"] == "curve at rated voltage"
            and float(row["water_speed [kn]"]) == pytest.approx(speed)
        ]
        drawn = found[f"current-{number}"]
        assert np.asarray(drawn.get_xdata()) == pytest.approx(
            column(own, "thrust [lbf]"), rel=DIGITS
        )
        assert np.asarray(drawn.get_ydata()) == pytest.approx(
            column(own, "current [A]"), rel=DIGITS
        )
    label = [row for row in rows if row["part"] == "label"]
    # The scenario's label: 80 lbf at 24 V and 56 A.
    assert [float(label[0][key]) for key in ("thrust [lbf]", "voltage [V]", "current [A]")] == (
        pytest.approx([80.0, 24.0, 56.0])
    )
    assert found["points"].get_xydata()[0] == pytest.approx([80.0, 56.0])


def test_the_map_is_drawn_from_its_numbers(shipped):
    result = shipped.result("headland", "endurance")
    rows = read(numbers_csv("endurance", result))
    shape = result.hours.shape
    assert column(rows, "hours [h]").reshape(shape) == pytest.approx(result.hours, rel=DIGITS)
    winds = column(rows, "wind [kn]").reshape(shape)
    assert winds == pytest.approx(
        np.broadcast_to(result.wind_mps / MPS_PER_KNOT, shape), rel=DIGITS
    )
    # On the line of four hours the map, read between its points, says four hours.
    (ax,) = shipped.drawn("headland", "endurance").axes
    contours = next(one for one in ax.collections if one.get_gid() == "contours")
    level = list(np.exp(contours.levels)).index(pytest.approx(4.0))
    points = contours.get_paths()[level].vertices
    streams = result.stream_mps / MPS_PER_KNOT
    held = points[[spare_all_round(result, *point) for point in points]]
    assert len(held) > 12
    for wind, stream in held[:: len(held) // 12]:
        at = [np.interp(wind, winds[0], np.log(row)) for row in np.maximum(result.hours, 1e-3)]
        assert np.exp(np.interp(stream, streams, at)) == pytest.approx(4.0, rel=0.03)


def spare_all_round(result, wind_kn, stream_kn):
    """Say whether the map is held to its limit at all points about a place."""
    row = np.searchsorted(result.stream_mps / MPS_PER_KNOT, stream_kn)
    place = np.searchsorted(result.wind_mps / MPS_PER_KNOT, wind_kn)
    about = (slice(max(row - 1, 0), row + 1), slice(max(place - 1, 0), place + 1))
    return bool((result.available_at_limit_n[about] > result.thrust_n[about]).all())


def test_hours_of_hold_are_drawn_as_reckoned(shipped):
    result = shipped.result("lake", "hold")
    rows = read(numbers_csv("hold", result))
    assert column(rows, "hours [h]") == pytest.approx(result.hours, rel=DIGITS)
    found = lines(shipped.drawn("lake", "hold"))
    limited = np.array(result.ended_by) == "limit"
    assert np.asarray(found["hold-0"].get_ydata()) == pytest.approx(result.hours[limited])
    short = (np.array(result.ended_by) == "short") & (result.hours > 0.0)
    assert short.any()
    assert np.asarray(found["short-0"].get_ydata())[-short.sum() :] == (
        pytest.approx(result.hours[short])
    )


def test_options_stand_under_one_another_in_the_csv_and_side_by_side_in_the_chart(shipped):
    two = {"lake": shipped.result("lake", "hold"), "ledge": shipped.result("headland", "hold")}
    rows = read(numbers_csv("hold", two))
    assert [row["option"] for row in rows] == ["lake"] * 40 + ["ledge"] * 40
    figure = draw("hold", two)
    said = {text.get_text() for text in figure.axes[0].texts}
    assert {"lake", "ledge"} <= said


def test_the_numbers_of_the_options_are_those_of_the_comparison(shipped):
    result = shipped.result("shop", "options")
    rows = read(numbers_csv("options", result))
    assert [row["option"] for row in rows] == [one.name for one in result.rows]
    assert [int(row["place"]) for row in rows] == [one.place for one in result.rows]
    pounds = 0.45359237  # kg, exact (NIST SP 811)
    for header, read_day in (
        ("end_soc [%]", lambda day: 100.0 * day.end_soc),
        ("limit_soc [%]", lambda day: 100.0 * day.limit_soc),
        ("hold_left [h]", lambda day: day.hold_left.seconds / 3600.0),
        ("off_station [min]", lambda day: day.off_station_s / 60.0),
        ("usable [Wh]", lambda day: day.usable_wh),
        ("full_again [h]", lambda day: day.night.full_h),
        ("mass [lb]", lambda day: day.load.mass_kg / pounds),
    ):
        expected = [read_day(one.day) for one in result.rows]
        assert column(rows, header) == pytest.approx(expected, rel=DIGITS, abs=1e-9)
    assert [row["fit"] for row in rows] == [one.day.fit.verdict for one in result.rows]
    for row, one in zip(rows, result.rows, strict=True):
        money = one.day.money
        if money.price_per_trip is None:
            # What is not known is left empty, and the row says why.
            assert (row["trip_price [USD]"], row["not_priced"]) == ("", money.why_not)
            continue
        for suffix, part in (("", "value"), ("_low", "low"), ("_high", "high")):
            told = float(row[f"trip_price{suffix} [USD]"])
            assert told == pytest.approx(getattr(money.price_per_trip, part), rel=DIGITS)
            told = float(row[f"life{suffix} [years]"])
            assert told == pytest.approx(getattr(money.years, part), rel=DIGITS)


@pytest.mark.parametrize(("width", "shown"), [(3.5, 8), (7.2, 12)])
def test_the_marks_of_the_options_stand_at_their_numbers(shipped, width, shown):
    result = shipped.result("shop", "options")
    rows = read(numbers_csv("options", result))[:shown]
    figure = shipped.drawn("shop", "options", width)
    found = lines(figure)
    for key in ("end_soc", "hold_left", "full_again", "mass", "bank_price", "trip_price"):
        header = next(name for name in rows[0] if name.startswith(f"{key} ["))
        drawn = np.concatenate(
            [
                np.asarray(found[gid].get_xdata())
                for gid in (f"{key}-holds", f"{key}-not")
                if gid in found
            ]
        )
        expected = [float(row[header]) for row in rows if row[header]]
        assert sorted(drawn) == pytest.approx(sorted(expected), rel=DIGITS)
    foot = " ".join(text.get_text() for text in figure.texts)
    left_out = "The best 8 of 12; the CSV has them all." in " ".join(foot.split())
    assert left_out is (shown < 12)
    assert "Could not be run: a 36 V block on the 24 V motor." in " ".join(foot.split())


def test_the_number_beside_a_mark_is_its_number(shipped):
    result = shipped.result("shop", "options")
    axes = shipped.drawn("shop", "options", 7.2).axes
    weights = next(ax for ax in axes if ax.get_title(loc="left") == "Weight, lb")
    said = [text.get_text() for text in weights.texts]
    assert said == [f"{one.day.load.mass_kg / 0.45359237:,.0f}" for one in result.rows]


def test_the_cost_of_a_trip_is_that_of_the_day_at_the_days_depth(shipped):
    costs = shipped.result("shop", "trips")
    rows = read(numbers_csv("trips", costs))
    *curve, day = rows
    assert day["part"] == "this day"
    assert float(day["depth [%]"]) == pytest.approx(100.0 * costs.day_depth, rel=DIGITS)
    assert float(day["price [USD]"]) == pytest.approx(costs.day_price.value, rel=DIGITS)
    for suffix, part in (("", "value"), ("_low", "low"), ("_high", "high")):
        own = column(curve, f"price{suffix} [USD]")
        assert own == pytest.approx(getattr(costs, f"price{suffix}"), rel=DIGITS)
        # The line goes through the day: the night fills it again from where it ends.
        at = np.interp(costs.day_depth, costs.depth, own)
        assert at == pytest.approx(getattr(costs.day_price, part), rel=0.01)
    found = lines(shipped.drawn("shop", "trips"))
    for key in ("price", "price_low", "price_high", "energy"):
        drawn = np.asarray(found[f"{key}-0"].get_ydata())
        assert drawn == pytest.approx(column(curve, f"{key} [USD]"), rel=DIGITS)
    assert found["day-0"].get_xydata()[0] == pytest.approx(
        [100.0 * costs.day_depth, costs.day_price.value]
    )


def test_the_numbers_of_the_season_are_those_of_its_dates(shipped):
    result = shipped.result("shop", "season")
    rows = read(numbers_csv("season", result))
    assert [row["date"] for row in rows] == [one.date.isoformat() for one in result.dates]
    assert [row["tide"] for row in rows] == [one.tide for one in result.dates]
    laid = [(row, one) for row, one in zip(rows, result.dates, strict=True) if one.odds]
    for header, read_odds in (
        ("whole_plan [%]", lambda odds: 100.0 * odds.whole_plan.chance),
        ("whole_plan_low [%]", lambda odds: 100.0 * odds.whole_plan.low),
        ("end_soc_p50 [%]", lambda odds: 100.0 * odds.end_soc.p50),
        ("wind [kn]", lambda odds: odds.wind_mps / MPS_PER_KNOT),
        ("best_end_soc [%]", lambda odds: 100.0 * odds.best_end_soc),
    ):
        told = [float(row[header]) for row, _ in laid]
        assert told == pytest.approx([read_odds(one.odds) for _, one in laid], rel=DIGITS)
    assert [row["best_start"] for row, _ in laid] == [
        one.odds.best_start.isoformat() for _, one in laid
    ]
    (left_out,) = [row for row in rows if row["skipped"]]
    assert (left_out["date"], left_out["whole_plan [%]"]) == ("2026-05-29", "")


def test_each_date_of_the_calendar_stands_under_its_day_of_the_week(shipped):
    result = shipped.result("shop", "season")
    figure = shipped.drawn("shop", "season")
    told = {}
    for ax in figure.axes:
        heads = {text.get_text(): text.get_position()[0] for text in ax.texts[:7]}
        month = datetime.strptime(ax.get_title(loc="left"), "%B %Y")  # noqa: DTZ007
        for box in ax.patches:
            x, y = box.get_xy()
            inside = [
                text.get_text()
                for text in ax.texts
                if x <= text.get_position()[0] <= x + 1.0
                and y < text.get_position()[1] <= y + 1.0
            ]
            day = month.replace(day=int(inside[0])).date()
            assert heads[f"{day:%A}"[:2]] == pytest.approx(x + 0.5)
            told[day] = inside[1:]
    assert list(told) == [one.date for one in result.dates]
    signs = {"spring": ["S"], "neap": ["N"], "": []}
    for one in result.dates:
        if one.odds is None:
            assert told[one.date] == [*signs[one.tide], "x"]
            continue
        better = one.odds.best_start != one.odds.start
        clock = [f"{one.odds.best_start:%H:%M}"] if better else []
        chance = f"{100.0 * one.odds.whole_plan.chance:.0f}"
        assert told[one.date] == [*signs[one.tide], chance, *clock]


def test_several_days_are_told_by_their_state_of_charge_alone(shipped):
    two = shipped.of_options("day", "24-agm", "24-lfp")
    rows = read(numbers_csv("day", two))
    assert not any(header.startswith("thrust") for header in rows[0])
    for number, (name, day) in enumerate(two.items()):
        own = [row for row in rows if row["option"] == name]
        assert column(own, "soc [%]") == pytest.approx(100.0 * day.series["soc"], rel=DIGITS)
        drawn = lines(draw("day", two))[f"soc-{number}"]
        assert np.asarray(drawn.get_ydata()) == pytest.approx(100.0 * day.series["soc"])
