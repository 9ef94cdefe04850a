"""Every shipped row is whole, sensible, and says its source."""

import csv
import tomllib
from pathlib import Path

import numpy as np
import pytest

import energysim
from energysim.build.members import SOURCES
from energysim.catalogue import drift_table, gust_table, hull_tables, uncertainties
from energysim.physics.charge import ChargeLaw, charge_time_h
from energysim.physics.ratings import peukert_exponent_from_reserve
from energysim.scenario.table import fields_by_key
from energysim.scenario.uncertainty import Uncertainty

DATA = Path(energysim.__file__).parent / "data"
CHEMISTRIES = tomllib.loads((DATA / "chemistries.toml").read_text(encoding="utf-8"))
REFUSED = tomllib.loads((DATA / "not_for_propulsion.toml").read_text(encoding="utf-8"))
with (DATA / "batteries.csv").open(encoding="utf-8", newline="") as _file:
    BATTERIES = list(csv.DictReader(_file))
with (DATA / "case_ranges.csv").open(encoding="utf-8", newline="") as _file:
    RANGES = list(csv.DictReader(_file))
with (DATA / "case_sizes.csv").open(encoding="utf-8", newline="") as _file:
    CASE_SIZES = {row["case"]: row for row in csv.DictReader(_file)}

EVERY_CHEMISTRY = pytest.mark.parametrize("name", sorted(CHEMISTRIES))
EVERY_BATTERY = pytest.mark.parametrize(
    "row", BATTERIES, ids=[row["name"] for row in BATTERIES]
)

# key: least, greatest, number or list
KEYS: dict[str, tuple[float, float, type]] = {
    "cells_per_12v": (4, 6, int),
    "block_voltage_nominal_v": (12.0, 12.8, float),
    "peukert_exponent": (1.0, 1.4, float),
    "rest_soc": (0.0, 1.0, list),
    "rest_voltage_v": (9.0, 14.0, list),
    "resistance_ohm_per_100ah": (0.001, 0.03, float),
    "resistance_rise_when_empty": (1.0, 4.0, float),
    "resistance_rise_per_degc": (0.0, 0.05, float),
    "capacity_temperature_degc": (-40.0, 60.0, list),
    "capacity_temperature_factor": (0.3, 1.3, list),
    "capacity_largest_factor": (1.0, 1.05, float),
    "cutoff_voltage_v": (9.0, 11.5, float),
    "depth_of_discharge": (0.3, 0.95, float),
    "charge_acceptance_per_h": (0.3, 100.0, float),
    "acceptance_rise_per_degc": (0.0, 0.06, float),
    "charge_band_edges": (0.0, 1.0, list),
    "charge_band_efficiency": (0.3, 1.0, list),
    "full_soc": (0.95, 0.9999, float),
    "charge_voltage_v": (13.8, 15.0, float),
    "charge_voltage_rise_per_degc": (-0.05, 0.0, float),
    "largest_charge_rate": (0.05, 1.0, float),
    "self_discharge_per_month": (0.0, 0.2, float),
    "self_discharge_doubling_degc": (5.0, 50.0, float),
    "well_rate_per_h": (0.1, 3.0, float),
    "heat_capacity_j_per_kg_k": (700.0, 1300.0, int),
    "capacity_spread": (0.01, 0.1, float),
    "cycle_depth": (0.1, 1.0, list),
    "cycles_to_80_percent": (100.0, 20_000.0, list),
    "calendar_life_years": (2.0, 30.0, int),
    "calendar_power": (0.3, 1.0, float),
}
OPTIONAL: dict[str, tuple[float, float, type]] = {"lowest_charge_degc": (-10.0, 10.0, float)}
WORDS = {"label", "family"}
LAW = "law"  # a word with a source
# Of a battery that is refused only the numbers that may lie outside those of a deep-cycle one.
WEAKER: dict[str, tuple[float, float, type]] = {
    "depth_of_discharge": (0.1, 0.3, float),
    "capacity_spread": (0.05, 0.2, float),
    "cycles_to_80_percent": (10.0, 400.0, list),
}


@EVERY_CHEMISTRY
def test_a_chemistry_has_every_key_and_no_other(name):
    keys = set(CHEMISTRIES[name])
    assert keys - set(OPTIONAL) == set(KEYS) | WORDS | {LAW}
    assert CHEMISTRIES[name]["family"] in {"lead-acid", "lithium"}
    assert set(CHEMISTRIES[name][LAW]) == {"value", "source"}
    assert CHEMISTRIES[name][LAW]["value"] in {"kinetic", "peukert"}


def numbers_of(table):
    """The numbers of a table, without its words."""
    return {key: entry for key, entry in table.items() if key not in WORDS | {LAW}}


@EVERY_CHEMISTRY
def test_every_number_of_a_chemistry_has_a_source_and_lies_in_range(name):
    check_numbers(numbers_of(CHEMISTRIES[name]), KEYS | OPTIONAL)


def check_numbers(numbers, ranges):
    """Hold each number to its range, its shape and a source."""
    for key, entry in numbers.items():
        least, greatest, kind = ranges[key]
        assert len(entry["source"]) > 8, key
        assert set(entry) <= {"value", "low", "high", "source"}, key
        assert isinstance(entry["value"], kind), key
        for column in {"value", "low", "high"} & set(entry):
            numbers = np.atleast_1d(entry[column])
            assert np.all((numbers >= least) & (numbers <= greatest)), (key, column)
            assert numbers.shape == np.atleast_1d(entry["value"]).shape, (key, column)


@EVERY_CHEMISTRY
def test_the_value_of_a_number_lies_within_its_spread(name):
    check_spreads(numbers_of(CHEMISTRIES[name]))


def check_spreads(numbers):
    """Hold each value to its own spread."""
    for key, entry in numbers.items():
        value = np.array(entry["value"])
        assert np.all(np.array(entry.get("low", value)) <= value), key
        assert np.all(np.array(entry.get("high", value)) >= value), key


@EVERY_CHEMISTRY
def test_the_lists_of_a_chemistry_belong_together(name):
    row = {key: entry["value"] for key, entry in numbers_of(CHEMISTRIES[name]).items()}
    for nodes, values in (
        ("cycle_depth", "cycles_to_80_percent"),
        ("rest_soc", "rest_voltage_v"),
        ("capacity_temperature_degc", "capacity_temperature_factor"),
    ):
        assert len(row[nodes]) == len(row[values])
        assert np.all(np.diff(row[nodes]) > 0.0)
    assert len(row["charge_band_efficiency"]) == len(row["charge_band_edges"]) + 1
    assert row["rest_voltage_v"][0] >= row["cutoff_voltage_v"]
    assert row["charge_voltage_v"] > row["rest_voltage_v"][-1]


@EVERY_CHEMISTRY
def test_the_lives_of_a_chemistry_fall_with_depth_and_leave_room_for_the_makes(name):
    cycles = CHEMISTRIES[name]["cycles_to_80_percent"]
    for column in ("value", "low", "high"):
        assert np.all(np.diff(cycles[column]) < 0.0), column
    # Published curves of one kind of battery differ by two and more (as read).
    ratio = np.array(cycles["high"]) / np.array(cycles["low"])
    assert np.all((ratio >= 1.9) & (ratio <= 5.0))


def test_a_refused_battery_is_told_apart_gives_a_reason_and_is_weaker_than_what_it_is_like():
    assert not set(REFUSED) & set(CHEMISTRIES)
    for row in REFUSED.values():
        assert set(row) == {
            "label",
            "aliases",
            "like",
            "refused_reason",
            "source",
            "instead",
            "numbers",
        }
        assert len(row["refused_reason"]) > 40
        like = numbers_of(CHEMISTRIES[row["like"]])
        assert set(row["numbers"]) <= set(like)
        check_numbers(row["numbers"], KEYS | WEAKER)
        check_spreads(row["numbers"])
        for key in ("cycles_to_80_percent", "calendar_life_years", "depth_of_discharge"):
            for column in ("value", "low", "high"):
                less = np.array(row["numbers"][key][column])
                assert np.all(less <= np.array(like[key][column])), (key, column)


def test_only_lithium_has_a_lowest_charging_temperature():
    with_limit = {name for name, row in CHEMISTRIES.items() if "lowest_charge_degc" in row}
    assert with_limit == {
        name for name, row in CHEMISTRIES.items() if row["family"] == "lithium"
    }


@EVERY_CHEMISTRY
def test_a_chemistry_charges_from_its_limit_in_a_sensible_time(name):
    row = {key: entry["value"] for key, entry in numbers_of(CHEMISTRIES[name]).items()}
    law = ChargeLaw(
        acceptance_per_h=row["charge_acceptance_per_h"],
        acceptance_rise_per_degc=row["acceptance_rise_per_degc"],
        band_edges=tuple(row["charge_band_edges"]),
        band_efficiency=tuple(row["charge_band_efficiency"]),
        full_soc=row["full_soc"],
        charge_voltage_v=row["charge_voltage_v"],
        voltage_rise_per_degc=row["charge_voltage_rise_per_degc"],
        lowest_charge_degc=row.get("lowest_charge_degc"),
        largest_charge_rate=row["largest_charge_rate"],
    )
    hours = charge_time_h(
        1.0 - row["depth_of_discharge"],
        target_soc=law.full_soc,
        charger_current_a=100.0 * law.largest_charge_rate,
        capacity_ah=100.0,
        temperature_degc=20.0,
        law=law,
    )
    assert 1.0 < hours < 12.0


def test_battery_names_are_unique():
    names = [row["name"] for row in BATTERIES]
    assert len(names) == len(set(names))


@EVERY_BATTERY
def test_a_battery_row_is_whole_and_its_chemistry_known(row):
    assert row["chemistry"] in CHEMISTRIES
    assert row["source"]
    assert row["case"] in CASE_SIZES
    cells = CHEMISTRIES[row["chemistry"]]["cells_per_12v"]["value"]
    volts_a_cell = CHEMISTRIES[row["chemistry"]]["block_voltage_nominal_v"]["value"] / cells
    count = float(row["voltage_v"]) / volts_a_cell
    assert count == pytest.approx(round(count))
    for key, least, greatest in (
        ("capacity_ah", 20.0, 300.0),
        ("rated_time_h", 20.0, 20.0),
        ("mass_kg", 4.0, 80.0),
    ):
        assert least <= float(row[key]) <= greatest, key
    for side in ("length_m", "width_m", "height_m"):
        assert row[side] == CASE_SIZES[row["case"]][side]


EVERY_RANGE = pytest.mark.parametrize("row", RANGES, ids=[row["name"] for row in RANGES])


def test_every_battery_has_its_range_and_its_name_says_case_and_chemistry():
    assert [row["name"] for row in RANGES] == [row["name"] for row in BATTERIES]
    for row in BATTERIES:
        words = row["name"].split("-")
        assert words[:2] == [row["case"].lower(), row["chemistry"]]
        # 12 V, or four cells of lithium, needs no word; another voltage says its class.
        usual = float(row["voltage_v"]) in {12.0, 12.8} or row["chemistry"] != "lfp"
        assert len(words) == (2 if usual else 3)


@EVERY_RANGE
def test_a_battery_is_the_middle_of_its_range(row):
    battery = next(one for one in BATTERIES if one["name"] == row["name"])
    for low, high, middle, rounding in (
        ("capacity_low_ah", "capacity_high_ah", "capacity_ah", 0.5),
        ("reserve_low_min", "reserve_high_min", "reserve_min", 0.5),
        ("mass_low_kg", "mass_high_kg", "mass_kg", 0.1),
    ):
        if battery[middle]:
            least, most = float(row[low]), float(row[high])
            assert 0.0 < least < most
            assert abs(float(battery[middle]) - 0.5 * (least + most)) <= rounding + 1e-9


@EVERY_RANGE
def test_a_range_says_where_it_comes_from_and_rests_on_no_maker_or_seller(row):
    for what, low in (
        ("capacity", "capacity_low_ah"),
        ("reserve", "reserve_low_min"),
        ("mass", "mass_low_kg"),
    ):
        assert row[low] or what == "reserve"
        unknown = "no range known that does not rest on one maker or seller"
        assert (row[f"{what}_source"] == unknown) == (not row[low])
        assert bool(row[low]) == bool(row[low.replace("low", "high")])
        assert any(
            words in row[f"{what}_source"]
            for words in (
                "no source",
                "two public tables",
                "general advice",
                "computed",
                unknown,
            )
        )


def test_the_reserve_of_lithium_is_its_ampere_hours_over_25_amperes():
    lithium = [row for row in RANGES if "-lfp" in row["name"]]
    assert len(lithium) == sum(row["chemistry"] == "lfp" for row in BATTERIES)
    for row in lithium:
        for side in ("low", "high"):
            expected = 60.0 * float(row[f"capacity_{side}_ah"]) / 25.0
            assert float(row[f"reserve_{side}_min"]) == pytest.approx(expected)


def test_case_sizes_are_whole_and_say_their_source():
    assert set(CASE_SIZES) == {row["case"] for row in BATTERIES}
    for row in CASE_SIZES.values():
        assert 0.18 <= float(row["length_m"]) <= 0.55
        assert 0.12 <= float(row["width_m"]) < float(row["length_m"])
        assert 0.18 <= float(row["height_m"]) <= 0.3
        assert row["what"]
        assert any(
            words in row["source"] for words in ("as read", "from memory", "common practice")
        )


@pytest.mark.parametrize("case", ["24", "27", "31", "34"])
def test_marine_posts_only_add_height(case):
    # 0.3 in of posts: common practice, no source.
    plain, marine = CASE_SIZES[case], CASE_SIZES[f"{case}M"]
    assert (plain["length_m"], plain["width_m"]) == (marine["length_m"], marine["width_m"])
    more = float(marine["height_m"]) - float(plain["height_m"])
    assert more == pytest.approx(0.3 * 0.0254, abs=5e-4)


@pytest.mark.parametrize(
    ("case", "inches"),
    [
        ("24", (10.25, 6.8125, 8.875)),
        ("27", (12.0625, 6.8125, 8.875)),
        ("31", (13.0, 6.8125, 9.4375)),
        ("GC2", (10.375, 7.1875, 10.625)),
        ("GC12", (12.875, 7.1875, 10.875)),
    ],
)
def test_cases_have_the_size_of_the_trade_standard(case, inches):
    # The trade standard's outer sizes in inches, as read on public pages (not in it), which
    # give millimetres as well, some rounded up.
    for side, size in zip(("length_m", "width_m", "height_m"), inches, strict=True):
        assert float(CASE_SIZES[case][side]) == pytest.approx(0.0254 * size, abs=1e-3)


@EVERY_BATTERY
def test_the_energy_in_a_battery_fits_its_weight(row):
    # Common practice, no source: lead-acid 35 to 50 Wh/kg, lithium iron phosphate 80 to 130.
    specific = float(row["voltage_v"]) * float(row["capacity_ah"]) / float(row["mass_kg"])
    lithium = CHEMISTRIES[row["chemistry"]]["family"] == "lithium"
    low, high = (80.0, 130.0) if lithium else (35.0, 50.0)
    assert low <= specific <= high


@EVERY_BATTERY
def test_the_reserve_of_a_battery_implies_an_exponent_typical_of_its_chemistry(row):
    if not row["reserve_min"]:
        assert "reserve left out: " in row["source"]
        return
    exponent = peukert_exponent_from_reserve(
        float(row["reserve_min"]),
        capacity_ah=float(row["capacity_ah"]),
        rated_time_h=float(row["rated_time_h"]),
    )
    spread = CHEMISTRIES[row["chemistry"]]["peukert_exponent"]
    assert spread["low"] <= float(exponent) <= spread["high"]


# Gusts, chop, mooring loads, and how far each part may be out.


def shipped(name):
    """Read the rows of a shipped CSV file."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(
    ("name", "columns"),
    [
        ("gust_factors.csv", "exposure reference_period_s gust_duration_s gust_factor source"),
        (
            "wave_drift.csv",
            "hull wavelength_over_length head_surge quarter_surge quarter_sway beam_sway "
            "source",
        ),
        ("mooring_loads.csv", "length_m beam_m load_15kn_n load_15kn_lbf source"),
        (
            "uncertainty.csv",
            "part spread key distribution unit memory_h what_it_is_of source",
        ),
    ],
    ids=lambda value: value.partition(".")[0] if ".csv" in value else "",
)
def test_a_row_has_every_column_and_no_other_and_says_its_source(name, columns):
    rows = shipped(name)
    assert rows
    words = {"exposure", "hull", "part", "what_it_is_of", "source"}
    words |= {"key", "distribution", "unit"}
    for row in rows:
        assert list(row) == columns.split()
        assert len(row["source"]) > 8
        assert all(row[key] for key in row)
        assert all(np.isfinite(float(row[key])) for key in set(row) - words)


def test_gust_factors_stand_once_for_every_exposure_and_pair_of_times():
    rows = shipped("gust_factors.csv")
    pairs = {}
    for row in rows:
        pair = (float(row["reference_period_s"]), float(row["gust_duration_s"]))
        pairs.setdefault(row["exposure"], []).append(pair)
    assert set(pairs) == {"at-sea", "off-sea", "off-land", "in-land"}
    for listed in pairs.values():
        assert len(listed) == len(set(listed))
        assert set(listed) == set(pairs["at-sea"])
        assert all(3.0 <= gust <= period for period, gust in listed)


def test_gust_factors_grow_as_gusts_shorten_periods_lengthen_and_the_ground_roughens():
    table = gust_table()
    order = ["at-sea", "off-sea", "off-land", "in-land"]
    known = {
        (exposure, period, gust): factor
        for exposure, period, gust, factor in zip(
            table.exposure,
            table.reference_period_s.tolist(),
            table.gust_duration_s.tolist(),
            table.factor.tolist(),
            strict=True,
        )
    }
    for (exposure, period, gust), factor in known.items():
        assert 1.0 <= factor <= 2.0
        if gust == period:
            assert factor == 1.0
        for (other, longer, shorter), more in known.items():
            if (
                order.index(other) >= order.index(exposure)
                and longer >= period
                and shorter <= gust
            ):
                assert more >= factor


def test_each_hull_with_drift_coefficients_is_listed_and_the_others_take_the_mean():
    known = set(hull_tables()["types"])
    listed = {row["hull"] for row in shipped("wave_drift.csv")}
    assert listed < known
    tables = [drift_table(hull) for hull in sorted(listed)]
    other = drift_table(min(known - listed))
    for name in ("wavelength_ratio", "head_surge", "beam_sway"):
        mean = np.mean([getattr(table, name) for table in tables], axis=0)
        np.testing.assert_allclose(getattr(other, name), mean)


@pytest.mark.parametrize("hull", sorted({row["hull"] for row in shipped("wave_drift.csv")}))
def test_no_hull_turns_back_more_than_a_wall_and_long_waves_pass(hull):
    table = drift_table(hull)
    assert np.all(np.diff(table.wavelength_ratio) > 0.0)
    for name in ("head_surge", "quarter_surge", "quarter_sway", "beam_sway"):
        column = getattr(table, name)
        # A wall turns back every wave: rho g H^2 / 16 on its width, a coefficient of 1
        # (textbook; at 45 deg the two parts come to less than 1 each as well).
        assert np.all((column > 0.0) & (column < 1.0))
        assert column[-1] < 0.1 * column.max()
        after_two_thirds = table.wavelength_ratio > 0.7
        assert np.all(np.diff(column[after_two_thirds]) < 0.0)
    assert np.all(table.beam_sway > table.head_surge)


def test_mooring_loads_agree_in_both_units_and_grow_with_the_boat():
    rows = shipped("mooring_loads.csv")
    for row in rows:
        # 1 lbf is 4.4482216 N by definition.
        assert float(row["load_15kn_n"]) == pytest.approx(
            4.4482216 * float(row["load_15kn_lbf"]), abs=0.01
        )
    for column in ("length_m", "beam_m", "load_15kn_n"):
        assert np.all(np.diff([float(row[column]) for row in rows]) > 0.0)


def test_every_part_has_one_spread_that_can_be_believed():
    rows = shipped("uncertainty.csv")
    assert len({row["part"] for row in rows}) == len(rows)
    assert list(uncertainties()) == [row["part"] for row in rows]
    relative = [one for one in uncertainties().values() if one.unit == "1"]
    assert all(0.02 <= one.spread <= 0.6 for one in relative)


def test_every_source_of_spread_of_the_odds_has_its_row_and_every_key_its_source():
    drawn = [one for one in uncertainties().values() if one.key != "-"]
    assert {one.key for one in drawn} == set(SOURCES)
    twice = [one.part for one in drawn if one.key == "motor"]
    assert sorted(twice) == ["motor-bench", "motor-label"]
    assert len(drawn) == len(SOURCES) + 1
    kinds = {"lognormal", "normal", "truncated", "series"}
    assert {one.distribution for one in drawn} == kinds
    for one in uncertainties().values():
        assert (one.distribution == "judged") == (one.key == "-")
        assert (one.memory_h > 0.0) == (one.distribution == "series")
        assert one.unit in {"1", "m/s", "s"}
    keys = set(fields_by_key(Uncertainty)) - {"members", "seed", "lead"}
    assert keys == set(SOURCES)
