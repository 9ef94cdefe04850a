"""
The quasi-steady model beside a boat that moves, and the moving boat beside plain mechanics.

The outside here is the dynamic twin of this folder: rigid-body mechanics with the added masses
of Soding 1982 and of a flat section (formulas read in a public marine-systems code library, or
from memory where its files say so), gusts to the Froya spectrum of NORSOK / ISO 19901-1, and a
helm of our own. Coefficients are shared with the package, code is not.
"""

import ast
import csv
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from .boat import body_of, water_loads, wind_loads
from .compare import CHOSEN, REPORT, TABLE, errors, named, table_rows
from .conditions import Condition, conditions, craft_of, motor_table
from .controller import Helm, MotorTable, outside_circle, turned
from .gusts import ACROSS, frequencies_per_s, froya_shape, gust_pair, share_below
from .runs import SETTLE_S, WATCH_S, steady, stream_toward_deg, twin_watches
from .twin import Watch, Weather, keep_watch

HERE = Path(__file__).parent

BAND = 0.08
"""Published: nine conditions in ten are this near to the twin's mean power."""

WORST = 0.30
"""Published: none is further off than this."""

WORST_NAMED = ("skiff", 15.0, 0.8, 160.0)
"""Published: the condition that is furthest off."""

FACING_WORST = 0.06
"""Published: none is further off while wind and stream are up to 90 deg apart."""


@pytest.fixture(scope="module")
def table() -> list[dict[str, Any]]:
    with TABLE.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _key(row: dict[str, Any]) -> tuple[str, float, float, float]:
    return (
        row["boat"],
        float(row["wind_kn"]),
        float(row["stream_kn"]),
        float(row["angle_deg"]),
    )


def _condition(boat: str, wind: float, stream: float, angle: float) -> Condition:
    return Condition(boat=boat, wind_kn=wind, stream_kn=stream, angle_deg=angle)


# --- The published table -------------------------------------------------------------------


def test_the_table_holds_every_condition_once_and_at_least_forty(
    table: list[dict[str, Any]],
) -> None:
    wanted = [(row.boat, row.wind_kn, row.stream_kn, row.angle_deg) for row in conditions()]
    assert [_key(row) for row in table] == wanted
    assert len(set(wanted)) == len(wanted) >= 40


def test_nine_conditions_in_ten_are_within_the_published_band(
    table: list[dict[str, Any]],
) -> None:
    assert np.quantile(np.abs(errors(table, CHOSEN)), 0.9) <= BAND


def test_no_condition_is_further_off_than_the_one_named_as_worst(
    table: list[dict[str, Any]],
) -> None:
    size = np.abs(errors(table, CHOSEN))
    worst = table[int(size.argmax())]
    assert size.max() <= WORST
    assert _key(worst) == WORST_NAMED
    assert named(worst) in REPORT.read_text(encoding="utf-8")


def test_the_band_is_narrow_where_wind_and_stream_do_not_oppose_each_other(
    table: list[dict[str, Any]],
) -> None:
    facing = [
        row for row in table if float(row["angle_deg"]) <= 90.0 and row["boat"] != "weak skiff"
    ]
    assert len(facing) >= 30
    assert np.abs(errors(facing, CHOSEN)).max() <= FACING_WORST


def test_gusts_bring_the_package_nearer_to_the_twin_than_the_mean_wind_does(
    table: list[dict[str, Any]],
) -> None:
    with_gusts, without = errors(table, CHOSEN), errors(table, "no gusts")
    assert np.sqrt(np.mean(with_gusts**2)) < 0.75 * np.sqrt(np.mean(without**2))
    assert abs(with_gusts.mean()) < 0.5 * abs(without.mean())


def test_the_quasi_steady_headings_are_those_the_twin_swings_about(
    table: list[dict[str, Any]],
) -> None:
    for row in table:
        if 0.0 < float(row["angle_deg"]) < 180.0:
            off = float(row["twin_off_wind_deg"]) - float(row["steady_off_wind_deg"])
            assert abs(off) < 4.0, named(row)


def test_the_weak_motor_cannot_hold_in_both_models_or_in_neither(
    table: list[dict[str, Any]],
) -> None:
    for row in table:
        short = float(row["steady_thrust_n"]) > float(row["most_thrust_n"])
        assert short == (float(row["twin_most_m"]) > 10.0), named(row)
    assert any(float(row["twin_most_m"]) > 10.0 for row in table)


def test_the_quasi_steady_columns_are_what_the_package_says_today(
    table: list[dict[str, Any]],
) -> None:
    rows = conditions()
    nothing = np.ones((1, len(rows)))
    blank = Watch(**{each.name: nothing for each in fields(Watch)})
    for then, now in zip(table, table_rows(rows, blank), strict=True):
        for column in now:
            if column.startswith("twin_") or column == "boat":
                continue
            # Two roundings to a hundredth; 0.2 % for another build of the same sums.
            assert float(then[column]) == pytest.approx(
                float(now[column]), rel=0.002, abs=0.11
            ), f"{named(then)}: {column}; run python -m tests.dynamic.compare"


@pytest.mark.slow
def test_the_twin_still_gives_its_columns_of_the_table(table: list[dict[str, Any]]) -> None:
    # Every sixth condition. Near opposition a watch hangs on rounding (which way the boat
    # falls off), so only those up to 135 deg are repeated.
    kept = [
        row
        for row in table
        if float(row["angle_deg"]) <= 135.0 and float(row["twin_most_m"]) < 9
    ][::6]
    assert len(kept) >= 10
    watch = twin_watches([_condition(*_key(row)) for row in kept], helm=Helm())
    for at, row in enumerate(kept):
        assert watch.power_w[:, at].mean() == pytest.approx(
            float(row["twin_power_w"]), rel=0.005
        ), named(row)
        assert watch.thrust_n[:, at].mean() == pytest.approx(
            float(row["twin_thrust_n"]), rel=0.005, abs=0.02
        ), named(row)
        assert watch.rms_m[:, at].mean() == pytest.approx(
            float(row["twin_rms_m"]), rel=0.05, abs=0.02
        ), named(row)


# --- The twin without gusts is the quasi-steady model --------------------------------------

QUIET = [
    ("skiff", 0.0, 1.6, 0.0),
    ("console", 15.0, 0.8, 0.0),
    ("skiff", 8.0, 0.8, 45.0),
    ("console", 20.0, 1.6, 90.0),
    ("skiff", 15.0, 1.6, 135.0),
    ("console", 15.0, 0.8, 160.0),
    ("skiff", 20.0, 1.6, 160.0),
]


@pytest.mark.slow
def test_without_gusts_the_twin_comes_to_rest_at_the_quasi_steady_heading_and_thrust() -> None:
    rows = [_condition(*each) for each in QUIET]
    watch = twin_watches(rows, helm=Helm(), intensity=0.0, seeds=(1,))
    for at, row in enumerate(rows):
        still = steady(row)
        off = (watch.heading_deg[0, at] - still.heading_deg + 180.0) % 360.0 - 180.0
        assert abs(off) < 0.5, row
        assert watch.swing_deg[0, at] < 1.0, row
        assert watch.thrust_n[0, at] == pytest.approx(still.thrust_n, rel=0.01), row
        assert watch.power_w[0, at] == pytest.approx(still.power_w, rel=0.01), row


@pytest.mark.slow
def test_halving_the_step_moves_the_mean_power_by_less_than_a_thousandth() -> None:
    rows = [
        _condition(*each) for each in (("skiff", 20.0, 0.8, 45.0), ("console", 15.0, 1.6, 90.0))
    ]
    coarse = twin_watches(rows, helm=Helm(), seeds=(1,), step_s=0.1)
    fine = twin_watches(rows, helm=Helm(), seeds=(1,), step_s=0.05)
    assert fine.power_w == pytest.approx(coarse.power_w, rel=0.001)


# --- The pieces of the twin, by hand -------------------------------------------------------


def test_the_twin_imports_nothing_of_the_package() -> None:
    for name in ("boat", "controller", "gusts", "twin"):
        tree = ast.parse((HERE / f"{name}.py").read_text(encoding="utf-8"))
        modules = [
            node.module or "" if isinstance(node, ast.ImportFrom) else node.names[0].name
            for node in ast.walk(tree)
            if isinstance(node, ast.Import | ast.ImportFrom)
        ]
        assert not [module for module in modules if module.startswith("energysim")]
        assert set(modules) <= {"dataclasses", "numpy", "numpy.typing", "boat", "controller"}


def test_added_masses_are_those_worked_by_hand() -> None:
    craft = replace(
        craft_of(["skiff"]),
        length_m=np.array([5.0]),
        length_wl_m=np.array([4.0]),
        draft_m=np.array([0.2]),
        volume_m3=np.array([1.0]),
        water_density_kgpm3=np.array([1000.0]),
    )
    body = body_of(craft)
    # 1000 kg and 2.7 * 1000 / 16; pi / 2 * 1000 * 0.04 * 4 = 251.33.
    assert body.surge_mass_kg == pytest.approx([1168.75])
    assert body.sway_mass_kg == pytest.approx([1251.33], abs=0.01)
    assert body.yaw_inertia_kgm2 == pytest.approx([1562.5 + 251.327 * 16 / 12], abs=0.01)


def test_a_turning_hull_is_slowed_by_its_cross_flow_as_the_integral_says() -> None:
    craft = replace(
        craft_of(["skiff"]),
        lateral_centre_m=np.zeros(1),
        length_wl_m=np.array([4.0]),
        draft_m=np.array([0.2]),
        cross_flow_drag=np.ones(1),
        water_density_kgpm3=np.array([1000.0]),
    )
    nothing = np.zeros(1)
    _, sway, yaw = water_loads(nothing, nothing, np.array([0.5]), body_of(craft))
    # 0.5 rho T r^2 times the integral of |x|^3, 2 * 2^4 / 4 = 8 m^4: 200 N m.
    assert sway == pytest.approx([0.0], abs=1e-9)
    assert yaw == pytest.approx([-200.0], rel=0.02)


@pytest.mark.parametrize("end", [1.0, -1.0], ids=["ahead", "astern"])
def test_a_hull_at_a_small_angle_is_turned_across_its_path(end: float) -> None:
    body = body_of(craft_of(["console"]))
    _, sway, yaw = water_loads(np.array([end]), np.array([0.05]), np.zeros(1), body)
    assert sway < 0.0
    assert yaw * end < 0.0


def test_wind_from_each_side_pushes_to_the_other_and_leaves_symmetry() -> None:
    craft = craft_of(["skiff", "skiff"])
    ahead, across = np.array([-3.0, -3.0]), np.array([-4.0, 4.0])  # from either bow
    surge, sway, yaw = wind_loads(ahead, across, craft)
    assert surge[0] == pytest.approx(surge[1])
    assert surge[0] < 0.0
    assert sway[0] == pytest.approx(-sway[1])
    assert sway[0] < 0.0
    assert yaw[0] == pytest.approx(-yaw[1])


@pytest.mark.reference
def test_wind_dead_ahead_and_abeam_are_the_published_coefficients() -> None:
    # Fishing vessel of Blendermann 1994: 0.70 ahead, 0.95 abeam, at 10 m/s and 1.225 kg/m3.
    craft = craft_of(["skiff"])
    surge, _, _ = wind_loads(np.array([-10.0]), np.zeros(1), craft)
    _, sway, _ = wind_loads(np.zeros(1), np.array([-10.0]), craft)
    assert surge / craft.frontal_area_m2 == pytest.approx([-61.25 * 0.70])
    assert sway / craft.lateral_area_m2 == pytest.approx([-61.25 * 0.95])


def test_gusts_have_the_spread_asked_for_and_no_mean() -> None:
    shape = froya_shape(frequencies_per_s(WATCH_S), 8.0, 1.0)
    along, across = gust_pair(
        shape, seconds=WATCH_S, sigma_mps=1.5, across=ACROSS, rng=np.random.default_rng(5)
    )
    assert along.mean() == pytest.approx(0.0, abs=1e-12)
    assert along.std() == pytest.approx(1.5, rel=1e-9)
    assert across.std() == pytest.approx(1.5 * ACROSS, rel=1e-9)
    assert abs(np.corrcoef(along, across)[0, 1]) < 0.2


def test_the_spectrum_of_the_gusts_is_the_one_asked_for() -> None:
    frequency = frequencies_per_s(WATCH_S)
    shape = froya_shape(frequency, 8.0, 1.0)
    along, _ = gust_pair(
        shape, seconds=WATCH_S, sigma_mps=1.0, across=ACROSS, rng=np.random.default_rng(5)
    )
    lines = np.abs(np.fft.rfft(along))[1 : frequency.size + 1] ** 2
    assert lines / lines.sum() == pytest.approx(shape / shape.sum(), rel=1e-9)
    assert 0.5 < share_below(shape, frequency, 0.1) < 0.9


@pytest.mark.reference
def test_the_froya_shape_falls_off_as_its_formula_does() -> None:
    # At 10 m and 10 m/s, f = 0.1 /s: 1 / (1 + 17.2^0.468)^3.5613 = 1.2119 / 320.
    assert froya_shape(np.array([0.1]), 10.0, 10.0) == pytest.approx([1.2119 / 320.0], rel=1e-4)


def test_the_motor_turns_the_short_way_and_no_faster_than_it_can() -> None:
    turns = turned(np.deg2rad([170.0, 10.0]), np.deg2rad([-170.0, 12.0]), np.deg2rad(6.0))
    assert np.rad2deg(turns) == pytest.approx([176.0, 12.0])


def test_nothing_is_corrected_inside_the_watch_circle() -> None:
    north, east = outside_circle(np.array([0.3, 3.0]), np.array([0.4, 4.0]), 1.0)
    assert north == pytest.approx([0.0, 2.4])
    assert east == pytest.approx([0.0, 3.2])


def _left_alone(heading_deg: float, seconds: int) -> Watch:
    """Return a still boat in still air and water, its motor unable to push."""
    one = np.ones(1)
    unable = motor_table(["skiff"])
    return keep_watch(
        craft_of(["skiff"]),
        weather=Weather(
            wind_mps=0.0 * one,
            wind_from_deg=0.0 * one,
            stream_mps=0.5 * one,
            stream_toward_deg=90.0 * one,
            along_mps=np.zeros((60, 1)),
            across_mps=np.zeros((60, 1)),
            start_heading_deg=heading_deg * one,
        ),
        motor=MotorTable(
            thrust_step_n=unable.thrust_step_n,
            inflow_step_mps=unable.inflow_step_mps,
            power_w=unable.power_w,
            most_n=unable.most_n * 0.0,
            lane=unable.lane,
        ),
        helm=Helm(),
        settle_s=0,
        watch_s=seconds,
    )


def test_a_boat_whose_motor_cannot_push_goes_where_the_stream_goes() -> None:
    watch = _left_alone(20.0, 300)
    # Started at rest over the ground; it can be no further than the water has run.
    assert 0.6 * 150.0 < float(watch.most_m[0]) < 150.0
    assert watch.thrust_n == pytest.approx([0.0])


def test_a_watch_is_the_same_in_a_mirror() -> None:
    rows = [_condition("skiff", 15.0, 0.8, 90.0)]
    assert stream_toward_deg(rows[0]) == pytest.approx(90.0)
    watches = []
    for side in (1.0, -1.0):
        gust = np.sin(np.arange(120.0))[:, None]
        watches.append(
            keep_watch(
                craft_of(["skiff"]),
                weather=Weather(
                    wind_mps=np.array([6.0]),
                    wind_from_deg=np.zeros(1),
                    stream_mps=np.array([0.4]),
                    stream_toward_deg=np.array([90.0 * side]),
                    along_mps=gust,
                    across_mps=0.5 * side * gust,
                    start_heading_deg=np.array([-40.0 * side]),
                ),
                motor=motor_table(["skiff"]),
                helm=Helm(),
                settle_s=SETTLE_S // 10,
                watch_s=120,
            )
        )
    assert watches[0].power_w == pytest.approx(watches[1].power_w, rel=1e-9)
    assert watches[0].heading_deg == pytest.approx(360.0 - watches[1].heading_deg)
