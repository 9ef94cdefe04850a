"""Tables and pictures hold the numbers of the results they are made from."""

import math
from pathlib import Path

import pytest

import energysim
from energysim.errors import FileError

ESTUARY = Path(__file__).parents[1] / "scenarios" / "estuary" / "estuary.toml"


@pytest.fixture(scope="module")
def scenario():
    return energysim.load(ESTUARY)


@pytest.fixture(scope="module")
def day(scenario):
    return energysim.run(scenario)


@pytest.fixture(scope="module")
def odds(scenario):
    return energysim.run_odds(scenario, members=40, seed=3)


def test_changes_are_told_in_order_and_without_numbers_where_none_were_had(day):
    table = energysim.changes_frame(day)
    assert list(table.index) == [change.name for change in day.changes]
    for change, (_, row) in zip(day.changes, table.iterrows(), strict=True):
        if change.skipped:
            assert row["skipped"] == change.skipped
            assert math.isnan(row["end_soc [1]"])
        else:
            assert row["end_soc [1]"] == change.end_soc
            assert row["end_soc_change [1]"] == pytest.approx(change.end_soc - day.end_soc)
            assert row["off_station [s]"] == change.off_station_s


def test_a_day_run_without_changes_has_an_empty_table_of_them(scenario):
    table = energysim.changes_frame(energysim.run(scenario, with_changes=False))
    assert table.empty
    assert "end_soc [1]" in table.columns


def test_the_legs_bear_their_units_as_every_table_does(day):
    table = energysim.legs_frame(day)
    assert list(table["leg"]) == [leg.name for leg in day.legs]
    for key, name in (
        ("mean_thrust_n", "mean_thrust [N]"),
        ("peak_current_a", "peak_current [A]"),
        ("charge_ah", "charge [Ah]"),
        ("energy_wh", "energy [Wh]"),
        ("soc_after", "soc_after [1]"),
        ("off_station_s", "off_station [s]"),
        ("mean_wave_height_m", "mean_wave_height [m]"),
        ("running_share", "running_share [1]"),
    ):
        assert list(table[name]) == [getattr(leg, key) for leg in day.legs]


def test_every_column_of_every_table_is_words_or_has_a_unit(day, odds):
    tables = (
        energysim.frame(day), energysim.legs_frame(day), energysim.changes_frame(day),
        energysim.days_frame({"one": day}), energysim.odds_frame(odds),
    )  # fmt: skip
    for table in tables:
        numbers = [name for name in table.columns if table[name].dtype.kind in "fiu"]
        assert numbers
        assert all(name.endswith("]") and " [" in name for name in numbers)


def test_days_stand_side_by_side(scenario, day):
    of_its_own = {"bank.reserve": None, "bank.block_mass": None}
    smaller = energysim.changed(
        scenario, {"bank.battery": "24-agm", "charger": None, **of_its_own}
    )
    other = energysim.run(smaller, with_changes=False)
    table = energysim.days_frame({"as planned": day, "smaller": other})
    assert list(table.index) == ["as planned", "smaller"]
    assert table.loc["as planned", "end_soc [1]"] == day.end_soc
    assert table.loc["as planned", "full_after [h]"] == day.recharge.full_h
    assert math.isnan(table.loc["smaller", "full_after [h]"])
    assert table.loc["smaller", "to_spare [1]"] == other.end_soc - other.limit_soc
    assert table.loc["smaller", "end_soc [1]"] < day.end_soc


def test_no_days_are_refused():
    with pytest.raises(ValueError, match="days is empty"):
        energysim.days_frame({})


def test_odds_have_a_row_a_leg_and_none_where_the_motor_rests(odds):
    table = energysim.odds_frame(odds)
    assert list(table["leg"]) == [leg.name for leg in odds.legs]
    for leg, (_, row) in zip(odds.legs, table.iterrows(), strict=True):
        assert row["soc_after_p10 [1]"] == leg.soc_after.p10
        assert row["start"] == leg.start
        if leg.held is None:
            assert math.isnan(row["held [1]"])
        else:
            assert row["held_low [1]"] <= row["held [1]"] <= row["held_high [1]"]
            assert row["held [1]"] == leg.held.chance
    assert table["held [1]"].isna().any()
    assert table["held [1]"].notna().any()


@pytest.mark.parametrize("system", ["us", "metric"])
def test_a_picture_hands_over_the_numbers_it_draws(scenario, system):
    hours = energysim.hold_hours(scenario)
    table = energysim.picture("hold", hours, system=system).frame()
    newtons = {"us": 4.4482216152605, "metric": 1.0}[system]
    unit = {"us": "lbf", "metric": "N"}[system]
    assert table["hours [h]"].to_numpy() == pytest.approx(hours.hours)
    assert table[f"thrust [{unit}]"].to_numpy() * newtons == pytest.approx(hours.thrust_n)


def test_a_picture_shows_itself_and_is_saved_whole(scenario, tmp_path):
    chart = energysim.picture("motor", energysim.motor_curve(scenario), width="single")
    assert chart._repr_svg_().startswith("<svg")
    chart.save(tmp_path / "motor.svg")
    assert (tmp_path / "motor.svg").read_text(encoding="utf-8") == chart._repr_svg_()
    chart.save(tmp_path / "motor.pdf")
    assert (tmp_path / "motor.pdf").read_bytes().startswith(b"%PDF")
    with pytest.raises(FileError):
        chart.save(tmp_path / "motor.pdf")


def test_a_picture_of_no_known_width_or_format_is_refused(scenario, tmp_path):
    curve = energysim.motor_curve(scenario)
    with pytest.raises(ValueError, match="width"):
        energysim.picture("motor", curve, width="1 in")
    with pytest.raises(ValueError, match="file_format"):
        energysim.picture("motor", curve).save(tmp_path / "motor.gif")


def test_hours_to_several_limits_say_so_at_the_foot(scenario):
    lithium = {"bank.battery": "31-lfp", "bank.reserve": None, "bank.block_mass": None}
    hours = {
        "lead": energysim.hold_hours(scenario),
        "lithium": energysim.hold_hours(energysim.changed(scenario, lithium)),
    }
    figure = energysim.draw("hold", hours)
    (foot,) = [text.get_text() for text in figure.texts if "state of charge" in text.get_text()]
    told = " ".join(foot.replace("\u00a0", " ").split())
    assert "down to the limit of each, 20 % to 50 %" in told
